"""Checklists that were filled in: read, and laid over the case one after another."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.problems import SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.checks.sense import check_parts
from seaflow.boat.keys import keys_of
from seaflow.boat.known import last_visit
from seaflow.boat.reader.known import without_marks
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText, Path, read_text
from seaflow.boat.tables.gap import Gap
from seaflow.boat.tables.recorded_machines import BilgePump, BoatSeen
from seaflow.boat.tables.recorded_record import Followed, Record
from seaflow.boat.tables.things import Intake, Place
from seaflow.forms.answered_known import known_by_answers, with_followed, with_known
from seaflow.forms.answered_text import plainly, with_answers, with_dotted
from seaflow.forms.checklist import (
    KINDS,
    OF_BOAT,
    PLACE,
    SEEN,
    Address,
    Overruled,
    Partial,
    answered,
    declared_key,
    differences,
    merged,
    merged_rows,
    name_of_thing,
    read_answer,
    record_of,
    row_differences,
    things_of,
)
from seaflow.forms.new_things import NEW, require_day

_TABLES = ("record", "boat", "bilge_pump", "finding", *KINDS)


@dataclass(frozen=True, slots=True)
class Answered:
    """A case with answers laid over it, the head of the record, and what the answers were.

    `given` are all answers as data, `partial` what was told of tables that lack something still,
    `overruled` where an answer took the place of what was recorded, `by` which file gave what,
    `before` what was known before the last file where that is not the first.
    """

    case: Case
    record: Record = field(default_factory=Record)
    given: Mapping[str, Any] = field(default_factory=dict)
    partial: Mapping[Address, Mapping[str, Any]] = field(default_factory=dict)
    overruled: tuple[Overruled, ...] = ()
    by: Mapping[Address, str] = field(default_factory=dict)
    before: Answered | None = None


@dataclass
class _Sheet:
    """One checklist while it is read over what was known before it."""

    before: Answered
    reading: Reading
    overruled: list[Overruled] = field(default_factory=list)
    partial: dict[Address, Mapping[str, Any]] = field(default_factory=dict)
    by: dict[Address, str] = field(default_factory=dict)
    places: dict[Path, tuple[CaseText, Path]] = field(default_factory=dict)

    def known(self, address: Address, thing: Any) -> Any:
        """Return the table inside a thing as it is known so far."""
        if address in self.before.partial:
            return Partial(self.before.partial[address])
        return getattr(thing, address[2], None)

    def took(self, address: Address, found: Iterator[list[str]]) -> None:
        """Take down what an answer took the place of."""
        was_in = self.before.by.get(address, "the case")
        for key, was, now in found:
            text = Overruled(address[1], key, was, now, was_in, self.reading.text.file)
            self.overruled.append(text)
        self.by[address] = self.reading.text.file


def read_answers(files: Sequence[str], case: Case) -> Answered:
    """Return a case with the answers of files laid over it, later ones over earlier ones.

    Raises
    ------
    SeaflowError
        With every problem found, if a file cannot be used or names what the boat has not.
    """
    found = Answered(case, last_visit(case))
    for number, file in enumerate(files):
        now = _read(file, found)
        found = dataclasses.replace(now, before=found) if number else now
    return found


def _read(file: str, before: Answered) -> Answered:
    text, raw = read_text(file, "a new one: seaflow survey CASE --checklist FILE")
    sheet = _Sheet(before, Reading(with_dotted(text)))
    given = {table: answered(content) for table, content in raw.items() if table != "schema"}
    raw, marks = without_marks(given, typed=False)
    for table, content in raw.items():
        _require_table(table, content, sheet.reading)
    if sheet.reading.problems:
        raise SeaflowError(plainly(sheet.reading.problems))
    record = read_record(Record, raw.get("record") or {}, ("record",), sheet.reading)
    require_day(record.date, sheet.reading)
    case = before.case
    followed = tuple(_followed(raw, sheet.reading))
    new = {table: tuple(make(raw, case, sheet.reading)) for table, make in NEW.items()}
    changes = {table: _things(table, raw.get(table) or [], sheet) for table in KINDS}
    case = _with_boat(case, raw, sheet)
    if sheet.reading.problems:
        raise SeaflowError(plainly(sheet.reading.problems))
    for table, values in changes.items():
        case = with_things(case, table, values)
    for table, added in new.items():
        _place_new(case, table, added, raw, sheet)
        case = _with_new(case, table, added)
    case = dataclasses.replace(
        case, text=with_answers(case.text, sheet.places), gaps=tuple(_left_open(case, sheet))
    )
    known = known_by_answers(raw, marks, (record, file))
    case = with_followed(with_known(case, known), followed)
    problems = list(check_parts(case))
    if problems:
        raise SeaflowError(problems)
    return Answered(
        case,
        _over(before.record, record),
        together(before.given, given),
        {**before.partial, **sheet.partial},
        (*before.overruled, *sheet.overruled),
        {**before.by, **sheet.by},
    )


def _followed(raw: Mapping[str, Any], reading: Reading) -> Iterator[Followed]:
    """Yield what the file says of findings."""
    for row, item in enumerate(raw.get("finding") or ()):
        yield read_record(Followed, item, ("finding", row), reading)


def _place_new(
    case: Case, table: str, added: tuple[Any, ...], raw: Mapping[str, Any], sheet: _Sheet
) -> None:
    """Take down where the keys of new things stand."""
    for number, item in enumerate(added, len(getattr(case, table))):
        for key in ((), *((name,) for name in raw[table][item.row])):
            there = (sheet.reading.text, (table, item.row, *key))
            sheet.places[(table, number, *key)] = there


def _with_new(case: Case, table: str, added: tuple[Any, ...]) -> Case:
    old = getattr(case, table)
    rows = [dataclasses.replace(item, row=len(old) + n) for n, item in enumerate(added)]
    changed: dict[str, Any] = {table: (*old, *rows)}
    return dataclasses.replace(case, **changed)


def _left_open(case: Case, sheet: _Sheet) -> Iterator[Gap]:
    """Yield the gaps of a case that answers did not close."""
    for gap in case.gaps:
        table = str(gap.path[0])
        thing = getattr(case, table) if len(gap.path) == 1 else getattr(case, table)[gap.path[1]]
        address = ("boat", "the boat") if len(gap.path) == 1 else _address(table, thing)
        told = {key for key in gap.keys if (*address, key) in sheet.by}
        left = gap.without({key: _value(thing, key) for key in told})
        if left is not None:
            yield left


def _address(table: str, thing: Any) -> tuple[str, str]:
    return "intake" if isinstance(thing, Intake) else table, name_of_thing(thing)


def _value(thing: Any, key: str) -> Any:
    return thing.level if key == "height" else getattr(thing, key)


def _over(before: Record, now: Record) -> Record:
    told = {name: getattr(now, name) for name, _, _ in keys_of(Record) if getattr(now, name)}
    return dataclasses.replace(before, **told)


def together(before: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    """Return two sets of answers as one, the later over the earlier; blocks go by their name."""
    found = dict(before)
    for key, value in now.items():
        old = found.get(key)
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            found[key] = together(old, value)
        elif _are_blocks(value) and (old is None or _are_blocks(old)):
            rows = {item.get("name"): item for item in old or ()}
            for item in value:
                rows[item.get("name")] = together(rows.get(item.get("name"), {}), item)
            found[key] = list(rows.values())
        else:
            found[key] = value
    return found


def _are_blocks(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(item, Mapping) for item in value)


def _require_table(table: str, content: Any, reading: Reading) -> None:
    if table not in _TABLES:
        reading.note(
            "A02",
            (table,),
            f'there is no table "{table}" here',
            why="What is not understood is refused, so that no answer is left out unseen.",
            write=f"Tables there are: {', '.join(_TABLES)}.",
        )
        return
    one = table in ("record", "boat")
    if not (isinstance(content, Mapping) if one else _are_blocks(content)):
        line = f"[{table}]" if one else f"[[{table}]]"
        reading.note(
            "K10",
            (table,),
            f"{table} must be {'a table' if one else 'blocks'} of keys",
            why="Answers that stand elsewhere would be left out unseen.",
            write=f"Write {line} on a line of its own and the answers below it.",
        )


def _things(table: str, rows: list[Any], sheet: _Sheet) -> dict[str, dict[str, Any]]:
    known = {name_of_thing(thing): thing for thing in things_of(sheet.before.case, table)}
    found: dict[str, dict[str, Any]] = {}
    for row, item in enumerate(rows):
        name = item.get("name")
        if name not in known and table in NEW:
            continue  # a new one, read as a whole
        if name not in known:
            sheet.reading.note(
                "A01",
                (table, row, "name"),
                f'there is no {table} "{name}" on this boat'
                if name is not None
                else f"a block [[{table}]] has no name",
                why="An answer belongs to a thing of the case.",
                write="Names there are: " + ", ".join(f'"{one}"' for one in known) + ".",
            )
            continue
        given = {key: value for key, value in item.items() if key != "name"}
        values = dict(_values(table, given, (table, row), sheet, known[name]))
        found[name] = found.get(name, {}) | values
    return found


def _values(
    table: str, given: Mapping[str, Any], path: Path, sheet: _Sheet, thing: Any
) -> Iterator[tuple[str, Any]]:
    for key, value in given.items():
        record, here = record_of(table, key), (*path, key)
        if record is None:
            names = ", ".join(spelled for _, spelled, _ in keys_of(SEEN.get(table) or BoatSeen))
            what = f'there is no key "{key}" here'
            sheet.reading.note("K01", here, what, write=f"Keys there are: {names}.")
            continue
        address = (table, "the boat" if table == "boat" else name_of_thing(thing), key)
        declared, known = declared_key(record, key), sheet.known(address, thing)
        if declared.of is None or record is BoatSeen:
            now = read_answer(record, key, value, here, sheet.reading)
            known = _recorded(sheet.before.case, record, key, thing)
        elif declared.many:
            now = merged_rows(declared.of, known or (), value, here, sheet.reading)
        else:
            now = merged(declared.of, known, value, here, sheet.reading)
        sheet.took(address, differences(record, key, (known, now), value))
        if table != "boat":
            sheet.places[(thing.table or table, _row(sheet.before.case, thing), key)] = (
                sheet.reading.text,
                here,
            )
        if isinstance(now, Partial):
            sheet.partial[address] = now.values
        else:
            yield key, now


def _row(case: Case, thing: Any) -> int:
    rows: int = getattr(thing, "row", -1)
    return rows if rows >= 0 else [item is thing for item in case.hose].index(True)


def _recorded(case: Case, record: type, key: str, thing: Any) -> Any:
    """Return what was recorded for a key before; a default is no record."""
    if thing is None:
        table = OF_BOAT[record]
        given = table == "seen" or (table, key) in case.text.where
        return getattr(getattr(case, table), key, None) if given else None
    if any(gap.path == (thing.table, _row(case, thing)) and key in gap.keys for gap in case.gaps):
        return None
    if key == "height":
        return thing.level
    if key in PLACE:
        return getattr(thing.at, key, None)
    if record is SEEN.get(thing.table) or not hasattr(thing, key):
        return getattr(thing.seen, key, None)
    is_default = declared_key(record, key).default is not None
    is_given = (thing.table, getattr(thing, "row", -1), key) in case.text.where
    return None if is_default and not is_given else getattr(thing, key)


def _with_boat(case: Case, raw: Mapping[str, Any], sheet: _Sheet) -> Case:
    values = dict(_values("boat", raw.get("boat") or {}, ("boat",), sheet, None))
    known = case.seen.bilge_pump if case.seen else ()
    rows, reading = raw.get("bilge_pump") or [], sheet.reading
    pumps = merged_rows(BilgePump, known, rows, ("bilge_pump",), reading)
    for row in rows:
        pair = [
            next((one for one in of if one.name == row.get("name")), None) for of in (known, pumps)
        ]
        address = ("bilge_pump", str(row.get("name")), "bilge_pump")
        sheet.took(address, row_differences(BilgePump, pair[0], pair[1], row))
    if pumps != known:
        values["bilge_pump"] = pumps
    for key, value in values.items():
        record = record_of("boat", key)
        assert record is not None
        table = OF_BOAT[record]
        now = getattr(case, table) or record()
        case = dataclasses.replace(case, **{table: dataclasses.replace(now, **{key: value})})
    return case


def with_things(case: Case, table: str, values: Mapping[str, dict[str, Any]]) -> Case:
    """Return a case with values laid over the things of a table, by their names."""
    if not values:
        return case
    changed: dict[str, Any] = {}
    for name in ("through_hull", "sea_chest") if table == "intake" else (table,):
        changed[name] = tuple(
            _with(thing, table, values.get(name_of_thing(thing), {}))
            for thing in getattr(case, name)
        )
    return dataclasses.replace(case, **changed)


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
        own["seen"] = dataclasses.replace(thing.seen or SEEN[table](), **seen)
    if place:
        own["at"] = dataclasses.replace(thing.at or Place(height=thing.height), **place)
    return dataclasses.replace(thing, **own)
