"""Discharge that the intake swallows again: the loop then warms its own sea.

With the share r of the discharge in the intake water, the intake stands r / (1 - r) times the
mixed rise above the sea. The rise hangs a little on the intake's temperature, so it is worked out
anew until it stays.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.model.point import TRIPS
from seaflow.model.thermal import Temperatures, find_temperatures
from seaflow.physics.water.seawater import Seawater

MOST_ROUNDS = 60
SETTLED = 1e-9  # K
MOST_SHARE = 0.95  # beyond it the loop runs on its own water, and no rise would be believed
FALL = 0.1  # K by which the rise falls, at most, for each K the intake gains; keeps steps short


def temperatures_with_recirculation(
    loop: Loop, now: Conditions, water: Seawater, flow: Array
) -> tuple[Temperatures, NDArray[np.bool_]]:
    """Return temperatures along a loop with its own discharge drawn in, and where they settled.

    The intake is worked up from the temperature of the sea. Where a unit trips on the way it never
    cools again, or the unit would start and trip for ever.
    """
    found = find_temperatures(loop, now, water, flow)
    settled = np.ones(flow.shape[-1], dtype=bool)
    if not np.any(now.recirculated):
        return found, settled
    share = np.clip(np.asarray(now.recirculated, dtype=float), 0.0, MOST_SHARE)
    times = share / (1.0 - share)
    sea = np.broadcast_to(np.asarray(now.sea_temperature, dtype=float), (flow.shape[-1],))
    intake, tripped = sea, np.zeros(sea.shape, dtype=bool)
    for _ in range(MOST_ROUNDS):
        tripped = tripped | np.any([unit.state == TRIPS for unit in found.units.values()], axis=0)
        rise = _mixed_discharge(loop, found, flow, intake) - intake
        step = (sea + times * rise - intake) / (1.0 + FALL * times)
        step = np.where(tripped, np.maximum(step, 0.0), step)
        intake = intake + step
        found = find_temperatures(loop, replace(now, sea_temperature=intake), water, flow)
        settled = np.abs(step) < SETTLED
        if np.all(settled):
            break
    return found, settled


def _mixed_discharge(loop: Loop, found: Temperatures, flow: Array, intake: Array) -> Array:
    """Return the temperature of all discharge together; that of the intake where none flows."""
    total, heat = np.zeros(flow.shape[-1]), np.zeros(flow.shape[-1])
    for number, link in enumerate(loop.links):
        if link.to_sea:
            total = total + flow[number]
            heat = heat + flow[number] * found.outlets[link.elements[-1].name]
    return np.where(total > 0.0, heat / np.where(total > 0.0, total, 1.0), intake)
