"""The speed at which a pump whose speed can be set just meets the need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OFF
from seaflow.studies.design.need import UnitNeed

STEPS = 121


@dataclass(frozen=True, slots=True)
class SpeedSetting:
    """The least speed that meets every need at the design point, and what it takes there."""

    speed: float = measured("-")
    flow: float = measured("m3/s")
    power: float = measured("W")


def speed_for_need(
    built: Built, part: PumpPart, now: Conditions, needs: Mapping[str, UnitNeed]
) -> SpeedSetting | None:
    """Return the setting, or None if the speed cannot be set or full speed is not enough."""
    if part.least_speed is None:
        return None
    speeds = np.linspace(part.least_speed, 1.0, STEPS)
    point = operate(built.loop, replace(now, pump_speed=speeds))
    meets = np.ones(STEPS, dtype=bool)
    for name, unit in point.units.items():
        enough = (unit.state == COOLING) & (unit.volume_flow >= needs[name].flow)
        meets &= enough | (unit.state == OFF)
    if not meets.any():
        return None
    first = int(np.argmax(meets))
    flow, power = point.total_flow()[first], point.total_power()[first]
    return SpeedSetting(float(speeds[first]), float(flow), float(power))
