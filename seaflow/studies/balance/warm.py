"""Warm water: units in a row, and discharge that the intake may swallow again."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from seaflow.base.sentence import quantity
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
    return SeriesUnit(
        unit=unit.name,
        behind=ahead,
        state=UNIT_STATES[int(here.state[0])],
        inlet_temperature=float(here.inlet_temperature[0]),
        warmer=float(here.inlet_temperature[0] - here.inlet_temperature[1]),
        cut_out_margin=_margin(here, 0),
        margin_with_sea_water=_margin(here, 1),
        power=float(here.power[0]),
        power_with_sea_water=float(here.power[1]),
    )


def _margin(unit: UnitPoint, index: int) -> float | None:
    return float(unit.cut_out_margin[index]) if int(unit.state[index]) == COOLING else None


def discharges_of(case: Case, built: Built) -> tuple[Discharge, ...]:
    """Return every outlet of the boat against every intake of the loop."""
    intakes = [thing for thing in built.network.things.values() if isinstance(thing, Intake)]
    return tuple(_discharge(outlet, intake) for intake in intakes for outlet in case.outlet)


def _discharge(outlet: Outlet, intake: Intake) -> Discharge:
    here, there = outlet.point, intake.point
    if here is None or there is None:
        words = "where they are is not recorded, so their distance cannot be told"
        return Discharge(outlet.name, intake.name, None, False, words)
    (aft, starboard, _), (intake_aft, intake_starboard, _) = here, there
    distance = math.dist(here, there)
    least = limit("outlet_distance")
    same_side = (
        min(abs(starboard), abs(intake_starboard)) > AMIDSHIPS and starboard * intake_starboard > 0
    )
    if distance < least:
        words = f"closer than {quantity('length', least)}: the warm water is swallowed again"
    elif same_side and aft < intake_aft:
        words = "on the same side and forward: a current along the hull carries it to the intake"
    else:
        side = "abaft the intake" if same_side else "not on the side of the intake"
        return Discharge(outlet.name, intake.name, distance, False, f"far enough, and {side}")
    return Discharge(outlet.name, intake.name, distance, True, words)


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


def _order(unit: UnitPoint, index: int) -> float:
    margin = _margin(unit, index)
    return -math.inf if margin is None else margin
