"""The survey of a boat: findings in order of severity, and what to check on board."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from operator import attrgetter
from typing import Any

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.known import last_visit
from seaflow.boat.tables.recorded_record import Followed, Record
from seaflow.forms.checklist import Address, Overruled
from seaflow.forms.days import day_of
from seaflow.physics.hull.openings import SHARP_EDGE
from seaflow.studies.design.cautions import Caution, cautions, named_cautions
from seaflow.studies.design.limits import limits_used
from seaflow.studies.survey.evidence import Evidence, is_stuck
from seaflow.studies.survey.following import Change, earlier_findings
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.half_known import is_open, judged_surely, same_rows, varied
from seaflow.studies.survey.hung import Finding, Hung
from seaflow.studies.survey.ledger import LedgerRow, rows_of
from seaflow.studies.survey.machines import hose_before
from seaflow.studies.survey.places import (
    Placed,
    RunLeg,
    StartingHead,
    Trimmed,
    placed,
    run_legs,
    starting_heads,
    trimmed,
)
from seaflow.studies.survey.points import points_of
from seaflow.studies.survey.questions import LookAt, look_at
from seaflow.studies.survey.rules import Kept
from seaflow.studies.survey.running import StrainerResult, strainer_result
from seaflow.studies.survey.severity import SEVERITIES
from seaflow.studies.survey.waterlines import Waterline

FIT, NOT_FIT, NOT_SEEN = "fit", "not fit", "not seen"
_HEADLINES = {
    FIT: "survey.card_fit",
    NOT_FIT: "survey.card_not_fit",
    NOT_SEEN: "survey.card_not_seen",
}
AT_REST, AS_SHE_WORKS = "at_rest", "as_she_works"  # the latter at working heel and trim


@dataclass(frozen=True, slots=True)
class OpenHose:
    """What an opening lets in if its hose fails: by a sharp edge, and as printed figures say.

    `when` says whether it is under water at rest, or only as she works; the depth is that of then.
    """

    name: str
    depth: float = measured("m")
    bore: float = measured("m")
    flow: float = measured("m3/s")
    flow_at_one: float = measured("m3/s")
    when: str = AT_REST


@dataclass(frozen=True, slots=True)
class Shared:
    """An intake, and what else draws from it."""

    intake: str
    users: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """The survey of a boat.

    `points` are the things that a critical or major rule is held to, thing by thing, and
    `points_seen` those of them of which the case records enough to find or to pass: `points_told`
    by word alone. `points_not_accessible` are those that nobody could look at, `points_now` those
    answered on the day of the record, `points_before` those of earlier days, the last of which is
    `seen_before`.
    """

    boat: str
    hull: str | None
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
    simplified: tuple[Fact, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    overruled: tuple[Overruled, ...] = ()
    points: int = 0
    points_seen: int = 0
    points_told: int = 0
    points_not_accessible: int = 0
    points_now: int = 0
    points_before: int = 0
    seen_before: str = ""
    ledger: tuple[LedgerRow, ...] = ()
    changes: tuple[Change, ...] = ()

    ALSO = ("fitness",)

    @property
    def trim_is_known(self) -> bool:
        """True if heel and trim together can be told."""
        return self.working_heel is not None and self.working_trim is not None

    @property
    def counted(self) -> Fact:
        """How many findings there are of each severity, and how much is left to look at."""
        counts = {word: sum(item.severity == word for item in self.findings) for word in SEVERITIES}
        return fact("survey.counted", left=len(self.look_at), **counts)

    @property
    def attitude(self) -> Fact:
        """The heel and trim that places are told for, or which of them is not recorded."""
        if self.working_heel is None:
            return fact("survey.no_heel")
        if self.working_trim is None:
            return fact("survey.no_trim")
        heel, trim = amount("angle", self.working_heel), amount("angle", self.working_trim)
        return fact("survey.heel_and_trim", heel=heel, trim=trim)

    @property
    def bilge(self) -> Fact:
        """What the bilge pumps deliver together."""
        if self.bilge_capacity is None:
            return fact("survey.bilge_not_recorded")
        if self.bilge_capacity == 0.0:
            return fact("survey.bilge_without_pump")
        return fact("survey.bilge_delivers", capacity=amount("flow", self.bilge_capacity))

    @property
    def fitness(self) -> str:
        """Whether she is fit for use, by what was found and, where that is good, by what was seen.

        NOT_SEEN where nothing found is critical or major, but a critical question is open.
        """
        if not self.is_fit:
            return NOT_FIT
        return NOT_SEEN if self.open_at(SEVERITIES[0]) else FIT

    @property
    def headline(self) -> Fact:
        """Whether she is fit for use, as the card and the record say it first."""
        if self.found_at(SEVERITIES[0]):
            return fact("survey.card_not_fit_at_all")
        if self.fitness == FIT and self.points_told == self.points_seen:
            return fact("survey.card_fit_told")
        return fact(_HEADLINES[self.fitness], open=len(self.open_at(SEVERITIES[0])))

    def found_at(self, severity: str) -> tuple[Finding, ...]:
        """Return the findings of a severity."""
        return tuple(item for item in self.findings if item.severity == severity)

    def open_at(self, severity: str) -> tuple[LookAt, ...]:
        """Return the open questions of a severity."""
        return tuple(item for item in self.look_at if item.severity == severity)

    @property
    def coverage(self) -> Fact:
        """How many of the critical and major points were seen."""
        counts = {"seen": self.points_seen, "points": self.points}
        rest: dict[str, Any] = {"not_accessible": self.points_not_accessible}
        if self.points_before:
            rest |= {"now": self.points_now, "before": self.points_before, "on": self.seen_before}
        if not self.points_told:
            return fact("survey.coverage", **counts, **rest)
        return fact("survey.coverage_told", **counts, told=self.points_told, **rest)

    @property
    def is_fit(self) -> bool:
        """True if nothing found is critical or major."""
        return all(item.severity not in SEVERITIES[:2] for item in self.findings)


def survey(
    case: Case,
    record: Record | None = None,
    partial: Mapping[Address, Mapping[str, Any]] | None = None,
    overruled: tuple[Overruled, ...] = (),
    earlier: tuple[Followed, ...] = (),
) -> Survey:
    """Return the survey of a case.

    `partial` is what answers told of tables that lack something still, `overruled` where an answer
    took the place of what was recorded, `earlier` the findings of the visit before.
    """
    evidence = evidence_of(case, partial)
    others = varied(evidence)
    by_rule = judged_surely(evidence, others)
    told = [(rule, item) for rule, verdicts in by_rule for item in verdicts]
    record = record or last_visit(case)
    today = day_of(record.date)
    followed_up = earlier_findings(earlier, case.finding)
    hung = Hung(case, tuple(told), rows_of(evidence), followed_up, today)
    findings = hung.findings(evidence)
    tables = asdict(points_of(case, told, hung.rows, hung.row_of, today))
    tables |= {name: same_rows(make, evidence, others) for name, make in _TABLES.items()}
    return Survey(
        boat=case.boat.name,
        hull=None if is_open(case, "boat", "hull") else case.boat.hull,
        record=record,
        waterlines=same_rows(attrgetter("waterlines"), evidence, others),
        working_heel=evidence.working_heel,
        findings=findings,
        look_at=look_at(case, told),
        kept=tuple(rule.id for rule, items in by_rule if {*map(type, items)} == {Kept}),
        bilge_capacity=_bilge_capacity(evidence),
        bilge_pumps=tuple(item.name for item in evidence.boat.bilge_pump),
        shared=tuple(_shared(case)),
        working_trim=evidence.working_trim,
        invented_parts=any(loop.part and loop.part.invented for loop in evidence.loops),
        simplified=_simplified(case),
        assumptions=_assumptions(evidence),
        cautions=tuple(_cautions(case)),
        overruled=overruled,
        ledger=tuple(hung.ledger(findings)),
        changes=hung.changes(),
        **tables,
    )


def followed(answer: Survey) -> tuple[Followed, ...]:
    """Return the findings of a survey as a later visit follows them up."""
    return tuple(
        Followed(number=item.number, thing=item.where, rule=item.rule, state=item.state, on=item.on)
        for item in answer.findings
    )


def _cautions(case: Case) -> Iterator[Caution]:
    """Yield the cautions; shutting a seacock is no advice where one does not shut."""
    stuck = named_cautions(("stuck_seacock",)) if any(map(is_stuck, case.seacock)) else ()
    instead = {item.title: item for item in stuck}
    for item in cautions("survey", high_voltage=case.high_voltage):
        yield instead.get(item.title, item)


def _bilge_capacity(evidence: Evidence) -> float | None:
    known = [item.capacity for item in evidence.boat.bilge_pump if item.capacity is not None]
    return sum(known) if known else None


def _shared(case: Case) -> Iterator[Shared]:
    for item in case.intakes:
        if item.also_feeds:
            yield Shared(item.name, tuple(user.name for user in item.also_feeds))


def _simplified(case: Case) -> tuple[Fact, ...]:
    """Return what the survey leaves out or takes as simpler than it is."""
    edge = fact("survey.sharp_edge", coefficient=SHARP_EDGE, times=1.0 / SHARP_EDGE)
    multihull = "multihull" in case.boat.hull and not is_open(case, "boat", "hull")
    one_volume = (fact("survey.one_volume"),) if multihull else ()
    return (fact("survey.no_sinkage"), edge, *one_volume)


def _assumptions(evidence: Evidence) -> tuple[Assumption, ...]:
    noted = [*evidence.case.assumptions]
    if evidence.case.boat.works_to_trim is None:
        noted += limits_used("survey_trim")
    for loop in evidence.loops:
        noted += [item for item in loop.built.assumptions if item not in noted]
    return tuple(noted)


def _openings(evidence: Evidence) -> tuple[OpenHose, ...]:
    told = ((AT_REST, evidence.openings()), (AS_SHE_WORKS, evidence.openings_heeled()))
    return tuple(
        OpenHose(item.name, item.depth, item.bore, item.flow, item.flow_at_one, when)
        for when, found in told
        for item in found
    )


def _strainers(evidence: Evidence) -> tuple[StrainerResult, ...]:
    return tuple(
        strainer_result(basket, loop.name, hose_before(loop, basket.name), loop.run)
        for loop in evidence.loops
        for basket in loop.loop.strainers
    )


_TABLES: dict[str, Callable[[Evidence], tuple[Any, ...]]] = {
    "openings": _openings,
    "places": placed,
    "trimmed": trimmed,
    "legs": run_legs,
    "starting_heads": starting_heads,
    "strainers": _strainers,
}
