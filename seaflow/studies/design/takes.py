"""What a set of duties takes: compressors, pump, fans and controls, and for how long each runs.

The one basis of energy for every command. A compressor whose speed varies runs at the load asked
for, but not below its least; one of fixed speed is switched on and off. Either way its output
follows its condensing temperature, and that the water: so less water means a longer run. Each unit
is switched by its own thermostat, and the pump runs while any of them calls.

What a duty asks of a unit is a share of what it gives with its rated flow straight from the sea of
that duty. That depends on no pump and no hose, so that boats are compared by what they take to give
the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Number, Truths, ratio
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions, axis_length, take
from seaflow.model.loop import Loop
from seaflow.model.operate import operate, warmed
from seaflow.model.point import COOLING, HEATING, OFF, OperatingPoint, UnitPoint
from seaflow.model.thermal import run_unit
from seaflow.model.together import together
from seaflow.physics.water.seawater import seawater

ALWAYS = "always"  # how a pump runs that is never switched off in a duty
TOGETHER = 4096  # conditions: enough to pay for a call, few enough for the cache
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
    """Averages over a time in which the cooling or heating asked for is given; arrays by condition.

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
    return Task(at, duty.load, duty.pump == ALWAYS, duty.units)


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
    built: Built, now: Conditions, load: Array, machines: Machines, always: Any = False
) -> tuple[Averages, OperatingPoint]:
    """Return what it takes to give `load` times what the units are rated for, and the last point.

    `always` says where the pump runs all the time.
    """
    wide = _wide(now, load.shape[-1])
    asked = _asked(built.loop, wide, load)
    least = {name: machines.least.get(name, 1.0) for name in asked}
    shares = {name: np.clip(load, least[name], 1.0) for name in asked}
    point = operate(built.loop, replace(wide, load=shares))
    for _ in range(ROUNDS if min(least.values(), default=1.0) < 1.0 else 0):
        shares = {
            name: np.clip(_times(point, name, asked) * share, least[name], 1.0)
            for name, share in shares.items()
        }
        point = warmed(point, built.loop, replace(wide, load=shares))  # no flow hangs on load
    times = {name: _times(point, name, asked) for name in asked}
    on = {name: point.units[name].state != OFF for name in asked}
    size = load.shape[-1]
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
        cools=np.all([np.isin(state, (COOLING, HEATING, OFF)) for state in states], axis=0),
    )
    return found, point


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A duty, its load by boat, and the speed of the pump as a share of full speed."""

    duty: Duty
    load: Array
    speed: float = 1.0


def each_course(
    built: Built, now: Conditions, machines: Machines, asked: Sequence[Asked]
) -> Iterator[Averages]:
    """Yield what each duty takes on boats along the axis of `built`, `now` and `machines`.

    Many duties of all boats run at once.
    """
    width = asked[0].load.size if asked else 1
    many = max(1, TOGETHER // width)
    for start in range(0, len(asked), many):
        part = asked[start : start + many]
        each = np.tile(np.arange(width), len(part))
        here = replace(built, loop=take(built.loop, each))
        wide = replace(take(now, each), sea_temperature=now.sea_temperature)
        tasks = [task_of(one.duty, wide) for one in part]
        speed = np.repeat([one.speed for one in part], width)
        at = replace(along(here, tasks, width), pump_speed=speed)
        load = np.concatenate([one.load for one in part])
        always = np.repeat([task.always for task in tasks], width)
        found, _ = course(here, at, load, take(machines, each), always)
        for number in range(len(part)):
            yield take(found, slice(number * width, (number + 1) * width))


def _asked(loop: Loop, now: Conditions, load: Array) -> dict[str, Array]:
    """Return what is asked of each unit that is on: `load` times what it gives as rated [W]."""
    water, found = seawater(now.sea_temperature, now.salinity), {}
    sea = np.asarray(now.sea_temperature)
    for coil in loop.coils:
        flow = np.broadcast_to(np.asarray(coil.rated_flow, dtype=float), sea.shape)
        unit = run_unit(coil, now, water, (flow, sea), loop.rated_frequency)
        if not np.all(unit.state == OFF):
            found[coil.unit] = load * given(unit)
    return found


def given(unit: UnitPoint) -> Array:
    """Return what a unit gives to its cabin, cold or warm [W]."""
    return unit.cooling + unit.heating


def _times(point: OperatingPoint, name: str, asked: Mapping[str, Array]) -> Array:
    """Return the share of time in which a unit must run to give what is asked of it."""
    gives, off = given(point.units[name]), point.units[name].state == OFF
    needed = ratio(asked[name], gives, 1.0)
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


def energy_of_day(case: Case, built: Built, now: Conditions, duties: Sequence[Duty]) -> Array:
    """Return what the duties take in a day, for each boat along the axis of `built` and `now` [J].

    All duties of all boats run at once.
    """
    if not duties:
        return np.zeros(1)
    width = max(axis_length(built.loop), now.size)
    each = np.tile(np.arange(width), len(duties))
    wide = replace(take(now, each), sea_temperature=now.sea_temperature)
    here = replace(built, loop=take(built.loop, each))
    at = along(here, [task_of(duty, wide) for duty in duties], width)
    load, always, hours = (
        np.repeat(np.asarray(column), width)
        for column in (
            [duty.load for duty in duties],
            [duty.pump == ALWAYS for duty in duties],
            [duty.hours for duty in duties],
        )
    )
    found, _ = course(here, at, load, machines_of(case), always)
    return np.asarray((found.total * hours).reshape(len(duties), width).sum(axis=0))


def least_of_day(
    case: Case, built: Built, now: Conditions, duties: Sequence[Duty], speed: Number | None
) -> Array:
    """Return the same with the pump at full speed or at `speed`, whichever takes less [J]."""
    if speed is None:
        return energy_of_day(case, built, now, duties)
    width = max(axis_length(built.loop), now.size, np.size(speed))
    twice = np.tile(np.arange(width), 2)
    here = replace(built, loop=take(built.loop, twice))
    speeds = np.concatenate([np.ones(width), _row(speed, width)])
    both = energy_of_day(case, here, replace(take(now, twice), pump_speed=speeds), duties)
    return np.asarray(both.reshape(2, width).min(axis=0))


def least_of_days(
    case: Case,
    fleets: Sequence[tuple[Built, Conditions, Number | None]],
    duties: Sequence[Duty],
) -> list[Array]:
    """Return the same for several fleets, each with the speed of its pumps; all run at once."""
    found: dict[int, Array] = {}
    for group in together([(built.loop, now) for built, now, _ in fleets]):
        mine = [fleets[row] for row in group.rows]
        widths = [part.stop - part.start for part in group.parts]
        speeds = None
        if any(speed is not None for _, _, speed in mine):
            rows = zip((1.0 if it[2] is None else it[2] for it in mine), widths, strict=True)
            speeds = np.concatenate([_row(*row) for row in rows])
        days = least_of_day(case, replace(mine[0][0], loop=group.loop), group.now, duties, speeds)
        found |= {row: days[part] for row, part in zip(group.rows, group.parts, strict=True)}
    return [found[row] for row in range(len(fleets))]
