"""The few facts beside a plain table: what a line of the sheet, an option or an answer tells."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from seaflow.base.tables import read_table
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.columns import FLOW, HEAD, POWER, PRESSURE, unit_called
from seaflow.boat.parts.sheets import PumpSheet

DECIMALS, THOUSANDS = "decimals", "thousands"
LOW_VOLTAGE = 60.0  # V; a plate of less that names neither kind is taken for direct current

_NUMBER = r"\d+(?:\.\d+)?"
_OR = r"\s*(?:/|-|–|\bto\b|\bor\b|\.\.+|…)\s*"
_HERTZ = rf"{_NUMBER}(?:(?:\s*Hz)?{_OR}{_NUMBER})*"
_VOLTS = rf"{_NUMBER}(?:(?:\s*V)?{_OR}{_NUMBER})*"
_OFF = r"(?:\s*\(?(?:±|\+/-|\+\s?\d)[^,;)]*%\)?)?"
_PLATE = {
    "frequency": re.compile(rf"({_HERTZ})\s*(?:Hz|hertz)\b", re.IGNORECASE),
    "voltage": re.compile(
        rf"({_VOLTS})\s*V(?:olts?)?(?:(?![A-Za-z])|(?=\s?(?:AC|DC)))", re.IGNORECASE
    ),
    "power": re.compile(rf"({_NUMBER}\s*k?W)\b(?!h)", re.IGNORECASE),
    "power_factor": re.compile(
        rf"\b(?:cos(?:\s?phi|\s?φ|ϕ)?|pf|power factor)\s*[=:]?\s*({_NUMBER})", re.IGNORECASE
    ),
    "current": re.compile(rf"({_NUMBER})\s*A(?:mps?)?\b(?!C)", re.IGNORECASE),
}
_SHORT = re.compile(r"\b(\d{2,3})\s*/\s*(50|60)\b(?!\s*[A-Za-z])")  # 230/50
_PIECES = re.compile(r"\s*[,;]\s*|\s+(?:against|over|vs\.?)\s+", re.IGNORECASE)
_PASSED = re.compile(
    r"\b(?:ac|dc|single|three|phase|ph|supply|mains|battery|motor|at|curve|volts?|and|on|the|is|it|"
    r"runs|from|rated)\b|[~⎓=,;:()/\-–\s]|\b[13](?=\s*(?:~|ph))",
    re.IGNORECASE,
)
_SAYS_AC, _SAYS_DC = (
    re.compile(r"AC\b|~", re.IGNORECASE),
    re.compile(r"DC\b|⎓|battery", re.IGNORECASE),
)
_POINT = re.compile(r"\bpoints?\b.*\b(?:thousands?|decimals?)\b", re.IGNORECASE)
_LINE = re.compile(
    r"\s*#?\s*(?P<key>[^\W\d][^:=;\t|]{0,30}?)\s*(?:\[(?P<unit>[^\]]*)\])?\s*[:=]\s*(?P<value>.+)"
)

Facts = dict[str, str]


def line_facts(text: str) -> Facts:
    """Return what a line beside the table tells: "Voltage: 230 V", or a plate without a key."""
    if _POINT.fullmatch(text.strip(" #")):
        return _comma(text)
    found = _LINE.fullmatch(text)
    key = called(found["key"]) if found else ""
    if found is None or not key:
        return plate_facts(text)
    value = found["value"].strip().strip('"')
    return facts_under(key, f"{value} {found['unit']}" if found["unit"] else value)


def facts_under(key: str, value: str) -> Facts:
    """Return what stands under a key that is known, such as "supply" or "flow"."""
    if key in (FLOW, HEAD):
        kind, unit = unit_called(value.strip("[]()"))
        sided = HEAD if kind == PRESSURE else kind
        return {key: unit} if sided == key else {}
    if key == "comma":
        return _comma(value)
    if key == "case":
        return {**plate_facts(value), "supply_from": value}
    if key == "designation":
        return {"type" if _says_a_kind(value) else "title": value}
    if key in ("supply", "frequency"):
        if value.strip().casefold() in ("ac", "dc"):
            return {"supply": value.strip().casefold()}
        unit = {"supply": "V", "frequency": "Hz"}[key]
        return plate_facts(value) or plate_facts(f"{value} {unit}")
    if key in (POWER, "current") and re.fullmatch(_NUMBER, value):
        value = f"{value} {'W' if key == POWER else 'A'}"
    return {key: value}


def told_facts(text: str) -> tuple[Facts, list[str]]:
    """Return the facts of an option or an answer, and the pieces that are not understood."""
    facts: Facts = {}
    left: list[str] = []
    for piece in filter(None, _PIECES.split(text.strip())):
        plate, rest = ({}, piece) if _LINE.fullmatch(piece) else _plate(piece)
        more = line_facts(rest) or _comma(rest) or dict(_units(rest)) if rest else {}
        facts |= plate | more
        if rest and not more:
            left.append(rest)
    return facts, left


def plate_facts(text: str) -> Facts:
    """Return what a plate tells if the text is one: volts, hertz, watts, amps, kind of current."""
    facts, rest = _plate(text)
    return facts if not rest or "frequency" in facts else {}


def _plate(text: str) -> tuple[Facts, str]:
    """Return what a plate tells, and the words that tell nothing of one."""
    plain = rest = _SHORT.sub(r"\1 V \2 Hz", text)
    facts: Facts = {}
    units = {"voltage": " V", "frequency": " Hz", "current": " A"}
    for key, form in _PLATE.items():
        found = [re.sub(r"\s+", " ", one[1]) for one in form.finditer(rest)]
        if found:
            facts[key] = _alternatives(found if key in units else found[:1]) + units.get(key, "")
            rest = form.sub(" ", rest)
    if "frequency" in facts or _SAYS_AC.search(plain):
        facts["supply"] = "ac"
    elif facts and _SAYS_DC.search(plain):
        facts["supply"] = "dc"
    if not {"voltage", "frequency", "power", "current"} & set(facts):
        return {}, text
    passed = _PASSED.sub("", re.sub(_OFF, "", rest))
    return facts, " ".join(rest.split()).strip(" ,;") if passed else ""


def _alternatives(values: Iterable[str]) -> str:
    """Return values that differ as a plate gives them: "50/60"."""
    return "/".join(dict.fromkeys(values))


def both_told(facts: Facts, more: Facts) -> Facts:
    """Return the facts of two lines; two ratings that differ are left to be asked about.

    One that the other leaves open, as 50 Hz does of 50/60 Hz and 230 V of 220-240 V, is taken.
    """
    joined = {**more, **facts}
    for key, unit in (("voltage", " V"), ("frequency", " Hz")):
        if key in facts and key in more:
            told = [one[key].removesuffix(unit) for one in (facts, more)]
            single = [one for one in told if re.fullmatch(_NUMBER, one)]
            ends = [float(end) for one in told for end in re.findall(_NUMBER, one)]
            inside = len(single) == 1 and min(ends) <= float(single[0]) <= max(ends)
            joined[key] = (single[0] if inside else _alternatives(told)) + unit
    return joined


def current_of(voltage: str) -> str:
    """Return the kind of current of a plate that gives a voltage alone."""
    numbers = [float(one) for one in re.findall(_NUMBER, voltage)]
    return "dc" if numbers and max(numbers) <= LOW_VOLTAGE else "ac"


def called(key: str) -> str:
    """Return the fact that a key of a line names in the words of sheets, or nothing."""
    return _keys().get(" ".join(key.casefold().replace("_", " ").split()), "")


@cache
def _keys() -> Mapping[str, str]:
    words = {
        word: fact for fact, many in read_table("sheets.toml")["line"].items() for word in many
    }
    own = {name.replace("_", " "): name for _, name, key in keys_of(PumpSheet) if key.of is None}
    return own | words


def _says_a_kind(text: str) -> bool:
    words = re.findall(r"[^\W\d_]+", text.casefold())
    return any(word in read_table("sheets.toml")["kind"]["words"] for word in words)


def _comma(text: str) -> Facts:
    """Return what commas part; where points part thousands, commas part decimals."""
    if _POINT.search(text):
        return {"comma": DECIMALS if re.search("thousand", text, re.IGNORECASE) else THOUSANDS}
    for word in (DECIMALS, THOUSANDS):
        if re.search(rf"\b{word.removesuffix('s')}s?\b", text, re.IGNORECASE):
            return {"comma": word}
    return {}


def _units(piece: str) -> Iterator[tuple[str, str]]:
    """Yield the unit of an axis: "L/min", "flow in L/min", "head m"."""
    words = piece.split()
    for many in range(len(words)):
        kind, unit = unit_called(" ".join(words[many:]))
        before = [word.casefold().strip(":=,") for word in words[:many]]
        if kind and all(
            called(word) in (FLOW, HEAD) or word in ("in", "is", "axis") for word in before
        ):
            if kind in (FLOW, HEAD, PRESSURE):
                yield (HEAD if kind == PRESSURE else kind), unit
            return
