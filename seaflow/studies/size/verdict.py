"""What stands first in the answer for a loop: which pump, why, where it runs, and how sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from seaflow.base.facts import Fact, amount, fact
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.cured import left_by_cures
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.likelihood import Certainty
from seaflow.studies.design.limits import limit
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt

WHY = {YES: "size.all_hold", TIGHT: "size.musts_hold", NO: "size.none_hold"}


@dataclass(frozen=True, slots=True)
class SizeVerdict:
    """The answer for one loop in the order in which it is read.

    `grade` is yes, tight or no, `decides` what makes it so, `cure` what would mend that, and
    `cure_leaves` what it would not;
    `measure` is what to find out first, where anything was sampled; `next` is None for a yes.
    """

    grade: str
    pump: Fact
    why: Fact
    decides: Fact | None
    cure: Fact | None
    cure_leaves: Fact | None
    runs_at: Fact
    units: tuple[Fact, ...]
    how_sure: Fact
    measure: Fact | None
    place: Fact
    next: Fact | None


def verdict_on(
    pumps: Sequence[PumpResult], needs: Sequence[UnitNeed], certainty: Certainty | None
) -> SizeVerdict:
    """Return the verdict on pumps that are in order, best first."""
    best = pumps[0]
    grade = best.judgement.grade
    return SizeVerdict(
        grade=grade,
        pump=_pump(best, len(pumps)),
        why=_why(pumps),
        decides=best.judgement.decides,
        cure=best.judgement.cure,
        cure_leaves=left_by_cures(best.judgement.rulings),
        runs_at=_runs_at(best),
        units=tuple(_unit(need, best.design) for need in needs),
        how_sure=_how_sure(best, certainty),
        measure=None if certainty is None else certainty.decides,
        place=_place(best),
        next=None if grade == YES else fact("size.improve_helps"),
    )


def _pump(best: PumpResult, tried: int) -> Fact:
    kind = "size.pump"
    if best.fitted:
        kind = "size.asked_pump" if best.asked_for else "size.fitted_pump"
    part = best.part
    name = fact(kind, pump=pump_named(part.title, part.name))
    if best.judgement.recommended:
        return name
    if tried == 1:
        return fact("size.not_this_pump", nearest=name)
    return fact("size.no_pump", tried=tried, nearest=name)


def _why(pumps: Sequence[PumpResult]) -> Fact:
    """Return how many pumps do as well as the first, and how the one fitted now does."""
    best = pumps[0]
    grade = best.judgement.grade
    alike = sum(result.judgement.grade == grade for result in pumps)
    kind = "size.only_one" if grade == YES and alike == 1 else WHY[grade]
    why = fact(kind, pumps=alike, worst_cases=len(best.at))
    fitted = next((result for result in pumps if result.fitted and result is not best), None)
    if fitted is None or fitted.judgement.decides is None:
        return why
    said, cure = fitted.judgement.decides, fitted.judgement.keeps_with
    if cure is not None:
        return fact("size.fitted_cured", why=why, reason=said, cure=cure)
    kind = "size.fitted_fails" if fitted.judgement.grade == NO else "size.fitted_is_tight"
    return fact(kind, why=why, reason=said)


def _runs_at(best: PumpResult) -> Fact:
    at = best.design
    if at.flow <= 0:
        return fact("size.moves_nothing", ending=at.ending)
    runs = fact(
        "size.runs_at_typical" if best.part.power_is_typical else "size.runs_at",
        flow=amount("flow", at.flow),
        head=amount("head", at.head),
        part=part_of_curve(at.share_of_free_flow),
        share=at.share_of_free_flow,
        power=amount("power", at.power),
    )
    if best.n_pumps > 1:
        runs = fact("size.runs_together", runs=runs, pumps=best.n_pumps)
    if at.ending != "flowing":
        runs = fact("size.runs_but", runs=runs, ending=at.ending)
    if best.setting is None:
        return runs
    power = amount("power", best.setting.power)
    return fact("size.runs_slower", runs=runs, speed=best.setting.speed, power=power)


def part_of_curve(share: float) -> Fact:
    """Return on which part of its curve a pump runs."""
    if share < limit("free_flow_least"):
        return fact("size.far_left")
    if share > limit("free_flow_most"):
        return fact("size.far_right")
    return fact("size.middle")


def _unit(need: UnitNeed, at: PumpAt) -> Fact:
    unit = next(unit for unit in at.units if unit.name == need.name)
    needed = fact(
        "size.unit_needs",
        unit=need.name,
        cooling=amount("heat", need.cooling),
        flow=amount("flow", need.flow),
        set_by=need.set_by,
    )
    if unit.state != "cooling":
        return fact("size.unit_fails", needs=needed, state=unit.state)
    told = {
        "needs": needed,
        "flow": amount("flow", unit.flow),
        "leaves": amount("temperature", unit.outlet_temperature),
        "rise": amount("rise", unit.temperature_rise),
    }
    if unit.margin is None:
        return fact("size.unit_gets", **told)
    return fact("size.unit_gets_over", margin=unit.margin, **told)


def _how_sure(best: PumpResult, found: Certainty | None) -> Fact:
    held = [at for at in best.at if at.asks != "most"]
    worst = min(held, key=lambda at: at.flow)
    dirtiest = fact("size.least_flow", flow=amount("flow", worst.flow), where=worst.where)
    mine = None if found is None else found.of(best.part.name)
    if found is None or mine is None:
        return fact("size.how_sure_without_days", worst=dirtiest)
    flow = mine.bands[0]
    starts = not any(one.kind.startswith("start.") for one in best.judgement.reasons)
    return fact(
        "size.how_sure" if starts else "size.how_sure_once",
        days=found.n_samples,
        running=mine.keeps_running,
        rise=mine.keeps_rise,
        flow=(amount("flow", flow.low), amount("flow", flow.high)),
        worst=dirtiest,
    )


def _place(best: PumpResult) -> Fact:
    if best.part.self_priming:
        return fact("size.place_low")
    return fact("size.place_under_water", depth=amount("height", limit("pump_below_water")))
