"""What the words over a column of a maker's table say: flow or head, its unit, at which speed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache

from seaflow.base.tables import read_table
from seaflow.boat.parts.grid import Cell

FLOW, HEAD, PRESSURE, POWER, OTHER = "flow", "head", "pressure", "power", "other"
CURRENT = "current"

_NUMBER = r"\d+(?:[.,]\d+)?"
_AT = re.compile(
    rf"(?:@|\bat\b)?\s*(?<![\w.±])(?P<number>{_NUMBER})\s*"
    r"(?P<unit>Hz|V(?:\s?(?:AC|DC))?(?![A-Za-z])|%|rpm|r/min|1/min|min-1|U/min)",
    re.IGNORECASE,
)
_MAY_BE_OFF = re.compile(
    r"\(?\s*(?:±|\+/-|\+-)\s*\d[^)\]]*[)\]]?|\(?\s*\+\s?\d[^)\]]*-\s?\d[^)\]]*[)\]]?"
)
_BRACKETS = re.compile(r"[\[(]\s*([^\[\]()]*(?:\([^()]*\))?[^\[\]()]*)\s*[\])]")
_AXES = ("x", "y")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: what stands in it, in which unit, and what is said of it beside.

    `at` holds what its curve holds at, by unit ("Hz", "V", "%", "rpm"); `label` the words that mean
    none of this, such as the name of a pump; `off` how far its figures may be off.
    """

    kind: str
    unit: str = ""
    at: dict[str, str] = field(default_factory=dict)
    label: str = ""
    off: str = ""
    contradicts: bool = False


def column_of(text: str) -> Column:
    """Return what a header says."""
    off = _MAY_BE_OFF.search(text)
    rest = text.replace(off[0], " ") if off else text
    at = {_condition(found["unit"]): found["number"] for found in _AT.finditer(rest)}
    words, kind, unit = _with_unit(_AT.sub(" ", rest))
    named, label = _named(words)
    return replace(
        _settled(named, kind, unit, label), at=at, off=off[0].strip(" ()[]") if off else ""
    )


def unit_called(text: str) -> tuple[str, str]:
    """Return the kind of a unit in a maker's spelling and its name here; nothing if it is none."""
    plain = re.sub(
        r"[\s.·*^]", "", text.casefold().replace("³", "3").replace("²", "2").replace("−", "-")
    )
    return _units().get(plain, ("", ""))


def conditions_of(text: str) -> dict[str, str]:
    """Return what a text that says nothing else holds at, such as "50 Hz"; else nothing."""
    if _AT.sub("", text).strip(" ,;:()@"):
        return {}
    return {_condition(found["unit"]): found["number"] for found in _AT.finditer(text)}


def is_unit_row(row: tuple[Cell, ...]) -> bool:
    """Return whether every cell of a row that says anything is a unit."""
    said = [cell.text.strip("[]()") for cell in row if not cell.is_empty]
    return bool(said) and all(unit_called(text)[0] or text in ("%", "rpm") for text in said)


@cache
def _units() -> dict[str, tuple[str, str]]:
    return {
        spelled.casefold(): (kind, unit)
        for kind, units in read_table("sheets.toml")["unit"].items()
        for unit, spellings in units.items()
        for spelled in (*spellings, unit)
    }


def _condition(unit: str) -> str:
    plain = unit.casefold().replace(" ", "")
    return {"hz": "Hz", "%": "%"}.get(plain, "V" if plain.startswith("v") else "rpm")


def _with_unit(text: str) -> tuple[str, str, str]:
    """Return the words of a header, and kind and name of the unit it gives."""
    for words, spelled in _places_of_a_unit(text):
        kind, unit = unit_called(spelled)
        if kind:
            return words, kind, unit
    return text, "", ""


def _places_of_a_unit(text: str) -> Iterator[tuple[str, str]]:
    """Yield where the unit of a header may stand: in brackets, behind a stroke, or at its end."""
    for found in reversed(list(_BRACKETS.finditer(text))):
        yield text[: found.start()] + text[found.end() :], found[1]
    for found in re.finditer(r"\s*[/,:|]\s*|\s+in\s+", text):
        yield text[: found.start()], text[found.end() :]
    tokens = text.replace("_", " ").split()
    for many in (3, 2, 1):
        if len(tokens) >= many:
            yield " ".join(tokens[:-many]), "".join(tokens[-many:])
            yield " ".join(tokens[many:]), "".join(tokens[:many])


def _named(words: str) -> tuple[str, str]:
    """Return what the words over a column call it, and those that are no such words."""
    table = read_table("sheets.toml")["column"]
    plain = [word for word in re.findall(r"[^\W\d_]+\d?|\d+", words.casefold())]
    if any(word in table["other"] for word in plain):
        return OTHER, words
    found = next(
        (kind for kind in (HEAD, POWER, CURRENT, FLOW) for word in plain if word in table[kind]), ""
    )
    known = {word for kind in table.values() for word in kind}
    if not found and any(word in table["either"] for word in plain):
        found = next(word for word in plain if word in table["either"])
        found = found if found in _AXES else "either"
    label = " ".join(
        word for word in words.split() if word.casefold().strip("(),.:/[]") not in known
    )
    return found, label.strip(" (),.:/[]-")


def _settled(named: str, kind: str, unit: str, label: str) -> Column:
    """Return a column from what it is called and of what kind its unit is."""
    if named == OTHER:
        return Column(OTHER, unit, label=label)
    sided = HEAD if kind == PRESSURE else kind
    if named in (FLOW, HEAD, POWER, CURRENT):
        return Column(kind or named, unit, label=label, contradicts=bool(kind) and sided != named)
    if kind in (FLOW, POWER) or (kind in (HEAD, PRESSURE, CURRENT) and (named or not label)):
        return Column(kind, unit, label=label)
    if named in _AXES:
        return Column(named, label=label)
    return Column(OTHER, unit, label=label)
