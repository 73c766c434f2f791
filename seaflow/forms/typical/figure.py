"""A figure of a boat, said or typical, and how it stands in a case file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from seaflow.base.units import factor_and_offset, read_quantity

# Units in which somebody may have said a figure, by the unit inside the package; the usual first.
_SPOKEN: Mapping[str, tuple[str, ...]] = {
    "m": ("m", "ft", "in"),
    "W": ("BTU/h", "kW", "W"),
    "degC": ("degC", "degF"),
    "m3/s": ("L/min", "gpm", "L/h"),
    "K": ("K", "delta degF"),
    "A s": ("Ah",),
    "J": ("kWh", "Wh"),
}
_SAME = 2e-6  # relative; what a figure may lose by being written in six digits


class Usual(str):
    """A name or a choice that stands for what nobody told; its line in the file says so."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in SI with the widest ends thought likely; no half width where it was said."""

    value: float
    half: float | None = None

    def times(self, factor: float) -> Figure:
        """Return a multiple of it, no better known."""
        half = None if self.half is None else self.half * abs(factor)
        return Figure(self.value * factor, half)

    def text(self, unit: str, shown: str, digits: int) -> str:
        """Return it as a case file has it; what was said stands in the unit it was said in."""
        if self.half is None:
            return said(self.value, unit)
        return typical(self.value, self.half, (unit, shown, digits))


def said(value: float, unit: str) -> str:
    """Return a figure that was said in the unit that takes the fewest digits."""
    found: dict[str, int] = {}
    for shown in _SPOKEN.get(unit, (unit,)):
        factor, offset = factor_and_offset(unit, shown)
        number = f"{factor * value + offset:.6g}"
        text = f"{number} {shown}"
        if abs(read_quantity(text, unit) - value) <= _SAME * max(abs(value), 1e-9):
            found[text] = len(number.replace(".", "").strip("0"))
    return min(found, key=found.__getitem__) if found else f"{value!r} {unit}"


def typical(value: float, half: float, how: tuple[str, str, int]) -> str:
    """Return a typical figure; `how` is its unit, the unit shown, and digits behind the point."""
    unit, shown, digits = how
    factor, offset = factor_and_offset(unit, shown)
    first = f"{factor * value + offset:.{digits}f}"
    wide = f"{max(factor * half, 10.0**-digits):.{digits}f}"
    return f"{first} {shown} typical +/- {wide} {'K' if shown == 'degC' else shown}"
