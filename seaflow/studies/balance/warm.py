"""Warm water: units in a row, and discharge that the intake may draw back in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Intake, Outlet, Unit
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, UNIT_STATES, UnitPoint
from seaflow.studies.balance.answer import Discharge, Recirculation, SeriesUnit
from seaflow.studies.design.limits import limit

SHARES = (0.0, 0.05, 0.10, 0.20)
FLOW_DIGITS = 9  # of m3/s, by which two flows are told apart
TOLD_SHARE = 0.10  # of which the head of the answer speaks
AMIDSHIPS = 0.05  # m from the centreline within which a hole lies on neither side


def series_of(built: Built, now: Conditions) -> tuple[SeriesUnit, ...]:
    """Return every unit that gets water from another, with all of them on."""
    found = []
    for unit in built.network.units:
        before = upstream(built.network, unit.name)
        ahead = tuple(other.name for other in built.network.units if other.name in before)
        if ahead:
            found.append(_in_series(built, unit, ahead, now))
    return tuple(found)


def _in_series(built: Built, unit: Unit, ahead: tuple[str, ...], now: Conditions) -> SeriesUnit:
    on = {coil.unit: np.asarray([True, coil.unit not in ahead]) for coil in built.loop.coils}
    point = operate(built.loop, replace(now, running=on))
    here = point.units[unit.name]
    state = UNIT_STATES[int(here.state[0])]
    return SeriesUnit(
        unit=unit.name,
        behind=ahead,
        state=state,
        says=_says(unit.name, ahead, here),
        inlet_temperature=float(here.inlet_temperature[0]),
        warmer=float(here.inlet_temperature[0] - here.inlet_temperature[1]),
        cut_out_margin=_margin(here, 0),
        margin_with_sea_water=_margin(here, 1),
        power=float(here.power[0]),
        power_with_sea_water=float(here.power[1]),
    )


def _says(unit: str, ahead: tuple[str, ...], at: UnitPoint) -> tuple[Fact, ...]:
    """Return what a unit in series gets, what that costs it, and what to do."""
    inlet, from_sea = (float(value) for value in at.inlet_temperature)
    said = [
        fact(
            "balance.in_series",
            unit=unit,
            ahead=ahead,
            inlet=amount("temperature", inlet),
            warmer=amount("rise", inlet - from_sea),
        )
    ]
    left, otherwise = _margin(at, 0), _margin(at, 1)
    if left is None:
        said.append(fact("balance.series_stops", unit=unit))
    elif otherwise is not None:
        more = float(at.power[0]) / float(at.power[1]) - 1.0
        left_, fresh = amount("rise", left), amount("rise", otherwise)
        said.append(fact("balance.series_costs", left=left_, fresh=fresh, more=more))
    return (*said, fact("balance.pipe_in_parallel"))


def _margin(unit: UnitPoint, index: int) -> float | None:
    return float(unit.cut_out_margin[index]) if int(unit.state[index]) == COOLING else None


def discharges_of(case: Case, built: Built) -> tuple[Discharge, ...]:
    """Return every outlet of the boat against every intake of the loop."""
    intakes = [thing for thing in built.network.things.values() if isinstance(thing, Intake)]
    return tuple(_discharge(outlet, intake) for intake in intakes for outlet in case.outlet)


def _discharge(way_out: Outlet, way_in: Intake) -> Discharge:
    outlet, intake = way_out.name, way_in.name
    here, there = way_out.point, way_in.point
    if here is None or there is None:
        return Discharge(outlet, intake, fact("balance.unplaced", outlet=outlet, intake=intake))
    (aft, starboard, _), (intake_aft, intake_starboard, _) = here, there
    distance, least = math.dist(here, there), limit("outlet_distance")
    away = amount("length", distance)
    same_side = (
        min(abs(starboard), abs(intake_starboard)) > AMIDSHIPS and starboard * intake_starboard > 0
    )
    risk = distance < least or (same_side and aft < intake_aft)
    if distance < least:
        least_ = amount("length", least)
        says = fact("balance.too_near", outlet=outlet, intake=intake, away=away, least=least_)
    elif risk:
        says = fact("balance.forward", outlet=outlet, intake=intake, away=away)
    elif same_side:
        says = fact("balance.abaft", outlet=outlet, intake=intake, away=away)
    else:
        says = fact("balance.other_side", outlet=outlet, intake=intake, away=away)
    return Discharge(outlet, intake, says, distance, risk)


def recirculation_of(built: Built, now: Conditions) -> tuple[Recirculation, ...]:
    """Return what shares of discharge in the intake water cost, with all units on."""
    shares = np.asarray(SHARES)
    on = {coil.unit: True for coil in built.loop.coils}
    point = operate(built.loop, replace(now, running=on, recirculated=shares))
    return tuple(_cost(point.units, index, now) for index in range(shares.size))


def _cost(units: Mapping[str, UnitPoint], index: int, now: Conditions) -> Recirculation:
    sea = float(np.asarray(now.sea_temperature))
    worst = min(units, key=lambda name: _order(units[name], index))
    unit = units[worst]
    warmest = max(float(item.outlet_temperature[index]) for item in units.values())
    return Recirculation(
        unit=worst,
        state=UNIT_STATES[int(unit.state[index])],
        share=SHARES[index],
        intake_warmer=min(float(item.inlet_temperature[index]) for item in units.values()) - sea,
        rise_over_sea=warmest - sea,
        cut_out_margin=_margin(unit, index),
        power=sum(float(item.power[index]) for item in units.values()),
    )


def drawn_back(found: tuple[Recirculation, ...]) -> Fact:
    """Return what the usual share of discharge at the intake would do."""
    clean, some = found[0], next(item for item in found if item.share == TOLD_SHARE)
    if clean.cut_out_margin is None:
        return fact("balance.not_cooling", unit=clean.unit)
    warmer = amount("rise", some.intake_warmer)
    if some.cut_out_margin is None:
        return fact("balance.drawn_back_stops", share=some.share, warmer=warmer, unit=some.unit)
    return fact(
        "balance.drawn_back",
        share=some.share,
        warmer=warmer,
        unit=some.unit,
        left=amount("rise", some.cut_out_margin),
        before=amount("rise", clean.cut_out_margin),
    )


def _order(unit: UnitPoint, index: int) -> tuple[float, float]:
    """Return how near a unit is to its cut-out, and what it gets where it cools no more."""
    margin = _margin(unit, index)
    if margin is None:
        return -math.inf, round(float(unit.volume_flow[index]), FLOW_DIGITS)
    return margin, 0.0
