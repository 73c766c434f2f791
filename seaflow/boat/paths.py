"""A value of a case by its path: read it, put another there, and say what it is on the boat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.reader.possible import limits_of
from seaflow.boat.reader.text import Path

MOST_KEPT = 4096  # rows with numbers put in, and paths


@dataclass(frozen=True, slots=True)
class Told:
    """A value in the words of the boat: what it is, and how to find it out."""

    what: str
    how: str


def value_at(case: Case, path: Path) -> float | None:
    """Return the number at a path, or None where the case has none there any more."""
    found: Any = case
    for part in path:
        if isinstance(part, int):
            found = found[part] if isinstance(found, tuple) and part < len(found) else None
        else:
            found = getattr(found, part, None)
    return float(found) if isinstance(found, (int, float)) else None


def with_values(case: Case, values: Mapping[Path, float]) -> Case:
    """Return a case with other numbers at these paths, each of which it has.

    Cases with the same row and the same numbers in it share that row.
    """
    changed: Case = _put(case, values)
    return changed


def _put(record: Any, values: Mapping[Path, float]) -> Any:
    """Return a record with numbers at paths inside it; each record on their way is made once."""
    if () in values:
        return values[()]
    inside: dict[Any, dict[Path, float]] = {}
    for (part, *rest), value in values.items():
        inside.setdefault(part, {})[tuple(rest)] = value
    if isinstance(record, tuple):
        return tuple(
            _kept(item, tuple(inside[row].items())) if row in inside else item
            for row, item in enumerate(record)
        )
    return replace(record, **{part: _put(getattr(record, part), of) for part, of in inside.items()})


@lru_cache(MOST_KEPT)
def _kept(row: Any, values: tuple[tuple[Path, float], ...]) -> Any:
    return _put(row, dict(values))


def quantity_at(path: Path) -> str:
    """Return the quantity of the glossary that stands at a path."""
    return _declared(path).quantity or ""


def unit_at(path: Path) -> str:
    """Return the unit in which the package holds the value at a path."""
    return glossary_entry(quantity_at(path)).unit


def is_above_zero(path: Path) -> bool:
    """Return whether the value at a path can be no less than nothing."""
    least = limits_of(_declared(path)).least
    return least is not None and least >= 0.0


@lru_cache(MOST_KEPT)
def _declared(path: Path) -> Key:
    record: type = Case
    found: Key | None = None
    for part in path:
        if isinstance(part, str):
            found = next(key for _, spelled, key in keys_of(record) if spelled == part)
            record = found.of or record
    assert found is not None
    return found


def told_at(case: Case, path: Path) -> Told:
    """Return what a value is on the boat, and how to find it out."""
    words = [part.replace("_", " ") for part in path[1:] if isinstance(part, str)]
    row = next(_rows(path))
    how = row.get("how") or read_table("spreads.toml")[row["like"]]["measure"]
    numbers = " ".join(str(number) for number in _inner_numbers(case, path))
    what = row["what"].format(thing=thing_at(case, path), key=" ".join(words), number=numbers)
    if numbers and "{number}" not in row["what"]:
        what += f" ({numbers})"
    return Told(what, how)


def _inner_numbers(case: Case, path: Path) -> Iterator[int]:
    """Yield which one it is of each list of several inside a thing."""
    found: Any = case
    for place, part in enumerate(path):
        if isinstance(part, int):
            if place > 1 and len(found) > 1:
                yield part + 1
            found = found[part]
        else:
            found = getattr(found, part)


def _rows(path: Path) -> Iterator[dict[str, str]]:
    """Yield the rows that tell of a path: its own, that of its key, of its quantity, of all."""
    table = read_table("find_out.toml")
    words = [part for part in path if isinstance(part, str)]
    words = [part for part in words[:-1] if part != "at"] + words[-1:]  # its place is the thing's
    names = (".".join(words), words[-1], quantity_at(path), "value")
    yield from (table[name] for name in names if name in table)


def thing_at(case: Case, path: Path) -> str:
    """Return the thing of a case that a path leads to: its name, or the ends of a hose."""
    table, words = str(path[0]), str(path[0]).replace("_", " ")
    if len(path) < 2 or not isinstance(path[1], int):
        return words
    thing = getattr(case, table)[path[1]]
    name = getattr(thing, "name", None)
    if name:
        return str(name)
    if table == "hose":
        return f"hose from {thing.from_} to {thing.to}"
    if table == "partition":
        return " and ".join(thing.between)
    return f"{words} {path[1] + 1}"
