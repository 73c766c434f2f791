"""Quantities as people write them.

Usual units stand in a table made with pint; others are read through one small pint registry, which
takes as long to load as everything else together and so loads on first use.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from seaflow.base.near import nearest
from seaflow.base.spellings import SPELLINGS, TRADE
from seaflow.base.tables import DATA, read_table

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+\-−–]?)\s*
        (?:(?P<whole>\d+)[\s\-]+(?=\d+/\d))?          # the 1 of "1 1/4"
        (?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<plain>\d[\d\s]*\.?\d*(?:[eE][+-]?\d+)?|\.\d+))
        (?P<kilo>[kK](?=\s+[A-Za-z]))?               # the k of "16k BTU"
        \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
# Pairs of units that people write in a row, and how many of the second make one of the first.
_LADDERS = {("ft", "in"): 12.0, ("h", "min"): 60.0, ("min", "s"): 60.0, ("m", "cm"): 100.0}
_AMOUNT = r"(?:\d+[\s\-]+\d+/[1-9]\d*|\d+/[1-9]\d*|\d+\.?\d*|\.\d+)"
_IN_A_ROW = re.compile(
    rf"\s*([+\-−–]?)\s*({_AMOUNT})\s*([A-Za-z'’′]+)[\s,\-]*({_AMOUNT})\s*([A-Za-z\"”″']+)\s*"
)
_TIME = r"\d[\d.:]*\s*(?:(?:s|secs?|seconds?|mins?|minutes?)(?![a-z]).*)?"
_BY_WATCH = re.compile(
    rf"(?P<time>{_TIME})\s+(?:for|per)\s+(?P<volume>.+)|(?P<v>.+?)(?: in |\s*/\s*)(?P<t>{_TIME})",
    re.I,
)
_SHORT = re.compile(
    r"""\s*(\d+)\s*(?:m|min|['\u2019\u2032])\s*([0-5]?\d)(?:["\u201d\u2033]|'')?\s*"""
)
_CLOCK = re.compile(r"\s*(\d+):([0-5]?\d(?:\.\d+)?)\s*(?:min|mins|minutes|m)?\s*")
# Said of a vessel that is filled, and no part of its size: "a 5-gallon bucket", "bucket of 10 L".
_VESSEL = re.compile(r"\b(?:an?|buckets?|pails?|of|fills?|to)\b|(?<=\d)-(?=[a-z])", re.I)
# Units that people on boats write, for the hint at a misspelt one.
_WRITTEN = (
    *("mm", "cm", "m", "in", "ft", "L/min", "gpm", "kPa", "psi", "bar", "kW", "BTU/h", "ton"),
    *("degC", "degF", "K", "kn", "V", "Hz", "A", "g/kg", "deg", "mm2", "%", "W", "h", "min", "day"),
)
_OF_DEGREES = re.compile(r"(?:deg|d\u00e9g|grad)", re.I)  # of a scale that is not told
_MORE = re.compile(r"['\u2019_x\u00d7*\-\u2013+]\s*\d", re.I)  # a number behind a number
_GROUPED = re.compile(r"(?<=\d)['\u2019_](?=\d{3}\b)")
_DIFFERENCES = ("K", "kelvin", "delta_degree_Fahrenheit", "delta_degree_Celsius")
_SCALES = ("degC", "degF", "celsius", "fahrenheit", "degree_Celsius", "degree_Fahrenheit")
_SALT = ("g/kg", "psu")
COLDEST_KELVIN = 200.0  # fewer kelvin than this were meant as a difference: no sea is so cold
LONGEST, LONGEST_UNIT = 120, 40  # characters of a quantity, and of its unit
SHOWN = 30  # of one that is longer
MOST_KEPT = 4096  # texts that are kept as they were read
# A product of plain units with small powers. Nothing else goes to the registry, which would
# work out any arithmetic it is given, however long that takes.
_POWER = r"(?:(?:\*\*|\^)-?[1-9])?"
_PLAIN_UNIT = re.compile(rf"(?:1|[A-Za-zµμ_]+{_POWER})(?:[*/](?:[A-Za-zµμ_]+{_POWER}))*")


class Misread(Exception):  # noqa: N818 - it says what happened
    """Why a text is not the quantity that was asked for. `kind` names one of the refusals."""

    def __init__(self, kind: str, text: str, hint: str) -> None:
        super().__init__(kind, text, hint)
        self.kind, self.text, self.hint = kind, text, hint


@cache
def registry() -> UnitRegistry[Any]:
    """Return the one pint registry of the package."""
    from pint import UnitRegistry

    definitions = (DATA / "units.txt").read_text(encoding="utf-8")
    units: UnitRegistry[Any] = UnitRegistry(None, on_redefinition="raise", cache_folder=None)
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


@lru_cache(MOST_KEPT)
def split(text: str) -> tuple[float, str]:
    """Return the number and the unit of a written quantity; fractions such as 1 1/4 are read.

    Units in a row, such as 1 ft 6 in, count in the last of them; a volume and a time, such as
    40 s for 3 gal, in one over the other.

    Raises
    ------
    Misread
        With kind "comma" for a decimal comma, "long" beyond all sense, "more" for more than one
        number, "number" for anything else.
    """
    if len(text) > LONGEST:
        raise Misread("long", f"{text[:SHOWN]}...", "a number, a space and a unit")
    if (in_a_row := _in_a_row(text)) is not None:
        return in_a_row
    if (filled := volume_and_time(text)) is not None and filled[1] > 0.0:
        return filled[0] / filled[1], "m3/s"
    if re.match(r"\s*[+\-−–]?\s*\d+,\d", text):
        raise Misread("comma", text, _either(text.strip()))
    found = _NUMBER.match(text)
    if found is None or (found["bottom"] is not None and int(found["bottom"]) == 0):
        raise Misread("number", text, "a number, a space and a unit")
    if _MORE.match(found["unit"]):
        plain = _GROUPED.sub("", text).strip()
        raise Misread("more", text, f'"{plain}"' if plain != text.strip() else "")
    if found["top"] is not None:
        value = int(found["top"]) / int(found["bottom"]) + int(found["whole"] or 0)
    else:
        value = float(re.sub(r"\s", "", found["plain"])) * (1000.0 if found["kilo"] else 1.0)
    sign = -1.0 if found["sign"] in ("-", "−", "–") else 1.0
    return sign * value, found["unit"]


def _either(text: str) -> str:
    """Return what a number with a comma may mean; which of the two nobody can tell for another."""
    number = re.match(r"[+\-−–]?\s*\d+(?:,\d+)*(?:\.\d+)?", text)
    assert number is not None
    rest, whole = text[number.end() :], number[0].replace(",", "")
    if re.fullmatch(r"[+\-−–]?\s*[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", number[0]) is None:
        return f'"{number[0].replace(",", ".", 1)}{rest}" if the comma parts decimals'
    thousands = f'"{whole}{rest}" if the comma parts thousands'
    if number[0].count(",") > 1 or "." in number[0]:
        return thousands
    return f'{thousands}, "{number[0].replace(",", ".")}{rest}" if it parts decimals'


def _in_a_row(text: str) -> tuple[float, str] | None:
    """Return 3 ft 6 in as 42 in, and its like; None if the text is nothing of the kind."""
    found = _IN_A_ROW.fullmatch(text)
    if found is None:
        return None
    sign, large, first, small, second = found.groups()
    for (upper, lower), many in _LADDERS.items():
        kind = "s" if lower in ("min", "s") else "m"
        if (_meant(first, kind), _meant(second, kind)) == (upper, lower):
            value = split(large)[0] * many + split(small)[0]
            return (-value if sign in ("-", "−", "–") else value), lower
    return None


def volume_and_time(text: str) -> tuple[float, float] | None:
    """Return volume [m3] and time [s] of such as "40 s for 3 gal" or "10 L in 35"; else None."""
    found = _BY_WATCH.fullmatch(" ".join(_VESSEL.sub(" ", text).split()))
    if found is None or len(text) > LONGEST:
        return None
    try:
        volume = read_quantity(found["volume"] or found["v"], "m3")
        return volume, seconds_of(found["time"] or found["t"])
    except Misread:
        return None


def seconds_of(text: str) -> float:
    """Return a time as a watch gives it [s]: 38, 38 s, 0.6 min, 1 min 20 s, 1:05, 1m30 or 2'10.

    Raises
    ------
    Misread
        As read_quantity.
    """
    clock = _CLOCK.fullmatch(text) or _SHORT.fullmatch(text)
    if clock is not None:
        return 60.0 * int(clock[1]) + float(clock[2])
    value, written = split(text)
    return convert_from(value, written.lower() or "s", "s", text)


def convert_from(value: float, written: str, unit: str, text: str) -> float:
    """Return `value` in the unit `written`, expressed in the glossary unit `unit`.

    Raises
    ------
    Misread
        As read_quantity.
    """
    meant = spelled(written, unit)
    if unit == "K" and meant in _SCALES:
        factor = 5 / 9 if "F" in meant or "ahr" in meant else 1.0
        raise Misread("difference", text, f'"{value * factor:.3g} K"')
    if unit == "degC" and _is_difference(value, meant):
        raise Misread("scale", text, f'"{value:g} degC"')
    if len(written) > LONGEST_UNIT or not _PLAIN_UNIT.fullmatch(meant):
        raise Misread("unknown", text, _near(written, unit))
    try:
        scale = _scale(meant, unit)
    except Exception:  # pint raises several kinds for text that is no unit
        raise Misread("unknown", text, _near(written, unit)) from None
    if scale is None or (unit == "-" and meant in _SALT):
        raise Misread("dimension", text, f'"{value:g} {example_unit(unit)}"')
    factor, offset = scale
    return factor * value + offset


@cache
def _scale(spelled: str, unit: str) -> tuple[float, float] | None:
    """Return a, b so that a number in `spelled` is a * number + b in `unit`; None if it is of
    another kind. Kept, because a case names few units and many numbers.
    """
    known = read_table("scales.toml").get(unit, {}).get(spelled)
    return scale_by_pint(spelled, unit) if known is None else (known[0], known[1])


def spellings(unit: str) -> dict[str, tuple[float, float]]:
    """Return the usual ways to write units of this kind, in small letters: a, b as of `_scale`."""
    ours = dict.fromkeys((*read_table("scales.toml").get(unit, {}), *TRADE.get(unit, {}).values()))
    words = {one: one for one in ours} | dict(TRADE.get(unit, {}))
    words |= {trade: one for trade, one in SPELLINGS if one in ours}
    found = {word.lower(): _scale(_spell(one), unit) for word, one in words.items()}
    return {word: scale for word, scale in found.items() if scale is not None}


def scale_by_pint(spelled: str, unit: str) -> tuple[float, float] | None:
    """Return a, b as pint has them, or None if `spelled` measures something else than `unit`."""
    units = registry()
    given, wanted = units.parse_units(spelled), _parsed(unit)
    if given.dimensionality != wanted.dimensionality:
        return None
    offset = float(units.Quantity(0.0, given).to(wanted).magnitude)
    return float(units.Quantity(1.0, given).to(wanted).magnitude) - offset, offset


def _is_difference(value: float, spelled: str) -> bool:
    """Say whether a temperature is written as a difference."""
    if spelled in _DIFFERENCES[:2]:
        return value < COLDEST_KELVIN
    return spelled in _DIFFERENCES[2:]


@cache
def _parsed(unit: str) -> Any:
    """Return a glossary unit, or the unit of a text of ours, as the registry knows it."""
    return registry().parse_units("" if unit == "-" else _spell(unit))


@cache
def factor_and_offset(unit: str, shown: str) -> tuple[float, float]:
    """Return a, b so that a value in `unit` is a * value + b in the unit `shown`, spelled as people
    in the trade do or as the registry does."""
    shown = _meant(shown, unit)
    if unit == "K":
        shown = {"degF": "delta_degree_Fahrenheit", "degC": "K"}.get(shown, shown)
    found = _scale(_spell(shown), unit)
    if found is None:
        raise ValueError(f"{unit} cannot be converted to {shown}")
    factor, offset = found
    return 1.0 / factor, -offset / factor


def spelled(written: str, unit: str) -> str:
    """Return a unit as the registry knows it, where it measures what the glossary unit does."""
    return _spell(_meant(written, unit))


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
        "A s": "Ah",
    }.get(unit, unit)


def _meant(written: str, unit: str) -> str:
    """Return a unit as the registry spells it where the trade spells it otherwise."""
    plain = " ".join(written.split())
    plain = TRADE.get(unit, {}).get(plain, plain)
    return "in" if unit == "m" and plain == '"' else plain


@lru_cache(MOST_KEPT)
def _spell(written: str) -> str:
    spelled = written.strip()
    for trade, ours in SPELLINGS:
        spelled = spelled.replace(trade, ours)
    spelled = re.sub(r"(?<=[A-Za-z])([23])(?![\w.])", r"**\1", spelled)
    spelled = re.sub(r"\s*([*/])\s*", r"\1", spelled)
    return re.sub(r"(?<=[\w)])\s+(?=[A-Za-z(])", "*", spelled)


def _near(written: str, unit: str) -> str:
    """Return the unit that was meant, or those that measure the same thing."""
    if unit == "W" and written in ("k", "K"):
        return '"kBTU/h"'  # as people say the size of a unit
    kind = _parsed(unit).dimensionality
    same = [name for name in _WRITTEN if _parsed(name).dimensionality == kind]
    if unit == "degC" and _OF_DEGREES.match(written):
        return "one of: " + ", ".join(same)
    if unit == "K":
        same = ["K", "delta degF"]
    elif unit == "g/kg":
        same = list(_SALT)
    elif unit == "-":
        same = ["%"]
    plain = {name.lower(): name for name in same if name != "K" or unit == "K"}
    near = nearest(written.lower(), plain, cutoff=0.5)
    return f'"{plain[near]}"' if near else "one of: " + ", ".join(plain.values())
