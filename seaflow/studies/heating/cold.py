"""How cold the sea may be, and how little water, before ice may form in a coil that heats."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Truths
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.defaults import default
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil
from seaflow.model.operate import operate
from seaflow.model.point import HEATING, OFF, UnitPoint
from seaflow.model.thermal import run_unit
from seaflow.physics.water.seawater import freezing_temperature, seawater

WARMEST = 25.0  # degC, above which nobody heats
STEP = 0.02  # K between the seas tried
MOST_FLOW = 20.0  # times the rated flow: water that does not help there does not help at all
FLOW_STEPS = 2000


@dataclass(frozen=True, slots=True)
class ColdestSea:
    """The coldest sea in which nothing freezes, and what sets it; None if even warm seas fail."""

    set_by: Fact
    temperature: float | None = measured("degC")


def no_ice(coil: str, unit: UnitPoint, freezing: float) -> tuple[tuple[Fact, Truths], ...]:
    """Return what happens past each limit of a coil that heats, and where the limit holds."""
    margin = default("heating.freezing_margin").value
    off = unit.state == OFF
    wall = np.nan_to_num(unit.wall_temperature, nan=-np.inf)
    return (
        (fact("heating.no_water", unit=coil), (unit.state == HEATING) | off),
        (
            fact("heating.near_freezing", unit=coil, margin=amount("rise", margin)),
            (unit.outlet_temperature >= freezing + margin) | off,
        ),
        (fact("heating.wall_ices", unit=coil), (wall >= freezing) | off),
    )


def coldest_sea(built: Built, now: Conditions) -> ColdestSea:
    """Return the coldest sea at which no unit of the loop comes near ice under `now`."""
    freezing = float(freezing_temperature(float(np.asarray(now.salinity))))
    seas = np.arange(freezing + STEP, WARMEST, STEP)
    point = operate(built.loop, replace(now, sea_temperature=seas))
    limits = [
        limit
        for coil in sorted(built.loop.coils, key=lambda coil: built.loop.place_of(coil.unit))
        if coil.heating is not None
        for limit in no_ice(coil.unit, point.units[coil.unit], freezing)
    ]
    holds = np.all([truths for _, truths in limits], axis=0)
    first = int(np.max(np.nonzero(~holds)[0])) + 1 if not holds.all() else 0
    failing = [says for says, truths in limits if not truths[max(first - 1, 0)]]
    set_by = failing[0] if failing else fact("heating.sea_freezes")
    return ColdestSea(set_by, float(seas[first]) if first < seas.size else None)


def least_flow(coil: Coil, now: Conditions) -> float | None:
    """Return the least flow with which a unit heats clear of ice, or None if no flow does."""
    freezing = float(freezing_temperature(float(np.asarray(now.salinity))))
    water = seawater(now.sea_temperature, now.salinity)
    flows = np.linspace(0.0, MOST_FLOW * float(coil.rated_flow), FLOW_STEPS + 1)[1:]
    inlet = np.full(flows.shape, float(np.asarray(now.sea_temperature)))
    unit = run_unit(replace(coil, switched_on=True), now, water, (flows, inlet))
    holds = np.all([truths for _, truths in no_ice(coil.unit, unit, freezing)], axis=0)
    first = int(np.max(np.nonzero(~holds)[0])) + 1 if not holds.all() else 0
    return None if first >= flows.size else float(flows[first])
