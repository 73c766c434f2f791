"""What the duties of a day take: by duty, and with the pump left on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import DAY
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.studies.design.takes import Task, along, course, machines_of, task_of
from seaflow.studies.energy.optimum import Best, best_settings


@dataclass(frozen=True, slots=True)
class DutyEnergy:
    """One duty: what its machines take, at full pump speed.

    `best` is the setting that takes least, where one is sought. `fails` says what is wrong where
    not every unit cools.
    """

    name: str
    source: str
    fails: Fact | None
    time: float = measured("s")
    load: float = measured("-")
    sea_temperature: float = measured("degC")
    run_share: float = measured("-")
    flow: float = measured("m3/s")
    compressor: float = measured("J")
    fans: float = measured("J")
    controls: float = measured("J")
    pump: float = measured("J")
    best: Best | None = None
    saved: float = measured("J", 0.0)

    @property
    def total(self) -> float:
        """Energy of all that cooling takes [J]."""
        return self.units + self.pump

    @property
    def units(self) -> float:
        """Energy of compressors, fans and controls [J]."""
        return self.compressor + self.fans + self.controls


@dataclass(frozen=True, slots=True)
class AlwaysOn:
    """A pump that is never switched off: what it takes, and how much of that is for nothing."""

    power: float = measured("W")
    energy: float = measured("J")
    wasted: float = measured("J")


@dataclass(frozen=True, slots=True)
class Day:
    """A whole day."""

    duties: tuple[DutyEnergy, ...]
    always_on: AlwaysOn
    compressor: float = measured("J", 0.0)
    fans: float = measured("J", 0.0)
    controls: float = measured("J", 0.0)
    pump: float = measured("J", 0.0)
    saved: float = measured("J", 0.0)

    @property
    def total(self) -> float:
        """Energy of all that cooling takes [J]."""
        return self.compressor + self.fans + self.controls + self.pump

    @property
    def pump_share(self) -> float:
        """The pump's share of all energy."""
        return self.pump / self.total if self.total > 0 else 0.0

    @property
    def cools(self) -> bool:
        """True if every unit runs in every duty."""
        return all(duty.fails is None for duty in self.duties)


def day_of(
    case: Case,
    built: Built,
    now: Conditions,
    duties: Sequence[Duty],
    settings: Array,
) -> Day:
    """Return the energy of a day; `settings` are the speeds among which the best is sought."""
    tasks = [task_of(duty, now) for duty in duties]
    found = best_settings(case, built, tasks, settings)
    rows = [
        replace(one, best=best, saved=best.gain * one.time)
        for one, best in zip(_duties(case, built, duties, tasks), found, strict=True)
    ]
    at_full_load, _ = course(built, now, np.asarray([1.0]), machines_of(case))
    return Day(
        duties=tuple(rows),
        always_on=always_on(float(at_full_load.pump_now[0]), rows),
        compressor=sum(row.compressor for row in rows),
        fans=sum(row.fans for row in rows),
        controls=sum(row.controls for row in rows),
        pump=sum(row.pump for row in rows),
        saved=sum(row.saved for row in rows),
    )


def _duties(
    case: Case, built: Built, duties: Sequence[Duty], tasks: Sequence[Task]
) -> Iterator[DutyEnergy]:
    """Yield what each duty takes at full speed; all run at once."""
    if not duties:
        return
    load, always = (
        np.asarray([getattr(task, key) for task in tasks]) for key in ("load", "always")
    )
    found, point = course(built, along(built, tasks, 1), load, machines_of(case), always)
    for i, (duty, task) in enumerate(zip(duties, tasks, strict=True)):
        told = fact("energy.fails", duty=duty.name, ending=point.words(i))
        yield DutyEnergy(
            name=duty.name,
            source=duty.source,
            fails=None if found.cools[i] else told,
            time=duty.hours,
            load=duty.load,
            sea_temperature=float(np.max(np.asarray(task.now.sea_temperature))),
            run_share=float(found.run_share[i]),
            flow=float(found.flow[i]),
            compressor=float(found.compressor[i]) * duty.hours,
            fans=float(found.fans[i]) * duty.hours,
            controls=float(found.controls[i]) * duty.hours,
            pump=float(found.pump[i]) * duty.hours,
        )


def always_on(power: float, duties: Sequence[DutyEnergy]) -> AlwaysOn:
    """Return what a pump of this power takes if it is never switched off.

    It is needed while the machines run, but for no duty longer than that duty lasts.
    """
    energy = power * DAY
    needed = sum(min(duty.run_share, 1.0) * duty.time for duty in duties) * power
    return AlwaysOn(power, energy, max(energy - needed, 0.0))
