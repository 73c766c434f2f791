"""What compressors and pump take together to give the cooling asked for.

A compressor whose speed varies runs at the load asked for, but not below its least; one of fixed
speed is switched on and off. Either way its output follows its condensing temperature, and that
the water: so less water means a longer run. All units are taken to switch together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Truths
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OFF, OperatingPoint

ROUNDS = 5  # of load against output; each brings them a hundred times nearer


@dataclass(frozen=True, slots=True, eq=False)
class Averages:
    """Averages over a time in which the cooling asked for is given; arrays by condition.

    `run_share` is the share of that time in which the machines run. It passes one where the units
    cannot give so much: then they run on after it. `pump_now` is the pump's power while it runs.
    """

    flow: Array
    compressor: Array
    pump: Array
    pump_now: Array
    run_share: Array
    cools: Truths

    @property
    def total(self) -> Array:
        """Power of compressors and pump together [W]."""
        return self.compressor + self.pump


def least_loads(case: Case) -> dict[str, float]:
    """Return the least share of full output of each compressor; 1 for one of fixed speed."""
    return {unit.name: unit.least_load or 1.0 for unit in case.unit}


def course(
    built: Built,
    now: Conditions,
    load: Array,
    least: Mapping[str, float],
    always: Any = False,
    standard: tuple[Built, Conditions] | None = None,
) -> tuple[Averages, OperatingPoint]:
    """Return what it takes to give `load` times the cooling of full load, and the last point.

    `standard` are loop and conditions of that full cooling, if not these. `always` says where the
    pump runs all the time.
    """
    size = load.shape[-1]
    reference, at = standard or (built, now)
    asked = _cooling(operate(reference.loop, _wide(replace(at, load={}), size)), load)
    shares = {name: np.clip(load, least.get(name, 1.0), 1.0) for name in asked}
    for _ in range(ROUNDS):
        point = operate(built.loop, replace(_wide(now, size), load=shares))
        shares = {
            name: np.clip(_times(point, name, asked) * share, least.get(name, 1.0), 1.0)
            for name, share in shares.items()
        }
    point = operate(built.loop, replace(_wide(now, size), load=shares))
    times = {name: _times(point, name, asked) for name in asked}
    run_share = np.max([np.zeros(size), *times.values()], axis=0)
    states = [unit.state for unit in point.units.values()]
    drawn = point.total_power()
    found = Averages(
        flow=point.total_flow(),
        compressor=sum((times[name] * point.units[name].power for name in asked), np.zeros(size)),
        pump=drawn * np.where(always, np.maximum(run_share, 1.0), run_share),
        pump_now=drawn,
        run_share=run_share,
        cools=np.all([(state == COOLING) | (state == OFF) for state in states], axis=0),
    )
    return found, point


def _cooling(point: OperatingPoint, load: Array) -> dict[str, Array]:
    return {
        name: load * unit.cooling
        for name, unit in point.units.items()
        if not np.all(unit.state == OFF)
    }


def _times(point: OperatingPoint, name: str, asked: Mapping[str, Array]) -> Array:
    """Return the share of time in which a unit must run to give what is asked of it."""
    cooling = point.units[name].cooling
    return np.where(cooling > 0.0, asked[name] / np.where(cooling > 0.0, cooling, 1.0), 1.0)


def _wide(now: Conditions, size: int) -> Conditions:
    """Return conditions whose axis is at least `size` long."""
    sea = np.broadcast_to(np.asarray(now.sea_temperature, dtype=float), (size,))
    return replace(now, sea_temperature=sea)
