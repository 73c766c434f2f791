"""Where a pump runs in one worst case, and each unit with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan
from typing import Any

import numpy as np

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.model.build import Built
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, OFF, UNIT_STATES, OperatingPoint, UnitPoint
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
    """Where a pump runs in one worst case; flow, head and power are those of all pumps together."""

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
    """Rows of worst cases, as plain numbers: the pump in each, and every unit with its state."""

    endings: Sequence[str]
    pump: Sequence[Sequence[float]]
    has_gauge: bool
    units: Mapping[str, tuple[Sequence[int], Sequence[Sequence[float]], bool]]

    @classmethod
    def of(cls, built: Built, point: OperatingPoint) -> Runs:
        """Return the operating points with what is read off all of them at once."""
        pumps, gauge = list(point.pumps.values()), pump_gauge(point)
        first = pumps[0]
        # one after another, the same water passes several
        flow = first.volume_flow if len(pumps) == 1 else point.total_flow()
        columns = (
            *(flow, first.head * point.loop.pumps_in_a_row),
            *(first.share_of_free_flow, first.speed_ratio),
            sum((item.power for item in pumps), np.zeros(point.size)),
            *(point.conditions.voltage, first.npsh_available, np.nan if gauge is None else gauge),
        )
        units = {coil.unit: _unit_rows(coil, point.units[coil.unit]) for coil in built.loop.coils}
        endings = [point.words(index) for index in range(point.size)]
        return cls(endings, _rows(columns, point.size), gauge is not None, units)

    def at(
        self, needs: Mapping[str, UnitNeed], found: Sequence[WorstCase], first: int = 0
    ) -> tuple[PumpAt, ...]:
        """Return where the pump runs in worst cases, which stand in a row from index `first`."""
        return tuple(_pump_at(self, needs, worst, first + row) for row, worst in enumerate(found))


def _rows(columns: Sequence[Any], size: int) -> list[list[float]]:
    """Return numbers and arrays along one axis as rows of plain numbers."""
    table = np.empty((size, len(columns)))
    for number, column in enumerate(columns):
        table[:, number] = column
    return table.tolist()


def _unit_rows(coil: Coil, unit: UnitPoint) -> tuple[list[int], list[list[float]], bool]:
    velocity = coil.velocity(unit.volume_flow)
    columns = (
        *(unit.volume_flow, unit.temperature_rise, unit.outlet_temperature),
        *(unit.condensing_temperature, unit.cut_out_margin),
        np.nan if velocity is None else velocity,
    )
    return unit.state.tolist(), _rows(columns, unit.state.size), velocity is not None


def _pump_at(every: Runs, needs: Mapping[str, UnitNeed], worst: WorstCase, index: int) -> PumpAt:
    flow, head, share, speed, power, volts, npsh, gauge = every.pump[index]
    return PumpAt(
        worst_case=worst.name,
        where=worst.where,
        asks=worst.asks,
        ending=every.endings[index],
        flow=flow,
        head=head,
        share_of_free_flow=share,
        speed_ratio=speed,
        power=power,
        voltage=volts,
        npsh_available=None if isnan(npsh) else npsh,
        inlet_gauge=gauge if every.has_gauge else None,
        units=tuple(_units_at(every, needs, worst.asks, index)),
    )


def _units_at(
    every: Runs, needs: Mapping[str, UnitNeed], asks: str, index: int
) -> Iterator[UnitAt]:
    for name, (states, rows, has_velocity) in every.units.items():
        flow, rise, outlet, condensing, margin, velocity = rows[index]
        state, wanted = states[index], needs[name].wanted(asks)
        yield UnitAt(
            name=name,
            state=UNIT_STATES[state],
            flow=flow,
            margin=flow / wanted - 1.0 if wanted > 0 and state != OFF else None,
            temperature_rise=rise,
            outlet_temperature=outlet,
            condensing_temperature=condensing if state == COOLING else None,
            cut_out_margin=margin if state == COOLING else None,
            coil_velocity=velocity if has_velocity else None,
        )
