"""How cold the sea may be, and how little water, before ice may form in a coil that heats."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.defaults import default
from seaflow.model.conditions import Conditions, axis_length
from seaflow.model.elements import Coil
from seaflow.model.point import HEATING, OFF, UnitPoint
from seaflow.model.thermal import run_unit
from seaflow.model.together import Setting, operate_all
from seaflow.physics.water.seawater import freezing_temperature, seawater

WARMEST = 25.0  # degC, above which nobody heats
STEP = 0.02  # K between the seas tried
STRIDE = 16  # of them, between those that are tried first
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


def coldest_seas(settings: Sequence[Setting]) -> list[ColdestSea]:
    """Return for each loop the coldest sea at which no unit comes near ice under its conditions.

    Warmer water flows more freely and is further from ice, so seas far apart tell between which two
    the last limit is left behind, and all between those are looked at; every loop at once.
    """
    every = [_seas(now) for _, now in settings]
    rough = [np.union1d(np.arange(0, seas.size, STRIDE), seas.size - 1) for seas in every]
    found: dict[int, ColdestSea] = {}
    closely: dict[int, NDArray[np.intp]] = {}
    for row, limits in enumerate(_limits(settings, every, rough)):
        after = _after_the_last(limits)
        if 0 < after < rough[row].size:
            closely[row] = np.arange(rough[row][after - 1], rough[row][after] + 1)
        else:
            found[row] = _coldest(limits, every[row][rough[row]])
    rows = list(closely)
    near = _limits([settings[row] for row in rows], [every[row] for row in rows], closely.values())
    for row, limits in zip(rows, near, strict=True):
        found[row] = _coldest(limits, every[row][closely[row]])
    return [found[row] for row in range(len(settings))]


_Limits = Sequence[tuple[Fact, Truths]]


def _seas(now: Conditions) -> Array:
    return np.arange(freezing_of(now) + STEP, WARMEST, STEP)


def freezing_of(now: Conditions) -> float:
    """Return the temperature at which the water of a loop freezes [degC]."""
    return float(freezing_temperature(float(np.asarray(now.salinity))))


def _limits(
    settings: Sequence[Setting], seas: Sequence[Array], which: Iterable[NDArray[np.intp]]
) -> list[_Limits]:
    """Return the limits of each loop, and in which of its seas each holds."""
    asked = [
        (loop, replace(now, sea_temperature=mine[places]))
        for (loop, now), mine, places in zip(settings, seas, which, strict=True)
    ]
    points = operate_all(asked, [axis_length(now) for _, now in asked])
    return [
        [
            limit
            for coil in sorted(loop.coils, key=lambda coil: loop.place_of(coil.unit))
            if coil.heating is not None
            for limit in no_ice(coil.unit, point.units[coil.unit], freezing_of(now))
        ]
        for (loop, now), point in zip(asked, points, strict=True)
    ]


def _after_the_last(limits: _Limits) -> int:
    """Return the place from which on all limits hold."""
    holds = np.all([truths for _, truths in limits], axis=0)
    return int(np.max(np.nonzero(~holds)[0])) + 1 if not holds.all() else 0


def _coldest(limits: _Limits, seas: Array) -> ColdestSea:
    first = _after_the_last(limits)
    failing = [says for says, truths in limits if not truths[max(first - 1, 0)]]
    set_by = failing[0] if failing else fact("heating.sea_freezes")
    return ColdestSea(set_by, float(seas[first]) if first < seas.size else None)


def least_flow(coil: Coil, now: Conditions) -> float | None:
    """Return the least flow with which a unit heats clear of ice, or None if no flow does."""
    freezing, water = freezing_of(now), seawater(now.sea_temperature, now.salinity)
    flows = np.linspace(0.0, MOST_FLOW * float(coil.rated_flow), FLOW_STEPS + 1)[1:]
    inlet = np.full(flows.shape, float(np.asarray(now.sea_temperature)))
    unit = run_unit(replace(coil, switched_on=True), now, water, (flows, inlet))
    first = _after_the_last(no_ice(coil.unit, unit, freezing))
    return None if first >= flows.size else float(flows[first])
