"""Values that a boat can hardly have: a question, and the unit that may have been meant."""

from __future__ import annotations

from math import log

from seaflow.base.glossary import Quantity
from seaflow.base.units import Misread, convert_from, spelled, split
from seaflow.boat.reader.heads import FRESH_DENSITY, HEADS
from seaflow.boat.reader.words import in_unit, number_text
from seaflow.physics.hull.openings import head_of_pressure

# Units that people take for one another. The order is that of the asking.
_LENGTHS = ("mm", "cm", "m", "in", "ft")
_PRESSURES = ("bar", "psi", "kPa", "inHg")
_TAKEN_FOR = (
    _LENGTHS,
    _PRESSURES,
    ("L/min", "L/h", "gpm", "gph"),
    ("W", "kW"),
    ("degC", "degF"),
    ("mm2", "cm2", "in2"),
)
_KELVIN = ("K", "degK", "kelvin")
# Sheets print the head of a pump or a coil as a pressure, so these two are confused as well.
_AS_HEADS = ("bar", "psi", "kPa")
_THOUSANDS = "kBTU/h"
_HEAT = ("W", "kW", "BTU/h", _THOUSANDS, "ton")  # an electric power is not given in the last two
NEARLY_AS_GOOD = 10.0  # a second guess must not be further off than this many times the first


def is_plausible(value: float, entry: Quantity, written: str = "") -> bool:
    """Return True inside the plausible range of a value so written, and for nothing at all."""
    usual = entry.usual_range(written)
    if usual is None or value == 0.0:
        return True
    least, most = usual
    slack = 1e-9 * (abs(least) + abs(most))  # a limit typed in another unit still counts
    return least - slack <= value <= most + slack


def range_text(entry: Quantity, written: str) -> str:
    """Return the plausible range in the unit that was written, such as "1.5 m to 25 m"."""
    usual = entry.usual_range(written)
    if usual is None:
        return ""
    least, most = usual
    if least == 0.0:
        return f"up to {in_unit(most, entry.unit, written)}"
    low, high = in_unit(least, entry.unit, written), in_unit(most, entry.unit, written)
    return f"{low.removesuffix(written).strip()} to {high}"


def guesses(text: str, entry: Quantity) -> tuple[tuple[str, float], ...]:
    """Return the units that would make a written value plausible, with its value then.

    The nearest in size comes first.
    """
    number, written = split(text)
    given = abs(_as_if(number, written, entry) or 1.0)
    found = []
    for unit in _confused_with(written, entry):
        value = _as_if(number, unit, entry)
        if value is not None and value != 0.0 and is_plausible(value, entry, unit):
            found.append((abs(log(abs(value) / given)), unit, value))
    found.sort()
    near = [item for item in found if item[0] < found[0][0] + log(NEARLY_AS_GOOD)]
    return tuple((unit, value) for _, unit, value in near[:2])


def guess_text(text: str, entry: Quantity) -> str:
    """Return a question such as "0.45 bar would be 4.6 m. Did you mean bar?", or nothing."""
    number, written = split(text)
    found = [(*_spoken(number, unit), value) for unit, value in guesses(text, entry)]
    if not found:
        return ""
    said = " and ".join(
        f"{number_text(shown)} {unit} would be {in_unit(value, entry.unit, written)}"
        for shown, unit, value in found
    )
    return f"{said}. Did you mean {' or '.join(unit for _, unit, _ in found)}?"


def _spoken(number: float, unit: str) -> tuple[float, str]:
    """Return a value as people write it: thousands of BTU/h with all their digits."""
    return (1000.0 * number, unit[1:]) if unit == _THOUSANDS else (number, unit)


def others(written: str, entry: Quantity) -> tuple[str, ...]:
    """Return the other units in which people give such a quantity."""
    aside = _AS_HEADS if entry.name in HEADS else ()
    return tuple(unit for unit in _confused_with(written, entry) if unit not in aside)


def _confused_with(written: str, entry: Quantity) -> tuple[str, ...]:
    if entry.unit == "degC":
        written = spelled(written, entry.unit)
    if written in _KELVIN:
        return ("degC", "degF")
    for group in (_HEAT, *_TAKEN_FOR) if entry.name == "heat_flow" else _TAKEN_FOR:
        if written in group:
            others = tuple(unit for unit in group if unit != written)
            return others + (_AS_HEADS if entry.name in HEADS else ())
    return ()


def _as_if(number: float, unit: str, entry: Quantity) -> float | None:
    try:
        if entry.name in HEADS and unit in _PRESSURES:
            pressure = convert_from(number, unit, "Pa", "")
            return float(head_of_pressure(pressure, FRESH_DENSITY))
        return convert_from(number, unit, entry.unit, "")
    except Misread:
        return None
