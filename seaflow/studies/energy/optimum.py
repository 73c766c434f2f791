"""The pump speed, or the throttle, at which units and pump together take least.

Whatever it would save, the flow holds to the limits of the units.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions, take
from seaflow.model.elements import Coil, HoseRun, Pumping
from seaflow.model.point import COOLING, OFF, OperatingPoint
from seaflow.studies.design.judge import SLACK
from seaflow.studies.design.limits import limit
from seaflow.studies.design.takes import Averages, Task, along, course, machines_of

STEPS = 61  # speeds, or throttles, tried
N_SEAS = 4
LOADS = (0.25, 0.5, 0.75, 1.0)
LIKE_SPEED = 0.4  # least speed of the like pump with which a fixed one is compared
THROTTLES = (0.1, 1e4)  # loss coefficients on the bore of the hose after the pump
LEAST_GAIN = 0.5  # W; less is no gain that anybody would see


@dataclass(frozen=True, slots=True)
class Best:
    """The best setting at one sea and load, against full speed and no throttle.

    `setting` is a speed as a share of full speed, or the loss coefficient of a throttle; None
    where no setting holds to every limit. `units` is what compressors, fans and controls take.
    """

    set_by: Fact
    sea_temperature: float = measured("degC")
    load: float = measured("-")
    setting: float | None = measured("-", None)
    flow: float = measured("m3/s", 0.0)
    run_share: float = measured("-", 0.0)
    units: float = measured("W", 0.0)
    pump: float = measured("W", 0.0)
    fixed_flow: float = measured("m3/s", 0.0)
    fixed_units: float = measured("W", 0.0)
    fixed_pump: float = measured("W", 0.0)

    @property
    def gain(self) -> float:
        """Power saved against full speed [W]."""
        return (self.fixed_units - self.units) + (self.fixed_pump - self.pump)

    @property
    def gain_share(self) -> float:
        """Power saved as a share of what full speed takes."""
        total = self.fixed_units + self.fixed_pump
        return self.gain / total if total > 0 else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Bound:
    """One limit, and where along the conditions it holds."""

    says: Fact
    holds: Truths


def grid(case: Case, now: Conditions) -> tuple[Task, ...]:
    """Return the seas of the season and the loads over which the best setting is sought."""
    seas = np.linspace(case.sea.coldest, case.sea.warmest, N_SEAS)
    if case.sea.coldest >= case.sea.warmest:
        seas = np.asarray([case.sea.warmest])
    return tuple(
        Task(replace(now, sea_temperature=float(sea)), load) for sea in seas for load in LOADS
    )


def speeds_from(least: float) -> Array:
    """Return the speeds tried, the least of the pump first."""
    return np.linspace(least, 1.0, STEPS)


def throttles() -> Array:
    """Return the throttles tried, the tightest first and none at all last."""
    return np.concatenate([np.geomspace(THROTTLES[1], THROTTLES[0], STEPS - 1), [0.0]])


def best_settings(
    case: Case, built: Built, tasks: Sequence[Task], settings: Array, throttled: bool = False
) -> tuple[Best, ...]:
    """Return the best of the settings for each task; the last setting is full speed, unthrottled.

    All settings of all tasks run at once, through the forward model.
    """
    if not tasks:
        return ()
    tried = np.tile(settings, len(tasks))
    loop, now = built, replace(along(built, tasks, settings.size), pump_speed=1.0)
    if throttled:
        loop = _throttled(built, tried)
    else:
        now = replace(now, pump_speed=tried)
    load, always = (
        np.repeat(np.asarray(column), settings.size)
        for column in ([task.load for task in tasks], [task.always for task in tasks])
    )
    found, point = course(loop, now, load, machines_of(case), always)
    limits = bounds(case, built, point)
    return tuple(
        _best(task, settings, take(found, part), tuple(take(item, part) for item in limits))
        for task, part in zip(tasks, _parts(len(tasks), settings.size), strict=True)
    )


def _parts(n_tasks: int, width: int) -> list[slice]:
    return [slice(i * width, (i + 1) * width) for i in range(n_tasks)]


def _best(task: Task, settings: Array, found: Averages, limits: tuple[Bound, ...]) -> Best:
    holds = np.all([found.cools, *(item.holds for item in limits)], axis=0)
    best = int(np.argmin(np.where(holds, found.total, np.inf))) if holds.any() else -1
    return Best(
        set_by=_set_by(best, settings, limits),
        sea_temperature=float(np.asarray(task.now.sea_temperature)),
        load=task.load,
        fixed_flow=float(found.flow[-1]),
        fixed_units=float(found.units[-1]),
        fixed_pump=float(found.pump[-1]),
        setting=float(settings[best]) if best >= 0 else None,
        flow=float(found.flow[best]),
        run_share=float(found.run_share[best]),
        units=float(found.units[best]),
        pump=float(found.pump[best]),
    )


def _set_by(best: int, settings: Array, limits: Sequence[Bound]) -> Fact:
    """Say why it is this setting: a limit that the next slower one breaks, or least power."""
    if best < 0:
        failing = next((item.says for item in limits if not item.holds[-1]), None)
        if failing is None:
            return fact("energy.not_all_limits")
        return fact("energy.breaks", limit=failing)
    if best == 0:
        return fact("energy.least_setting")
    broken = next((item.says for item in limits if not item.holds[best - 1]), None)
    if broken is not None:
        return broken
    return fact("energy.full_speed" if best == settings.size - 1 else "energy.least_power")


def _throttled(built: Built, coefficients: Array) -> Built:
    """Return the loop with a throttle on the hose after each pump."""
    loop = built.loop
    for link in built.loop.links:
        for index, element in enumerate(link.elements):
            if not isinstance(element, Pumping):
                continue
            after = next((e for e in link.elements[index:] if isinstance(e, HoseRun)), None)
            if after is not None:
                loss = after.fittings_coefficient + coefficients
                loop = loop.changed(after, fittings_coefficient=loss)
    return replace(built, loop=loop)


def gain_of(found: Sequence[Best], throttled: bool = False) -> Fact:
    """Return what the best settings gain against full speed."""
    holding = [item for item in found if item.setting is not None]
    if not holding:
        kind = "energy.no_throttle_holds" if throttled else "energy.no_speed_holds"
        return fact(kind, why=found[-1].set_by)
    best = max(holding, key=lambda item: item.gain)
    if best.gain < LEAST_GAIN:
        return fact("energy.no_throttle_gains" if throttled else "energy.no_speed_gains")
    shares = [max(item.gain_share, 0.0) for item in holding]
    return fact(
        "energy.best_throttle" if throttled else "energy.best_speed",
        least=amount("power", max(min(item.gain for item in holding), 0.0)),
        most=amount("power", best.gain),
        least_share=min(shares),
        most_share=max(shares),
        sea=amount("temperature", best.sea_temperature),
        load=best.load,
    )


def bounds(case: Case, built: Built, point: OperatingPoint) -> tuple[Bound, ...]:
    """Return every limit that the flow must hold to, in the order in which they are named."""
    found = []
    for plate in built.network.units_by_size:
        coil = next(item for item in built.loop.coils if item.unit == plate.name)
        unit = point.units[coil.unit]
        off = unit.state == OFF
        if off.all():
            continue
        here = [
            Bound(fact("energy.runs", unit=coil.unit), unit.state == COOLING),
            *_flows(coil, unit.volume_flow),
            *_velocities(case, coil, unit.volume_flow),
            *_temperatures(case, coil, unit.temperature_rise, unit.cut_out_margin),
        ]
        found += [Bound(item.says, np.asarray(item.holds | off)) for item in here]
    return tuple(found)


def _flows(coil: Coil, flow: NDArray[np.float64]) -> list[Bound]:
    least, most = coil.flow_limits
    found = []
    if least is not None:
        says = fact("energy.least_flow", unit=coil.unit, flow=amount("flow", least))
        found.append(Bound(says, flow >= least * (1.0 - SLACK)))
    if most is not None:
        says = fact("energy.most_flow", unit=coil.unit, flow=amount("flow", most))
        found.append(Bound(says, flow <= most * (1.0 + SLACK)))
    return found


def _velocities(case: Case, coil: Coil, flow: NDArray[np.float64]) -> list[Bound]:
    known = coil.velocity(flow)
    if known is None:
        return []
    velocity = np.asarray(known)
    slowest, fastest = coil_velocities(case, coil.unit)
    says = fact("energy.silt", unit=coil.unit, velocity=amount("velocity", slowest))
    found = [Bound(says, velocity >= slowest * (1.0 - SLACK))]
    if fastest is not None:
        says = fact("energy.alloy", unit=coil.unit, velocity=amount("velocity", fastest))
        found.append(Bound(says, velocity <= fastest * (1.0 + SLACK)))
    return found


def coil_velocities(case: Case, unit: str) -> tuple[float, float | None]:
    """Return the least velocity in a unit's coil, and the most that its alloy stands [m/s]."""
    alloy = next((item.alloy for item in case.unit if item.name == unit), None)
    if alloy is None:
        return limit("silt_velocity"), None
    least = case.catalogue.slowest_water(alloy)
    return least or limit("silt_velocity"), case.catalogue.fastest_water(alloy)[1]


def _temperatures(
    case: Case, coil: Coil, rise: NDArray[np.float64], margin: NDArray[np.float64]
) -> list[Bound]:
    own = next((item.permitted_rise for item in case.unit if item.name == coil.unit), None)
    most = own or case.design.permitted_rise
    least = case.design.cut_out_margin
    return [
        Bound(
            fact("energy.rise", unit=coil.unit, rise=amount("rise", most)),
            rise <= most * (1.0 + SLACK),
        ),
        Bound(
            fact("energy.cut_out", unit=coil.unit, rise=amount("rise", least)),
            np.nan_to_num(margin, nan=-1.0) >= least,
        ),
    ]
