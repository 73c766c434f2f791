"""The suction side: pressures at strainer, pump and every high point, and NPSH."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.model.build import Built
from seaflow.model.loop import SEA
from seaflow.model.point import OperatingPoint
from seaflow.model.pressures import PressurePoint, high_points, pressures
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.suction import npsh_from_gauge
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.limits import limit


@dataclass(frozen=True, slots=True)
class PressureAt:
    """Gauge pressure at one point, at the design corner and with the strainer blocked."""

    point: str
    kind: str
    height: float = measured("m")
    gauge_design: float = measured("Pa")
    gauge_lowest: float = measured("Pa")
    lowest_at: str = ""


@dataclass(frozen=True, slots=True)
class SuctionResult:
    """What the suction side asks of the pump.

    `npsh_by_gauge` is what the gauge reading of the case left at the flow it was read.
    """

    points: tuple[PressureAt, ...]
    npsh_available: float | None = measured("m", None)
    npsh_required: float | None = measured("m", None)
    npsh_margin: float | None = measured("m", None)
    decides: str = ""
    npsh_by_gauge: float | None = measured("m", None)
    gauge_flow: float | None = measured("m3/s", None)
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
        decides=_words(margin, required),
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
    lowest = int(np.argmin(item.gauge))
    if item.is_crest:
        kind = "highest point after the pump"
    elif item.label in peaks:
        kind = "high point of the suction run" if item.before_pump else "high point"
    else:
        kind = "suction side"
    return PressureAt(
        point=item.label,
        kind=kind,
        height=float(item.height[0]),
        gauge_design=float(item.gauge[0]),
        gauge_lowest=float(item.gauge[lowest]),
        lowest_at=result.at[lowest].worst_case,
    )


def _words(margin: float | None, required: float | None) -> str:
    if required is None:
        return (
            "the suction vacuum decides, and it should stay above "
            f"{quantity('pressure', limit('suction_vacuum'))} at the pump inlet"
        )
    if margin is None:
        return "the pump's height is not recorded"
    enough = margin >= limit("npsh_margin")
    return (
        "NPSH is no concern" if enough else "the NPSH margin is too small: the pump would cavitate"
    )
