"""The duties of a day and the battery: those of the case, else typical ones that are noted."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty

BATTERY = "battery"  # where the electricity of a duty comes from


@dataclass(frozen=True, slots=True)
class HouseBank:
    """The battery as it is counted; efficiencies are those from battery to units and to pump.

    `idle` is what the inverter takes with nothing to drive; nothing where there is none.
    """

    voltage: float = measured("V")
    capacity: float | None = measured("A s")
    efficiency: float = measured("-")
    to_the_pump: float = measured("-")
    idle: float = measured("W", 0.0)


def has_battery(case: Case) -> bool:
    """Return whether a battery drives the cooling: by its table, a duty or the units' supply."""
    on_it = any(duty.source == BATTERY for duty in case.duty)
    return case.battery is not None or on_it or case.units_on.current == "dc"


def duties_of(case: Case) -> tuple[tuple[Duty, ...], tuple[Assumption, ...]]:
    """Return the duties of the case, or those of a day that stands in for them."""
    if case.duty:
        return case.duty, ()
    hull, battery = case.boat.hull.split()[0], has_battery(case)
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


def bank_of(case: Case) -> tuple[HouseBank | None, tuple[Assumption, ...]]:
    """Return the battery, None where there is none; what the case leaves open is noted."""
    if not has_battery(case):
        return None, ()
    given, notes = case.battery, []
    voltage = given.voltage if given else None
    if voltage is None and case.units_on.current == "dc":
        voltage = case.units_on.voltage
        meaning = default("battery.voltage").meaning
        notes.append(Assumption(BATTERY, meaning, f"{voltage:g} V", "the supply"))
    elif voltage is None:
        voltage = default("battery.voltage").value
        notes.append(assumed("battery.voltage", BATTERY))
    efficiency, idle = 1.0, 0.0
    if "ac" in (case.supply.current, case.units_on.current):
        values = []
        for name in ("inverter_efficiency", "inverter_idle"):
            known = getattr(given, name) if given else None
            if known is None:
                known = default(f"battery.{name}").value
                notes.append(assumed(f"battery.{name}", BATTERY))
            values.append(known)
        efficiency, idle = values
    units, pump = (
        efficiency if one.current == "ac" else 1.0 for one in (case.units_on, case.supply)
    )
    capacity = given.capacity if given else None
    return HouseBank(voltage, capacity, units, pump, idle), tuple(notes)
