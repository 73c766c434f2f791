"""The survey of a boat: findings in order of severity, and what to look at on board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.tables.recorded_record import Record
from seaflow.forms.checklist import Address, Overruled, asked
from seaflow.physics.hull.openings import SHARP_EDGE
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.limits import limits_used
from seaflow.studies.survey.blockage import StrainerResult, strainer_result
from seaflow.studies.survey.facts import Facts, facts_of
from seaflow.studies.survey.place import (
    Placed,
    RunLeg,
    StartingHead,
    Trimmed,
    placed,
    run_legs,
    starting_heads,
    trimmed,
)
from seaflow.studies.survey.register import judged
from seaflow.studies.survey.rules import SEVERITIES, Fault, Fine, Rule, Unknown, rules
from seaflow.studies.survey.waterlines import Waterline

GEOMETRY = (
    Assumption(
        "the boat",
        "sinkage as she heels",
        "none: she turns about the waterline at the centreline and half the waterline length",
        "own choice",
    ),
    Assumption(
        "openings",
        "discharge coefficient of an opening whose hose lets go",
        f"{SHARP_EDGE:g}, a sharp edge; figures in print that take 1 are {1.0 / SHARP_EDGE:.2f} "
        "times as large",
        "published figures differ",
    ),
)


ONE_VOLUME = Assumption(
    "the boat",
    "alarm, drains to the bilge pump and volume that may flood, of a multihull",
    "one answer for both hulls, which holds of the worse; bilge pumps go by their hull",
    "own choice",
)
AS_SHE_WORKS = "as she works"  # at working heel and trim


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding."""

    rule: str
    item: int
    severity: str
    where: str
    found: str
    why: str
    consequence: str
    do: str
    basis: str
    basis_text: str


@dataclass(frozen=True, slots=True)
class LookAt:
    """One fact that the case leaves open; `table`, thing and `key` say where it is recorded.

    `ask` is what to find out, with `answers` to choose from, if it is a matter of choosing;
    `question` is that of the rule which waits for it.
    """

    table: str
    thing: str
    key: str
    ask: str
    answers: tuple[str, ...]
    question: str
    severity: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OpenHose:
    """What an opening lets in if its hose lets go: by a sharp edge, and as printed figures say.

    `when` says whether it is under water at rest, or only as she works; the depth is that of then.
    """

    name: str
    depth: float = measured("m")
    bore: float = measured("m")
    flow: float = measured("m3/s")
    flow_at_one: float = measured("m3/s")
    when: str = "at rest"


@dataclass(frozen=True, slots=True)
class Shared:
    """An intake, and what else draws from it."""

    intake: str
    users: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """The survey of a boat."""

    boat: str
    hull: str
    record: Record
    waterlines: tuple[Waterline, ...]
    working_heel: float | None = measured("rad", None)
    findings: tuple[Finding, ...] = ()
    look_at: tuple[LookAt, ...] = ()
    kept: tuple[str, ...] = ()
    openings: tuple[OpenHose, ...] = ()
    bilge_capacity: float | None = measured("m3/s", None)
    bilge_pumps: tuple[str, ...] = ()
    shared: tuple[Shared, ...] = ()
    places: tuple[Placed, ...] = ()
    working_trim: float | None = measured("rad", None)
    trimmed: tuple[Trimmed, ...] = ()
    legs: tuple[RunLeg, ...] = ()
    starting_heads: tuple[StartingHead, ...] = ()
    strainers: tuple[StrainerResult, ...] = ()
    invented_parts: bool = False
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    overruled: tuple[Overruled, ...] = ()

    @property
    def trim_is_known(self) -> bool:
        """True if heel and trim together can be told."""
        return self.working_heel is not None and self.working_trim is not None

    @property
    def is_fit(self) -> bool:
        """True if nothing found is critical or major."""
        return all(item.severity not in SEVERITIES[:2] for item in self.findings)


def survey(
    case: Case,
    record: Record | None = None,
    partial: Mapping[Address, Mapping[str, Any]] | None = None,
    overruled: tuple[Overruled, ...] = (),
) -> Survey:
    """Return the survey of a case.

    `partial` is what answers told of tables that lack something still, `overruled` where an answer
    took the place of what was recorded.
    """
    facts = facts_of(case, partial)
    found: list[Finding] = []
    unknown: list[tuple[Rule, Unknown]] = []
    kept: list[str] = []
    for rule in rules():
        verdicts = judged(rule, facts)
        found += [_finding(rule, item) for item in verdicts if isinstance(item, Fault)]
        unknown += [(rule, item) for item in verdicts if isinstance(item, Unknown)]
        kept += [rule.id] if {type(item) for item in verdicts} == {Fine} else []
    found.sort(key=lambda item: (SEVERITIES.index(item.severity), item.item))
    return Survey(
        boat=case.boat.name,
        hull=case.boat.hull,
        record=record or Record(),
        waterlines=facts.waterlines,
        working_heel=facts.working_heel,
        findings=tuple(found),
        look_at=_look_at(unknown),
        kept=tuple(kept),
        openings=_openings(facts),
        bilge_capacity=_bilge_capacity(facts),
        bilge_pumps=tuple(item.name for item in facts.boat.bilge_pump),
        shared=tuple(_shared(case)),
        places=placed(facts),
        working_trim=facts.working_trim,
        trimmed=trimmed(facts),
        legs=run_legs(facts),
        starting_heads=starting_heads(facts),
        strainers=_strainers(facts),
        invented_parts=any(loop.part and loop.part.invented for loop in facts.loops),
        assumptions=_assumptions(facts),
        cautions=cautions("survey"),
        overruled=overruled,
    )


def _bilge_capacity(facts: Facts) -> float | None:
    known = [item.capacity for item in facts.boat.bilge_pump if item.capacity is not None]
    return sum(known) if known else None


def _shared(case: Case) -> Iterator[Shared]:
    for item in case.intakes:
        if item.also_feeds:
            yield Shared(item.name, tuple(user.name for user in item.also_feeds))


def _assumptions(facts: Facts) -> tuple[Assumption, ...]:
    noted = [*facts.case.assumptions, *GEOMETRY]
    if "multihull" in facts.case.boat.hull:
        noted.append(ONE_VOLUME)
    if facts.case.boat.works_to_trim is None:
        noted += limits_used("survey_trim")
    for loop in facts.loops:
        noted += [item for item in loop.built.assumptions if item not in noted]
    return tuple(noted)


def _finding(rule: Rule, fault: Fault) -> Finding:
    return Finding(
        rule=rule.id,
        item=rule.item,
        severity=fault.severity or rule.severity,
        where=fault.where,
        found=fault.found,
        why=rule.why,
        consequence=fault.consequence,
        do=rule.do,
        basis=rule.basis,
        basis_text=rule.basis_text,
    )


def _look_at(unknown: list[tuple[Rule, Unknown]]) -> tuple[LookAt, ...]:
    """Return one question for each fact, with all rules that wait for it; severest first."""
    waiting: dict[Address, list[Rule]] = {}
    for rule, item in unknown:
        known = waiting.setdefault(item.fact, [])
        if rule not in known:
            known.append(rule)
    found = []
    for (table, thing, key), known in waiting.items():
        own = next((rule for rule in known if rule.key == key and rule.table == table), known[0])
        severest = min((rule.severity for rule in known), key=SEVERITIES.index)
        names = tuple(rule.id for rule in known)
        ask, answers = asked(table, key)
        found.append(LookAt(table, thing, key, ask, answers, own.question, severest, names))
    return tuple(sorted(found, key=lambda item: SEVERITIES.index(item.severity)))


def _openings(facts: Facts) -> tuple[OpenHose, ...]:
    return tuple(
        OpenHose(item.name, item.depth, item.bore, item.flow, item.flow_at_one, when)
        for when, found in (("at rest", facts.openings()), (AS_SHE_WORKS, facts.openings_heeled()))
        for item in found
    )


def _strainers(facts: Facts) -> tuple[StrainerResult, ...]:
    found = []
    for loop in facts.loops:
        run = facts.runs.get(loop.network.name)
        for basket in loop.loop.strainers:
            hose = float(np.max([item.bore for item in loop.network.arriving(basket.name)]))
            found.append(strainer_result(basket, loop.network.name, hose, run))
    return tuple(found)
