"""Several units on one pump: from a case to an answer."""

from __future__ import annotations

from dataclasses import replace

from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.balance.answer import Balance, LoopBalance
from seaflow.studies.balance.branches import branches_of, states_of
from seaflow.studies.balance.setting import find_setting
from seaflow.studies.balance.trunk import trunk_of
from seaflow.studies.balance.warm import discharges_of, recirculation_of, series_of
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.which_pump import picked_loop
from seaflow.studies.design.worst_cases import worst_cases


def balance(case: Case, pump: str | None = None) -> Balance:
    """Return for every loop who starves, the setting of its valves, and its warm water.

    Raises
    ------
    SeaflowError
        If there is no such pump.
    """
    loops, invented = [], False
    for found in network.loops(case):
        answer, part = _balance_loop(case, found, pump)
        loops.append(answer)
        invented |= part.invented
    return Balance(
        boat=case.boat.name,
        hull=case.boat.hull,
        loops=tuple(loops),
        invented_parts=invented,
        sea_temperature=case.sea.warmest,
        cautions=cautions("balance"),
    )


def _balance_loop(case: Case, found: Network, pump: str | None) -> tuple[LoopBalance, PumpPart]:
    built, part, why = picked_loop(case, found, pump)
    needs = {need.name: need for need in unit_needs(case, built)}
    at = worst_cases(case)
    volts = [cable_drop(case, found.pumps[0], part, worst.conditions) for worst in at]
    now = replace(at[0].conditions, voltage=volts[0])
    branches = branches_of(built, needs)
    states, _ = states_of(built.loop, branches, now)
    several = len(branches) > 1
    setting = trunk = None
    if several:
        setting = find_setting(built.loop, branches, now, (at, volts), needs)
        trunk = trunk_of(case, built, part, needs, now)
    answer = LoopBalance(
        name=found.name,
        pump=part.name,
        pump_title=part.title,
        pump_why=why,
        states=states if several else states[:1],
        setting=setting,
        trunk=trunk,
        series=series_of(built, now),
        discharges=discharges_of(case, built),
        recirculation=recirculation_of(built, now),
        sea_temperature=case.sea.warmest,
    )
    return answer, part
