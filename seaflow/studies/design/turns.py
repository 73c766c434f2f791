"""Which uncertain or assumed input turns the choice of pump, if it lies at either of its ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.studies.design.at_ends import Needs, Pair, Trials, pairs_of
from seaflow.studies.design.certainty.sample import Sample
from seaflow.studies.design.certainty.spreads import Spread
from seaflow.studies.design.choose import PumpResult, Ranked, best_of
from seaflow.studies.design.days_at_ends import AskedAtEnds, AskedInputs
from seaflow.studies.design.judge import NO, YES

HOPELESS = 0.5  # of its least flow: a pump that falls so far short is not tried again
OF_THE_CURVE = ("design.left_on_its_curve", "design.right_on_its_curve")


@dataclass(frozen=True, slots=True)
class Turn:
    """An input with the pump chosen at the low and at the high end of its range.

    An end at which no pump will do has no name. `tight` names the ends at which the same pump stays
    chosen but is no plain yes any more: "low", "high" or "both".
    """

    label: str
    measure: str
    source: str | Fact
    low: str
    high: str
    tight: str


def turns(
    case: Case, order: Sequence[Ranked], needs: Needs, drawn: Mapping[str, Sample]
) -> tuple[Turn, ...]:
    """Return every input that turns the choice, assumptions first, then those that do at both ends.

    `order` are the judged candidates, best first; `drawn` holds some days of each.
    """
    trials = Trials(case, needs, {}, {})
    first = order[0]
    chosen = choice(first)
    (every,) = pairs_of(trials, [AskedAtEnds.of(case, first, drawn[first.result.part.name])])
    mine = {one[0]: one for one in every}
    falls = frozenset(
        label for label, _, pair in mine.values() if any(_is_worse(end, first) for end in pair)
    )
    spreads = {label: about for label, about, _ in mine.values()}
    pairs = [(first, {label: pair for label, _, pair in mine.values()})]
    others = [
        AskedAtEnds.of(
            case,
            item,
            drawn[item.result.part.name],
            _inputs(item, first, frozenset(spreads), falls),
        )
        for item in order[1:]
        if not _is_hopeless(item.result)
    ]
    for one, found in zip(others, pairs_of(trials, others), strict=True):
        pairs.append((one.item, {label: pair for label, _, pair in found}))
        for label, about, _ in found:
            spreads.setdefault(label, about)
    pairs += [(item, {}) for item in order[1:] if _is_hopeless(item.result)]
    told = (_turn(label, about, pairs) for label, about in spreads.items())
    return tuple(
        sorted(
            (item for item in told if item.tight or (item.low, item.high) != (chosen, chosen)),
            key=lambda item: (
                bool(item.tight),
                not spreads[item.label].assumed,
                chosen in (item.low, item.high),
            ),
        )
    )


def _inputs(
    item: Ranked, first: Ranked, every: frozenset[str], falls: frozenset[str]
) -> AskedInputs:
    """Return what a pump is asked of beside the first; it `falls` at an end of some."""
    if first.result.judgement.grade != YES:
        return AskedInputs(every, every)
    if not _may_beat(item.result, first.result):
        return AskedInputs(falls, falls)
    return AskedInputs(every, falls)


def choice(best: Ranked) -> str:
    """Return the name of the pump to take, the best being known; none if it will not do."""
    return best.result.part.name if best.result.judgement.recommended else ""


def _turn(label: str, about: Spread, pairs: list[tuple[Ranked, dict[str, Pair]]]) -> Turn:
    low, high = (
        choice(best_of(found.get(label, (item, item))[end] for item, found in pairs))
        for end in (0, 1)
    )
    first, found = pairs[0]
    tight = ""
    if label in found and low == high == choice(first):
        tight = _tight_at(first, found[label])
    return Turn(label, about.measure, about.source, low, high, tight)


def _tight_at(first: Ranked, pair: Pair) -> str:
    """Return the ends at which a pump that is a plain yes is one no more."""
    if first.result.judgement.grade != YES:
        return ""
    worse = [end.result.judgement.grade != YES for end in pair]
    return {(True, True): "both", (True, False): "low", (False, True): "high"}.get(
        (worse[0], worse[1]), ""
    )


def _is_worse(end: Ranked, now: Ranked) -> bool:
    """Return whether a pump has lost its grade, or won a remark."""
    was, is_ = now.result.judgement, end.result.judgement
    return is_.grade != was.grade or len(is_.remarks) > len(was.remarks)


def _may_beat(other: PumpResult, chosen: PumpResult) -> bool:
    """Return whether a pump might come before the chosen one while that is as good as now."""
    if chosen.judgement.grade != YES:
        return True
    kept = sum(item.kind not in OF_THE_CURVE for item in other.judgement.remarks)
    most = len(chosen.judgement.remarks)
    least, mine = chosen.energy_per_day, other.energy_per_day
    saves = least is None or mine is None or mine < least
    return kept < most or (kept == most and saves)


def _is_hopeless(result: PumpResult) -> bool:
    judged = result.judgement
    return judged.grade == NO and (not result.part.continuous or judged.shortfall > HOPELESS)
