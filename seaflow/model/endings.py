"""How each condition ends, in words: never in the language of a solver."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model import point as words
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Pumping
from seaflow.model.heights import height_of
from seaflow.model.hydraulics import Flows
from seaflow.model.loop import Link, Loop

BACKWARD_HEAD = 1e-6  # m that must push before water is said to run backward

Truths = NDArray[np.bool_]


def endings(loop: Loop, now: Conditions, flows: Flows) -> tuple[NDArray[np.int8], Truths]:
    """Return the ending of each condition, and for each link whether it is open and yet dry."""
    size = flows.flow.shape[-1]
    membership = flows.paths.membership
    open_links = (
        membership @ np.broadcast_to(flows.paths.is_open, (membership.shape[1], size))
    ) > 0
    dry = open_links & (flows.flow <= 0)
    runs = np.zeros(size, dtype=bool)
    for _, pump in flows.system.pumps:
        runs = runs | (np.asarray(pump.speed) > 0)
    flowing = (flows.flow > 0).any(axis=0)
    ending = np.full(size, words.FLOWING, dtype=np.int8)
    ending[dry.any(axis=0)] = words.BRANCH_DRY
    ending[~flowing] = words.NO_OPERATING_POINT
    ending[~flowing & ~runs] = words.AT_REST
    ending[_backward(loop, now, flows, dry)] = words.RUNS_BACKWARD
    ending[~flows.solution.converged] = words.NOT_SETTLED
    return ending, dry


def _backward(loop: Loop, now: Conditions, flows: Flows, dry: Truths) -> Truths:
    """Return where the water would turn round if nothing but the model held it."""
    turned = np.zeros(flows.flow.shape[-1], dtype=bool)
    for number, link in enumerate(loop.links):
        if not dry[number].any():
            continue
        end = _end_head(link, flows)
        lost = flows.system.heads(flows.flow)[0][number] - flows.system.held[number]
        pushed = end - flows.start_head[number] + lost
        back = dry[number] & (pushed > BACKWARD_HEAD)
        turned |= back & _can_turn(loop, link, now, end)
    return turned


def _end_head(link: Link, flows: Flows) -> Array:
    """Return the head that stands at the end of a link; at an outlet its lift counts already."""
    if link.to_sea:
        return np.zeros(flows.flow.shape[-1])
    return flows.node_head[link.end]


def _can_turn(loop: Loop, link: Link, now: Conditions, end: Array) -> Truths:
    """Tell whether water could enter the link from its end, where the head `end` stands.

    It must stand over the highest point of the link, to get past it; through an outlet that is
    the level of the sea, and inside the loop only the links of pumps are looked at.
    """
    pumps = [element for element in link.elements if isinstance(element, Pumping)]
    if any(pump.check_valve for pump in pumps) or not (link.to_sea or pumps):
        return np.zeros(1, dtype=bool)
    heights = [height_of(point, now, loop) for _, _, point in link.points()]
    known = [np.asarray(height) for height in heights if height is not None]
    if not known:
        return np.full(1, not link.to_sea)
    highest = known[0]
    for height in known[1:]:
        highest = np.maximum(highest, height)
    return np.atleast_1d(end > highest)
