"""Electric power of the pumps where they run."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Array
from seaflow.model.elements import Pumping
from seaflow.model.system import RunningPump
from seaflow.physics.pumping.pump_power import electric_power, electric_power_from_points

_LEAST_SPEED = 1e-9


def pump_power(pump: Pumping, running: RunningPump, volume_flow: Array) -> Array:
    """Return the electric power of a pump, or of equal pumps side by side [W]."""
    speed = np.broadcast_to(np.asarray(running.speed, dtype=float), volume_flow.shape)
    each = volume_flow / pump.n_pumps
    if len(pump.power) > 1:
        flows, powers = (np.asarray(column) for column in zip(*pump.power, strict=True))
        one = electric_power_from_points(each, speed, flows, powers)
    else:
        free = np.asarray(running.curve.free_flow) * np.maximum(speed, _LEAST_SPEED)
        one = electric_power(pump.power[0][1], speed, volume_flow / free)
    return np.asarray(np.where(speed > 0, one, 0.0) * pump.n_pumps)
