"""Energy over a day: by duty, from the battery, and of a pump that is left on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.studies.energy.course import course, least_loads
from seaflow.studies.energy.duties import Bank
from seaflow.studies.energy.optimum import Best, Task, best_settings

DAY = 86400.0  # s


@dataclass(frozen=True, slots=True)
class DutyEnergy:
    """One duty: what its machines take, at full pump speed.

    `charge` is drawn from the battery, `regenerated` goes into it; `best` is the setting that
    takes least, where one is sought.
    """

    name: str
    source: str
    words: str
    time: float = measured("s")
    load: float = measured("-")
    sea_temperature: float = measured("degC")
    run_share: float = measured("-")
    flow: float = measured("m3/s")
    compressor: float = measured("J")
    pump: float = measured("J")
    charge: float = measured("A s", 0.0)
    regenerated: float = measured("A s", 0.0)
    best: Best | None = None
    saved: float = measured("J", 0.0)

    @property
    def total(self) -> float:
        """Energy of compressors and pump [J]."""
        return self.compressor + self.pump


@dataclass(frozen=True, slots=True)
class AlwaysOn:
    """A pump that is never switched off: what it takes, and how much of that is for nothing."""

    power: float = measured("W")
    energy: float = measured("J")
    charge: float = measured("A s")
    wasted: float = measured("J")
    wasted_charge: float = measured("A s")


@dataclass(frozen=True, slots=True)
class Day:
    """A whole day; charge is counted only for duties on the battery."""

    duties: tuple[DutyEnergy, ...]
    bank: Bank
    always_on: AlwaysOn
    compressor: float = measured("J", 0.0)
    pump: float = measured("J", 0.0)
    charge: float = measured("A s", 0.0)
    regenerated: float = measured("A s", 0.0)
    net_charge: float = measured("A s", 0.0)
    share_of_capacity: float | None = measured("-", None)
    saved: float = measured("J", 0.0)
    saved_charge: float = measured("A s", 0.0)

    @property
    def total(self) -> float:
        """Energy of compressors and pump [J]."""
        return self.compressor + self.pump

    @property
    def pump_share(self) -> float:
        """The pump's share of all energy."""
        return self.pump / self.total if self.total > 0 else 0.0

    @property
    def cools(self) -> bool:
        """True if every unit runs in every duty."""
        return all(duty.words == "cooling" for duty in self.duties)


def charge_of(energy: float, bank: Bank) -> float:
    """Return the charge a battery gives for an energy that the units and the pump take [A s]."""
    return energy / bank.efficiency / bank.voltage


def task_of(duty: Duty, now: Conditions) -> Task:
    """Return a duty as conditions, load and whether the pump runs all the time."""
    sea = now.sea_temperature if duty.sea is None else duty.sea
    at = replace(now, sea_temperature=sea, boat_speed=duty.boat_speed or 0.0)
    return Task(at, duty.load, duty.pump == "always")


def day_of(
    case: Case,
    built: Built,
    now: Conditions,
    plan: tuple[Sequence[Duty], Bank],
    settings: Array | None,
) -> Day:
    """Return the energy of a day; `settings` are the speeds among which the best is sought."""
    duties, bank = plan
    rows = [_duty(case, built, duty, task_of(duty, now), bank) for duty in duties]
    if settings is not None:
        tasks = [task_of(duty, now) for duty in duties]
        found = best_settings(case, built, tasks, settings)
        rows = [
            replace(row, best=best, saved=best.gain * row.time)
            for row, best in zip(rows, found, strict=True)
        ]
    charge, back = sum(row.charge for row in rows), sum(row.regenerated for row in rows)
    on_battery = [row for row in rows if row.source == "battery"]
    return Day(
        duties=tuple(rows),
        bank=bank,
        always_on=_always_on(built, now, rows, bank, case),
        compressor=sum(row.compressor for row in rows),
        pump=sum(row.pump for row in rows),
        charge=charge,
        regenerated=back,
        net_charge=charge - back,
        share_of_capacity=charge / bank.capacity if bank.capacity else None,
        saved=sum(row.saved for row in rows),
        saved_charge=charge_of(sum(row.saved for row in on_battery), bank),
    )


def _duty(case: Case, built: Built, duty: Duty, task: Task, bank: Bank) -> DutyEnergy:
    found, point = course(built, task.now, np.asarray([task.load]), least_loads(case), task.always)
    compressor, pump = (float(item[0]) * duty.hours for item in (found.compressor, found.pump))
    return DutyEnergy(
        name=duty.name,
        source=duty.source,
        words="cooling" if found.cools[0] else _fails(point.words()),
        time=duty.hours,
        load=duty.load,
        sea_temperature=float(np.max(np.asarray(task.now.sea_temperature))),
        run_share=float(found.run_share[0]),
        flow=float(found.flow[0]),
        compressor=compressor,
        pump=pump,
        charge=charge_of(compressor + pump, bank) if duty.source == "battery" else 0.0,
        regenerated=(duty.regeneration or 0.0) * duty.hours / bank.voltage,
    )


def _fails(ending: str) -> str:
    return "some unit does not run" if ending == "flowing" else ending


def _always_on(
    built: Built, now: Conditions, rows: Sequence[DutyEnergy], bank: Bank, case: Case
) -> AlwaysOn:
    found, _ = course(built, now, np.asarray([1.0]), least_loads(case))
    power = float(found.pump_now[0])
    energy = power * DAY
    needed = sum(min(row.run_share, 1.0) * row.time for row in rows) * power
    wasted = max(energy - needed, 0.0)
    return AlwaysOn(power, energy, charge_of(energy, bank), wasted, charge_of(wasted, bank))
