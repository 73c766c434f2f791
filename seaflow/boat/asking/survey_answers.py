"""A checklist that was filled in: read, and laid over the case."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.asking.nested_answers import (
    answered,
    declared_key,
    merged,
    merged_rows,
    plain,
    plain_row,
)
from seaflow.boat.case import Boat, Case, Design
from seaflow.boat.checks.sense import check_parts
from seaflow.boat.keys import keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_key, read_record
from seaflow.boat.reader.text import read_text
from seaflow.boat.tables.recorded_hull import Manifold, SkinFitting
from seaflow.boat.tables.recorded_machines import BilgePump, BoatSeen
from seaflow.boat.tables.recorded_record import Record
from seaflow.boat.tables.things import (
    Hose,
    Intake,
    Outlet,
    Place,
    Pump,
    Seacock,
    Strainer,
    Unit,
)

KINDS: dict[str, type] = {
    "intake": Intake,
    "seacock": Seacock,
    "strainer": Strainer,
    "pump": Pump,
    "unit": Unit,
    "outlet": Outlet,
    "hose": Hose,
    "manifold": Manifold,
    "skin_fitting": SkinFitting,
}
PLACE = ("aft", "starboard", "height")
_TABLES = ("record", "boat", "bilge_pump", *KINDS)
_SEEN: dict[str, type] = {
    table: key.of
    for table, kind in KINDS.items()
    for _, name, key in keys_of(kind)
    if name == "seen" and key.of is not None
}


@dataclass(frozen=True, slots=True)
class Answered:
    """A case with the answers laid over it, and the head of the record."""

    case: Case
    record: Record


def record_of(table: str, key: str) -> type | None:
    """Return the record that declares a key of a checklist, or None where none does."""
    kinds: tuple[type | None, ...] = (BoatSeen, Boat, Design)
    if table in KINDS:
        kinds = (_SEEN.get(table), Place if key in PLACE else None, KINDS[table])
    elif table in ("record", "bilge_pump"):
        kinds = (Record if table == "record" else BilgePump,)
    for kind in kinds:
        if kind is not None and any(spelled == key for _, spelled, _ in keys_of(kind)):
            return kind
    return None


def read_answers(file: str, case: Case) -> Answered:
    """Return a case with the answers of a file laid over it.

    Raises
    ------
    SeaflowError
        With every problem found, if the file cannot be used or names what the boat has not.
    """
    text, raw = read_text(file, "a new one: seaflow survey CASE --checklist FILE")
    reading = Reading(text)
    raw = {table: answered(content) for table, content in raw.items() if table != "schema"}
    for table in raw:
        if table not in _TABLES:
            known = ", ".join(_TABLES)
            reading.note(
                "A02",
                (table,),
                f'there is no table "{table}" here',
                why="What is not understood is refused, so that no answer is left out unseen.",
                write=f"Tables there are: {known}.",
            )
    record = read_record(Record, raw.get("record") or {}, ("record",), reading)
    new = tuple(_new_fittings(raw, case, reading))
    changes = {table: tuple(_things(table, raw.get(table) or [], case, reading)) for table in KINDS}
    case = _with_boat(case, raw, reading)
    if reading.problems:
        raise SeaflowError(reading.problems)
    for table, found in changes.items():
        case = _with_things(case, table, dict(found))
    case = dataclasses.replace(case, skin_fitting=(*case.skin_fitting, *new))
    problems = list(check_parts(case))
    if problems:
        raise SeaflowError(problems)
    return Answered(case, record)


def _things(
    table: str, rows: Any, case: Case, reading: Reading
) -> Iterator[tuple[str, dict[str, Any]]]:
    known = {_name(thing): thing for thing in _of(case, table)}
    for row, item in enumerate(rows if isinstance(rows, list) else []):
        name = item.get("name") if isinstance(item, Mapping) else None
        if name not in known and table == "skin_fitting":
            continue  # a new one, read as a whole
        if name not in known:
            reading.note(
                "A01",
                (table, row, "name"),
                f'there is no {table} "{name}" on this boat',
                why="An answer belongs to a thing of the case.",
                write="Names there are: " + ", ".join(f'"{one}"' for one in known) + ".",
            )
            continue
        given = {key: value for key, value in item.items() if key != "name"}
        yield name, dict(_values(table, given, (table, row), reading, known[name]))


def _new_fittings(raw: Mapping[str, Any], case: Case, reading: Reading) -> Iterator[SkinFitting]:
    """Yield the openings of the hull that the case does not list yet."""
    known = [item.name for item in (*case.things, *case.skin_fitting)]
    rows = raw.get("skin_fitting")
    for row, item in enumerate(rows if isinstance(rows, list) else []):
        if not isinstance(item, Mapping) or item.get("name") not in known:
            path = ("skin_fitting", row)
            yield read_record(SkinFitting, plain_row(SkinFitting, _placed(item)), path, reading)


def _placed(item: Any) -> Any:
    """Return a row with its distances gathered under `at`."""
    if not isinstance(item, Mapping):
        return item
    at = {key: item[key] for key in PLACE if key in item}
    own = {key: value for key, value in item.items() if key not in PLACE}
    return own | {"at": at} if at else own


def _values(
    table: str,
    given: Mapping[str, Any],
    path: tuple[str | int, ...],
    reading: Reading,
    thing: Any = None,
) -> Iterator[tuple[str, Any]]:
    for key, value in given.items():
        record = record_of(table, key)
        if record is None:
            names = ", ".join(spelled for _, spelled, _ in keys_of(_SEEN.get(table) or BoatSeen))
            what = f'there is no key "{key}" here'
            reading.note("K01", (*path, key), what, write=f"Keys there are: {names}.")
        else:
            declared, here = declared_key(record, key), (*path, key)
            old = getattr(thing, key, None)
            if declared.of is None or record is BoatSeen:
                yield key, read_key(record, key, plain(record, key, value), here, reading)
            elif declared.many:
                yield key, merged_rows(declared.of, old or (), value, here, reading)
            else:
                yield key, merged(declared.of, old, value, here, reading)


def _of(case: Case, table: str) -> tuple[Any, ...]:
    return case.intakes if table == "intake" else tuple(getattr(case, table))


def _name(thing: Any) -> str:
    return str(thing.label if isinstance(thing, Hose) else thing.name)


def _with_things(case: Case, table: str, values: Mapping[str, dict[str, Any]]) -> Case:
    if not values:
        return case
    changed: dict[str, Any] = {}
    where = dict(case.text.where)
    for name in ("through_hull", "sea_chest") if table == "intake" else (table,):
        things = getattr(case, name)
        changed[name] = tuple(_with(thing, table, values.get(_name(thing), {})) for thing in things)
        for row, thing in enumerate(things):
            where |= {(name, row, key): 1 for key in values.get(_name(thing), {})}
    return dataclasses.replace(case, text=dataclasses.replace(case.text, where=where), **changed)


def _with(thing: Any, table: str, values: Mapping[str, Any]) -> Any:
    """Return a thing with answers laid over it."""
    if not values:
        return thing
    seen: dict[str, Any] = {}
    place: dict[str, Any] = {}
    own: dict[str, Any] = {}
    for key, value in values.items():
        record = record_of(table, key)
        target = place if record is Place else own if record is KINDS[table] else seen
        target[key] = value
    if seen:
        own["seen"] = dataclasses.replace(thing.seen or _SEEN[table](), **seen)
    if place:
        own["at"] = dataclasses.replace(thing.at or Place(height=thing.height), **place)
    return dataclasses.replace(thing, **own)


def _with_boat(case: Case, raw: Mapping[str, Any], reading: Reading) -> Case:
    values = dict(_values("boat", raw.get("boat") or {}, ("boat",), reading))
    known = case.seen.bilge_pump if case.seen else ()
    pumps = merged_rows(BilgePump, known, raw.get("bilge_pump") or [], ("bilge_pump",), reading)
    if pumps != known:
        values["bilge_pump"] = pumps
    parts: dict[type | None, dict[str, Any]] = {BoatSeen: {}, Boat: {}, Design: {}}
    for key, value in values.items():
        parts[record_of("boat", key)][key] = value
    if parts[BoatSeen]:
        seen = dataclasses.replace(case.seen or BoatSeen(), **parts[BoatSeen])
        case = dataclasses.replace(case, seen=seen)
    return dataclasses.replace(
        case,
        boat=dataclasses.replace(case.boat, **parts[Boat]),
        design=dataclasses.replace(case.design, **parts[Design]),
    )


def unknown_ending(file: str) -> SeaflowError:
    """Return the refusal of a record that ends neither in .html nor in .txt."""
    return SeaflowError(
        [
            Problem(
                "A03",
                "the record ends neither in .html nor in .txt",
                why="The ending tells whether a page or plain text is wanted.",
                write="Give the file one of the two endings.",
                file=file,
            )
        ]
    )
