"""The duties of a day and the battery: those of the case, else typical ones that are noted."""

from __future__ import annotations

from dataclasses import dataclass, field

from seaflow.base.arrays import Number
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Battery, Duty

HOUR = 3600.0  # s
BATTERY = "battery"  # where the electricity of a duty comes from


@dataclass(frozen=True, slots=True)
class HouseBank:
    """The battery as it is counted; efficiencies are those from battery to units and to pump.

    `capacity` is what may be drawn, `idle` what the inverter takes with nothing to drive, `charger`
    what goes in on shore power or a generator, `sun` the time at full power that the panels
    (`solar`) see in a day, `house` what else draws all day. `given` is false where the capacity is
    only typical, `house_given` where what else draws is.
    """

    voltage: float = measured("V")
    capacity: float = measured("A s")
    efficiency: float = measured("-")
    to_the_pump: float = measured("-")
    given: bool = field(kw_only=True)
    house_given: bool = field(kw_only=True)
    idle: float = measured("W", 0.0)
    charger: float = measured("W", 0.0)
    solar: float = measured("W", 0.0)
    sun: float = measured("s", 0.0)
    house: float = measured("W", 0.0)
    inverter: float | None = measured("W", None)

    @property
    def energy(self) -> float:
        """What may be drawn [J]."""
        return self.voltage * self.capacity

    def drawn(self, units: Number, pump: Number) -> Number:
        """Return what the battery gives for what units and pump take, in the same unit."""
        return units / self.efficiency + pump / self.to_the_pump


def has_battery(case: Case) -> bool:
    """Return whether a battery drives the cooling: by its table, a duty or the units' supply."""
    on_it = any(duty.source == BATTERY for duty in case.duty)
    return case.battery is not None or on_it or case.units_on.current == "dc"


def duties_of(case: Case) -> tuple[tuple[Duty, ...], tuple[Assumption, ...]]:
    """Return the duties of the case, or those of a day that stands in for them."""
    if case.duty:
        return case.duty, ()
    hull = case.boat.hull.split()[0]
    battery = has_battery(case) if hull == "sailing" else case.battery is not None
    rows = [
        row
        for row in read_table("duties.toml").values()
        if hull in row["hulls"] and row.get("battery", battery) is battery
    ]
    duties = tuple(
        Duty(
            name=row["name"],
            hours=read_quantity(row["hours"], "s"),
            load=read_quantity(row["load"], "-"),
            source=row["on"],
            start=row["start"],
        )
        for row in rows
    )
    notes = tuple(
        Assumption(
            "duty",
            f"{row['name']}, on {row['on']}",
            f"{row['hours']} from {row['start']} at {row['load']} load",
            row["source"],
        )
        for row in rows
    )
    return duties, notes


def _volts_of_supply(case: Case, notes: list[Assumption]) -> float | None:
    """Return the volts of units on DC, and note that they are taken for those of the battery."""
    if case.units_on.current != "dc":
        return None
    volts, meaning = case.units_on.voltage, default("battery.voltage").meaning
    notes.append(Assumption(BATTERY, meaning, f"{volts:g} V", "the supply"))
    return volts


def bank_of(case: Case) -> tuple[HouseBank | None, tuple[Assumption, ...]]:
    """Return the battery, None where there is none; what the case leaves open is noted."""
    if not has_battery(case):
        return None, ()
    notes: list[Assumption] = []
    given = case.battery or Battery()

    def known(name: str, value: float | None) -> float:
        if value is not None:
            return value
        notes.append(assumed(f"battery.{name}", BATTERY))
        return default(f"battery.{name}").value

    voltage = known("voltage", given.voltage or _volts_of_supply(case, notes))
    energy = known("energy", None if given.capacity is None else given.capacity * voltage)
    currents = case.units_on.current, case.supply.current
    efficiency, idle = 1.0, 0.0
    if "ac" in currents:
        efficiency = known("inverter_efficiency", given.inverter_efficiency)
        idle = known("inverter_idle", given.inverter_idle)
    # a case that records a boat tells what else draws, few words do not
    house_given = given.house_load is not None or not case.typical
    house = (given.house_load or 0.0) if house_given else known("house_load", None)
    charger = given.charger or 0.0
    if given.charger is None and any(duty.source != BATTERY for duty in duties_of(case)[0]):
        charger = known("charge_rate", None) * energy / HOUR
    units, pump = (efficiency if current == "ac" else 1.0 for current in currents)
    bank = HouseBank(
        voltage=voltage,
        capacity=energy / voltage,
        efficiency=units,
        to_the_pump=pump,
        idle=idle,
        charger=charger,
        solar=given.solar or 0.0,
        sun=known("sun", None) if given.solar else 0.0,
        house=house,
        inverter=given.inverter_power,
        given=given.capacity is not None,
        house_given=house_given,
    )
    return bank, tuple(notes)
