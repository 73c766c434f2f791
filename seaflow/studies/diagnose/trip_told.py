"""What people tell of a trip on high pressure, and how warm the water was just before it.

A trip is remembered of the worst hour of the last days, and not of that of the readings.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.network import upstream
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.simulate import Flotilla

TOLD = 0.9  # how likely it is told of a boat that trips as it is read
MISREPORTED = 0.005  # how likely a trip is told of a boat that has water and room; own choice
# K to the cut-out, below which a unit may well have tripped: a trip tells of the worst hour of the
# last days, in which the sea was some kelvin warmer, and so was the cabin.
NEAR_TRIP = 6.0  # own choice
NEAR_TOLD = 0.3  # how likely it is told of a boat as near; own choice
# What starves a unit lay otherwise at another hour, too: weed moves, a warm hose folds. Below what
# share of the usual water it counts, over how much it comes to count in full, and how likely the
# unit then trips.
STARVED_BELOW, STARVED_OVER, STARVED_TRIPS = 0.9, 0.3, 0.15  # own choices
SCALE = "coil_scaled"  # lies in one coil or in all
OF_ONE_UNIT = (SCALE, "overcharge", "pressure_switch")  # that trip it alone


def told_without(flotilla: Flotilla, unit: str, room: Array, water: Array) -> Array:
    """Return how likely a trip is told of boats that do not trip as they are read, or of one unit.

    `room` is the distance to the cut-out [K], and `water` its share of the usual. A boat with
    enough of both trips only by a misreport, or by a fault that comes and goes and was worse at
    the time, as may be whatever starves a unit.
    """
    short = np.clip((STARVED_BELOW - water) / STARVED_OVER, 0.0, 1.0)
    starved = np.where(flotilla.hypotheses.healthy, 0.0, STARVED_TRIPS * short)
    ample = np.maximum(np.maximum(_comes_and_goes(flotilla, unit), starved), MISREPORTED)
    return np.asarray(np.where(room < NEAR_TRIP, np.maximum(NEAR_TOLD, ample), ample))


def trip_rows() -> dict[str, Any]:
    """Return below which room and water a trip is how likely told, and how likely by mistake."""
    starved = {"below": STARVED_BELOW, "over": STARVED_OVER, "trips": STARVED_TRIPS}
    told = {"tripTold": TOLD, "nearTold": NEAR_TOLD, "misreported": MISREPORTED}
    return {"nearTrip": NEAR_TRIP, "starved": starved, **told}


def _comes_and_goes(flotilla: Flotilla, unit: str) -> Array:
    """Return how likely a fault of each boat was so much worse that a unit tripped.

    What strikes one unit trips no other.
    """
    setup, boats = flotilla.setup, flotilla.hypotheses
    goes = np.asarray([fault.trips for fault in setup.faults] + [0.0])
    if not unit:
        return np.asarray(np.maximum(goes[boats.first], goes[boats.second]))
    own = np.asarray([fault.name in OF_ONE_UNIT for fault in setup.faults] + [False])
    names = [one.name for one in setup.built.network.units_by_size]
    found = np.zeros(boats.size)
    for which, struck in zip((boats.first, boats.second), struck_units(flotilla), strict=True):
        elsewhere = own[which] & (struck != NONE) & (struck != names.index(unit))
        found = np.maximum(found, np.where(elsewhere, 0.0, goes[which]))
    return found


def struck_units(flotilla: Flotilla) -> NDArray[np.intp]:
    """Return the place, by size, of the unit that each of two faults strikes: (2, boats).

    It is NONE of scale that lies in all coils, and means nothing of a fault that strikes no unit.
    """
    setup, boats = flotilla.setup, flotilla.hypotheses
    struck = boats.units(len(setup.built.network.units_by_size))
    scaled = np.stack([boats.first, boats.second]) == setup.index(SCALE)
    return np.where(scaled & boats.tosses, NONE, struck)


def only_unit(flotilla: Flotilla, place: str) -> str:
    """Return a unit, or the only one whose water leaves at an outlet; nothing where several do."""
    network = flotilla.setup.built.network
    before = {place} if place in flotilla.point.units else upstream(network, place)
    units = [name for name in flotilla.point.units if name in before]
    return units[0] if len(units) == 1 else ""


def before_trip(flotilla: Flotilla, unit: str) -> Array:
    """Return the temperature of the water [degC] that leaves a unit just before it trips."""
    of = flotilla.point.units[unit]
    coil = next(item for item in flotilla.point.loop.coils if item.unit == unit)
    rate = flotilla.point.water.density * flotilla.point.water.heat_capacity * of.volume_flow
    heat = coil.machine.rated_capacity + coil.machine.rated_power
    return np.asarray(of.inlet_temperature + np.minimum(heat / np.maximum(rate, 1.0), 40.0))
