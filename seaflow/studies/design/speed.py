"""The speed at which a pump whose speed can be set just meets the need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.point import COOLING, OFF, OperatingPoint
from seaflow.model.together import operate_all
from seaflow.studies.design.need import UnitNeed

STEPS = 121


@dataclass(frozen=True, slots=True)
class SpeedSetting:
    """The least speed that meets every need at the design point, and what it takes there."""

    speed: float = measured("-")
    flow: float = measured("m3/s")
    power: float = measured("W")


def speeds_for_need(
    pumps: Sequence[tuple[Built, PumpPart, Conditions]], needs: Sequence[Mapping[str, UnitNeed]]
) -> list[SpeedSetting | None]:
    """Return the setting of each pump in its loop, with the needs there.

    None if its speed cannot be set or full speed is not enough.
    """
    speeds = {
        row: np.linspace(part.least_speed, 1.0, STEPS)
        for row, (_, part, _) in enumerate(pumps)
        if part.least_speed is not None
    }
    points = operate_all(
        [(pumps[row][0].loop, replace(pumps[row][2], pump_speed=at)) for row, at in speeds.items()],
        [STEPS] * len(speeds),
    )
    found = dict(zip(speeds, points, strict=True))
    return [
        _least(speeds[row], found[row], needs[row]) if row in found else None
        for row in range(len(pumps))
    ]


def _least(
    speeds: Array, point: OperatingPoint, needs: Mapping[str, UnitNeed]
) -> SpeedSetting | None:
    meets = np.ones(STEPS, dtype=bool)
    for name, unit in point.units.items():
        enough = (unit.state == COOLING) & (unit.volume_flow >= needs[name].flow)
        meets &= enough | (unit.state == OFF)
    if not meets.any():
        return None
    first = int(np.argmax(meets))
    flow, power = point.total_flow()[first], point.total_power()[first]
    return SpeedSetting(float(speeds[first]), float(flow), float(power))
