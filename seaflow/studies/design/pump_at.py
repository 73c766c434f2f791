"""Where a pump runs in one worst case, and each unit with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.model.build import Built
from seaflow.model.point import COOLING, OFF, UNIT_STATES, OperatingPoint
from seaflow.model.pressures import pump_gauge
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.worst_cases import WorstCase


@dataclass(frozen=True, slots=True)
class UnitAt:
    """A unit in one worst case with one pump; `margin` is over what the worst case asks."""

    name: str
    state: str
    flow: float = measured("m3/s")
    margin: float | None = measured("-")
    temperature_rise: float = measured("K")
    outlet_temperature: float = measured("degC")
    condensing_temperature: float | None = measured("degC")
    cut_out_margin: float | None = measured("K")
    coil_velocity: float | None = measured("m/s")


@dataclass(frozen=True, slots=True)
class PumpAt:
    """Where a pump runs in one worst case."""

    worst_case: str
    where: Fact
    asks: str
    ending: str
    flow: float = measured("m3/s")
    head: float = measured("m")
    share_of_free_flow: float = measured("-")
    speed_ratio: float = measured("-")
    power: float = measured("W")
    voltage: float = measured("V")
    npsh_available: float | None = measured("m")
    inlet_gauge: float | None = measured("Pa")
    units: tuple[UnitAt, ...] = ()


def pumps_at(
    built: Built,
    point: OperatingPoint,
    needs: Mapping[str, UnitNeed],
    found: Sequence[WorstCase],
) -> tuple[PumpAt, ...]:
    """Return where the pump runs in each worst case."""
    return Runs.of(built, point).at(needs, found)


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Rows of worst cases: where the pump runs, and gauge, volts and velocities in coils there."""

    built: Built
    point: OperatingPoint
    gauge: Array | None
    volts: Array
    speeds: Mapping[str, Any]

    @classmethod
    def of(cls, built: Built, point: OperatingPoint) -> Runs:
        """Return the operating points with what is read off all of them at once."""
        volts = np.broadcast_to(np.asarray(point.conditions.voltage, dtype=float), (point.size,))
        speeds = {
            coil.unit: coil.velocity(point.units[coil.unit].volume_flow)
            for coil in built.loop.coils
        }
        return cls(built, point, pump_gauge(point), volts, speeds)

    def at(
        self, needs: Mapping[str, UnitNeed], found: Sequence[WorstCase], first: int = 0
    ) -> tuple[PumpAt, ...]:
        """Return where the pump runs in worst cases, which stand in a row from index `first`."""
        return tuple(_pump_at(self, needs, worst, first + row) for row, worst in enumerate(found))


def _pump_at(every: Runs, needs: Mapping[str, UnitNeed], worst: WorstCase, index: int) -> PumpAt:
    point = every.point
    pumps = list(point.pumps.values())
    first = pumps[0]
    npsh = float(first.npsh_available[index])
    return PumpAt(
        worst_case=worst.name,
        where=worst.where,
        asks=worst.asks,
        ending=point.words(index),
        flow=sum(float(item.volume_flow[index]) for item in pumps),
        head=float(first.head[index]),
        share_of_free_flow=float(first.share_of_free_flow[index]),
        speed_ratio=float(first.speed_ratio[index]),
        power=sum(float(item.power[index]) for item in pumps),
        voltage=float(every.volts[index]),
        npsh_available=None if np.isnan(npsh) else npsh,
        inlet_gauge=None if every.gauge is None else float(every.gauge[index]),
        units=tuple(_units_at(every, needs, worst.asks, index)),
    )


def _units_at(
    every: Runs, needs: Mapping[str, UnitNeed], asks: str, index: int
) -> Iterator[UnitAt]:
    for coil in every.built.loop.coils:
        unit, need = every.point.units[coil.unit], needs[coil.unit]
        flow = float(unit.volume_flow[index])
        state = int(unit.state[index])
        wanted = need.wanted(asks)
        velocity = every.speeds[coil.unit]
        cooling = state == COOLING
        yield UnitAt(
            name=coil.unit,
            state=UNIT_STATES[state],
            flow=flow,
            margin=flow / wanted - 1.0 if wanted > 0 and state != OFF else None,
            temperature_rise=float(unit.temperature_rise[index]),
            outlet_temperature=float(unit.outlet_temperature[index]),
            condensing_temperature=float(unit.condensing_temperature[index]) if cooling else None,
            cut_out_margin=float(unit.cut_out_margin[index]) if cooling else None,
            coil_velocity=None if velocity is None else float(velocity[index]),
        )
