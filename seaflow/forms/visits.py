"""Visits one after another: their order, and which answer stands where two differ."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_folder
from seaflow.boat.reader.known import MEASURED, NOT_ACCESSIBLE, SEEN, HowKnown
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.tables.recorded_record import Followed
from seaflow.forms.checklist import Address
from seaflow.forms.days import day_of, days_of, is_a_day, is_far_ahead, this_day

ONLY_TOLD, EARLIER = "told", "earlier"  # why an answer does not count
_LOOKED = (SEEN, MEASURED)
# A file as typed, and as data.
Written = tuple[CaseText, Mapping[str, Any]]


def by_day(sheets: list[Written]) -> list[Written]:
    """Return files of answers by the day of their record; one without stays behind its fellow.

    Raises
    ------
    SeaflowError
        If there are several, and the day of one may be either of two.
    """
    day, found = datetime.date.min, []
    for text, raw in sheets:
        record = raw.get("record")
        date = record.get("date") if isinstance(record, Mapping) else None
        days = days_of(date) if isinstance(date, str) else ()
        if len(days) > 1 and len(sheets) > 1:
            raise SeaflowError([_of_either_day(text, str(date), days)])
        day = days[0] if len(days) == 1 else day
        found.append((day, (text, raw)))
    return [sheet for _, sheet in sorted(found, key=lambda one: one[0])]


def _of_either_day(text: CaseText, date: str, days: Sequence[datetime.date]) -> Problem:
    one, other = (f"{day:%d %B %Y}".lstrip("0") for day in days)
    return text.problem(
        "K11",
        ("record", "date"),
        f'"{date}" may be {one} or {other}',
        why="Of several visits the later one counts, so the day must be sure.",
        write=f'Write date = "{one}" or date = "{other}".',
    )


def why_not_counted(old: HowKnown, now: HowKnown) -> str:
    """Return why an answer gives way to what is known, or nothing where it counts.

    What somebody looked at stands against what is only told, whatever the days; else the later one
    counts, and where a day is not known the one that is read later.
    """
    if (old.how in _LOOKED) != (now.how in _LOOKED):
        return ONLY_TOLD if old.how in _LOOKED else ""
    before, after = day_of(old.date), day_of(now.date)
    return EARLIER if before and after and after < before else ""


def without(given: Mapping[str, Any], left: Collection[Address]) -> dict[str, Any]:
    """Return answers without those at some addresses."""
    found: dict[str, Any] = {}
    for table, content in given.items():
        if isinstance(content, list):
            found[table] = [_but(row, (table, str(row.get("name"))), left) for row in content]
        elif table == "boat":
            found[table] = _but(content, (table, "the boat"), left)
        else:
            found[table] = content
    return found


def _but(
    row: Mapping[str, Any], of: tuple[str, str], left: Collection[Address], way: str = ""
) -> dict[str, Any]:
    kept = {key: value for key, value in row.items() if (*of, way + key) not in left}
    return {
        key: _but(value, of, left, f"{key}.") if isinstance(value, Mapping) else value
        for key, value in kept.items()
    }


def require_sound(
    given: Mapping[str, Any], marks: Mapping[Path, HowKnown], reading: Reading
) -> None:
    """Refuse answers that contradict each other in one file, and marks that cannot be."""
    _require_once(given, reading)
    _require_marks(marks, reading)


def _require_once(given: Mapping[str, Any], reading: Reading) -> None:
    """Refuse two blocks of one name that answer the same differently."""
    for table, rows in given.items():
        first: dict[Path, tuple[Path, Any]] = {}
        for row, item in enumerate(rows) if isinstance(rows, list) else ():
            name = str(item.get("name", "")) if isinstance(item, Mapping) else ""
            for keys, value in _leaves(item, ()) if name else ():
                here = (table, row, *keys)
                there, said = first.setdefault((name, *keys), (here, value))
                if said != value:
                    _twice(name, here, there, reading)


def _leaves(content: Mapping[str, Any], way: Path) -> Iterator[tuple[Path, Any]]:
    for key, value in content.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, (*way, key))
        elif not isinstance(value, list):
            yield (*way, key), value


def _twice(name: str, here: Path, there: Path, reading: Reading) -> None:
    key = ".".join(str(part) for part in here[2:])
    reading.note(
        "S02",
        here,
        f'a second block is called "{name}" and answers {key} otherwise; '
        f"the first answer stands on line {reading.text.line(there)}",
        why="Only one of them can be so, and the other would be lost.",
        write="Keep the one that is so; what a later visit saw goes into a file of its own.",
    )


def _require_marks(marks: Mapping[Path, HowKnown], reading: Reading) -> None:
    """Refuse days that are none before values, and what nobody could look at with no reason."""
    for path, known in marks.items():
        if known.date:
            require_day(known.date, path, reading)
        if known.how == NOT_ACCESSIBLE and not known.why:
            key = path[-1]
            reading.at_key(
                "K02",
                path,
                f"{key} is not accessible, and why is not said",
                why="The next visit must know what to open or move.",
                write=f'Write why, such as {key} = "not accessible: behind the tank".',
            )


def require_finding(told: Followed, path: Path, reading: Reading) -> None:
    """Refuse what is told of a finding that no survey gave: its rule, or another number."""
    require_day(told.on, (*path, "on"), reading)
    if told.rule is None or told.number is None:  # refused where it was read
        return
    rule = read_folder("rules").get(told.rule)
    if rule is not None and re.match(rf"\w+-{rule['item']}[a-z]", told.number):
        return
    key, named = ("rule", told.rule) if rule is None else ("number", told.number)
    reading.note(
        "S03",
        (*path, key),
        f'no finding has the {key} "{named}"',
        why="What was done about it would be lost.",
        write="Copy the block as a checklist writes it: its number, thing and rule.",
    )


def require_day(text: str | None, path: Path, reading: Reading) -> None:
    """Refuse a date that looks like one and is no day of a calendar, or is years ahead."""
    if text is None:
        return
    what = "" if is_a_day(text) else f'there is no day "{text}"'
    if is_far_ahead(text, this_day()):
        what = f'"{text}" is more than a year ahead'
    if what:
        reading.note(
            "K11",
            path,
            what,
            why="A record with an impossible date proves nothing.",
            write="Write the date as it is, such as 3 May 2025 or 2025-05-03.",
        )
