"""Flow times rise must agree with the heat of the plate; if not, which reading to take again."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.boat.network import upstream
from seaflow.physics.water.seawater import seawater
from seaflow.studies.diagnose.infer import Posterior, log_likelihood
from seaflow.studies.diagnose.readings import Number, Readings, instruments

ALLOWED = 0.25  # of the plate heat; common practice, no source


@dataclass(frozen=True, slots=True)
class HeatCheck:
    """The heat that the readings carry overboard, beside that of the plates."""

    found: float = measured("W")
    plate: float = measured("W")
    agrees: bool = True
    words: str = ""


def heat_check(posterior: Posterior, readings: Readings) -> HeatCheck | None:
    """Return the check, or None where flow, sea and discharge were not all read."""
    sea, loop = readings.of("sea"), posterior.flotilla.setup.built.loop
    if sea is None or readings.mode != "cooling":
        return None
    water = seawater(sea, posterior.flotilla.setup.case.sea.salinity)
    found = plate = 0.0
    for link in loop.links:
        if not link.to_sea:
            continue
        outlet = link.elements[-1].name
        units = _units_before(posterior, outlet)
        flow = readings.of("flow", outlet)
        warm = _discharge(readings, outlet, units)
        if flow is None or warm is None:
            return None
        found += float(water.density * water.heat_capacity) * flow * (warm - sea)
        coils = [coil for coil in loop.coils if coil.unit in units and coil.switched_on]
        plate += readings.load * sum(
            float(coil.machine.rated_capacity + coil.machine.rated_power) for coil in coils
        )
    if plate <= 0.0:
        return None
    agrees = abs(found / plate - 1.0) <= ALLOWED
    return HeatCheck(found, plate, agrees, _words(posterior, readings, (found, plate), agrees))


def _units_before(posterior: Posterior, outlet: str) -> tuple[str, ...]:
    network = posterior.flotilla.setup.built.network
    before = upstream(network, outlet)
    return tuple(unit.name for unit in network.units if unit.name in before)


def _discharge(readings: Readings, outlet: str, units: tuple[str, ...]) -> float | None:
    mixed = readings.of("discharge", outlet)
    if mixed is not None:
        return mixed
    return readings.of("discharge", units[0]) if len(units) == 1 else None


def _words(
    posterior: Posterior, readings: Readings, heats: tuple[float, float], agrees: bool
) -> str:
    found, plate = heats
    carried = (
        f"flow and rise carry {quantity('heat', found)}, the plates say {quantity('heat', plate)}"
    )
    if agrees:
        return f"{carried}: they agree"
    worst = _least_believed(posterior, readings)
    instrument = instruments()[worst.kind]
    place = f' at "{worst.place}"' if worst.place else ""
    more = (
        "If it stands, the unit moves less heat than its plate says: part load, low refrigerant, a "
        "blocked filter."
        if found < plate
        else "If it stands, the plate is not that of this unit."
    )
    return (
        f"{carried}: more than {ALLOWED:.0%} apart. "
        f"Read the {instrument.title}{place} again. {more}"
    )


def _least_believed(posterior: Posterior, readings: Readings) -> Number:
    """Return the reading without which the others agree best."""
    chosen = [item for item in readings.numbers if item.kind in ("flow", "discharge")]

    def without(item: Number) -> float:
        rest = tuple(other for other in readings.numbers if other is not item)
        logs = posterior.flotilla.log_prior + log_likelihood(
            posterior.flotilla, replace(readings, numbers=rest)
        )
        most = float(logs.max())
        width = float(instruments()[item.kind].deviation(abs(item.value)))
        return most + math.log(float(np.exp(logs - most).sum())) - math.log(width)

    return max(chosen, key=without)
