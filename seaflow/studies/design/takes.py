"""What a set of duties takes: compressors, pump, fans and controls, and for how long each runs.

The one basis of energy for every command. A compressor whose speed varies runs at the load asked
for, but not below its least; one of fixed speed is switched on and off. Either way its output
follows its condensing temperature, and that the water: so less water means a longer run. Each unit
is switched by its own thermostat, and the pump runs while any of them calls.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Number, Truths
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions, axis_length
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OFF, OperatingPoint

ROUNDS = 5  # of load against output; each brings them a hundred times nearer


@dataclass(frozen=True, slots=True, eq=False)
class Machines:
    """What the units are to their electricity, by name.

    `least` is the least share of full output of a compressor, 1 for one of fixed speed; `fan` what
    its fan takes while it runs, `control` what its control takes all the time [W]. Units with one
    name in `thermostats` are switched together.
    """

    least: Mapping[str, float]
    fan: Mapping[str, Number]
    control: Mapping[str, Number]
    thermostats: Mapping[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Averages:
    """Averages over a time in which the cooling asked for is given; arrays by condition.

    `run_share` is the share of that time in which some unit calls and the pump runs. It passes one
    where the units cannot give so much: then they run on after it. `pump_now` is the pump's power
    while it runs.
    """

    flow: Array
    compressor: Array
    pump: Array
    fans: Array
    controls: Array
    pump_now: Array
    run_share: Array
    cools: Truths

    @property
    def total(self) -> Array:
        """Power of all that cooling takes [W]."""
        return self.units + self.pump

    @property
    def units(self) -> Array:
        """Power of compressors, fans and controls [W]."""
        return self.compressor + self.fans + self.controls


@dataclass(frozen=True, slots=True)
class Task:
    """A sea, a load, whether the pump runs all the time, and the units that run; all if none."""

    now: Conditions
    load: float
    always: bool = False
    units: tuple[str, ...] = ()


def machines_of(case: Case) -> Machines:
    """Return what the units of a boat are to their electricity."""
    share, control = default("unit.fan_share").value, default("unit.control_power").value
    return Machines(
        least={unit.name: unit.least_load or 1.0 for unit in case.unit},
        fan={
            unit.name: share * unit.cooling if unit.fan_power is None else unit.fan_power
            for unit in case.unit
        },
        control={unit.name: control for unit in case.unit},
        thermostats={unit.name: unit.thermostat or unit.name for unit in case.unit},
    )


def machines_assumed(case: Case) -> Iterator[Assumption]:
    """Yield what stands in for what the case leaves open of the units."""
    for unit in case.unit:
        if unit.least_load is None:
            yield assumed("unit.least_load", unit.name)
        if unit.fan_power is None:
            yield assumed("unit.fan_share", unit.name)
    yield assumed("unit.control_power", "units")


def task_of(duty: Duty, now: Conditions) -> Task:
    """Return a duty as conditions, load, whether the pump runs all the time, and its units."""
    sea = now.sea_temperature if duty.sea is None else duty.sea
    at = replace(now, sea_temperature=sea, boat_speed=duty.boat_speed or 0.0)
    return Task(at, duty.load, duty.pump == "always", duty.units)


def along(built: Built, tasks: Sequence[Task], width: int) -> Conditions:
    """Return the conditions of all tasks along one axis, each `width` times in a row.

    What tasks differ in may be a number or an array of that width.
    """
    changes: dict[str, Any] = {
        name: np.concatenate([_row(getattr(task.now, name), width) for task in tasks])
        for name in ("sea_temperature", "boat_speed")
    }
    if any(task.units for task in tasks):
        changes["running"] = {
            coil.unit: coil.switched_on
            & np.repeat([not task.units or coil.unit in task.units for task in tasks], width)
            for coil in built.loop.coils
        }
    return replace(tasks[0].now, **changes)


def _row(value: Any, width: int) -> Array:
    return np.broadcast_to(np.asarray(value, dtype=float), (width,))


def course(
    built: Built,
    now: Conditions,
    load: Array,
    machines: Machines,
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
    least = {name: machines.least.get(name, 1.0) for name in asked}
    shares = {name: np.clip(load, least[name], 1.0) for name in asked}
    for _ in range(ROUNDS if min(least.values(), default=1.0) < 1.0 else 0):
        point = operate(built.loop, replace(_wide(now, size), load=shares))
        shares = {
            name: np.clip(_times(point, name, asked) * share, least[name], 1.0)
            for name, share in shares.items()
        }
    point = operate(built.loop, replace(_wide(now, size), load=shares))
    times = {name: _times(point, name, asked) for name in asked}
    on = {name: point.units[name].state != OFF for name in asked}
    run_share = _calling(times, machines.thermostats, size)
    states = [unit.state for unit in point.units.values()]
    drawn, none = point.total_power(), np.zeros(size)
    found = Averages(
        flow=point.total_flow(),
        compressor=sum((times[name] * point.units[name].power for name in asked), none),
        pump=drawn * np.where(always, np.maximum(run_share, 1.0), run_share),
        fans=sum((times[name] * machines.fan.get(name, 0.0) for name in asked), none),
        controls=sum((on[name] * machines.control.get(name, 0.0) for name in asked), none),
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
    cooling, off = point.units[name].cooling, point.units[name].state == OFF
    needed = np.where(cooling > 0.0, asked[name] / np.where(cooling > 0.0, cooling, 1.0), 1.0)
    return np.where(off, 0.0, needed)


def _calling(times: Mapping[str, Array], thermostats: Mapping[str, str], size: int) -> Array:
    """Return the share of time in which any unit calls, each thermostat on its own."""
    groups: dict[str, Array] = {}
    for name, time in times.items():
        mine = thermostats.get(name, name)
        groups[mine] = np.maximum(groups.get(mine, np.zeros(size)), time)
    longest, resting = np.zeros(size), np.ones(size)
    for time in groups.values():
        longest = np.maximum(longest, time)
        resting = resting * (1.0 - np.minimum(time, 1.0))
    return np.maximum(longest, 1.0 - resting)


def _wide(now: Conditions, size: int) -> Conditions:
    """Return conditions whose axis is at least `size` long."""
    sea = np.broadcast_to(np.asarray(now.sea_temperature, dtype=float), (size,))
    return replace(now, sea_temperature=sea)


def energy_of_day(
    case: Case,
    built: Built,
    now: Conditions,
    duties: Sequence[Duty],
    standard: tuple[Built, Conditions] | None = None,
) -> Array:
    """Return what the duties take in a day, for each boat along the axis of `built` and `now` [J].

    `standard` is the boat whose full cooling the loads are shares of, if not this one: boats are
    compared by what they take to give the same.
    """
    machines = machines_of(case)
    width = max(axis_length(built.loop), now.size)
    total: Array = np.zeros(width)
    for duty in duties:
        task = task_of(duty, now)
        at, same = along(built, [task], width), standard
        if standard is not None:
            same = standard[0], along(standard[0], [task_of(duty, standard[1])], width)
        load = np.full(width, task.load)
        total += duty.hours * course(built, at, load, machines, task.always, same)[0].total
    return total
