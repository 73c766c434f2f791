"""What the start of a compressor asks of an inverter, for a moment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.things import Unit
from seaflow.boat.tables.use import Duty
from seaflow.physics.electric.motor import starting_current
from seaflow.studies.design.duties import BATTERY, HouseBank
from seaflow.studies.design.takes import machines_of

MOTOR = "induction ac"  # of a compressor that is switched on and off


def start_of_unit(case: Case, duties: Sequence[Duty], bank: HouseBank, pumps: float) -> Fact | None:
    """Return the most that a switched compressor asks of the inverter as it starts.

    Of each duty on the battery its largest compressor starts last, while all else that the inverter
    drives runs: the other units at full power, every fan and control, and the pumps on AC, which
    take `pumps` [W]. None where the units run on DC, or all compressors come up slowly. Volts and
    currents at the start are those of a motor at rest, so that watts for a moment go with the
    current.
    """
    starts = [] if case.units_on.current != "ac" else list(_starts(case, duties, pumps))
    if not starts:
        return None
    most, unit, running = max(starts, key=lambda one: one[0])
    least = running + float(starting_current(MOTOR, _power(unit))[0])
    told = {
        "unit": unit.name,
        "running": amount("power", running),
        "low": amount("power", least),
        "high": amount("power", most),
    }
    if bank.inverter is None:
        return fact("energy.inverter_asked", **told)
    gives = amount("power", bank.inverter * default("battery.inverter_surge").value)
    if gives.value < least:
        return fact("energy.inverter_too_small", **told, gives=gives)
    return fact(
        "energy.inverter_may_not" if gives.value < most else "energy.inverter_starts",
        **told,
        gives=gives,
    )


def _starts(
    case: Case, duties: Sequence[Duty], pumps: float
) -> Iterator[tuple[float, Unit, float]]:
    """Yield of each duty the most that is asked [W], the unit that starts, what runs then [W]."""
    machines = machines_of(case)
    for duty in duties:
        here = [
            unit
            for unit in case.unit
            if unit.switched_on is not False and (not duty.units or unit.name in duty.units)
        ]
        switched = [unit for unit in here if machines.least[unit.name] >= 1.0]
        if duty.source != BATTERY or not switched:
            continue
        last = max(switched, key=_power)
        running = pumps + sum(_power(unit) for unit in here if unit is not last)
        for unit in here:
            running += float(machines.fan[unit.name]) + float(machines.control[unit.name])
        yield running + float(starting_current(MOTOR, _power(last))[1]), last, running


def _power(unit: Unit) -> float:
    return unit.input_power or unit.cooling * default("unit.power_share").value
