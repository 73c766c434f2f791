"""Several units on one pump: from a case to an answer."""

from __future__ import annotations

from dataclasses import replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.balance.answer import (
    Balance,
    LoopBalance,
    Sharing,
    Trunk,
    ValveSettings,
    sets,
)
from seaflow.studies.balance.branches import branches_of, sharing_of, trunk_of
from seaflow.studies.balance.setting import find_setting
from seaflow.studies.balance.warm import discharges_of, drawn_back, recirculation_of, series_of
from seaflow.studies.design.at_rest import left_at_rest, loops_in_use
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.certainty.find_out import next_of
from seaflow.studies.design.changes import network_named, with_throttles
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.judge import NO, Judgement, judge_start
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.which_pump import judged_with, picked_loop
from seaflow.studies.design.worst_cases import worst_cases

THIN = 0.1  # of need; less is soon lost to dirt and growth
JUST = 0.01  # of need: less is short by no more than rounding shows


def balance(case: Case, pump: str | None = None) -> Balance:
    """Return for every loop who starves, the setting of its valves, and its warm water.

    Raises
    ------
    SeaflowError
        If there is no such pump, or every unit is switched off.
    """
    loops, parts = [], []
    for found in loops_in_use(case):
        answer, part = _balance_loop(case.on_supply_of(found.pumps[0]), found, pump)
        loops.append(answer)
        parts.append(part)
    return Balance(
        boat=case.boat.name,
        hull=case.boat.hull,
        loops=tuple(loops),
        invented_parts=any(part.invented for part in parts),
        sea_temperature=case.sea.warmest,
        cautions=cautions("balance", [part.kind for part in parts], case.high_voltage),
        at_rest=left_at_rest(case),
    )


def _balance_loop(case: Case, found: Network, pump: str | None) -> tuple[LoopBalance, PumpPart]:
    built, part, why = picked_loop(case, found, pump)
    needs = {need.name: need for need in unit_needs(case, built)}
    at = worst_cases(case)
    volts = [cable_drop(case, found.pumps[0], part, worst.conditions) for worst in at]
    now = replace(at[0].conditions, voltage=volts[0])
    branches = branches_of(built, needs)
    sharing = sharing_of(built.loop, branches, now)
    several, starves = len(branches) > 1, bool(sharing[0].starving)
    setting = find_setting(built.loop, branches, now, (at, volts), needs) if several else None
    trunk = trunk_of(case, built, part, needs, now) if several else None
    item, with_set = judged_with(case, found, part), _with_set(case, found, part, setting)
    judgement, judged_set = item.result.judgement, None if with_set is None else with_set.judgement
    warm = recirculation_of(built, now)
    answer = LoopBalance(
        name=found.name,
        judgement=judgement,
        judged_set=judged_set,
        pump=part.name,
        pump_title=part.title,
        pump_why=why,
        invented=part.invented,
        water=_water(sharing[0]),
        drawn_back=drawn_back(warm),
        to_set=_to_set(setting, part, starves or sets(judgement, judged_set)),
        wider=_wider(trunk) if trunk is not None and starves else None,
        no_start=tuple(one for one in judge_start(item.result.start) if one.grade == NO),
        sharing=sharing if several else sharing[:1],
        setting=setting,
        trunk=trunk,
        series=series_of(built, now),
        discharges=discharges_of(case, built),
        recirculation=warm,
        sea_temperature=case.sea.warmest,
        n_pumps=built.loop.n_pumps,
        find_out=next_of(item.unseen),
        on_days=_on_days(judgement, judged_set),
        a_day=_a_day(item.result, with_set),
    )
    return answer, part


def _with_set(
    case: Case, found: Network, part: PumpPart, setting: ValveSettings | None
) -> PumpResult | None:
    """Return how the pump does with the valves set, None where none has to be."""
    if setting is None:
        return None
    rows = {hose.label: hose.row for hose in found.hoses}
    losses = {rows[row.hose]: row.loss for row in setting.branches if row.throttled}
    if not losses:
        return None
    changed = with_throttles(case, losses)
    return judged_with(changed, network_named(changed, found.name), part).result


def _on_days(now: Judgement, then: Judgement | None) -> Fact:
    """Return on how many simulated days all units keep their rise, as it is and valves set."""
    before = now.keeps_rise or 0.0
    if then is None:
        return fact("balance.on_days", share=before)
    return fact("balance.on_days_set", share=then.keeps_rise or 0.0, before=before)


def _a_day(now: PumpResult, then: PumpResult | None) -> Fact | None:
    """Return what all cooling takes in a day, as it is and with the valves set."""
    if now.energy_per_day is None:
        return None
    before = amount("energy", now.energy_per_day)
    if then is None or then.energy_per_day is None:
        return fact("balance.day", energy=before)
    return fact("balance.day_set", energy=amount("energy", then.energy_per_day), before=before)


def _water(now: Sharing) -> tuple[Fact, ...]:
    """Return who starves, or who comes nearest to it."""
    starving = tuple(
        fact(
            "balance.starves" if -item.margin >= JUST else "balance.starves_just",
            branch=item.branch,
            flow=amount("flow", item.flow),
            short=-item.margin,
            need=amount("flow", item.need),
        )
        for item in now.starving
    )
    if starving:
        return starving
    least = min(now.branches, key=lambda item: item.margin)
    if len(now.branches) == 1:
        flow = amount("flow", least.flow)
        return (fact("balance.only_one", branch=least.branch, flow=flow, margin=least.margin),)
    return (fact("balance.none_starves", branch=least.branch, margin=least.margin),)


def _to_set(setting: ValveSettings | None, part: PumpPart, helps: bool) -> tuple[Fact, ...]:
    """Return which valves to set, and what every branch gets then."""
    if setting is None:
        return ()
    valves = tuple(
        fact("balance.valve", hose=row.hose, loss=row.extra_loss)
        if row.turns is None
        else fact("balance.valve_turns", hose=row.hose, loss=row.extra_loss, turns=row.turns)
        for row in setting.branches
        if row.throttled
    )
    if not valves:
        return (fact("balance.alike_already"),)
    wide = tuple(row.hose for row in setting.branches if not row.throttled)
    said = [fact("balance.throttle", valves=valves, wide=wide)]
    if not setting.settled:
        said.append(fact("balance.best_found"))
    if not setting.meets:
        share = 1.0 + setting.margin
        if setting.settled:
            return (*said, fact("balance.pump_too_small", pump=part.name, share=share))
        return (*said, fact("balance.pump_too_small_unevenly", pump=part.name, share=share))
    more = max(setting.margin, 0.0)
    if helps:
        said.append(fact("balance.all_get_it", more=more))
    else:
        said.append(fact("balance.all_get_it_anyway", more=more))
    return (*said, fact("balance.thin")) if setting.margin < THIN else tuple(said)


def _wider(trunk: Trunk) -> Fact:
    """Return what wider hoses before all branches would do."""
    if not trunk.tried:
        return fact("balance.no_wider")
    found = trunk.enough
    if found is not None:
        bore = amount("bore", found.bore)
        return fact("balance.widen", hoses=len(trunk.hoses), bore=bore, margin=found.margin)
    best = max(trunk.tried, key=lambda item: item.margin)
    bore = amount("bore", best.bore)
    return fact("balance.wider_is_not_enough", bore=bore, branch=best.worst, short=-best.margin)
