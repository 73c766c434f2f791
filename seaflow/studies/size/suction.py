"""The suction side: pressures at strainer, pump and every high point, and NPSH."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.model.build import Built
from seaflow.model.loop import SEA
from seaflow.model.point import OperatingPoint
from seaflow.model.pressures import PressurePoint, high_points, pressures
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.suction import npsh_from_gauge
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.limits import limit

EVEN = 0.01  # Pa; worst cases nearer than this are one, and the first is told


@dataclass(frozen=True, slots=True)
class PressureAt:
    """Gauge pressure at one point: at the design point, and in the worst case where it is lowest.

    `kind` is "crest" (the highest point after the pump), "suction peak" or "peak" (a high point
    before or after the pump) or "suction".
    """

    point: str
    kind: str
    lowest_at: Fact
    height: float = measured("m")
    gauge_design: float = measured("Pa")
    gauge_lowest: float = measured("Pa")


@dataclass(frozen=True, slots=True)
class SuctionResult:
    """What the suction side asks of the pump.

    `npsh_by_gauge` is what the gauge reading of the case left at the flow it was read.
    """

    points: tuple[PressureAt, ...]
    decides: Fact
    npsh_available: float | None = measured("m")
    npsh_required: float | None = measured("m")
    npsh_margin: float | None = measured("m")
    npsh_by_gauge: float | None = measured("m")
    gauge_flow: float | None = measured("m3/s")
    not_recorded: tuple[str, ...] = ()


def suction_of(built: Built, result: PumpResult, point: OperatingPoint) -> SuctionResult:
    """Return the pressures of the suction side and of every high point of the loop."""
    found = pressures(point)
    peaks = {item.label for link in built.loop.links for item in high_points(link)}
    shown = tuple(_at(item, result, peaks) for item in found if _is_shown(item, built, peaks))
    known = [at.npsh_available for at in result.at if at.npsh_available is not None]
    available = min(known) if known else None
    required = result.part.required_npsh
    margin = None if available is None or required is None else available - required
    unknown = tuple(
        place.label
        for link in built.loop.links
        if link.start == SEA
        for _, _, place in link.points()
        if place.height is None
    )
    by_gauge, at_flow = _by_gauge(built, point)
    return SuctionResult(
        points=shown,
        npsh_available=available,
        npsh_required=required,
        npsh_margin=margin,
        decides=_decides(margin, required),
        npsh_by_gauge=by_gauge,
        gauge_flow=at_flow,
        not_recorded=unknown,
    )


def _by_gauge(built: Built, point: OperatingPoint) -> tuple[float | None, float | None]:
    """Return the NPSH that a gauge reading at the pump inlet tells, and its flow."""
    place, pump = built.network.pumps[0], built.loop.pumps[0]
    reading = place.measured_suction
    if reading is None:
        return None, None
    found = npsh_from_gauge(
        reading.gauge_pressure,
        ATMOSPHERE,
        float(np.max(np.asarray(point.water.vapour_pressure))),
        float(np.min(np.asarray(point.water.density))),
        velocity(reading.flow, float(np.asarray(pump.bore))),
        0.0,
    )
    return float(found), reading.flow


def _is_shown(item: PressurePoint, built: Built, peaks: set[str]) -> bool:
    names = {element.name for element in (*built.loop.strainers, *built.loop.pumps)}
    return item.label in names or item.label in peaks or item.is_crest


def _at(item: PressurePoint, result: PumpResult, peaks: set[str]) -> PressureAt:
    lowest = int(np.argmax(item.gauge <= item.gauge.min() + EVEN))
    if item.is_crest:
        kind = "crest"
    elif item.label in peaks:
        kind = "suction peak" if item.before_pump else "peak"
    else:
        kind = "suction"
    return PressureAt(
        point=item.label,
        kind=kind,
        height=float(item.height[0]),
        gauge_design=float(item.gauge[0]),
        gauge_lowest=float(item.gauge[lowest]),
        lowest_at=result.at[lowest].where,
    )


def _decides(margin: float | None, required: float | None) -> Fact:
    if required is None:
        return fact("size.vacuum_decides", least=amount("pressure", limit("suction_vacuum")))
    if margin is None:
        return fact("size.pump_height_unknown")
    if margin < limit("npsh_margin"):
        return fact("size.npsh_short")
    return fact("size.npsh_enough")
