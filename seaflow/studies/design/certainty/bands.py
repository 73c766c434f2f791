"""Bands of every headline figure, and how likely a pump is to be enough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, OFF, OperatingPoint, UnitPoint
from seaflow.studies.design.certainty.sample import quantiles

Truths = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Band:
    """A figure with nine chances in ten: its low and high end, and its middle."""

    name: str
    unit: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class UnitCertainty:
    """How sure one unit is of its water over the season."""

    name: str
    bands: tuple[Band, ...] = ()
    keeps_rise: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    keeps_below_velocity: float | None = measured("-", None)


@dataclass(frozen=True, slots=True)
class PumpCertainty:
    """How sure a pump is to be enough, for all units together; `error` is that of the sampling."""

    pump: str
    n_samples: int
    bands: tuple[Band, ...] = ()
    units: tuple[UnitCertainty, ...] = ()
    keeps_rise: float = measured("-", 0.0)
    keeps_running: float = measured("-", 0.0)
    error: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Verdicts:
    """For every sample: whether all units keep their rise, and whether all keep running."""

    keeps_rise: Truths
    keeps_running: Truths


def permitted_rise(case: Case, unit: str) -> float:
    """Return the permitted rise of a unit [K]."""
    found = next(item for item in case.unit if item.name == unit)
    return found.permitted_rise or case.design.permitted_rise


def verdicts(case: Case, built: Built, point: OperatingPoint) -> Verdicts:
    """Return which samples hold for all units that are on."""
    rise: Truths = np.ones(point.size, dtype=bool)
    running: Truths = np.ones(point.size, dtype=bool)
    for coil in built.loop.coils:
        unit = point.units[coil.unit]
        off = unit.state == OFF
        runs = _runs(coil, unit)
        running &= runs | off
        rise &= (runs & (unit.temperature_rise <= permitted_rise(case, coil.unit))) | off
    return Verdicts(rise, running)


def _runs(coil: Coil, unit: UnitPoint) -> Truths:
    least = coil.flow_limits[0] or 0.0
    return np.asarray((unit.state == COOLING) & (unit.volume_flow >= least))


def certainty_of(case: Case, built: Built, point: OperatingPoint, pump: str) -> PumpCertainty:
    """Return bands and likelihoods of one pump from its sampled operating points."""
    found = verdicts(case, built, point)
    power = sum(item.power for item in point.pumps.values())
    first = next(iter(point.pumps.values()))
    return PumpCertainty(
        pump=pump,
        n_samples=point.size,
        bands=(
            band("flow", "m3/s", point.total_flow()),
            band("head", "m", first.head),
            band("free_flow_share", "-", first.share_of_free_flow),
            band("power", "W", np.asarray(power)),
        ),
        units=tuple(_unit(case, coil, point.units[coil.unit]) for coil in built.loop.coils),
        keeps_rise=float(found.keeps_rise.mean()),
        keeps_running=float(found.keeps_running.mean()),
        error=standard_error(found.keeps_rise),
    )


def band(name: str, unit: str, values: Array) -> Band:
    """Return the band of a figure from its samples."""
    low, middle, high = quantiles(values)
    return Band(name, unit, low, middle, high)


def standard_error(holds: Truths) -> float:
    """Return the standard error of a likelihood, as of plain random draws of that number.

    The points are more even than random ones, so the true error is smaller.
    """
    share = float(holds.mean())
    return float(np.sqrt(share * (1.0 - share) / holds.size))


def _unit(case: Case, coil: Coil, unit: UnitPoint) -> UnitCertainty:
    bands = (
        band("flow", "m3/s", unit.volume_flow),
        band("rise", "K", np.where(unit.state == COOLING, unit.temperature_rise, np.nan)),
        band("outlet_temperature", "degC", unit.outlet_temperature),
        band("condensing_temperature", "degC", unit.condensing_temperature),
        band("cut_out_margin", "K", unit.cut_out_margin),
        band("compressor_power", "W", np.where(unit.state == COOLING, unit.power, np.nan)),
    )
    on = unit.state != OFF
    if not on.any():
        return UnitCertainty(coil.unit, bands)
    runs = _runs(coil, unit)
    rise = runs & (unit.temperature_rise <= permitted_rise(case, coil.unit))
    return UnitCertainty(
        name=coil.unit,
        bands=bands,
        keeps_rise=float(rise[on].mean()),
        keeps_running=float(runs[on].mean()),
        keeps_below_velocity=_slow_enough(case, coil, unit),
    )


def _slow_enough(case: Case, coil: Coil, unit: UnitPoint) -> float | None:
    """Return how likely the coil's water stays below the velocity its alloy stands."""
    alloy = next(item.alloy for item in case.unit if item.name == coil.unit)
    velocity = coil.velocity(unit.volume_flow)
    fastest = None if alloy is None else case.catalogue.fastest_water(alloy)[1]
    if velocity is None or fastest is None:
        return None
    return float((np.asarray(velocity) <= fastest).mean())
