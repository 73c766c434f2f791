"""What a loop, all clean, asks of its pump so that every unit has its need, as it shares its water.

What a loop costs at a flow is found by running it with its pump at many speeds: each operating
point is one point of the system curve.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint, PumpPoint
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.which_pump import supplied

N_SPEEDS = 240
SPEEDS = (0.02, 4.0)  # of rated: from a trickle to more than any coil allows


@dataclass(frozen=True, slots=True)
class Demand:
    """What the loop, all clean, asks of a pump: every unit has its need from this flow on.

    `least` is where every unit has its least flow, `most` where the first has too much; None where
    nothing limits it. `limited_by` is "maker" or "alloy".
    """

    flow: float = measured("m3/s")
    head: float = measured("m")
    least: float = measured("m3/s")
    most: float | None = measured("m3/s", None)
    limited_by: str = ""


def swept(case: Case, built: Built, part: PumpPart, now: Conditions) -> OperatingPoint:
    """Return the loop run at many speeds of its pump."""
    now = supplied(case, built.network, part, now)
    return operate(built.loop, replace(now, pump_speed=np.linspace(*SPEEDS, N_SPEEDS)))


def first_pump(point: OperatingPoint) -> PumpPoint:
    """Return where the pump of the first place runs."""
    return point.pumps[point.loop.pumps[0].name]


def demand_of(point: OperatingPoint, built: Built, needs: Iterable[UnitNeed]) -> Demand | None:
    """Return what a loop run at many speeds asks of its first pump; None where none is enough.

    Units that are off ask for nothing.
    """
    at = first_pump(point)
    running = {coil.unit: coil for coil in built.loop.coils if coil.switched_on}
    flows: Mapping[str, Array] = {name: point.units[name].volume_flow for name in running}
    by_name = {need.name: need for need in needs if need.name in running}
    need, least = [], []
    for name, unit in by_name.items():
        need.append(flow_from(at.volume_flow, flows[name], unit.flow))
        least.append(flow_from(at.volume_flow, flows[name], unit.least))
    if not need or None in need or None in least:
        return None
    flow = max(item for item in need if item is not None)
    return Demand(
        flow=flow,
        head=float(np.interp(flow, at.volume_flow, at.head)),
        least=max(item for item in least if item is not None),
    )


def flow_from(pump: Array, unit: Array, wanted: float) -> float | None:
    """Return the flow of the pump from which on a unit gets what is wanted, None if from none.

    Both mostly rise with its speed, but may step where a leg fills.
    """
    short = np.nonzero(unit < wanted)[0]
    last = int(short[-1]) if short.size else -1
    if last == unit.size - 1:
        return None
    if last < 0:
        return float(pump[0])
    part = (wanted - unit[last]) / (unit[last + 1] - unit[last])
    return float(pump[last] + part * (pump[last + 1] - pump[last]))
