"""How sure the choice of pump is: every candidate on the same sampled boats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.boats import over_boats
from seaflow.studies.design.certainty.find_out import (
    FindOut,
    TypicalValue,
    find_out,
    next_of,
    typical_of,
)
from seaflow.studies.design.certainty.sample import (
    FIRST,
    Dominant,
    PumpCertainty,
    Sample,
    certainty_of,
    dominants,
    sample,
    samples,
    verdicts,
)
from seaflow.studies.design.certainty.spreads import season
from seaflow.studies.design.choose import Ranked, in_order
from seaflow.studies.design.days_at_ends import N_DRAWS
from seaflow.studies.design.judge import judge_season
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.turns import Turn, choice, turns

TIGHT_AT = {
    "low": "design.low_end_is_tight",
    "high": "design.high_end_is_tight",
    "both": "design.both_ends_are_tight",
}
LEADS = 0.3  # of the variance of the flow, from which one input is said to lead; our assumption
MOST_KEPT = 2_000  # samples that are kept for the chosen pump; more are drawn again


@dataclass(frozen=True, slots=True)
class InputSpread:
    """One uncertain input as it was drawn."""

    label: str
    shape: str
    unit: str
    low: float
    high: float
    source: str | Fact


@dataclass(frozen=True, slots=True)
class Certainty:
    """How sure the answer for one loop is; `drawn` are the simulated days of the pump chosen.

    `typical` are the values that nobody looked at on this boat, and `find_out` what to look at
    next, that first which narrows the answer most; nothing where all is known.
    """

    n_samples: int
    seed: int
    season: Fact
    decides: Fact
    sea_low: float = measured("degC")
    sea_high: float = measured("degC")
    pumps: tuple[PumpCertainty, ...] = ()
    dominant: tuple[Dominant, ...] = ()
    inputs: tuple[InputSpread, ...] = ()
    turns: tuple[Turn, ...] = ()
    find_out: tuple[FindOut, ...] = ()
    typical: tuple[TypicalValue, ...] = ()
    drawn: Sample | None = field(default=None, compare=False)

    @property
    def leading(self) -> Dominant | None:
        """The input that moves the flow so much that it must be named; None where none does."""
        first = self.dominant[0] if self.dominant else None
        return first if first is not None and first.explains >= LEADS else None

    def of(self, pump: str) -> PumpCertainty | None:
        """Return the certainty of one pump by name."""
        return next((item for item in self.pumps if item.pump == pump), None)


@dataclass(frozen=True, slots=True)
class Sampling:
    """How many boats to sample, and the seed of the draws."""

    n_samples: int
    seed: int


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """Pumps in order of what simulated days say of them; nothing more where none were drawn.

    By pump stand what the days say, and the days, or a few of them.
    """

    order: tuple[Ranked, ...]
    says: Mapping[str, PumpCertainty] = field(default_factory=dict)
    days: Mapping[str, Sample] = field(default_factory=dict)


def held_to_days(case: Case, ranked: tuple[Ranked, ...], sampling: Sampling) -> Held:
    """Return candidates held to their aims by simulated days, and by the boats drawn of a case.

    All pumps meet the same sampled boats.
    """
    if sampling.n_samples < 1 or not ranked:
        return Held(ranked)
    pumps: dict[str, PumpCertainty] = {}
    judged, kept = [], {}
    many = sampling.n_samples > MOST_KEPT
    for some in [[item] for item in ranked] if many else [ranked]:
        pairs = [(case, item) for item in some]
        for again, certain, drawn in on_simulated_days(pairs, sampling):
            pumps[certain.pump] = certain
            judged.append(again)
            kept[certain.pump] = _few(case, again, sampling) if many else drawn
    return Held(over_boats(case, in_order(judged), sampling.seed), pumps, kept)


def certainty_with(
    case: Case, held: Held, needs: Mapping[str, UnitNeed], sampling: Sampling
) -> Certainty | None:
    """Return how sure the answer for a loop is; None where no days were drawn."""
    if sampling.n_samples < 1:
        return None
    first = held.order[0]
    results = tuple(held.says[item.result.part.name] for item in held.order)
    mine = held.days[first.result.part.name]
    if sampling.n_samples > MOST_KEPT:
        mine = sample(case, first.built, first.design, sampling.n_samples, sampling.seed)
    turned = turns(case, held.order, needs, held.days)
    return _certainty(case, first, mine, (results, needs, sampling, turned))


def on_simulated_days(
    items: Sequence[tuple[Case, Ranked]], sampling: Sampling
) -> list[tuple[Ranked, PumpCertainty, Sample]]:
    """Return candidates held to their aims by simulated days, what they say, and the days.

    Each comes with its boat; all run at once.
    """
    settings = [(case, item.built, item.design) for case, item in items]
    every = samples(settings, sampling.n_samples, sampling.seed)
    return [_held(*item, drawn) for item, drawn in zip(items, every, strict=True)]


def _held(case: Case, item: Ranked, drawn: Sample) -> tuple[Ranked, PumpCertainty, Sample]:
    found = certainty_of(case, drawn.built, drawn.point, item.result.part.name)
    judgement = judge_season(item.result.judgement, found)
    unseen: tuple[FindOut, ...] = ()
    if case.typical:
        enough = verdicts(case, drawn.built, drawn.point).keeps_rise
        unseen = find_out(drawn, drawn.point.total_flow(), enough)
    result = replace(item.result, judgement=judgement)
    return replace(item, result=result, unseen=unseen), found, drawn


def _few(case: Case, item: Ranked, sampling: Sampling) -> Sample:
    return sample(case, item.built, item.design, N_DRAWS, sampling.seed)


def _certainty(
    case: Case,
    chosen: Ranked,
    drawn: Sample,
    rest: tuple[tuple[PumpCertainty, ...], Mapping[str, UnitNeed], Sampling, tuple[Turn, ...]],
) -> Certainty:
    pumps, needs, sampling, turned = rest
    found = verdicts(case, drawn.built, drawn.point)
    answer = _least_margin(drawn.point, needs)
    ordered = dominants(drawn, answer, found.keeps_rise.astype(float))
    sea = season(case)
    return Certainty(
        n_samples=sampling.n_samples,
        seed=sampling.seed,
        season=sea.source,
        decides=_turning(turned[0], choice(chosen)) if turned else _decides(ordered, pumps),
        turns=turned,
        sea_low=min(sea.temperatures),
        sea_high=max(sea.temperatures),
        pumps=pumps,
        dominant=ordered[:FIRST],
        inputs=tuple(_shown(drawn)),
        find_out=next_of(chosen.unseen),
        typical=typical_of(case, chosen.unseen),
        drawn=drawn,
    )


def _least_margin(point: OperatingPoint, needs: Mapping[str, UnitNeed]) -> np.ndarray:
    """Return the flow of the worst unit over its need, in every sample."""
    ratios = [
        unit.volume_flow / needs[name].flow
        for name, unit in point.units.items()
        if name in needs and needs[name].flow > 0
    ]
    return np.min(ratios, axis=0) if ratios else point.total_flow()


def _decides(ordered: Sequence[Dominant], results: Sequence[PumpCertainty]) -> Fact:
    """Return which input to measure first where none turns the choice, and what depends on it."""
    best = max(ordered, key=lambda item: item.swing, default=None)
    moved = limit("likely_moved")
    if best is None or best.swing < moved:
        return fact("design.no_measurement_decides")
    first = fact(
        "design.measure_first",
        input=best.label,
        pump=results[0].pump,
        low=best.enough_low,
        high=best.enough_high,
        measure=best.measure,
    )
    surer = [item for item in results[1:] if item.keeps_rise > results[0].keeps_rise + moved]
    if not surer:
        return first
    other = min(surer, key=lambda item: item.bands[-1].middle)
    return fact("design.measure_or_take", first=first, other=other.pump, share=other.keeps_rise)


def _turning(turn: Turn, chosen: str) -> Fact:
    """Return what an input decides: which pump it would be at the ends that turn the choice.

    `chosen` is empty where no pump will do now, as is an end at which none does.
    """
    values = {"input": turn.label, "measure": turn.measure, "pump": chosen}
    if turn.tight:
        return fact(TIGHT_AT[turn.tight], **values)
    if not chosen:
        if turn.low:
            return fact("design.low_end_finds_one", **values, other=turn.low)
        return fact("design.high_end_finds_one", **values, other=turn.high)
    if not turn.low:
        return fact("design.low_end_leaves_none", **values)
    if not turn.high:
        return fact("design.high_end_leaves_none", **values)
    if chosen not in (turn.low, turn.high):
        return fact("design.both_ends_decide", **values, low=turn.low, high=turn.high)
    if turn.low != chosen:
        return fact("design.low_end_decides", **values, other=turn.low)
    return fact("design.high_end_decides", **values, other=turn.high)


def _shown(drawn: Sample) -> list[InputSpread]:
    return [
        InputSpread(
            item.label,
            item.spread.shape,
            item.spread.unit,
            item.spread.low,
            item.spread.high,
            item.spread.source,
        )
        for item in drawn.inputs
    ]
