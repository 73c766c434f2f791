"""Numbers with units for people, in metric or US customary units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from seaflow.base.facts import AMOUNTS, Fact
from seaflow.base.spread import without_typical
from seaflow.base.units import Misread, factor_and_offset, read_quantity, split
from seaflow.present.sentences import say

SPREAD = "+/-"  # between a value as it is typed, and how far it may be off
NEAR_ENOUGH = 0.026  # of a trade size: 13 mm is sold as 1/2 in, 25 mm as 1 in

# Kind of number: unit and decimals for each system; the unit inside is that of `AMOUNTS`.
# None: one decimal, but for a nought.
_KINDS: dict[str, tuple[tuple[str, int | None], tuple[str, int | None]]] = {
    "flow": (("L/min", 1), ("gpm", 2)),
    "head": (("m", 2), ("ft", 1)),
    "height": (("m", 2), ("ft", 1)),
    "length": (("m", 1), ("ft", 1)),
    "bore": (("mm", 0), ("in", 2)),
    "thickness": (("mm", 1), ("in", 3)),
    "velocity": (("m/s", 2), ("ft/s", 1)),
    "temperature": (("degC", 1), ("degF", 1)),
    "rise": (("K", 1), ("degF", 1)),
    "heat": (("kW", 2), ("BTU/h", 0)),
    "power": (("W", 0), ("W", 0)),
    "pressure": (("kPa", 1), ("psi", 2)),
    "refrigerant_pressure": (("bar", 1), ("psi", 0)),
    "voltage": (("V", None), ("V", None)),
    "current": (("A", 1), ("A", 1)),
    "energy": (("kWh", 2), ("kWh", 2)),
    "charge": (("Ah", 0), ("Ah", 0)),
    "duration": (("h", 1), ("h", 1)),
    "area": (("mm2", 2), ("mm2", 2)),
    "angle": (("deg", None), ("deg", None)),
    "frequency": (("Hz", 0), ("Hz", 0)),
    "basket_area": (("cm2", 0), ("in2", 1)),
    "volume": (("m3", 1), ("gal", 0)),
    "bucket": (("L", None), ("gal", None)),
    "sound_level": (("dB", 0), ("dB", 0)),
    "decibels": (("dB", None), ("dB", None)),
}
# The kind of number that a metric unit in a table stands for.
_DEGREES = re.compile(r"\bdeg(?=[CF]\b)")
_TYPED = {
    "K": "rise",
    "m/s": "velocity",
    "mm": "thickness",
    "m": "height",
    "L/min": "flow",
    "kPa": "pressure",
    "degC": "temperature",
}
# How a kind, or a unit, is written.
_WRITTEN = {
    "sound_level": "dB(A)",
    "degC": "°C",
    "degF": "°F",
    "mm2": "mm²",
    "cm2": "cm²",
    "in2": "in²",
    "m3": "m³",
    "deg": "degrees",
}


@dataclass(frozen=True, slots=True)
class Show:
    """Shows quantities in one system of units."""

    system: str = "metric"

    def unit(self, kind: str) -> str:
        """Return the unit as it is written."""
        unit = self._shown(kind)[0]
        return _WRITTEN.get(kind, _WRITTEN.get(unit, unit))

    def number(self, kind: str, value: float | None) -> str:
        """Return the number alone, or a dash where there is none."""
        if value is None:
            return "-"
        if kind == "bore" and self.system == "us":
            return trade_inches(self.value(kind, value))
        decimals = self._shown(kind)[1]
        text = f"{self.value(kind, value):,.{1 if decimals is None else decimals}f}"
        text = text.removesuffix(".0" if decimals is None else "").replace(",", " ")
        return text[1:] if text.startswith("-") and not text.strip("-0. ") else text

    def value(self, kind: str, value: float) -> float:
        """Return a number of the package's unit in the unit shown, not rounded."""
        factor, offset = self._scale(kind)
        return factor * value + offset

    def _scale(self, kind: str) -> tuple[float, float]:
        return factor_and_offset(AMOUNTS[kind], self._shown(kind)[0])

    def pairs(
        self, across: tuple[str, Sequence[float]], up: tuple[str, Sequence[float]]
    ) -> list[tuple[float, float]]:
        """Return the points of a line as they are shown, from a kind and its values either way."""
        (wide, left), (tall, low) = self._scale(across[0]), self._scale(up[0])
        points = zip(across[1], up[1], strict=True)
        return [(wide * x + left, tall * y + low) for x, y in points]

    def __call__(self, kind: str, value: float | None) -> str:
        """Return the number with its unit."""
        if value is None:
            return "not recorded"
        return f"{self.number(kind, value)} {self.unit(kind)}"

    def away(self, kind: str, value: float, up: bool) -> str:
        """Return the number with its unit, rounded up or down, so that no bound is rounded away.

        A bore in inches stays the trade size that it is.
        """
        if kind == "bore" and self.system == "us":
            return self(kind, value)
        number, _, unit = self(kind, value).rpartition(" ")
        printed, exact = float(number.replace(" ", "")), self.exact(kind, value)
        step = 10.0 ** -len(number.partition(".")[2])
        slack = 1e-6 * step
        if up and printed < exact - slack:
            printed += step
        elif not up and printed > exact + slack:
            printed -= step
        return f"{printed:.{len(number.partition('.')[2])}f} {unit}"

    def exact(self, kind: str, value: float) -> float:
        """Return the number that is shown, not rounded."""
        return self.value(kind, value)

    def both(self, kind: str, value: float) -> str:
        """Return the quantity in this system with the other in brackets, as the trade does."""
        other = Show("us" if self.system == "metric" else "metric")
        return f"{self(kind, value)} ({other(kind, value)})"

    def bound(self, kind: str, value: float, up: bool) -> str:
        """Return the quantity in this system and the other, each rounded to the safe side."""
        other = Show("us" if self.system == "metric" else "metric")
        return f"{self.away(kind, value, up)} ({other.away(kind, value, up)})"

    def typed(self, text: str) -> str:
        """Return a value as it was typed, or in US units if these are asked for.

        It may be several with "; " between them, and each may say how far it may be off.
        """
        parts = [text] if self.system == "metric" else map(self._one_typed, text.split("; "))
        return with_degrees("; ".join(parts))

    def _one_typed(self, text: str) -> str:
        plain = without_typical(text)
        value, _, half = (part.strip() for part in plain.partition(SPREAD))
        if half.endswith("%"):  # a share of degrees is another one on another scale
            return text
        word = "" if plain == text else " typical"
        off = f" {SPREAD} {self._converted(half)}" if half else ""
        return f"{self._converted(value)}{word}{off}"

    def _converted(self, text: str) -> str:
        try:
            _, unit = split(text)
        except Misread:
            return text
        kind = _TYPED.get(unit)
        return text if kind is None else self(kind, read_quantity(text, AMOUNTS[kind]))

    def sentence(self, said: str | Fact) -> str:
        """Return the sentence of a fact in these units; a text of data as it stands."""
        return say(said, self) if isinstance(said, Fact) else said

    def sentences(self, said: Iterable[str | Fact], between: str = " ") -> str:
        """Return the sentences of several facts as one text."""
        return between.join(self.sentence(item) for item in said)

    def _shown(self, kind: str) -> tuple[str, int | None]:
        metric, american = _KINDS[kind]
        return metric if self.system == "metric" else american


def with_degrees(text: str) -> str:
    """Return what somebody typed with its degrees as all else writes them."""
    return _DEGREES.sub("°", text)


def trade_inches(inches: float) -> str:
    """Return a bore as the trade sizes it, such as 1-1/4; as a decimal where it is no such size."""
    for parts in (1, 2, 4, 8, 16):
        near = round(inches * parts)
        if near and abs(inches * parts / near - 1.0) < NEAR_ENOUGH:
            whole, rest = divmod(near, parts)
            return (
                f"{whole or ''}{'-' if whole and rest else ''}{f'{rest}/{parts}' if rest else ''}"
            )
    return f"{inches:.2f}"


def percent(share: float | None, signed: bool = False) -> str:
    """Return a share as per cent."""
    if share is None:
        return "-"
    text = f"{share:+.0%}" if signed else f"{share:.0%}"
    return "0%" if text in ("+0%", "-0%") else text
