"""Temperatures along the loop, and where each unit's machine balances with its water.

Discharge that the intake swallows again lets the loop warm its own sea. With the share r of the
discharge in the intake water, the intake stands r / (1 - r) times the mixed rise above the sea. The
rise hangs a little on the intake's temperature, so it is worked out anew until it stays, in steps
that learn from the last one how much it does.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number, ratio
from seaflow.model import point as words
from seaflow.model.conditions import Conditions, take
from seaflow.model.elements import Coil
from seaflow.model.heating import run_heating
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.point import TRIPS, UnitPoint
from seaflow.physics.heat.compressor import balance, scaled
from seaflow.physics.heat.exchanger import conductance
from seaflow.physics.heat.refrigerant import CRITICAL_MARGIN
from seaflow.physics.water.seawater import Seawater

MOST_ROUNDS = 60
SETTLED = 1e-9  # K
TELLING = 1e-6  # K: of shorter steps only noise is learnt
MOST_SHARE = 0.95  # beyond it the loop runs on its own water, and no rise would be believed
FALL = 0.1  # K by which the rise falls, at most, for each K the intake gains; keeps steps short


@dataclass(frozen=True, slots=True, eq=False)
class Temperatures:
    """Temperatures by junction and at the end of each link that reaches the sea, and the units."""

    nodes: dict[str, Array]
    outlets: dict[str, Array]
    units: dict[str, UnitPoint]


def temperatures_with_recirculation(
    loop: Loop, now: Conditions, water: Seawater, flow: Array
) -> tuple[Temperatures, NDArray[np.bool_]]:
    """Return temperatures along a loop with its own discharge drawn in, and where they settled.

    The intake is worked up from the temperature of the sea. Where a unit trips on the way it never
    cools again, or the unit would start and trip for ever.
    """
    found = find_temperatures(loop, now, water, flow)
    settled = np.ones(flow.shape[-1], dtype=bool)
    share = np.broadcast_to(np.asarray(now.recirculated, dtype=float), settled.shape)
    where = np.flatnonzero(share)
    if not where.size:
        return found, settled
    if where.size == settled.size:
        return _recirculated(loop, now, water, flow, found)
    # of many conditions few draw their discharge in: only those are worked out anew
    there = take(loop, where), take(now, where), take(water, where)
    again, settled[where] = _recirculated(*there, flow[:, where], _at(found, where))
    return _put(found, again, where), settled


def _at(value: Any, where: NDArray[np.intp]) -> Any:
    """Return temperatures, or a part of them, of these conditions alone."""
    if isinstance(value, np.ndarray):
        return value[..., where]
    if isinstance(value, dict):
        return {name: _at(item, where) for name, item in value.items()}
    changed = {one.name: _at(getattr(value, one.name), where) for one in fields(value)}
    return replace(value, **changed)


def _put(whole: Any, part: Any, where: NDArray[np.intp]) -> Any:
    """Return temperatures with those of these conditions put in."""
    if isinstance(whole, np.ndarray):
        found = np.array(whole)
        found[..., where] = part
        return found
    if isinstance(whole, dict):
        return {name: _put(item, part[name], where) for name, item in whole.items()}
    names = [one.name for one in fields(whole)]
    changed = {name: _put(getattr(whole, name), getattr(part, name), where) for name in names}
    return replace(whole, **changed)


def _recirculated(
    loop: Loop, now: Conditions, water: Seawater, flow: Array, found: Temperatures
) -> tuple[Temperatures, NDArray[np.bool_]]:
    """Return the same with the loop's own discharge in the intake; `found` is without it."""
    share = np.clip(np.asarray(now.recirculated, dtype=float), 0.0, MOST_SHARE)
    times = share / (1.0 - share)
    sea = np.broadcast_to(np.asarray(now.sea_temperature, dtype=float), (flow.shape[-1],))
    intake, tripped = sea, np.zeros(sea.shape, dtype=bool)
    slope, before, step = 1.0 + FALL * times, np.zeros(sea.shape), np.zeros(sea.shape)
    for _ in range(MOST_ROUNDS):
        tripped = tripped | np.any([unit.state == TRIPS for unit in found.units.values()], axis=0)
        rise = _mixed_discharge(loop, found, flow, intake) - intake
        short = sea + times * rise - intake
        tells = np.abs(step) > TELLING
        steep = np.clip((before - short) / np.where(tells, step, 1.0), 1.0, 1.0 + FALL * times)
        slope = np.where(tells, steep, slope)
        before, step = short, short / slope
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
            heat = heat + flow[number] * (found.outlets[link.elements[-1].name] - intake)
    return intake + ratio(heat, total, 0.0)


def find_temperatures(loop: Loop, now: Conditions, water: Seawater, flow: Array) -> Temperatures:
    """Follow the water from the sea to the sea; `flow` is by link [m3/s]."""
    size = flow.shape[-1]
    nodes = {SEA: np.broadcast_to(np.asarray(now.sea_temperature, dtype=float), (size,))}
    ends: dict[int, Array] = {}
    units: dict[str, UnitPoint] = {}
    waiting = list(range(len(loop.links)))
    while waiting:
        number = next(i for i in waiting if loop.links[i].start in nodes)
        waiting.remove(number)
        link = loop.links[number]
        ends[number] = _along(link, now, water, (flow[number], nodes[link.start]), units, loop)
        arriving = [i for i, other in enumerate(loop.links) if other.end == link.end]
        if link.end != SEA and all(i in ends for i in arriving):
            nodes[link.end] = _mixed([ends[i] for i in arriving], flow[arriving])
    outlets = {link.elements[-1].name: ends[i] for i, link in enumerate(loop.links) if link.to_sea}
    del nodes[SEA]
    return Temperatures(nodes, outlets, units)


def _mixed(temperatures: list[Array], flows: Array) -> Array:
    """Return the flow-weighted mean; where nothing flows, the plain mean."""
    first = temperatures[0]
    apart = np.stack(temperatures) - first  # nought, and not nearly so, where all are the same
    return first + ratio((apart * flows).sum(axis=0), flows.sum(axis=0), apart.mean(axis=0))


def _along(
    link: Link,
    now: Conditions,
    water: Seawater,
    inflow: tuple[Array, Array],
    units: dict[str, UnitPoint],
    loop: Loop,
) -> Array:
    flow, temperature = inflow
    for element in link.elements:
        if isinstance(element, Coil):
            temperature = temperature + now.preheat.get(element.unit, 0.0)
            unit = run_unit(element, now, water, (flow, temperature), loop.rated_frequency)
            units[element.unit] = unit
            temperature = unit.outlet_temperature
    return temperature


def run_unit(
    coil: Coil,
    now: Conditions,
    water: Seawater,
    inflow: tuple[Array, Array],
    rated_frequency: float | None = None,
) -> UnitPoint:
    """Return where a unit runs with this water: `inflow` is its flow and temperature.

    In the mode "heating" its coil evaporates instead. A unit whose condensing temperature would
    pass its cut-out or come near the critical point trips: then it has no condensing temperature
    and its water leaves as it came.
    """
    flow, temperature = inflow
    on = np.broadcast_to(np.asarray(now.running.get(coil.unit, coil.switched_on)), flow.shape)
    load = np.where(on, now.load.get(coil.unit, 1.0), 0.0)
    speed = _compressor_speed(now, rated_frequency)
    if now.mode == "heating":
        return run_heating(coil, now, water, inflow, (on, load, speed))
    machine = scaled(coil.machine, speed)
    rate = water.volumetric_heat_capacity * flow
    scale = (np.asarray(now.coil_scale) + coil.scale) / coil.area
    film = conductance(coil.conductance, flow / coil.rated_flow, coil.water_share, scale)
    condensing, rejected, cooling, power = balance(machine, temperature, rate, film, load)
    limit = np.minimum(coil.cut_out_temperature, coil.critical_temperature - CRITICAL_MARGIN)
    dry = on & (flow <= 0)
    trips = on & (load > 0) & ~dry & ~(np.asarray(condensing) < limit)
    runs = on & (load > 0) & ~dry & ~trips
    state = np.full(flow.shape, words.OFF, dtype=np.int8)
    state[runs], state[trips], state[dry] = words.COOLING, words.TRIPS, words.NO_WATER
    rejected = np.where(runs, rejected, 0.0)
    return UnitPoint(
        volume_flow=flow,
        inlet_temperature=temperature,
        outlet_temperature=temperature + ratio(rejected, rate, 0.0),
        condensing_temperature=np.where(runs, condensing, np.nan),
        cut_out_margin=np.where(runs, coil.cut_out_temperature - condensing, np.nan),
        heat_rejected=rejected,
        cooling=np.where(runs, cooling, 0.0),
        power=np.where(runs, power, 0.0),
        state=state,
        heating=np.broadcast_to(0.0, flow.shape),
        evaporating_temperature=np.broadcast_to(np.nan, flow.shape),
        wall_temperature=np.broadcast_to(np.nan, flow.shape),
    )


def _compressor_speed(now: Conditions, rated_frequency: float | None) -> Number:
    if now.frequency is None or rated_frequency is None:
        return 1.0
    return np.asarray(now.frequency) / rated_frequency
