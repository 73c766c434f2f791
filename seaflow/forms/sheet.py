"""One file of answers while it is read over what was known before it, and what comes of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.known import how_known
from seaflow.boat.reader.known import HowKnown
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.tables.recorded_record import Record
from seaflow.forms.checklist import Address, Overruled, Partial, part_of
from seaflow.forms.visits import why_not_counted


@dataclass(frozen=True, slots=True)
class Answered:
    """A case with answers laid over it, the head of the record, and what the answers were.

    `given` are all answers as data, `partial` what was told of tables that lack something still,
    `overruled` where an answer differs from what was recorded, `by` which file gave what,
    `before` what was known before the last file where that is not the first, and `questions` those
    about values that are hard to believe.
    """

    case: Case
    record: Record = field(default_factory=Record)
    given: Mapping[str, Any] = field(default_factory=dict)
    partial: Mapping[Address, Mapping[str, Any]] = field(default_factory=dict)
    overruled: tuple[Overruled, ...] = ()
    by: Mapping[Address, str] = field(default_factory=dict)
    before: Answered | None = None
    questions: tuple[Problem, ...] = ()


@dataclass
class AnswerSheet:
    """One checklist while it is read over what was known before it."""

    before: Answered
    reading: Reading
    overruled: list[Overruled] = field(default_factory=list)
    partial: dict[Address, Mapping[str, Any]] = field(default_factory=dict)
    by: dict[Address, str] = field(default_factory=dict)
    places: dict[Path, tuple[CaseText, Path]] = field(default_factory=dict)
    facts: dict[Address, HowKnown] = field(default_factory=dict)
    stood: dict[Address, str] = field(default_factory=dict)

    def known(self, address: Address, thing: Any) -> Any:
        """Return the table inside a thing as it is known so far."""
        if address in self.before.partial:
            return Partial(self.before.partial[address])
        return getattr(thing, address[2], None)

    def parted(self, address: Address, known: Any, value: Any) -> tuple[Any, Any]:
        """Return what of an answer gives way to what is known, and what counts; None for nothing.

        Which answers give way, and why, is taken down.
        """
        table, name, key = address
        if not isinstance(value, Mapping):
            gives_way = known is not None and self._gives_way(address)
            return (value, None) if gives_way else (None, value)
        way = f"{key}." if key else ""
        weak = {
            inner: item
            for inner, item in value.items()
            if part_of(known, inner) is not None and self._gives_way((table, name, way + inner))
        }
        counts = {inner: item for inner, item in value.items() if inner not in weak}
        return weak or None, counts or None

    def _gives_way(self, address: Address) -> bool:
        now = self.facts.get(address)
        why = now and why_not_counted(how_known(self.before.case, address, True), now)
        if why:
            self.stood[address] = why
        return bool(why)

    def differs(self, address: Address, found: Iterator[list[str]]) -> None:
        """Take down where an answer differs from what was recorded."""
        table, name, _ = address
        was_in = self.before.by.get(address, "the case")
        for key, was, now in found:
            why = self.stood.get((table, name, key), "")
            text = Overruled(name, key, was, now, was_in, self.reading.text.file, why)
            self.overruled.append(text)

    def took(self, address: Address, found: Iterator[list[str]]) -> None:
        """Take down what an answer took the place of."""
        self.differs(address, found)
        self.by[address] = self.reading.text.file
