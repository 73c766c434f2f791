"""What drives the water and what stops it: pumps and their power, outlet heights, shut valves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number, any_of
from seaflow.model.conditions import Conditions, take
from seaflow.model.elements import LEAST_OPENING, Cock, Coil, Pumping, PumpsInTurn
from seaflow.model.heights import height_of
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.system import Paths, RunningPump
from seaflow.physics.electric.motor import speed_ratio
from seaflow.physics.pumping.pump import Drive, in_parallel, worn
from seaflow.physics.pumping.pump_power import (
    air_factor,
    electric_power,
    electric_power_from_points,
)

_LEAST_SPEED = 1e-9
LEAST_AIR_FACTOR = 1e-6  # a curve without any head has no shape


def running_pump(pump: Pumping, now: Conditions) -> RunningPump:
    """Return a pump's curve with wear and air, and the speed that its supply gives it."""
    speed = _by_drive(pump, _speed, now.voltage, now.frequency)
    speed = speed * np.asarray(now.pump_speed) * np.asarray(now.pump_running, dtype=float)
    curve = in_parallel(pump.curve, pump.n_pumps) if pump.n_pumps > 1 else pump.curve
    if any_of(now.pump_wear):
        curve = worn(curve, now.pump_wear)
    if any_of(now.air_fraction):
        left = np.maximum(air_factor(now.air_fraction), LEAST_AIR_FACTOR)
        curve = replace(curve, shut_off_head=curve.shut_off_head * left)
    return RunningPump(curve, speed)


def _by_drive(pump: Pumping, of: Callable[..., Number], *values: Number | None) -> Number:
    """Return what follows from the drive of a pump, or from that of each condition, and values."""
    if not isinstance(pump, PumpsInTurn):
        return of(pump.drive, *values)
    found = np.empty(pump.which.shape)
    for number, drive in enumerate(pump.drives):
        where = np.flatnonzero(pump.which == number)
        found[where] = of(drive, *(take(value, where) for value in values))
    return found


def _speed(drive: Drive, voltage: Number | None, frequency: Number | None) -> Number:
    volts = 1.0 if voltage is None else np.asarray(voltage) / drive.voltage
    hertz: Number = 1.0
    if frequency is not None and drive.frequency is not None:
        hertz = np.asarray(frequency) / drive.frequency
    least = None if drive.minimum_voltage is None else drive.minimum_voltage / drive.voltage
    return speed_ratio(drive.motor, volts, hertz, least)


def lift_of(loop: Loop, link: Link, now: Conditions) -> Number:
    """Return the head a link takes whatever the flow [m].

    At an outlet that is its height, or nothing if it is under water, since the depth pushes back
    as much as the fall gives.
    """
    height = outlet_height(loop, link, now)
    return 0.0 if height is None else np.maximum(height, 0.0)


def outlet_height(loop: Loop, link: Link, now: Conditions) -> Number | None:
    """Return the height of the outlet of a link [m]; None if it has none or it is not recorded."""
    point = link.elements[-1].point
    return None if not link.to_sea or point is None else height_of(point, now, loop)


def paths_of(loop: Loop, now: Conditions) -> Paths:
    """Return the ways through the loop, and which of them are open."""
    links = [_is_open(link, now) for link in loop.links]
    rows = [reduce(np.logical_and, (links[number] for number in path)) for path in loop.paths]
    width = max(row.shape[-1] for row in rows)
    is_open = np.stack([np.broadcast_to(row, (width,)) for row in rows])
    return Paths(loop.membership, is_open)


def _is_open(link: Link, now: Conditions) -> NDArray[np.bool_]:
    shut: NDArray[np.bool_] = np.zeros(1, dtype=bool)
    for element in link.elements:
        if isinstance(element, Cock):
            shut = shut | (np.asarray(element.opening(now)) < LEAST_OPENING)
        elif isinstance(element, Coil):
            shut = shut | np.asarray(now.branch_shut.get(element.unit, element.branch_shut))
    return ~shut


def after_pump(loop: Loop) -> frozenset[str]:
    """Return the junctions that water reaches only after a pump."""
    reached: set[str] = set()
    for _ in loop.links:
        for link in loop.links:
            pumped = any(isinstance(element, Pumping) for element in link.elements)
            if pumped or link.start in reached:
                reached.add(link.end)
    return frozenset(reached - {SEA})


def pump_power(pump: Pumping, running: RunningPump, volume_flow: Array) -> Array:
    """Return the electric power of a pump, or of equal pumps side by side [W]."""
    speed = np.broadcast_to(np.asarray(running.speed, dtype=float), volume_flow.shape)
    free = np.asarray(running.curve.free_flow) * np.maximum(speed, _LEAST_SPEED)
    one = _by_drive(pump, _power, speed, volume_flow / pump.n_pumps, volume_flow / free)
    return np.asarray(np.where(speed > 0, one, 0.0) * pump.n_pumps)


def _power(drive: Drive, speed: Number, flow: Number, share_of_free_flow: Number) -> Number:
    """Return the electric power of one pump [W]."""
    if len(drive.power) > 1:
        flows, powers = (np.asarray(column) for column in zip(*drive.power, strict=True))
        return electric_power_from_points(flow, speed, flows, powers)
    return electric_power(drive.power[0][1], speed, share_of_free_flow)
