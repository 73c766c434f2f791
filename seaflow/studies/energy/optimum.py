"""The pump speed, or the throttle, at which compressors and pump together take least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions, take
from seaflow.model.elements import HoseRun, Pumping
from seaflow.studies.energy.bounds import Bound, bounds
from seaflow.studies.energy.course import Averages, course, least_loads

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
    where no setting holds to every limit.
    """

    set_by: str
    sea_temperature: float = measured("degC")
    load: float = measured("-")
    setting: float | None = measured("-", None)
    flow: float = measured("m3/s", 0.0)
    run_share: float = measured("-", 0.0)
    compressor: float = measured("W", 0.0)
    pump: float = measured("W", 0.0)
    fixed_flow: float = measured("m3/s", 0.0)
    fixed_compressor: float = measured("W", 0.0)
    fixed_pump: float = measured("W", 0.0)

    @property
    def gain(self) -> float:
        """Power saved against full speed [W]."""
        return self.fixed_compressor + self.fixed_pump - self.compressor - self.pump

    @property
    def gain_share(self) -> float:
        """Power saved as a share of what full speed takes."""
        total = self.fixed_compressor + self.fixed_pump
        return self.gain / total if total > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Task:
    """A sea, a load and whether the pump runs all the time."""

    now: Conditions
    load: float
    always: bool = False


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
    loop, now = built, _along(tasks, settings.size)
    standard = replace(now, pump_speed=1.0)
    if throttled:
        loop = _throttled(built, tried)
    else:
        now = replace(now, pump_speed=tried)
    load, always = (
        np.repeat(np.asarray(column), settings.size)
        for column in ([task.load for task in tasks], [task.always for task in tasks])
    )
    found, point = course(loop, now, load, least_loads(case), always, (built, standard))
    limits = bounds(case, built, point)
    return tuple(
        _best(task, settings, take(found, part), tuple(take(item, part) for item in limits))
        for task, part in zip(tasks, _parts(len(tasks), settings.size), strict=True)
    )


def _parts(n_tasks: int, width: int) -> list[slice]:
    return [slice(i * width, (i + 1) * width) for i in range(n_tasks)]


def _along(tasks: Sequence[Task], width: int) -> Conditions:
    """Return the conditions of all tasks along one axis, each as often as there are settings."""
    changes = {
        name: np.repeat([float(np.asarray(getattr(task.now, name))) for task in tasks], width)
        for name in ("sea_temperature", "boat_speed")
    }
    return replace(tasks[0].now, pump_speed=1.0, **changes)  # type: ignore[arg-type]


def _best(task: Task, settings: Array, found: Averages, limits: tuple[Bound, ...]) -> Best:
    holds = np.all([found.cools, *(item.holds for item in limits)], axis=0)
    record = Best(
        set_by="",
        sea_temperature=float(np.asarray(task.now.sea_temperature)),
        load=task.load,
        fixed_flow=float(found.flow[-1]),
        fixed_compressor=float(found.compressor[-1]),
        fixed_pump=float(found.pump[-1]),
    )
    best = int(np.argmin(np.where(holds, found.total, np.inf))) if holds.any() else -1
    if best < 0:
        failing = next((item.name for item in limits if not item.holds[-1]), "every limit at once")
        words = f"no setting keeps: {failing}"
    else:
        words = _set_by(best, settings, [item for item in limits if not item.holds[best - 1]])
    return replace(
        record,
        set_by=words,
        setting=float(settings[best]) if best >= 0 else None,
        flow=float(found.flow[best]),
        run_share=float(found.run_share[best]),
        compressor=float(found.compressor[best]),
        pump=float(found.pump[best]),
    )


def _set_by(best: int, settings: Array, failing: Sequence[Bound]) -> str:
    """Say why it is this setting: a limit that the next slower one breaks, or least power."""
    if best == 0:
        return "the least speed of the pump"
    if failing:
        return failing[0].name
    if best == settings.size - 1:
        return "full speed takes least"
    return "least power"


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


def sentence(found: Sequence[Best], what: str) -> str:
    """Say what the best settings gain against full speed."""
    gains = [item.gain for item in found if item.setting is not None]
    if not gains:
        return (
            f"no {what} holds to every limit at any sea or load; at the warmest sea "
            f"{found[-1].set_by}"
        )
    if max(gains) < LEAST_GAIN:
        return f"no {what} takes less than full flow at any sea or load: leave it as it is"
    best = max(found, key=lambda item: item.gain)
    shares = [max(item.gain_share, 0.0) for item in found if item.setting is not None]
    return (
        f"the best {what} saves {quantity('power', max(min(gains), 0.0))} to "
        f"{quantity('power', max(gains))}, {min(shares):.0%} to {max(shares):.0%} of what full "
        f"flow takes; most at a sea of {quantity('temperature', best.sea_temperature)} and "
        f"{best.load:.0%} load"
    )
