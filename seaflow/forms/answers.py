"""Checklists that were filled in: read, and laid over the case one after another."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from seaflow.base.problems import SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.checks.sense import check_parts
from seaflow.boat.keys import keys_of
from seaflow.boat.known import last_visit
from seaflow.boat.reader.known import without_marks
from seaflow.boat.reader.other_kind import refuse_other_kind
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText, Path, read_text
from seaflow.boat.tables.gap import Gap
from seaflow.boat.tables.recorded_machines import BilgePump, BoatSeen
from seaflow.boat.tables.recorded_record import OF_THE_BOAT, Followed, Record
from seaflow.boat.tables.things import Intake, Place
from seaflow.forms.answered_known import known_by_answers, with_followed, with_known
from seaflow.forms.answered_text import plainly, pump_in_words, with_answers
from seaflow.forms.checklist import (
    KINDS,
    OF_BOAT,
    PLACE,
    SEEN,
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
from seaflow.forms.new_things import NEW
from seaflow.forms.sheet import Answered, AnswerSheet
from seaflow.forms.visits import by_day, require_day, require_finding, require_sound, without

_TABLES = ("record", "boat", "bilge_pump", "finding", *KINDS)


def read_answers(files: Sequence[str], case: Case) -> Answered:
    """Return a case with the answers of files laid over it, later visits over earlier ones.

    Raises
    ------
    SeaflowError
        With every problem found, if a file cannot be used or names what the boat has not.
    """
    found = Answered(case, last_visit(case))
    hint = "a new one: seaflow survey CASE --checklist FILE"
    read: list[tuple[CaseText, Mapping[str, Any]]] = [read_text(file, hint) for file in files]
    for text, raw in read:
        refuse_other_kind(text, raw, "checklist")
    for number, (text, raw) in enumerate(by_day(read)):
        now = _read(text, raw, found)
        found = dataclasses.replace(now, before=found) if number else now
    return found


def _record(raw: Mapping[str, Any], case: Case, sheet: AnswerSheet) -> Record:
    """Return the head of answers.

    Raises
    ------
    SeaflowError
        If they were given on another boat.
    """
    head, text = dict(raw.get("record") or {}), sheet.reading.text
    name = head.pop(OF_THE_BOAT, "")
    if name in ("", case.boat.name):
        record = read_record(Record, head, ("record",), sheet.reading)
        require_day(record.date, ("record", "date"), sheet.reading)
        return record
    what = f'these answers are of "{name}", and the case is "{case.boat.name}"'
    why = "Both may have a strainer or a pump of one name, so nothing would tell them apart."
    write = f'Give the case of that boat. If she bears another name now, write "{case.boat.name}".'
    found = text.problem("A05", ("record", OF_THE_BOAT), what, why=why, write=write)
    raise SeaflowError([found])


def _read(text: CaseText, raw: Mapping[str, Any], before: Answered) -> Answered:
    sheet = AnswerSheet(before, Reading(text))
    given = {table: answered(content) for table, content in raw.items() if table != "schema"}
    raw, marks = without_marks(given, typed=False)
    for table, content in raw.items():
        _require_table(table, content, sheet.reading)
    if sheet.reading.problems:
        raise SeaflowError(plainly(sheet.reading.problems))
    record = _record(raw, before.case, sheet)
    require_sound(given, marks, sheet.reading)
    sheet.facts = known_by_answers(raw, marks, (record, text.file))
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
    known = {address: how for address, how in sheet.facts.items() if address not in sheet.stood}
    case = with_followed(with_known(case, known), followed)
    problems = [pump_in_words(one, case) for one in check_parts(case)]
    if problems:
        raise SeaflowError(problems)
    return Answered(
        case,
        _over(before.record, record),
        together(before.given, without(given, sheet.stood)),
        {**before.partial, **sheet.partial},
        (*before.overruled, *sheet.overruled),
        {**before.by, **sheet.by},
        questions=(*before.questions, *sheet.reading.questions),
    )


def _followed(raw: Mapping[str, Any], reading: Reading) -> Iterator[Followed]:
    """Yield what the file says of findings."""
    for row, item in enumerate(raw.get("finding") or ()):
        path = ("finding", row)
        told = read_record(Followed, item, path, reading)
        require_finding(told, path, reading)
        yield told


def _place_new(
    case: Case, table: str, added: tuple[Any, ...], raw: Mapping[str, Any], sheet: AnswerSheet
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


def _left_open(case: Case, sheet: AnswerSheet) -> Iterator[Gap]:
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
    """Return the head of a record with a later one over it.

    Of a visit on another day nothing is taken over but whose boat it is, and what was asked for.
    """
    if before.date and now.date and before.date != now.date:
        before = Record(identity=before.identity, scope=before.scope)
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


def _things(table: str, rows: list[Any], sheet: AnswerSheet) -> dict[str, dict[str, Any]]:
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
    table: str, given: Mapping[str, Any], path: Path, sheet: AnswerSheet, thing: Any
) -> Iterator[tuple[str, Any]]:
    for key, value in given.items():
        record, here = record_of(table, key), (*path, key)
        if record is None:
            names = ", ".join(spelled for _, spelled, _ in keys_of(SEEN.get(table) or BoatSeen))
            what = f'there is no key "{key}" here'
            sheet.reading.note("K01", here, what, write=f"Keys there are: {names}.")
            continue
        address = (table, "the boat" if table == "boat" else name_of_thing(thing), key)
        known = sheet.known(address, thing)
        if _is_fact(record, key):
            known = _recorded(sheet.before.case, record, key, thing)
        weak, counts = sheet.parted(address, known, value)
        if weak is not None:
            told = _now((record, key), known, weak, here, sheet.reading)
            sheet.differs(address, differences(record, key, (known, told), weak))
        if counts is None:
            continue
        now = _now((record, key), known, counts, here, sheet.reading)
        sheet.took(address, differences(record, key, (known, now), counts))
        if table != "boat":
            sheet.places[(thing.table or table, _row(sheet.before.case, thing), key)] = (
                sheet.reading.text,
                here,
            )
        if isinstance(now, Partial):
            sheet.partial[address] = now.values
        else:
            yield key, now


def _is_fact(record: type, key: str) -> bool:
    return declared_key(record, key).of is None or record is BoatSeen


def _now(asked: tuple[type, str], known: Any, value: Any, path: Path, reading: Reading) -> Any:
    """Return what is known of a key of a record with an answer laid over it."""
    record, key = asked
    of = declared_key(record, key).of
    if of is None or _is_fact(record, key):
        return read_answer(record, key, value, path, reading)
    if declared_key(record, key).many:
        return merged_rows(of, known or (), value, path, reading)
    return merged(of, known, value, path, reading)


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


def _with_boat(case: Case, raw: Mapping[str, Any], sheet: AnswerSheet) -> Case:
    values = dict(_values("boat", raw.get("boat") or {}, ("boat",), sheet, None))
    known = case.seen.bilge_pump if case.seen else ()
    rows, reading = _pump_rows(raw.get("bilge_pump") or [], known, sheet), sheet.reading
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


def _pump_rows(
    rows: list[dict[str, Any]], known: tuple[BilgePump, ...], sheet: AnswerSheet
) -> list[dict[str, Any]]:
    """Return what of the answers on bilge pumps counts."""
    found = []
    for row, item in enumerate(rows):
        name = str(item.get("name"))
        old = next((one for one in known if one.name == name), None)
        weak, counts = sheet.parted(("bilge_pump", name, ""), old, item)
        if weak is not None:
            told = merged(BilgePump, old, weak, ("bilge_pump", row), sheet.reading)
            sheet.differs(
                ("bilge_pump", name, "bilge_pump"), row_differences(BilgePump, old, told, weak)
            )
        found.append(counts)
    return found


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
    if place and thing.at is None and set(place) == {"height"}:
        own["height"] = place["height"]
    elif place:  # one height alone: what stood in for it would be left beside the answer
        own["at"] = dataclasses.replace(thing.at or Place(height=thing.height), **place)
        own["height"] = None
    return dataclasses.replace(thing, **own)
