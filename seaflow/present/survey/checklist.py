"""The open questions of a survey as a file to be filled in and read back, with what was told."""

from __future__ import annotations

import dataclasses
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from seaflow.boat.case import Case
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.boat.tables.recorded_record import OF_THE_BOAT, Record
from seaflow.boat.tables.things import OtherUser, Seacock
from seaflow.forms.checklist import Address, question_of, record_of
from seaflow.forms.starter import value_text
from seaflow.present.card import briefs
from seaflow.present.survey.round_two import FINDINGS, finding_blocks, with_mark
from seaflow.present.survey.walk import Station, choices_of, flat, waits_for, walk
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.evidence import THE_BOAT
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.questions import LookAt

WIDTH = 96
_HEAD = """
Checklist for the survey of {boat}. Write each answer between its quotes: yes or no, one of the
words shown, or a value with its unit. What you could not get at is an answer too: "not accessible:
behind the tank". A photo goes in front: "seen, photo 12: no". Leave empty what nobody looked at.
Then:
seaflow survey CASE --answers THIS-FILE
"""
NEW_OPENINGS = """
Openings of the hull that are not listed yet: one block for each, as many as there are, each with a
name of its own that nothing else on the boat has. A block that is left empty counts for nothing.
"""
NEW_SEACOCK = """
The seacock on {thing}, if there is one: say at least its kind and bore. If there is none, write
type = "none". Left empty, the question stays open.
"""
OF_A_VISIT = ("date", "lay", "surveyor", "not_seen")
BLOCKS = ("bilge_pump", "also_feeds", "seacock")  # told in blocks of their own
Given = Mapping[str, Any]


def checklist_text(
    answer: Survey, case: Case, given: Given | None = None, system: str = "metric"
) -> str:
    """Return the open questions as a TOML file, with all answers `given` before."""
    sheet = _Sheet(answer, case, given or {}, SurveyShow(system))
    return "\n".join(sheet.lines()) + "\n"


@dataclasses.dataclass(frozen=True, slots=True)
class _Sheet:
    """A checklist being written."""

    answer: Survey
    case: Case
    given: Given
    show: SurveyShow

    def lines(self) -> Iterator[str]:
        yield from _remark(_HEAD.format(boat=self.answer.boat))
        yield "#"
        yield from _remark(f"Careful: {' '.join(briefs(self.answer.cautions))}")
        yield ""
        yield from self._record()
        stops = walk(self.answer, self.case)
        asked = {(table, thing) for stop in stops for table, thing, _ in stop.asked}
        written: set[tuple[str, str]] = set()
        for number, stop in enumerate(stops, 1):
            yield from self._stop(number, stop, written)
        if ("boat", THE_BOAT) not in asked and (self.given.get("boat") or self._pumps_told):
            yield from ("", *self._group("boat", THE_BOAT, ()))
        yield from self._blocks("boat", THE_BOAT, self._keys("boat", THE_BOAT), self._boat_told)
        for table, thing in self._told():
            if (table, thing) not in asked:
                yield from ("", *self._group(table, thing, ()))
        if any(item.key == "all_openings_listed" for item in self.answer.look_at):
            yield ""
            yield from _remark(NEW_OPENINGS)
            yield from self._rows("skin_fitting", SkinFitting, ({"name": ""},))
        if self._was_visited and (self.answer.findings or self.answer.changes):
            yield from ("", *_remark(FINDINGS))
            yield from finding_blocks(self.answer, self.show)

    def _stop(self, number: int, stop: Station, written: set[tuple[str, str]]) -> Iterator[str]:
        """Yield one stop; what was answered of a thing before stands where it first comes up."""
        yield from ("", "", *_remark(f"{number}. {stop.title.upper()}. {stop.about}"))
        yield from _remark(f"Careful: {' '.join(briefs(stop.careful))}")
        for table, thing, asked in stop.asked:
            again = (table, thing) in written
            written.add((table, thing))
            yield ""
            yield from self._group(table, thing, asked, again)

    def _keys(self, table: str, thing: str) -> set[str]:
        """Return what is asked of a thing at any stop."""
        found = self.answer.look_at
        return {item.key for item in found if (item.table, item.thing) == (table, thing)}

    @property
    def _was_visited(self) -> bool:
        """Whether findings are those of a visit; what a case tells is no visit before the first."""
        return bool(self.given or self.case.visit or self.case.finding)

    @property
    def _boat_told(self) -> Given:
        told: Given = self.given.get("boat") or {}
        return told

    @property
    def _pumps_told(self) -> bool:
        return bool(self.given.get("bilge_pump"))

    def _told(self) -> Iterator[tuple[str, str]]:
        """Yield the things that earlier answers are about, but seacocks still asked for."""
        waiting = {row["name"] for row in self._waiting.values()}
        for table, rows in self.given.items():
            if isinstance(rows, list) and table not in ("bilge_pump", "finding"):
                names = [row["name"] for row in rows if "name" in row]
                left = waiting if table == "seacock" else ()
                yield from ((table, name) for name in names if name not in left)

    @property
    def _waiting(self) -> dict[str, Given]:
        """Return blocks of seacocks that tell too little to count, by the opening they are on."""
        known = {cock.name for cock in self.case.seacock}
        rows = self.given.get("seacock") or ()
        return {row["on"]: row for row in rows if "on" in row and row["name"] not in known}

    def _earlier(self, table: str, thing: str) -> Given:
        """Return what was answered of a thing before."""
        if table == "boat":
            return self._boat_told
        rows = self.given.get(table) or ()
        return next((row for row in rows if row.get("name") == thing), {})

    def _group(
        self, table: str, thing: str, asked: Sequence[LookAt], again: bool = False
    ) -> Iterator[str]:
        """Yield the questions about a thing at one stop, `again` if it came up before."""
        if table == "point":
            yield from _remark(f"{thing}: write its height into the case file.")
            return
        earlier, keys = self._earlier(table, thing), {item.key for item in asked}
        told = {} if again else _but(earlier, self._keys(table, thing))
        own = keys - {"seacock"} if table in ("intake", "outlet") else keys
        if (told or own) and not (again and table == "boat"):
            yield "[boat]" if table == "boat" else f"[[{table}]]"
        if (told or own) and table != "boat":
            yield f"name = {value_text(thing)}"
        for key, value in told.items():
            yield from self._said((table, thing, key), value)
        for item in asked:
            if item.key not in BLOCKS or (item.key == "seacock" and table == "skin_fitting"):
                yield from self._question(table, item, earlier.get(item.key))
        if table != "boat":  # those of the boat come when all else of her is asked
            yield from self._blocks(table, thing, keys, earlier)

    def _said(self, address: Address, value: Any) -> Iterator[str]:
        """Yield the lines of an answer that was given before, with the day of it."""
        table, thing, key = address
        if not isinstance(value, Mapping):
            yield f"{key} = {value_text(with_mark(self.case, address, value))}"
            return
        for inner, item in value.items():
            whole = f"{key}.{inner}"
            yield f"{whole} = {value_text(with_mark(self.case, (table, thing, whole), item))}"

    def _blocks(self, table: str, thing: str, keys: set[str], earlier: Given) -> Iterator[str]:
        """Yield the blocks that belong to a thing."""
        rows = earlier.get("also_feeds") or ()
        if "also_feeds" in keys or rows:
            shared = (one.users for one in self.answer.shared if one.intake == thing)
            yield from self._rows("intake.also_feeds", OtherUser, _by_name(next(shared, ()), rows))
        if table == "boat" and ("bilge_pump" in keys or self.given.get("bilge_pump")):
            names = self.answer.bilge_pumps or ("bilge pump",)
            told = self.given.get("bilge_pump") or ()
            yield from self._rows("bilge_pump", BilgePump, _by_name(names, told))
        if "seacock" in keys and table != "skin_fitting":
            yield from _remark(NEW_SEACOCK.format(thing=thing))
            block = self._waiting.get(thing, {"name": f"seacock on {thing}", "on": thing})
            yield from self._rows("seacock", Seacock, (block,))

    def _question(self, table: str, item: LookAt, told: Any) -> Iterator[str]:
        record = record_of(table, item.key)
        assert record is not None
        declared = next(key for _, spelled, key in keys_of(record) if spelled == item.key)
        waits = waits_for(item)
        ask = question_of(table, item.key, declared)
        said = self.show.text(f"{ask} ({item.severity}{', for: ' if waits else ''}{waits})")
        if declared.of is None:
            value = with_mark(self.case, (table, item.thing, item.key), told or "")
            after = self._after(table, item.key, declared)
            yield from _one_fact(f"{item.key} = {value_text(value)}", said, after)
            return
        yield from _remark(said)
        for _, spelled, inner in keys_of(declared.of):
            value = told.get(spelled) if isinstance(told, Mapping) else None
            yield from _remark(question_of(item.key, spelled, inner))
            whole = f"{item.key}.{spelled}"
            shown = value_text(with_mark(self.case, (table, item.thing, whole), value or ""))
            yield f"{whole} = {shown}{self._after('', spelled, inner)}"

    def _record(self) -> Iterator[str]:
        yield "[record]"
        yield f"{OF_THE_BOAT} = {value_text(self.answer.boat)}  # The boat that was looked at."
        values = dataclasses.asdict(self.answer.record)
        if self._was_visited:  # by whom and when is that of the visit to come
            values |= dict.fromkeys(OF_A_VISIT)
        for _, spelled, declared in keys_of(Record):
            value = values[spelled]
            empty = "[]" if declared.many else '""'
            shown = value_text(list(value) if declared.many else value) if value else empty
            said = question_of("record", spelled, declared) + self._hint("", spelled, declared)
            yield f"{spelled} = {shown}  # {said}"

    def _rows(self, table: str, record: type, rows: tuple[Given, ...]) -> Iterator[str]:
        """Yield a block for each of some records, with every key of theirs and what was told."""
        for row in rows:
            yield ""
            yield f"[[{table}]]"
            for spelled, declared in flat(table, record):
                if spelled == "hull" and "multihull" not in (self.answer.hull or "multihull"):
                    continue
                value = row.get(spelled, "")
                if spelled in ("name", "on"):
                    yield f"{spelled} = {value_text(value)}"
                    continue
                meaning = self.show.text(question_of(table, spelled, declared))
                hint = self._hint(table, spelled, declared)
                value = with_mark(self.case, (table, str(row.get("name")), spelled), value)
                yield f"{spelled} = {value_text(value)}  # {meaning}{hint}"

    def _after(self, table: str, key: str, declared: Key) -> str:
        hint = self._hint(table, key, declared).strip()
        return f"  # {hint[0].lower()}{hint[1:]}" if hint else ""

    def _hint(self, table: str, key: str, declared: Key) -> str:
        choices = choices_of(table, key, declared)
        if declared.kind == "flag":
            return " yes or no"
        if choices:
            return " One of: " + ", ".join(f'"{choice}"' for choice in choices)
        return f" Such as {self.show.text(declared.example)}" if declared.example else ""


def _one_fact(line: str, said: str, after: str) -> Iterator[str]:
    """Yield a fact on one line if it fits, else what it is above its key."""
    if len(f"{line}{after or '  #'}{said}") + 2 <= WIDTH:
        yield f"{line}  # {said}{after.replace('  #', '', 1)}"
        return
    yield from _remark(said)
    yield f"{line}{after}"


def _but(told: Given, keys: set[str]) -> dict[str, Any]:
    """Return what was answered of a thing, but what is asked of it still or has its own block."""
    left = ("name", "bilge_pump", "also_feeds", *keys)
    return {key: value for key, value in told.items() if key not in left}


def _by_name(names: tuple[str, ...], rows: Any) -> tuple[Given, ...]:
    """Return a row for each name known, with what was told of it, and those told beside them."""
    told = {row.get("name", ""): row for row in rows}
    return tuple(told.get(name, {"name": name}) for name in dict.fromkeys((*names, *told))) or (
        {"name": ""},
    )


def _remark(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(" ".join(text.split()), WIDTH)]
