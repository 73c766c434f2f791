"""The survey of a half-known boat: a verdict counts only if no gap of the case can change it.

Every rule is judged with what stands in for the gaps, then with each gap of what decides it at its
other values, and with all of them at theirs together. What stays the same rests on what is
recorded. What changes is neither found nor kept: it waits for the value that changed it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, TypeAlias, TypeVar

from seaflow.boat.case import Case
from seaflow.boat.tables.gap import Gap
from seaflow.studies.survey.evidence import OF_THE_BOAT, Evidence
from seaflow.studies.survey.gathered import asks, evidence_of
from seaflow.studies.survey.judged import OF_A_LOOP, judged, looks_at
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict, rules
from seaflow.studies.survey.severity import SEVERITIES

Told: TypeAlias = list[tuple[Rule, tuple[Verdict, ...]]]
_R = TypeVar("_R")
SUPPLY, KIND_OF_PUMP = ("supply",), ("pump", "kind")
OPENINGS = ("intake", "outlet", "skin_fitting")  # tables of a checklist


@dataclass(frozen=True, slots=True, eq=False)
class Varied:
    """The same boat with a gap at another of its values; without a gap all are at another.

    `apart` has the loops alone that differ: of the boat as she is, and of this one; all where none
    does.
    """

    gap: Gap | None
    evidence: Evidence
    apart: tuple[Evidence, Evidence]


def varied(evidence: Evidence) -> tuple[Varied, ...]:
    """Return the evidence of a case with each gap at every other value, and all at theirs."""
    case = evidence.case
    parts: dict[tuple[str, ...], Evidence] = {}

    def look(gap: Gap | None, other: Case) -> Varied:
        there = evidence_of(other, evidence.partial, evidence)
        differ = [one for one in there.loops if one not in evidence.loops] or there.loops
        names = tuple(one.name for one in differ)
        if names not in parts:
            same = (one for one in evidence.loops if one.name in names)
            parts[names] = dataclasses.replace(evidence, loops=tuple(same))
        apart = dataclasses.replace(there, loops=tuple(differ))
        return Varied(gap, there, (parts[names], apart))

    found = [
        look(gap, with_gap(case, gap, number))
        for gap in case.gaps
        for number in range(1, len(gap.values))
    ]
    for number in range(1, max((len(gap.values) for gap in case.gaps), default=0)):
        every = case
        for gap in case.gaps:
            every = with_gap(every, gap, number % len(gap.values))
        found.append(look(None, every))
    return tuple(found)


def is_open(case: Case, table: str, key: str) -> bool:
    """Return whether a key of a table without a name is a gap."""
    return any(gap.path == (table,) and key in gap.keys for gap in case.gaps)


def with_gap(case: Case, gap: Gap, number: int) -> Case:
    """Return a case with a gap at one of its values."""
    keys = {key for one in gap.values for key in one}
    values = {key: gap.values[number].get(key) for key in keys}
    table = str(gap.path[0])
    if table in OF_THE_BOAT:
        changed: Any = dataclasses.replace(getattr(case, table), **values)
    else:
        rows = list(getattr(case, table))
        rows[int(gap.path[1])] = _with_values(rows[int(gap.path[1])], values)
        changed = tuple(rows)
    return dataclasses.replace(case, **{table: changed})


def _with_values(thing: Any, values: dict[str, Any]) -> Any:
    """Return a thing with other values; its height lies in its place, where it has one."""
    place = getattr(thing, "at", None)
    if place is not None and "height" in values:
        place = dataclasses.replace(place, height=values["height"])
        return dataclasses.replace(thing, **values | {"height": None, "at": place})
    return dataclasses.replace(thing, **values)


def judged_surely(evidence: Evidence, others: tuple[Varied, ...]) -> Told:
    """Return what every rule says, where no gap changes it, and what it waits for elsewhere."""
    if not others:
        return [(rule, judged(rule, evidence)) for rule in rules()]
    case = evidence.case
    opens = [(gap, {(one.table, one.key) for one in asks(case, gap)}) for gap in case.gaps]
    told: Told = []
    for rule in rules():
        open_to = {id(gap) for gap, facts in opens if _may_turn(rule, gap, facts)}
        some = [one for one in others if (id(one.gap) in open_to if one.gap else open_to)]
        told.append((rule, tuple(_surely(rule, evidence, some))))
    return told


def _may_turn(rule: Rule, gap: Gap, facts: Iterable[tuple[str, str]]) -> bool:
    """Return whether a gap, which opens these facts, may turn a rule or its numbers.

    One of the boat may turn any. What comes in where an opening lies hangs on its bore.
    """
    for table, key in facts:
        comes_in = key == "bore" and table in OPENINGS and rule.hangs_on(table, "height")
        if comes_in or rule.hangs_on(table, key):
            return True
    return gap.path[0] in OF_THE_BOAT


def _surely(rule: Rule, evidence: Evidence, others: Sequence[Varied]) -> Iterator[Verdict]:
    """Yield the verdicts on things that no gap touches, and the gaps that the others wait for."""
    said = cache(partial(judged, rule))
    usual = _by_thing(evidence, said(evidence))
    waits: dict[str, list[Gap]] = {}
    met: dict[str, list[Verdict]] = {where: [*items] for where, items in usual.items()}
    looked = looks_at(rule, evidence)
    for other in others:
        if looked is not None and looked == looks_at(rule, other.evidence):
            continue
        pair = other.apart if rule.id in OF_A_LOOP else (evidence, other.evidence)
        here, there = map(said, pair)
        if there == here:
            continue
        was, now = _by_thing(evidence, here), _by_thing(other.evidence, there)
        for where in {**was, **now}:
            if _plain(now.get(where, ())) != _plain(was.get(where, ())):
                single = () if other.gap is None else (other.gap,)
                waits.setdefault(where, []).extend(single)
            met.setdefault(where, []).extend(now.get(where, ()))
    for where, verdicts in usual.items():
        if where not in waits:
            yield from (_told_surely(item, met[where]) for item in verdicts)
    every = [gap for gaps in waits.values() for gap in gaps]
    for where, gaps in waits.items():
        some = gaps or every or evidence.case.gaps  # some change it only together
        yield from _asked(rule, evidence.case, some, met[where])


def _asked(rule: Rule, case: Case, gaps: Sequence[Gap], met: list[Verdict]) -> Iterator[Unknown]:
    """Yield the gaps that a thing waits for, and what one of them may leave to be asked.

    With the supply all of it, with a height the kind of a pump: both are asked in one visit.
    """
    severity = _severest(rule, met)
    for gap in gaps:
        yield from asks(case, gap, severity)
    every = any(gap.path == SUPPLY for gap in gaps)
    open_ = dict.fromkeys(one for one in met if isinstance(one, Unknown))
    yield from (one for one in open_ if every or (one.table, one.key) == KIND_OF_PUMP)


def _by_thing(evidence: Evidence, verdicts: tuple[Verdict, ...]) -> dict[str, list[Verdict]]:
    """Return verdicts by thing; one that waits for a loop to be run waits for all that it lacks."""
    found: dict[str, list[Verdict]] = {}
    for item in verdicts:
        waits = evidence.waits if isinstance(item, Unknown) else {}
        for one in waits.get(item, (item,)):
            where = one.thing if isinstance(one, Unknown) else one.where
            found.setdefault(where, []).append(one)
    return found


def _plain(verdicts: Iterable[Verdict]) -> list[Verdict]:
    """Return verdicts without what comes of them in numbers."""
    return [
        dataclasses.replace(item, in_numbers=())
        if isinstance(item, Breach) and item.in_numbers
        else item
        for item in verdicts
    ]


def _told_surely(item: Verdict, met: list[Verdict]) -> Verdict:
    """Return a verdict with those of its numbers that no gap changes."""
    if not isinstance(item, Breach):
        return item
    (plain,) = _plain((item,))
    same = [one.in_numbers for one in met if isinstance(one, Breach) and _plain((one,)) == [plain]]
    kept = tuple(one for one in item.in_numbers if all(one in told for told in same))
    return dataclasses.replace(item, in_numbers=kept)


def _severest(rule: Rule, met: list[Verdict]) -> str:
    """Return how grave the thing would be at worst."""
    told = [item.severity or rule.severity for item in met if not isinstance(item, Kept)]
    return min(told, key=SEVERITIES.index, default=rule.severity)


def same_rows(
    make: Callable[[Evidence], tuple[_R, ...]], evidence: Evidence, others: Iterable[Varied]
) -> tuple[_R, ...]:
    """Return the rows of a table that are the same whatever stands in the gaps.

    A row is of one loop, or of the boat as a whole.
    """
    made, gone = cache(make), list[_R]()
    for here, there in (other.apart for other in others):
        if made(here) != (rows := made(there)):
            gone += [row for row in made(here) if row not in rows]
    return tuple(row for row in made(evidence) if row not in gone)
