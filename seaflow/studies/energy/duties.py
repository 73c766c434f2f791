"""The duties of a day and the battery: from the case, else stand-ins that the answer names."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty


@dataclass(frozen=True, slots=True)
class Bank:
    """The battery as it is reckoned with; the efficiency is that from battery to the units."""

    voltage: float = measured("V")
    capacity: float | None = measured("A s")
    efficiency: float = measured("-")


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


def bank_of(case: Case) -> tuple[Bank, tuple[Assumption, ...]]:
    """Return the battery; what the case leaves open is noted."""
    notes = []
    given = case.battery
    on_battery = any(duty.source == "battery" for duty in case.duty) or not case.duty
    voltage = given.voltage if given else None
    if voltage is None and case.supply.current == "dc":
        voltage = case.supply.voltage
        words = "voltage at which charge is counted: that of the supply"
        notes.append(Assumption("battery", words, f"{voltage:g} V", "the case"))
    elif voltage is None:
        voltage = default("battery.voltage").value
        notes.append(assumed("battery.voltage", "battery"))
    efficiency = 1.0
    if case.supply.current == "ac":
        known = given.inverter_efficiency if given else None
        efficiency = known or default("battery.inverter_efficiency").value
        if known is None:
            notes.append(assumed("battery.inverter_efficiency", "battery"))
    bank = Bank(voltage, given.capacity if given else None, efficiency)
    return bank, tuple(notes) if on_battery else ()
