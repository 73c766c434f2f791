"""A half-known boat: what stands in for what nobody has recorded, and within which ends it lies.

A survey needs no more than the list of things. Whatever else a case must hold is filled here, and
marked as a gap: a verdict may rest on a gap only if it is the same at every value it could have.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from itertools import pairwise
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.base.spread import without_typical
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, read_quantity
from seaflow.boat.case import FITTING_TABLES, Case
from seaflow.boat.defaults import Assumption, assumed
from seaflow.boat.keys import keys_of
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.tables.gap import Gap

_THINGS = ("through_hull", "sea_chest", "seacock", "strainer", "pump", "unit", "outlet", "hose")
_SURVEYED = ("boat", "sea", "supply", *_THINGS, *FITTING_TABLES, "skin_fitting")
_WORDS = ("entry", "type", "fittings")  # as typical as the figures beside them
_INSTEAD = {  # any of these tells what the key is asked for
    "height": ("at",),
    "port": ("model",),
    "cooling": ("model",),
}
_USUAL = re.compile(r"# typical\s*$")
_JOINTS = ("manifold", "collector")  # where the water of several units parts, and joins again


def filled(
    raw: Mapping[str, Any],
) -> tuple[dict[str, Any], tuple[Gap, ...], tuple[Assumption, ...]]:
    """Return a case as TOML data with its gaps filled, the gaps, and how hoses were thought.

    What is named and joined to what is never filled, nor what is there but cannot be read. What is
    typical is a gap too.
    """
    whole = {name: _looked_at(name, content) for name, content in raw.items()}
    whole.setdefault("schema", 1)
    usual: tuple[Assumption, ...] = ()
    if "hose" not in whole:
        whole["hose"] = _usual_run(whole)
        usual = (assumed("hose.run", "the hoses"),) if whole["hose"] else ()
    return whole, tuple(_gaps(whole)), usual


def without_usual_words(text: CaseText, raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return a case as TOML data without words that its lines call typical: nobody told those.

    Names stay: things are known by them.
    """
    usual = {
        path
        for path, line in text.where.items()
        if path[0] in _SURVEYED and path[-1] != "name" and _USUAL.search(text.lines[line - 1])
    }
    return {
        name: [_but(row, (name, number), usual) for number, row in enumerate(content)]
        if isinstance(content, list)
        else _but(content, (name,), usual)
        for name, content in raw.items()
    }


def _but(content: Any, path: Path, usual: set[Path]) -> Any:
    if not isinstance(content, Mapping):
        return content
    return {key: value for key, value in content.items() if (*path, key) not in usual}


def _looked_at(name: str, content: Any) -> Any:
    """Return a table without its typical values: nobody has looked at those."""
    declared = next((key for _, spelled, key in keys_of(Case) if spelled == name), None)
    if declared is None or declared.of is None or name not in _SURVEYED:
        return content
    if declared.many:
        rows = content if isinstance(content, list) else []
        told = [_without_words(row, _known(row, declared.of)[0]) for row in rows]
        if name == "seacock":  # of which every figure is typical: nobody has seen one at all
            told = [one for one, row in zip(told, rows, strict=True) if one == row or "bore" in one]
            return told
        return told or content
    return _known(content, declared.of)[0]


def _without_words(row: Any, known: Any) -> Any:
    """Return what is known of a thing less its kind, while one of its figures is still typical."""
    if not isinstance(row, dict) or known == row:
        return known
    return {key: value for key, value in known.items() if key not in _WORDS}


def _known(content: Any, record: type) -> tuple[Any, bool]:
    """Return what is known of a table, and whether it still has all that it had to have."""
    if not isinstance(content, dict):
        return content, True
    found, whole = dict(content), True
    for _, spelled, declared in keys_of(record):
        value = found.get(spelled)
        items = value if isinstance(value, list) else [value]
        if declared.of is not None:
            told = [_known(item, declared.of) for item in items if item is not None]
            kept = [item for item, has_all in told if has_all]
            if told and kept:
                found[spelled] = kept if isinstance(value, list) else kept[0]
            elif told:
                del found[spelled]
        elif declared.quantity is not None and any(map(_is_typical, items)):
            del found[spelled]
            whole = whole and not declared.required
    return found, whole


def _is_typical(value: Any) -> bool:
    return isinstance(value, str) and without_typical(value) != value


def _gaps(whole: dict[str, Any]) -> Iterator[Gap]:
    ends = read_table("stand_ins.toml")
    boat = whole.setdefault("boat", {})
    if isinstance(boat, dict):
        boat.setdefault("name", "this boat")
    for table in ("boat", "sea"):
        content = whole.setdefault(table, {})
        if isinstance(content, dict):
            yield from _of_thing(content, (table,), ends[table])
    supply = whole.setdefault("supply", {})
    if isinstance(supply, dict):
        yield from _of_supply(supply, ends["supply"])
    for table in _SURVEYED[3:]:
        rows = whole.get(table)
        for row, content in enumerate(rows if isinstance(rows, list) else ()):
            if isinstance(content, dict):
                usual = ends["fitting"] if table in FITTING_TABLES else ends[table]
                yield from _of_thing(content, (table, row), usual)


def _of_thing(
    content: dict[str, Any], path: Path, ends: Mapping[str, tuple[str, ...]]
) -> Iterator[Gap]:
    for key, values in ends.items():
        if key in content or any(other in content for other in _INSTEAD.get(key, ())):
            continue
        content[key] = values[0]
        yield _gap(path, (key,), [{key: value} for value in values])


def _of_supply(content: dict[str, Any], usual: list[dict[str, str]]) -> Iterator[Gap]:
    """Yield the gap of the supply: every usual one that has what is recorded of it."""
    known = dict(content)
    agree = [one for one in usual if all(one.get(key) == known[key] for key in known)]
    of_one_kind = [one for one in usual if one["current"] == known.get("current", one["current"])]
    values = [{**one, **known} for one in agree or of_one_kind or usual]
    lacking = tuple(key for key in ("current", "voltage", "frequency") if key not in known)
    lacking = tuple(key for key in lacking if any(key in one for one in values))
    if lacking:
        content.update(values[0])
        yield _gap(("supply",), lacking, values)


def _gap(path: Path, keys: tuple[str, ...], values: list[dict[str, str]]) -> Gap:
    record = next(key.of for _, name, key in keys_of(Case) if name == path[0])
    assert record is not None
    entries = {name: key.quantity for _, name, key in keys_of(record)}
    found = []
    for one in values:
        told = {}
        for key, text in one.items():
            quantity = entries.get(key)
            told[key] = text if quantity is None else _si(text, quantity)
        found.append(told)
    return Gap(path, keys, tuple(found))


def _si(text: str, quantity: str) -> Any:
    """Return a value in SI; one of the file that cannot be read is complained of by its reader."""
    with suppress(Misread):
        return read_quantity(text, glossary_entry(quantity).unit)
    return None


def _usual_run(whole: dict[str, Any]) -> list[dict[str, str]]:
    """Return the hoses of the one usual run, where none is recorded: sea, pump, units and sea.

    Nothing where more than one intake, strainer or pump leaves it open which feeds which. Manifolds
    that such a run cannot be without are added.
    """
    names = {table: _names(whole.get(table)) for table in (*_THINGS, *FITTING_TABLES)}
    intakes, strainers = (*names["through_hull"], *names["sea_chest"]), names["strainer"]
    units, outlets, pumps = names["unit"], names["outlet"], names["pump"]
    if not (len(intakes) == len(pumps) == 1 and len(strainers) <= 1 and units):
        return []
    if len(outlets) not in (1, len(units)) or any(names[table] for table in FITTING_TABLES[:-1]):
        return []
    joints = list(_JOINTS[: 0 if len(units) == 1 else 1 if len(outlets) == len(units) else 2])
    if joints:
        whole["manifold"] = [{"name": name} for name in joints]
    trunk = [*intakes, *strainers, *pumps, *joints[:1]]
    run = [*pairwise(trunk), *((trunk[-1], unit) for unit in units)]
    if len(joints) == len(_JOINTS):
        run += [*((unit, joints[1]) for unit in units), (joints[1], outlets[0])]
    else:
        run += zip(units, outlets, strict=True)
    return [{"from": start, "to": end} for start, end in run]


def _names(rows: Any) -> tuple[str, ...]:
    found = [item.get("name") for item in rows or () if isinstance(item, dict)]
    return tuple(name for name in found if isinstance(name, str))
