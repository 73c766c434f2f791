"""The electrical supply of a pump: current, voltage drop and conductor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.base.ranges import RangeError
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.supply import Cable
from seaflow.boat.tables.things import Pump
from seaflow.model.conditions import Conditions
from seaflow.physics.electric.motor import starting_current, supply_current
from seaflow.physics.electric.wiring import (
    ConductorSize,
    conductor_size,
    conductor_sizes,
    voltage_drop,
)
from seaflow.studies.design.limits import limit

MOST_KEPT = 1024  # volts behind cables: boats drawn of a case mostly share theirs
AREA_SLACK = 0.999  # keeps a conductor of the size due from failing by rounding
HOT_COPPER, COOL_COPPER = 60.0, 30.0  # degC, in an engine space and elsewhere


@dataclass(frozen=True, slots=True)
class SupplyResult:
    """What the pump of one place, or all `n_pumps` on its cable, draw, and what that must be.

    Drop and conductors are None where the case lacks the cable; the conductors also where no
    standard one is thick enough for a run so long.
    """

    current: float = measured("A")
    starting_current: tuple[float, float] = measured("A")
    power_factor: float | None = measured("-")
    cable_length: float | None = measured("m", None)
    conductor_fitted: float | None = measured("m2", None)
    voltage_drop: float | None = measured("V", None)
    drop_share: float | None = measured("-", None)
    conductor_metric: ConductorSize | None = None
    conductor_us: ConductorSize | None = None
    conductor_is_enough: bool | None = None
    n_pumps: int = 1


def panel_volts(case: Case) -> tuple[float, float, float]:
    """Return the lowest, the usual and the highest volts at the panel in use."""
    supply = case.supply
    low = supply.lowest_voltage or supply.voltage * default("supply.lowest_voltage_share").value
    high = supply.highest_voltage or supply.voltage * default("supply.highest_voltage_share").value
    return low, min(max(supply.voltage, low), high), high


def fits(case: Case, part: PumpPart) -> bool:
    """Return True if the supply of the boat can drive the pump."""
    return part.runs_on(case.supply.current, case.supply.voltage)


def supply_told(case: Case) -> Fact:
    """Return the supply of a boat as a fact: volts, and hertz of AC."""
    volts = amount("voltage", case.supply.voltage)
    if case.supply.frequency is None:
        return fact("design.supply", volts=volts, current=case.supply.current.upper())
    hertz = amount("frequency", case.supply.frequency)
    return fact("design.supply_ac", volts=volts, hertz=hertz)


def cable_drop(case: Case, place: Pump, part: PumpPart, now: Conditions) -> float:
    """Return the volts at the pump: those at the panel less the drop in the cable.

    A cable whose conductor is not recorded is taken to lose the drop it should be sized for, but no
    more than the thinnest conductor that is allowed would.
    """
    panel = float(np.asarray(now.voltage if now.voltage is not None else case.supply.voltage))
    return panel if place.cable is None else _behind(place, place.cable, part, panel)


@lru_cache(MOST_KEPT)  # most worst cases have the same volts
def _behind(place: Pump, cable: Cable, part: PumpPart, panel: float) -> float:
    current = _current(part, place, panel)
    drop = _lost(cable, current, cable.conductor or thinnest_conductor())
    if cable.conductor is None:
        drop = min(drop, panel * limit("supply_drop"))
    return max(panel - drop, 0.0)


def _lost(cable: Cable, current: float, conductor: float) -> float:
    return float(voltage_drop(current, cable.length, conductor, _copper(cable)))


def _copper(cable: Cable) -> float:
    return HOT_COPPER if cable.hot_space else COOL_COPPER


@cache
def thinnest_conductor() -> float:
    """Return the area [m2] of the thinnest conductor that a pump may have."""
    return float(min(row["area"] for row in conductor_sizes("metric") if row["allowed"]))


def _current(part: PumpPart, place: Pump, volts: float, power: float | None = None) -> float:
    watts = power if power is not None else part.power[-1][1] * (place.in_parallel or 1)
    if watts <= 0.0:
        return 0.0
    return float(supply_current(part.motor, watts, volts, part.power_factor))


def supply_of(case: Case, place: Pump, part: PumpPart, power: float) -> SupplyResult:
    """Return current, drop and conductor of a place whose pump or pumps take `power` [W]."""
    volts = case.supply.voltage
    n_pumps = place.in_parallel or 1
    rated = part.power[-1][1] * n_pumps
    current = _current(part, place, volts, max(power, rated))
    low, high = starting_current(part.motor, current)
    cable = place.cable
    if cable is None:
        start = float(low), float(high)
        return SupplyResult(current, start, part.power_factor, n_pumps=n_pumps)
    hot = _copper(cable)
    share = limit("supply_drop")
    metric, american = (
        _conductor(current, cable.length, volts, share, hot, system) for system in ("metric", "awg")
    )
    drop = None
    if cable.conductor is not None:
        drop = _lost(cable, current, cable.conductor)
    return SupplyResult(
        current=current,
        starting_current=(float(low), float(high)),
        power_factor=part.power_factor,
        cable_length=cable.length,
        conductor_fitted=cable.conductor,
        voltage_drop=drop,
        drop_share=None if drop is None else drop / volts,
        conductor_metric=metric,
        conductor_us=american,
        conductor_is_enough=_is_enough(cable.conductor, metric),
        n_pumps=n_pumps,
    )


def _conductor(*asked: Any) -> ConductorSize | None:
    """Return the conductor due, or None where even the thickest of the list is too thin."""
    try:
        return conductor_size(*asked)
    except RangeError:
        return None


def _is_enough(fitted: float | None, due: ConductorSize | None) -> bool | None:
    if fitted is None:
        return None
    return due is not None and fitted >= due.area * AREA_SLACK
