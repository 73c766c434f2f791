"""How facts of a case are known: what is written before their values, or what a visit saw."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from seaflow.boat.case import INTAKE_TABLES, Case
from seaflow.boat.keys import keys_of
from seaflow.boat.reader.known import MEASURED, SEEN, HowKnown
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.recorded_record import Record, Visit

BOAT = ("boat", "the boat")
EVERYTHING = "everything"
_INSIDE = ("seen", "at")  # tables whose keys count as those of their thing


def by_address(case: Case, marks: Mapping[Path, HowKnown]) -> dict[tuple[str, str, str], HowKnown]:
    """Return marks by table, name of the thing and key, as a checklist asks for them."""
    return dict(_addressed(case, marks))


def _addressed(
    case: Case, marks: Mapping[Path, HowKnown]
) -> Iterator[tuple[tuple[str, str, str], HowKnown]]:
    for path, known in marks.items():
        if path[:2] == ("seen", "bilge_pump") and len(path) == 4 and case.seen is not None:
            pump = case.seen.bilge_pump[int(path[2])]
            yield ("bilge_pump", pump.name, str(path[3])), known
        elif len(path) > 2 and isinstance(path[1], int):
            rows = getattr(case, str(path[0]), ())
            inner = [str(part) for part in path[2:] if part not in _INSIDE]
            yield (*place(str(path[0]), rows[path[1]]), ".".join(inner)), known
        elif len(path) == 2:
            yield (*BOAT, str(path[1])), known


def place(table: str, thing: Any) -> tuple[str, str]:
    """Return the table under which a checklist knows a thing, and its name there."""
    name = thing.label if hasattr(thing, "label") else thing.name
    return "intake" if table in INTAKE_TABLES else table, name


def how_known(case: Case, address: tuple[str, str, str], is_measure: bool) -> HowKnown:
    """Return how a recorded fact is known: as written, as the last visit to the thing, or told.

    `is_measure` says that its value has a unit.
    """
    if address in case.known:
        return case.known[address]
    for visit in reversed(case.visit):
        for how, named in ((MEASURED, visit.measured), (SEEN, visit.saw)):
            if how == MEASURED and not is_measure:
                continue
            if address[1] in named or EVERYTHING in named:
                return of_visit(visit, how)
    return HowKnown()


def of_visit(visit: Visit, how: str) -> HowKnown:
    """Return that a visit found a fact so."""
    return HowKnown(how, date=visit.date or "", by=visit.surveyor or "")


def last_visit(case: Case) -> Record:
    """Return the head of the last visit that a case tells of; an empty one where it tells none."""
    if not case.visit:
        return Record()
    return Record(**{name: getattr(case.visit[-1], name) for name, _, _ in keys_of(Record)})
