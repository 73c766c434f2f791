"""Quantities as people write them, read through one small pint registry that loads on first use."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+\-−–]?)\s*
        (?:(?P<whole>\d+)[\s\-]+(?=\d+/\d))?          # the 1 of "1 1/4"
        (?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<plain>\d[\d\s]*\.?\d*(?:[eE][+-]?\d+)?|\.\d+))
        \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
_SPREAD = re.compile(r"\+/-|±|\+-")
# How the trade writes units, and how the registry spells them.
_SPELLINGS = (
    ("tons of refrigeration", "ton"),
    ("ton of refrigeration", "ton"),
    ("tons", "ton"),
    ("US gallons", "gal"),
    ("US gallon", "gal"),
    ("US gal", "gal"),
    ("imperial gallons", "imp_gal"),
    ("imp gal", "imp_gal"),
    ("BTU/hr", "btu/h"),
    ("Btu/hr", "btu/h"),
    ("BTUH", "btu/h"),
    ("in Hg", "inHg"),
    ("square metres", "m**2"),
    ("delta degF", "delta_degree_Fahrenheit"),
    ("delta degC", "delta_degree_Celsius"),
    ("°C", "degC"),
    ("°F", "degF"),
    ("°", "deg"),
    ("%", "percent"),
    ("²", "**2"),
    ("³", "**3"),
    ("·", "*"),
    ("″", "in"),
    ('"', "in"),
)
_DIFFERENCES = ("K", "kelvin", "delta_degree_Fahrenheit", "delta_degree_Celsius")
_SCALES = ("degC", "degF", "celsius", "fahrenheit", "degree_Celsius", "degree_Fahrenheit")


@dataclass(frozen=True, slots=True)
class Misread(Exception):
    """Why a text is not the quantity that was asked for. `kind` names one of the refusals."""

    kind: str
    text: str
    hint: str


@cache
def registry() -> UnitRegistry:
    """Return the one pint registry of the package."""
    from pint import UnitRegistry

    definitions = files("seaflow").joinpath("data", "units.txt").read_text(encoding="utf-8")
    units: UnitRegistry = UnitRegistry(None, on_redefinition="raise", cache_folder=None)
    units.load_definitions(definitions.splitlines())
    return units


def read_quantity(text: str, unit: str) -> float:
    """Return the number that `text` means in `unit`, a unit of the glossary.

    Raises
    ------
    Misread
        With kind "bare", "number", "unknown", "dimension", "difference", "scale" or "comma".
    """
    value, written = split(text)
    if unit == "-" and not written:
        return value
    if not written:
        raise Misread("bare", text, f'"{text.strip()} {example_unit(unit)}"')
    return convert_from(value, written, unit, text)


def read_with_spread(text: str, unit: str) -> tuple[float, float | None]:
    """Return the number that `text` means in `unit`, and the half width if it gives one.

    A half width stands behind "+/-" or "±": "2.4 m +/- 10 %" or "30 degC +/- 1 K".

    Raises
    ------
    Misread
        As read_quantity, for either part.
    """
    value_text, *rest = _SPREAD.split(text, maxsplit=1)
    value = read_quantity(value_text, unit)
    if not rest:
        return value, None
    if rest[0].strip().endswith("%"):
        share = read_quantity(rest[0], "-")
        return value, abs(share * (value if unit != "-" else 1.0))
    return value, abs(read_quantity(rest[0], "K" if unit == "degC" else unit))


def split(text: str) -> tuple[float, str]:
    """Return the number and the unit of a written quantity; fractions such as 1 1/4 are read.

    Raises
    ------
    Misread
        With kind "comma" for a decimal comma, "number" for anything else.
    """
    if re.match(r"\s*[+\-]?\d+,\d", text):
        raise Misread("comma", text, '"' + text.strip().replace(",", ".", 1) + '"')
    found = _NUMBER.match(text)
    if found is None or (found["bottom"] is not None and int(found["bottom"]) == 0):
        raise Misread("number", text, "a number, a space and a unit")
    if found["top"] is not None:
        value = int(found["top"]) / int(found["bottom"]) + int(found["whole"] or 0)
    else:
        value = float(re.sub(r"\s", "", found["plain"]))
    sign = -1.0 if found["sign"] in ("-", "−", "–") else 1.0
    return sign * value, found["unit"]


def convert_from(value: float, written: str, unit: str, text: str) -> float:
    """Return `value` in the unit `written`, expressed in the glossary unit `unit`."""
    spelled = _spell(written)
    if unit == "K" and spelled in _SCALES:
        factor = 5 / 9 if "F" in spelled or "ahr" in spelled else 1.0
        raise Misread("difference", text, f'"{value * factor:.3g} K"')
    if unit == "degC" and spelled in _DIFFERENCES[2:]:
        raise Misread("scale", text, f'"{value:g} degC"')
    units = registry()
    try:
        given = units.parse_units(spelled)
    except Exception:  # pint raises several kinds for text that is no unit
        raise Misread("unknown", text, _near(written)) from None
    wanted = units.parse_units(_spell(unit) if unit != "-" else "")
    if given.dimensionality != wanted.dimensionality:
        raise Misread("dimension", text, f'"{value:g} {example_unit(unit)}"')
    return float(units.Quantity(value, given).to(wanted).magnitude)


@cache
def factor_and_offset(unit: str, shown: str) -> tuple[float, float]:
    """Return a, b so that a value in `unit` is a * value + b in the unit `shown`."""
    units = registry()
    if unit == "K":
        spelled = {"degF": "delta_degree_Fahrenheit", "degC": "K"}.get(shown, shown)
        return float(units.Quantity(1.0, "K").to(_spell(spelled)).magnitude), 0.0
    start, end = units.parse_units(_spell(unit)), units.parse_units(_spell(shown))
    offset = float(units.Quantity(0.0, start).to(end).magnitude)
    return float(units.Quantity(1.0, start).to(end).magnitude) - offset, offset


def example_unit(unit: str) -> str:
    """Return a unit that a person on a boat would write for this glossary unit."""
    return {
        "m3/s": "L/min",
        "degC": "degC",
        "K": "K",
        "rad": "deg",
        "m2": "mm2",
        "m/s": "kn",
        "-": "%",
    }.get(unit, unit)


def _spell(written: str) -> str:
    spelled = written.strip()
    for trade, ours in _SPELLINGS:
        spelled = spelled.replace(trade, ours)
    spelled = re.sub(r"(?<=[A-Za-z])([23])(?![\w.])", r"**\1", spelled)
    return re.sub(r"(?<=[\w)])\s+(?=[A-Za-z(])", "*", spelled)


def _near(written: str) -> str:
    known = ("mm", "cm", "m", "in", "ft", "L/min", "gpm", "kPa", "psi", "bar", "kW", "BTU/h", "ton")
    known += ("degC", "degF", "K", "kn", "V", "Hz", "A", "g/kg", "deg", "mm2", "%", "W", "h", "min")
    near = difflib.get_close_matches(written, known, n=1, cutoff=0.5)
    return f'"{near[0]}"' if near else "one of: " + ", ".join(known)
