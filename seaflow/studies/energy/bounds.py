"""What the flow through a loop must hold to, whatever the pump would save."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.sentence import quantity
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, OFF, OperatingPoint
from seaflow.studies.design.limits import limit

SLACK = 1e-6  # of a flow; keeps a limit met exactly from failing by rounding

Truths = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Bound:
    """One limit, and where along the conditions it holds."""

    name: str
    holds: Truths


def bounds(case: Case, built: Built, point: OperatingPoint) -> tuple[Bound, ...]:
    """Return every limit that a point must hold to, in the order in which they are named."""
    found = []
    for coil in built.loop.coils:
        unit = point.units[coil.unit]
        off = unit.state == OFF
        if off.all():
            continue
        here = [
            Bound(f"{coil.unit} gets water and runs", unit.state == COOLING),
            *_flows(coil, unit.volume_flow),
            *_velocities(case, coil, unit.volume_flow),
            *_temperatures(case, coil, unit.temperature_rise, unit.cut_out_margin),
        ]
        found += [Bound(item.name, np.asarray(item.holds | off)) for item in here]
    return tuple(found)


def _flows(coil: Coil, flow: NDArray[np.float64]) -> list[Bound]:
    least, most = coil.flow_limits
    found = []
    if least is not None:
        name = f"maker's least flow of {coil.unit}, {quantity('flow', least)}"
        found.append(Bound(name, flow >= least * (1.0 - SLACK)))
    if most is not None:
        name = f"maker's most flow of {coil.unit}, {quantity('flow', most)}"
        found.append(Bound(name, flow <= most * (1.0 + SLACK)))
    return found


def _velocities(case: Case, coil: Coil, flow: NDArray[np.float64]) -> list[Bound]:
    known = coil.velocity(flow)
    if known is None:
        return []
    velocity = np.asarray(known)
    slowest, fastest = coil_velocities(case, coil.unit)
    words = f"{quantity('velocity', slowest)} in the coil of {coil.unit}, so that silt moves"
    found = [Bound(words, velocity >= slowest * (1.0 - SLACK))]
    if fastest is not None:
        words = f"{quantity('velocity', fastest)} in the coil of {coil.unit}, what its alloy stands"
        found.append(Bound(words, velocity <= fastest * (1.0 + SLACK)))
    return found


def coil_velocities(case: Case, unit: str) -> tuple[float, float | None]:
    """Return the least velocity in a unit's coil, and the most that its alloy stands [m/s]."""
    alloy = next((item.alloy for item in case.unit if item.name == unit), None)
    if alloy is None:
        return limit("silt_velocity"), None
    row = case.catalogue.find("alloys", alloy)[1]
    least = _velocity(row.get("least_velocity", "no value"))
    fastest = _velocity(row.get("exchanger_velocity", row.get("design_velocity", "no value")))
    return limit("silt_velocity") if least is None else least, fastest


def _velocity(text: str) -> float | None:
    return None if text == "no value" else read_quantity(text, "m/s")


def _temperatures(
    case: Case, coil: Coil, rise: NDArray[np.float64], margin: NDArray[np.float64]
) -> list[Bound]:
    own = next((item.permitted_rise for item in case.unit if item.name == coil.unit), None)
    most = own or case.design.permitted_rise
    least = case.design.cut_out_margin
    return [
        Bound(
            f"permitted rise of {coil.unit}, {quantity('rise', most)}", rise <= most * (1.0 + SLACK)
        ),
        Bound(
            f"{quantity('rise', least)} from {coil.unit} to its cut-out",
            np.nan_to_num(margin, nan=-1.0) >= least,
        ),
    ]
