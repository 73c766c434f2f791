"""Whether the plate of a unit can be true: its heat, its power and its refrigerant."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from seaflow.base.constants import ATMOSPHERE, KELVIN
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.checks.losses import check_losses
from seaflow.boat.checks.pressures import check_told_twice
from seaflow.boat.defaults import default
from seaflow.boat.tables.plates import Compressor
from seaflow.boat.tables.things import Unit
from seaflow.physics.heat.compressor import LEAST_LIFT, polynomial
from seaflow.physics.heat.refrigerant import (
    CRITICAL_MARGIN,
    critical_temperature,
    find,
    saturation_pressure,
    saturation_temperature,
    temperature_limits,
)
from seaflow.physics.water.seawater import seawater

LEAST_COEFFICIENT = 1.0  # cooling over input; below it a machine heats more than it cools
USUAL_COEFFICIENT = (1.8, 7.0)  # plates show 2.5 to 5; beyond these it is asked; our assumption
LEAST_HEATING = 1.0 / 3.0  # of the cooling; a heater adds its power to the heat of the sea
CLOSEST = 0.5  # K between leaving water and refrigerant, where the coil would have to be endless
LEAST_OF_ZONES = 0.9  # of the plate, that all zones together cool; our assumption
N_COEFFICIENTS = 10
USUAL_POINT = (7.0, 45.0)  # degC, suction and discharge dew point
MOST_COEFFICIENT = 7.37  # Carnot between them: 280.15 K over 38 K
DISCHARGE = (25.0, 65.0)  # degC, over which a condenser in the sea may work
GROWTH = (1.5, 6.0)  # times that power grows over it: 3 by a cycle, with room for any compressor


def check_plates(case: Case) -> Iterator[Problem]:
    """Every unit: cooling against power, loss points, condensing point, cut-out and tube."""
    for unit in case.unit:
        yield from _flows(case, unit)
        yield from check_losses(case, unit)
        yield from _tube(case, unit)
        yield from _heating(case, unit)
        yield from _zones(case, unit)
        yield from _compressor(case, unit)
        if not _is_known(unit):
            continue  # said elsewhere
        outside = list(_pressures(case, unit))
        outside = outside or list(check_told_twice(case, unit, _refrigerant(unit)))
        yield from outside
        if not outside:
            yield from _condensing(case, unit)
            yield from _coefficient(case, unit)
            yield from _cut_out(case, unit)


def _compressor(case: Case, unit: Unit) -> Iterator[Problem]:
    """Ten coefficients each, and more cooling than input at a usual point."""
    known = unit.compressor
    if known is None:
        return
    path = ("unit", unit.row, "compressor")
    counts = [len(known.capacity), len(known.power)]
    if counts != [N_COEFFICIENTS, N_COEFFICIENTS]:
        yield case.text.problem(
            "S41",
            path,
            f'unit "{unit.name}": its compressor has {counts[0]} coefficients of capacity and '
            f"{counts[1]} of power",
            why="The polynomials of AHRI 540 have ten each, C1 to C10.",
            write="Write all ten of both, in the order of the sheet, 0 for one that is not there.",
        )
        return
    cooling, power = (
        float(np.asarray(polynomial(coefficients, *USUAL_POINT)))
        for coefficients in (known.capacity, known.power)
    )
    if not power > 0.0 or not LEAST_COEFFICIENT < cooling / power < MOST_COEFFICIENT:
        yield case.text.problem(
            "S42",
            path,
            f'unit "{unit.name}": at {USUAL_POINT[0]:g} degC suction and {USUAL_POINT[1]:g} degC '
            f"discharge its compressor would cool {cooling:.0f} W for {power:.0f} W",
            why="No compressor does that, so the order or the units of the coefficients are wrong.",
            write="They must hold for dew points in degrees Celsius and give watts.",
        )
    elif odd := "; ".join(_oddities(known)):
        yield _odd(case, unit, odd)


def _odd(case: Case, unit: Unit, odd: str) -> Problem:
    return case.text.problem(
        "S43",
        ("unit", unit.row, "compressor"),
        f'unit "{unit.name}": at {USUAL_POINT[0]:g} degC suction {odd}',
        why="Power grows and cooling shrinks as a machine condenses hotter. The coefficients are "
        "used as they are.",
        write="Compare them with the sheet: order, sign, power of ten, range of validity.",
        warning=True,
    )


def _oddities(known: Compressor) -> Iterator[str]:
    """Yield what no compressor does between the ends of `DISCHARGE`."""
    discharge = np.linspace(*DISCHARGE, 41)
    for name, coefficients, sign in (("cooling", known.capacity, -1), ("power", known.power, 1)):
        found = np.asarray(polynomial(coefficients, USUAL_POINT[0], discharge))
        wrong = np.flatnonzero(sign * np.diff(found) < 0.0)
        if found.min() <= 0.0:
            yield f"its {name} is not above zero at {discharge[found.argmin()]:.0f} degC discharge"
        elif wrong.size:
            does = "falls" if sign > 0 else "rises"
            first, last = discharge[wrong[0]], discharge[wrong[-1] + 1]
            yield f"its {name} {does} somewhere from {first:.0f} to {last:.0f} degC discharge"
        elif sign > 0 and not GROWTH[0] < found[-1] / found[0] < GROWTH[1]:
            yield (
                f"its power grows {found[-1] / found[0]:.2g} times from {DISCHARGE[0]:g} to "
                f"{DISCHARGE[1]:g} degC discharge"
            )


def _tube(case: Case, unit: Unit) -> Iterator[Problem]:
    tube = unit.tube
    if tube is None or tube.coil_diameter is None:
        return
    least = tube.bore + 2.0 * (tube.wall or 0.0)
    if tube.coil_diameter <= least:
        yield case.text.problem(
            "S38",
            ("unit", unit.row, "tube", "coil_diameter"),
            f'unit "{unit.name}": a coil of {tube.coil_diameter * 1000:.3g} mm cannot be wound '
            f"from a tube of {least * 1000:.3g} mm",
            why="The bend of the tube decides how water mixes in it.",
            write="Measure across the coil, from tube centre to tube centre.",
        )


def _zones(case: Case, unit: Unit) -> Iterator[Problem]:
    """The zones of a condensing unit take up what it cools."""
    total = sum(zone.cooling for zone in unit.zone)
    if unit.zone and total < LEAST_OF_ZONES * unit.cooling:
        yield case.text.problem(
            "S58",
            ("unit", unit.row, "zone"),
            f'unit "{unit.name}": its zones cool {total / 1000:.3g} kW in all, and it gives '
            f"{unit.cooling / 1000:.3g} kW",
            why="Its load is that of the zones that call, so all of them must be told.",
            write="Add the evaporators that are missing, or look at the plates and their units.",
        )


def _is_known(unit: Unit) -> bool:
    try:
        return bool(_refrigerant(unit))
    except KeyError:
        return False


def _refrigerant(unit: Unit) -> str:
    return find(unit.refrigerant or default("unit.refrigerant").text)


def _pressures(case: Case, unit: Unit) -> Iterator[Problem]:
    """High-side pressures must lie where the refrigerant is told of."""
    refrigerant = _refrigerant(unit)
    for table in ("condensing", "cut_out"):
        record = getattr(unit, table)
        if record is None:
            continue
        if table == "condensing" and record.temperature is None and record.gauge_pressure is None:
            yield case.text.problem(
                "S22",
                ("unit", unit.row, "condensing"),
                f'unit "{unit.name}": its condensing point has neither temperature nor pressure',
                why="A condensing point says how hot the refrigerant gets in a known water.",
                write='Write { temperature = "42 degC", water = "29 degC" }.',
            )
        pressure = record.gauge_pressure
        if pressure is None:
            continue
        low, high = _pressure_limits(refrigerant)
        if not low <= pressure <= high:
            said = "" if unit.refrigerant else " (taken, as the plate is not recorded)"
            yield case.text.problem(
                "S32",
                ("unit", unit.row, table, "gauge_pressure"),
                f'unit "{unit.name}": {pressure / 1e5:.3g} bar is no condensing pressure of '
                f"{refrigerant}{said}",
                why=f"{refrigerant} condenses between {low / 1e5:.2g} and {high / 1e5:.3g} bar "
                "gauge; above that it is no longer a liquid.",
                write="Look at the unit (bar, kPa or psi) and at the refrigerant on the plate.",
            )


def _pressure_limits(refrigerant: str) -> tuple[float, float]:
    low, high = temperature_limits(refrigerant)
    low, high = max(low, 0.0), min(high, critical_temperature(refrigerant) - CRITICAL_MARGIN)
    first, last = (float(saturation_pressure(value, refrigerant)) for value in (low, high))
    return first - ATMOSPHERE, last - ATMOSPHERE


def _rated_condensing(unit: Unit) -> float | None:
    """Return the condensing temperature that the case gives for the rating [degC]."""
    known = unit.condensing
    if known is None or known.temperature is not None:
        return None if known is None else known.temperature
    if known.gauge_pressure is None:
        return None
    pressure = known.gauge_pressure + ATMOSPHERE
    return float(saturation_temperature(pressure, _refrigerant(unit)))


def _power(unit: Unit) -> float:
    return unit.input_power or unit.cooling * default("unit.power_share").value


def _condensing(case: Case, unit: Unit) -> Iterator[Problem]:
    """The refrigerant must be warmer than the water it heats, and than the cabins it cools."""
    known, condensing = unit.condensing, _rated_condensing(unit)
    if known is None or condensing is None:
        return
    path = ("unit", unit.row, "condensing")
    critical = critical_temperature(_refrigerant(unit))
    least = default("unit.evaporating").value + LEAST_LIFT
    flow = known.flow or _rated_flow(unit)
    water = seawater(default("unit.rating_water").value, 0.0)
    rate = float(water.density * water.heat_capacity) * flow
    leaving = known.water + (unit.cooling + _power(unit)) / rate
    if condensing < leaving + CLOSEST:
        yield case.text.problem(
            "S30",
            path,
            f'unit "{unit.name}": it condenses at {condensing:.1f} degC, and its water leaves at '
            f"{leaving:.1f} degC",
            why="Heat goes from the refrigerant to the water, so the refrigerant must be warmer. "
            f"{known.water:g} degC and {flow * 60000:.3g} L/min were taken.",
            write="Check the flow and the water of that point, or leave condensing out.",
        )
    elif not least <= condensing <= critical - CRITICAL_MARGIN:
        yield case.text.problem(
            "S30",
            path,
            f'unit "{unit.name}": {condensing:.1f} degC is no condensing temperature of a cooler',
            why=f"It lies between {least:g} degC, a little above the cabins' coil, and "
            f"{critical - CRITICAL_MARGIN:.0f} degC, where the refrigerant no longer condenses.",
            write="Write the reading of a warm day, or leave condensing out.",
        )


def _rated_flow(unit: Unit) -> float:
    if unit.water_flow is not None and unit.water_flow.rated is not None:
        return unit.water_flow.rated
    return default("unit.flow_per_cooling").value * unit.cooling / 1000.0


def _flows(case: Case, unit: Unit) -> Iterator[Problem]:
    """The least water that a unit is allowed is no more than its rated, and that than the most."""
    told = unit.water_flow
    named = (
        () if told is None else [("least", told.least), ("rated", told.rated), ("most", told.most)]
    )
    known = [(key, flow) for key, flow in named if flow is not None]
    for (low, less), (high, more) in pairwise(known):
        if less > more:
            yield case.text.problem(
                "S68",
                ("unit", unit.row, "water_flow", low),
                f'unit "{unit.name}": its {low} water, {60e3 * less:.3g} L/min, is more than its '
                f"{high}, {60e3 * more:.3g} L/min",
                why="Below the least a unit trips, and above the most its coil wears.",
                write="Look at the units on the sheet (gpm, L/min), and whether two were swapped.",
            )


def _coefficient(case: Case, unit: Unit) -> Iterator[Problem]:
    """Cooling over input must lie between one and what Carnot allows."""
    if unit.input_power is None:
        return
    evaporating = default("unit.evaporating").value
    condensing = _rated_condensing(unit) or default("unit.rating_water").value
    if condensing <= evaporating:
        return  # said elsewhere
    most = (evaporating + KELVIN) / (condensing - evaporating)
    found = unit.cooling / unit.input_power
    if LEAST_COEFFICIENT <= found <= most:
        yield from _unusual(case, unit, found)
        return
    much = found > most
    bound = f"at most {most:.1f}" if much else "at least 1"
    yield case.text.problem(
        "S29",
        ("unit", unit.row, "input_power"),
        f'unit "{unit.name}": {unit.cooling / 1000:.3g} kW of cooling from '
        f"{unit.input_power / 1000:.3g} kW of power is {found:.2g} to 1",
        why=f"By the laws of heat it is {bound} to 1 here; plates show 2.5 to 5.",
        write="Check the units of both (BTU/h, kW), and that the power is the whole compressor's.",
    )


def _unusual(case: Case, unit: Unit, found: float) -> Iterator[Problem]:
    """Ask about a plate that can be, and that hardly is."""
    least, most = USUAL_COEFFICIENT
    if not least <= found <= most:
        yield case.text.problem(
            "Q03",
            ("unit", unit.row, "input_power"),
            f'unit "{unit.name}": {unit.cooling / 1000:.3g} kW of cooling from '
            f"{unit.input_power or 0.0:.0f} W of power is {found:.2g} to 1, and plates show 2.5 to "
            "5",
            why="All heat of cooling and power goes into the water. Both are used as they stand.",
            write="Look at the units of both (BTU/h, kW), and that the power is the compressor's, "
            "cooling, with no electric heater. If it is right, leave it.",
            warning=True,
        )


def _heating(case: Case, unit: Unit) -> Iterator[Problem]:
    """A heater gives more than it takes, and its water is colder than the cabins' coil."""
    plate = unit.heating
    if plate is None:
        return
    path = ("unit", unit.row, "heating")
    if plate.capacity < LEAST_HEATING * unit.cooling:
        yield case.text.problem(
            "Q03",
            (*path, "capacity"),
            f'unit "{unit.name}": it gives {plate.capacity / 1000:.3g} kW of heat and cools '
            f"{unit.cooling / 1000:.3g} kW",
            why="Turned round, a machine gives about what it cools. Both are used as they stand.",
            write="Look at the units of both (BTU/h, kW). If it is right, leave it.",
            warning=True,
        )
    most = default("heating.condensing").value - LEAST_LIFT
    if plate.input_power is not None and plate.input_power >= plate.capacity:
        yield case.text.problem(
            "S40",
            (*path, "input_power"),
            f'unit "{unit.name}": it gives {plate.capacity / 1000:.3g} kW of heat from '
            f"{plate.input_power / 1000:.3g} kW of power",
            why="It adds the heat of the sea to its power, so it must give more than it takes.",
            write="Check the units of both (BTU/h, kW) on the plate.",
        )
    if plate.water is not None and not 0.0 <= plate.water <= most:
        yield case.text.problem(
            "S40",
            (*path, "water"),
            f'unit "{unit.name}": its heating is not rated in water of {plate.water:g} degC',
            why=f"Plates hold in fresh water from 0 to {most:g} degC.",
            write='Write the temperature on the plate, such as water = "10 degC".',
        )


def _cut_out(case: Case, unit: Unit) -> Iterator[Problem]:
    """The switch must open above the sea and below the critical point."""
    if unit.cut_out is None or case.sea is None:
        return
    found, key = unit.cut_out.temperature, "temperature"
    if found is None and unit.cut_out.gauge_pressure is not None:
        key = "gauge_pressure"
        pressure = unit.cut_out.gauge_pressure + ATMOSPHERE
        found = float(saturation_temperature(pressure, _refrigerant(unit)))
    if found is None:
        return
    critical = critical_temperature(_refrigerant(unit))
    if case.sea.warmest < found < critical:
        return
    high = found >= critical
    yield case.text.problem(
        "S31",
        ("unit", unit.row, "cut_out", key),
        f'unit "{unit.name}": it would cut out at {found:.1f} degC, '
        + (
            f"above the {critical:.1f} degC where its refrigerant still condenses"
            if high
            else f"and the warmest sea has {case.sea.warmest:g} degC"
        ),
        why="The switch could never open." if high else "The unit could never run in that sea.",
        write="Read the label of the switch again, and its unit.",
    )


RATINGS: tuple[Callable[[Case], Iterator[Problem]], ...] = (check_plates,)
