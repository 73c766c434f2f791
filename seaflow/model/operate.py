"""The forward model: a loop and conditions in, an operating point out."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from seaflow.base.constants import ATMOSPHERE
from seaflow.model.conditions import Conditions, axis_length, take
from seaflow.model.drive import pump_power
from seaflow.model.heights import height_of
from seaflow.model.hydraulics import Flows, endings, find_flows
from seaflow.model.loop import Loop
from seaflow.model.point import NOT_SETTLED, OperatingPoint, PumpPoint
from seaflow.model.pressures import loss_in_a_row
from seaflow.model.thermal import temperatures_with_recirculation
from seaflow.physics.flow.suction import npsh_available
from seaflow.physics.pumping.pump import head_and_slope, share_of_free_flow
from seaflow.physics.water.seawater import Seawater, seawater

BLOCK = 16384  # conditions solved together: enough to pay for a call, few enough for the cache


def operate(loop: Loop, conditions: Conditions) -> OperatingPoint:
    """Return where a loop runs under conditions.

    Any number of the loop and of the conditions may be an array along one condition axis; all
    arrays then have one length.

    Raises
    ------
    RangeError
        If the sea cannot be as stated, such as below freezing.
    SeaflowError
        If heel is asked for and the case lacks the position of a point.
    ValueError
        If arrays differ in length.
    """
    lengths = {axis_length(loop), axis_length(conditions)} - {1}
    if len(lengths) > 1:
        raise ValueError(f"arrays of conditions differ in length: {sorted(lengths)}")
    size = lengths.pop() if lengths else 1
    if size <= BLOCK:
        return _operate_block(loop, conditions, size)
    blocks = []
    width = math.ceil(size / math.ceil(size / BLOCK))
    for start in range(0, size, width):
        part = slice(start, min(start + width, size))
        blocks.append(_operate_block(take(loop, part), take(conditions, part), part.stop - start))
    whole = _joined([_without_frame(block) for block in blocks])
    return dataclasses.replace(whole, loop=loop, conditions=conditions)


def _operate_block(loop: Loop, now: Conditions, size: int) -> OperatingPoint:
    water = seawater(now.sea_temperature, now.salinity)
    flows = find_flows(loop, now, water.kinematic_viscosity, size)
    ending, dry = endings(loop, now, flows)
    warmth, settled = temperatures_with_recirculation(loop, now, water, flows.flow)
    return OperatingPoint(
        loop=loop,
        conditions=now,
        water=water,
        flow=flows.flow,
        link_start_head=flows.start_head,
        node_head=flows.node_head,
        node_temperature=warmth.nodes,
        full=flows.full,
        ending=np.where(settled, ending, NOT_SETTLED).astype(ending.dtype),
        dry=dry,
        residual=flows.solution.residual,
        units=warmth.units,
        pumps=_pumps(loop, now, water, flows),
        outlet_temperature=warmth.outlets,
    )


def warmed(point: OperatingPoint, loop: Loop, now: Conditions | None = None) -> OperatingPoint:
    """Return the point of a loop that differs in its machines alone, with the flows as they are.

    `now` may differ from the conditions of the point in what units are asked for.
    """
    now, water = now or point.conditions, point.water
    warmth, settled = temperatures_with_recirculation(loop, now, water, point.flow)
    return dataclasses.replace(
        point,
        loop=loop,
        conditions=now,
        node_temperature=warmth.nodes,
        ending=np.where(settled, point.ending, NOT_SETTLED).astype(point.ending.dtype),
        units=warmth.units,
        outlet_temperature=warmth.outlets,
    )


def _pumps(loop: Loop, now: Conditions, water: Seawater, flows: Flows) -> dict[str, PumpPoint]:
    running = iter(flows.system.pumps)
    found = {}
    for pump in loop.pumps:
        number, state = next(running)
        flow = flows.flow[number]
        before = flows.losses[number][: loop.links[number].elements.index(pump)]
        lost = loss_in_a_row(before, flow, water.kinematic_viscosity)
        inlet = flows.start_head[number] - lost
        share = share_of_free_flow(state.curve, flow, state.speed)
        height = None if pump.point is None else height_of(pump.point, now, loop)
        place = np.nan if height is None else height
        found[pump.name] = PumpPoint(
            volume_flow=flow,
            head=head_and_slope(state.curve, flow, state.speed)[0],
            speed_ratio=np.broadcast_to(np.asarray(state.speed, dtype=float), flow.shape),
            share_of_free_flow=np.asarray(share),
            power=pump_power(pump, state, flow),
            inlet_head=inlet,
            npsh_available=np.asarray(
                npsh_available(
                    ATMOSPHERE,
                    water.vapour_pressure,
                    water.density,
                    place - np.maximum(inlet, 0.0),  # a scoop lifts the level that feeds the pump
                    np.maximum(-inlet, 0.0),
                )
            ),
        )
    return found


def _without_frame(point: OperatingPoint) -> dict[str, Any]:
    skipped = ("loop", "conditions")
    return {
        entry.name: _wide(getattr(point, entry.name), point.size)
        for entry in dataclasses.fields(point)
        if entry.name not in skipped
    }


def _wide(value: Any, size: int) -> Any:
    """Return numbers as arrays of full length, so that blocks can be joined."""
    if isinstance(value, (float, int, np.ndarray)) and np.ndim(value) == 0:
        return np.full(size, value)
    if isinstance(value, Mapping):
        return {name: _wide(item, size) for name, item in value.items()}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        changes = {
            entry.name: _wide(getattr(value, entry.name), size)
            for entry in dataclasses.fields(value)
        }
        return dataclasses.replace(value, **changes)
    return value


def _joined(parts: Sequence[dict[str, Any]]) -> OperatingPoint:
    values = {name: _concatenated([part[name] for part in parts]) for name in parts[0]}
    return OperatingPoint(loop=None, conditions=None, **values)  # type: ignore[arg-type]


def _concatenated(items: Sequence[Any]) -> Any:
    first = items[0]
    if isinstance(first, np.ndarray):
        return np.concatenate(items, axis=-1)
    if isinstance(first, Mapping):
        return {name: _concatenated([item[name] for item in items]) for name in first}
    changes = {
        entry.name: _concatenated([getattr(item, entry.name) for item in items])
        for entry in dataclasses.fields(first)
    }
    return dataclasses.replace(first, **changes)
