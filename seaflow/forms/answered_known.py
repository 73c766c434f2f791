"""How the answers of a visit are known: as written before them, else seen or measured that day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.known import BOAT
from seaflow.boat.reader.known import MEASURED, NOT_ACCESSIBLE, SEEN, TOLD, HowKnown
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.recorded_record import Followed, Record
from seaflow.forms.checklist import Address, declared_key, record_of

_NO_FACTS = ("record", "finding")
_NO_FACT = ("name", "on")


def known_by_answers(
    raw: Mapping[str, Any], marks: Mapping[Path, HowKnown], visit: tuple[Record, str]
) -> dict[Address, HowKnown]:
    """Return how each answer of a file is known, by its address; `visit` is its head and name."""
    record, file = visit
    found = {}
    for address, path, is_measure in _addresses(raw, marks):
        known = marks.get(path) or HowKnown(MEASURED if is_measure else SEEN)
        found[address] = replace(
            known,
            date=known.date or record.date or "",
            by=known.by or ("" if known.how == TOLD else record.surveyor or ""),
            visit=file,
        )
    return found


def _addresses(
    raw: Mapping[str, Any], marks: Mapping[Path, HowKnown]
) -> Iterator[tuple[Address, Path, bool]]:
    paths = [path for path, known in marks.items() if known.how == NOT_ACCESSIBLE]
    for table, content in raw.items():
        if table not in _NO_FACTS:
            paths += _paths(content, (table,))
    for path in paths:
        table, (_, name), keys = str(path[0]), BOAT, path[1:]
        if isinstance(path[1], int):
            name, keys = raw[table][path[1]].get("name", ""), path[2:]
        if keys[0] in _NO_FACT or any(isinstance(key, int) for key in keys):
            continue
        key = ".".join(str(part) for part in keys)
        yield (table, name, key), path, _is_measure(table, keys)


def _paths(content: Any, path: Path) -> Iterator[Path]:
    if isinstance(content, Mapping):
        for key, value in content.items():
            yield from _paths(value, (*path, key))
    elif isinstance(content, list) and len(path) == 1:
        for row, item in enumerate(content):
            yield from _paths(item, (*path, row))
    else:
        yield path


def _is_measure(table: str, keys: Path) -> bool:
    record: type | None = record_of(table, str(keys[0]))
    for key in keys:
        if record is None or all(spelled != key for _, spelled, _ in keys_of(record)):
            return False
        declared = declared_key(record, str(key))
        record = declared.of
    return declared.quantity is not None


def with_known(case: Case, now: Mapping[Address, HowKnown]) -> Case:
    """Return a case with how its answers are known.

    What could not be looked at this time stays known as it was before.
    """
    fresh = {
        address: known
        for address, known in now.items()
        if known.how != NOT_ACCESSIBLE or address not in case.known
    }
    return replace(case, known={**case.known, **fresh})


def with_followed(case: Case, now: tuple[Followed, ...]) -> Case:
    """Return a case with what became of findings, the later word over the earlier."""
    found = {item.number: item for item in (*case.finding, *now)}
    return replace(case, finding=tuple(found.values()))
