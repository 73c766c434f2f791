"""The open questions of a survey as a file to be filled in and read back."""

from __future__ import annotations

import dataclasses
import textwrap
from collections.abc import Iterator

from seaflow.boat.asking.starter import value_text
from seaflow.boat.asking.survey_answers import PLACE, record_of
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.recorded_record import Record
from seaflow.boat.tables.things import OtherUser, Place
from seaflow.studies.survey.findings import LookAt, Survey

WIDTH = 96
_HEAD = """
Checklist for the survey of {boat}. Write each answer between its quotes: yes or no, one of the
words shown, or a value with its unit. Leave empty what was not seen. Then:
seaflow survey CASE --answers THIS-FILE
"""


NEW_OPENINGS = """
Openings of the hull that are not listed yet: one block for each, as many as there are. A block
without a name is left out.
"""


def checklist_text(answer: Survey) -> str:
    """Return the open questions as a TOML file."""
    lines = [*_remark(_HEAD.format(boat=answer.boat)), "", *_record(answer.record)]
    for (table, thing), asked in grouped(answer.look_at).items():
        if table == "point":
            lines += ["", *_remark(f"{thing}: write its height into the case file.")]
            continue
        lines += ["", *_thing(table, thing, asked)]
        if any(item.key == "bilge_pump" for item in asked):
            lines += _bilge_pumps(answer.bilge_pumps or ("bilge pump",))
        if any(item.key == "also_feeds" for item in asked):
            users = next((one.users for one in answer.shared if one.intake == thing), ())
            lines += _rows("intake.also_feeds", OtherUser, users or ("",))
    if any(item.key == "all_openings_listed" for item in answer.look_at):
        lines += ["", *_remark(NEW_OPENINGS), *_rows("skin_fitting", SkinFitting, ("",))]
    return "\n".join(lines) + "\n"


def grouped(look_at: tuple[LookAt, ...]) -> dict[tuple[str, str], list[LookAt]]:
    """Return the questions by the thing that they are about, the boat first."""
    found: dict[tuple[str, str], list[LookAt]] = {}
    for item in sorted(look_at, key=lambda one: one.table != "boat"):
        found.setdefault((item.table, item.thing), []).append(item)
    return found


def _remark(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(" ".join(text.split()), WIDTH)]


def _record(record: Record) -> Iterator[str]:
    yield "[record]"
    values = dataclasses.asdict(record)
    for _, spelled, declared in keys_of(Record):
        value = values[spelled]
        empty = "[]" if declared.many else '""'
        shown = value_text(list(value) if declared.many else value) if value else empty
        yield f"{spelled} = {shown}  # {declared.meaning}{_hint(declared)}"


def _thing(table: str, thing: str, asked: list[LookAt]) -> Iterator[str]:
    if table == "boat":
        yield "[boat]"
    else:
        yield f"[[{table}]]"
        yield f"name = {value_text(thing)}"
    for item in asked:
        if item.key in ("bilge_pump", "also_feeds"):
            continue  # tables of their own, which come after
        record = record_of(table, item.key)
        assert record is not None
        declared = next(key for _, spelled, key in keys_of(record) if spelled == item.key)
        ask = item.ask if declared.of is None else declared.meaning
        yield from _remark(f"{ask} ({item.severity}{_waits(item)})")
        if declared.of is None:
            yield f'{item.key} = ""{_after(declared)}'
            continue
        for _, spelled, inner in keys_of(declared.of):
            yield from _remark(inner.meaning)
            yield f'{item.key}.{spelled} = ""{_after(inner)}'


def _rows(table: str, record: type, names: tuple[str, ...]) -> Iterator[str]:
    """Yield a block for each of some records, with every key of theirs."""
    for name in names:
        yield ""
        yield f"[[{table}]]"
        for _, spelled, declared in keys_of(record):
            if spelled == "name":
                yield f"name = {value_text(name)}"
            elif declared.of is Place:
                for _, inner, key in keys_of(Place):
                    yield f'{inner} = ""  # {key.meaning}'
            elif spelled not in PLACE:
                meaning = declared.meaning.replace("True if", "Yes if")
                yield f'{spelled} = ""  # {meaning}{_hint(declared)}'


def _bilge_pumps(names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        yield ""
        yield from _remark("What it really delivers at its height of lift, and if it is automatic.")
        yield "[[bilge_pump]]"
        yield f"name = {value_text(name)}"
        yield 'capacity = ""  # such as "30 L/min"'
        yield 'automatic = ""  # yes or no'


def _waits(item: LookAt) -> str:
    """Return the question that waits for a fact which is no answer to it."""
    own = record_of(item.table, item.key)
    return "" if own is not None and own.__name__.endswith("Seen") else f", for: {item.question}"


def _after(declared: Key) -> str:
    hint = _hint(declared).strip()
    return f"  # {hint[0].lower()}{hint[1:]}" if hint else ""


def _hint(declared: Key) -> str:
    if declared.kind == "flag":
        return " yes or no"
    if declared.choices:
        return " One of: " + ", ".join(f'"{choice}"' for choice in declared.choices)
    return f" Such as {declared.example}" if declared.quantity or declared.kind == "number" else ""
