"""What the start of a compressor asks of an inverter, for a moment."""

from __future__ import annotations

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.things import Unit
from seaflow.physics.electric.motor import starting_current
from seaflow.studies.design.duties import HouseBank

MOTOR = "induction ac"  # of a compressor that is switched on and off


def start_of_unit(case: Case, bank: HouseBank) -> Fact | None:
    """Return what the largest compressor that is switched asks of the inverter as it starts.

    None where the units run on DC, or all compressors come up slowly. Volts and currents at the
    start are those of a motor at rest, so that watts for a moment go with the current.
    """
    switched = [unit for unit in case.unit if (unit.least_load or 1.0) >= 1.0]
    if case.units_on.current != "ac" or not switched:
        return None
    largest = max(switched, key=_power)
    low, high = (float(one) * _power(largest) for one in starting_current(MOTOR, 1.0))
    told = {"unit": largest.name, "low": amount("power", low), "high": amount("power", high)}
    if bank.inverter is None:
        return fact("energy.inverter_asked", **told)
    gives = amount("power", bank.inverter * default("battery.inverter_surge").value)
    if gives.value < low:
        return fact("energy.inverter_too_small", **told, gives=gives)
    return fact(
        "energy.inverter_may_not" if gives.value < high else "energy.inverter_starts",
        **told,
        gives=gives,
    )


def _power(unit: Unit) -> float:
    return unit.input_power or unit.cooling * default("unit.power_share").value
