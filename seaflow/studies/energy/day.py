"""The duties of a day and what they take: by duty, from the battery, and with the pump left on.

Duties and battery are those of the case, else stand-ins that the answer names.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import DAY
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.point import OperatingPoint
from seaflow.studies.energy.course import course, least_loads
from seaflow.studies.energy.optimum import Best, Task, best_settings


@dataclass(frozen=True, slots=True)
class HouseBank:
    """The battery as it is counted; efficiencies are those from battery to units and to pump."""

    voltage: float = measured("V")
    capacity: float | None = measured("A s")
    efficiency: float = measured("-")
    to_the_pump: float = measured("-")


def duties_of(case: Case) -> tuple[tuple[Duty, ...], tuple[Assumption, ...]]:
    """Return the duties of the case, or those of a day that stands in for them."""
    if case.duty:
        return case.duty, ()
    hull = case.boat.hull.split()[0]
    rows = [row for row in read_table("duties.toml").values() if hull in row["hulls"]]
    duties = tuple(
        Duty(
            name=row["name"],
            hours=read_quantity(row["hours"], "s"),
            load=read_quantity(row["load"], "-"),
            source=row["on"],
        )
        for row in rows
    )
    notes = tuple(
        Assumption(
            "duty",
            f"{row['name']}, on {row['on']}",
            f"{row['hours']} at {row['load']} load",
            row["source"],
        )
        for row in rows
    )
    return duties, notes


def bank_of(case: Case) -> tuple[HouseBank, tuple[Assumption, ...]]:
    """Return the battery; what the case leaves open is noted."""
    notes = []
    given = case.battery
    on_battery = any(duty.source == "battery" for duty in case.duty) or not case.duty
    voltage = given.voltage if given else None
    if voltage is None and case.units_on.current == "dc":
        voltage = case.units_on.voltage
        meaning = default("battery.voltage").meaning
        notes.append(Assumption("battery", meaning, f"{voltage:g} V", "the supply"))
    elif voltage is None:
        voltage = default("battery.voltage").value
        notes.append(assumed("battery.voltage", "battery"))
    efficiency = 1.0
    if "ac" in (case.supply.current, case.units_on.current):
        known = given.inverter_efficiency if given else None
        efficiency = known or default("battery.inverter_efficiency").value
        if known is None:
            notes.append(assumed("battery.inverter_efficiency", "battery"))
    units, pump = (
        efficiency if one.current == "ac" else 1.0 for one in (case.units_on, case.supply)
    )
    bank = HouseBank(voltage, given.capacity if given else None, units, pump)
    return bank, tuple(notes) if on_battery else ()


@dataclass(frozen=True, slots=True)
class DutyEnergy:
    """One duty: what its machines take, at full pump speed.

    `charge` is drawn from the battery, `regenerated` goes into it; `best` is the setting that
    takes least, where one is sought. `fails` says what is wrong where not every unit cools.
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
    bank: HouseBank
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
        return all(duty.fails is None for duty in self.duties)


def charge_of(units: float, pump: float, bank: HouseBank) -> float:
    """Return the charge a battery gives for the energies that units and pump take [A s]."""
    return (units / bank.efficiency + pump / bank.to_the_pump) / bank.voltage


def task_of(duty: Duty, now: Conditions) -> Task:
    """Return a duty as conditions, load and whether the pump runs all the time."""
    sea = now.sea_temperature if duty.sea is None else duty.sea
    at = replace(now, sea_temperature=sea, boat_speed=duty.boat_speed or 0.0)
    return Task(at, duty.load, duty.pump == "always")


def day_of(
    case: Case,
    built: Built,
    now: Conditions,
    plan: tuple[Sequence[Duty], HouseBank],
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
    at_full_load, _ = course(built, now, np.asarray([1.0]), least_loads(case))
    charge, back = sum(row.charge for row in rows), sum(row.regenerated for row in rows)
    on_battery = [row for row in rows if row.source == "battery"]
    return Day(
        duties=tuple(rows),
        bank=bank,
        always_on=always_on(float(at_full_load.pump_now[0]), rows, bank),
        compressor=sum(row.compressor for row in rows),
        pump=sum(row.pump for row in rows),
        charge=charge,
        regenerated=back,
        net_charge=charge - back,
        share_of_capacity=charge / bank.capacity if bank.capacity else None,
        saved=sum(row.saved for row in rows),
        saved_charge=charge_of(sum(row.saved for row in on_battery), 0.0, bank),
    )


def _duty(case: Case, built: Built, duty: Duty, task: Task, bank: HouseBank) -> DutyEnergy:
    found, point = course(built, task.now, np.asarray([task.load]), least_loads(case), task.always)
    compressor, pump = (float(item[0]) * duty.hours for item in (found.compressor, found.pump))
    return DutyEnergy(
        name=duty.name,
        source=duty.source,
        fails=None if found.cools[0] else _fails(duty, point),
        time=duty.hours,
        load=duty.load,
        sea_temperature=float(np.max(np.asarray(task.now.sea_temperature))),
        run_share=float(found.run_share[0]),
        flow=float(found.flow[0]),
        compressor=compressor,
        pump=pump,
        charge=charge_of(compressor, pump, bank) if duty.source == "battery" else 0.0,
        regenerated=(duty.regeneration or 0.0) * duty.hours / bank.voltage,
    )


def _fails(duty: Duty, point: OperatingPoint) -> Fact:
    return fact("energy.fails", duty=duty.name, ending=point.words())


def always_on(power: float, duties: Sequence[DutyEnergy], bank: HouseBank) -> AlwaysOn:
    """Return what a pump of this power takes if it is never switched off.

    It is needed while the machines run, but for no duty longer than that duty lasts.
    """
    energy = power * DAY
    needed = sum(min(duty.run_share, 1.0) * duty.time for duty in duties) * power
    wasted = max(energy - needed, 0.0)
    drawn, lost = (charge_of(0.0, taken, bank) for taken in (energy, wasted))
    return AlwaysOn(power, energy, drawn, wasted, lost)
