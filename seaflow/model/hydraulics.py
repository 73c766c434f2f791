"""The flow of every link, and how each condition ends: in words, never in those of a solver.

Legs after a crest fill or hold air, and then the heads balance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number, Truths
from seaflow.model import point as words
from seaflow.model.conditions import Conditions
from seaflow.model.crests import Crest, find_crest, split_losses
from seaflow.model.drive import after_pump, lift_of, paths_of, running_pump
from seaflow.model.elements import Pumping
from seaflow.model.heights import height_of
from seaflow.model.held import hold_crests
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.losses import Losses
from seaflow.model.solver import Solution, solve
from seaflow.model.system import LinkLosses, Paths, System, assemble

BACKWARD_HEAD = 1e-6  # m that must push before water is said to run backward


@dataclass(frozen=True, slots=True, eq=False)
class Flows:
    """Flows and heads of a loop: by link, by path, and by junction.

    `losses` are those of each element of each link.
    """

    losses: tuple[tuple[Losses, ...], ...]
    paths: Paths
    system: System
    solution: Solution
    flow: Array
    start_head: Array
    node_head: dict[str, Array]
    full: Truths


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """What stays the same while legs fill: the loop, its crests and paths, and all legs empty."""

    loop: Loop
    crests: tuple[Crest | None, ...]
    paths: Paths
    empty: System


def find_flows(loop: Loop, now: Conditions, viscosity: Number, size: int) -> Flows:
    """Return flows and heads of one block of conditions."""
    losses = tuple(tuple(element.losses(now) for element in link.elements) for link in loop.links)
    links, crests = _link_losses(loop, now, losses)
    paths = paths_of(loop, now)
    frame = _Frame(loop, crests, paths, assemble(links, paths, viscosity, size))
    still = np.zeros(size)
    full = np.stack([still == 0 if crest is None else crest.runs_full(still) for crest in crests])
    system, solution = _balanced(frame, full)
    if any(crest is not None for crest in crests):
        system, solution, full = _with_siphons(frame, full, system, solution)
    flow = paths.membership @ solution.path_flow
    start, nodes = heads_along(loop, flow, solution.head, system.held)
    return Flows(losses, paths, system, solution, flow, start, nodes, full)


def _link_losses(
    loop: Loop, now: Conditions, each: tuple[tuple[Losses, ...], ...]
) -> tuple[tuple[LinkLosses, ...], tuple[Crest | None, ...]]:
    pumped = after_pump(loop)
    links, crests = [], []
    for link, losses in zip(loop.links, each, strict=True):
        crest = find_crest(loop, link, now, link.start in pumped)
        rise, fall = split_losses(link, losses, crest)
        lift = sum((part.constant for part in losses), lift_of(loop, link, now))
        pumps = tuple(
            running_pump(element, now) for element in link.elements if isinstance(element, Pumping)
        )
        short = crest.above if crest is not None and link.to_sea else 0.0
        links.append(LinkLosses(rise, fall, unrecovered=short, lift=lift, pumps=pumps))
        crests.append(crest)
    return tuple(links), tuple(crests)


def _with_siphons(
    frame: _Frame, full: Truths, system: System, solution: Solution
) -> tuple[System, Solution, Truths]:
    """Start with air in every leg after a crest; let those fill that the flow can clear."""
    barred = np.zeros_like(full)
    # a leg can fill once and lose its water once, so this many rounds settle all of them
    for _ in range(2 * len(frame.crests) + 1):
        flow = frame.paths.membership @ solution.path_flow
        clears = np.stack(
            [
                full[number] if crest is None else crest.runs_full(flow[number]) & ~barred[number]
                for number, crest in enumerate(frame.crests)
            ]
        )
        if np.array_equal(clears, full):
            break
        barred |= full & ~clears  # a leg that lost its water is not filled again
        full = clears
        system, solution = _balanced(frame, full, (solution.path_flow, system.held))
    return system, solution, full


def _balanced(
    frame: _Frame, full: Truths, start: tuple[Array, Array] | None = None
) -> tuple[System, Solution]:
    """Balance the heads with these legs full.

    The leg to an outlet costs at least the height it fails to give back. Inside the loop the
    crest is held at no less than the pressure of the air.
    """
    system = frame.empty
    if full.any():
        system = replace(system, unrecovered=np.where(full, 0.0, system.unrecovered))
    inside = {
        number: np.where(full[number], -np.inf, crest.height)
        for number, crest in enumerate(frame.crests)
        if crest is not None and not frame.loop.links[number].to_sea and not full[number].all()
    }
    if inside:
        return hold_crests(frame.loop, system, inside, start)
    return system, solve(system, None if start is None else start[0])


def heads_along(
    loop: Loop, flow: Array, head: Array, held: Array
) -> tuple[Array, dict[str, Array]]:
    """Return the total head [m] at the start of each link, and at each junction.

    `head` is what each link takes, and `held` the part of it that holds a crest.
    """
    lost = head, held
    nodes: dict[str, Array] = {SEA: np.zeros(flow.shape[-1])}
    waiting = {link.end for link in loop.links} - {SEA}
    while waiting:
        ready = [node for node in waiting if _known(loop, node, nodes)]
        for node in ready:
            nodes[node] = _node_head(loop, node, nodes, flow, lost)
            waiting.discard(node)
    start = np.stack([nodes[link.start] for link in loop.links])
    del nodes[SEA]
    return start, nodes


def _known(loop: Loop, node: str, nodes: dict[str, Array]) -> bool:
    return all(link.start in nodes for link in loop.links if link.end == node)


def _node_head(
    loop: Loop, node: str, nodes: dict[str, Array], flow: Array, lost: tuple[Array, Array]
) -> Array:
    """Return the head that flowing links bring to a junction; else the highest that stands."""
    incoming = [number for number, link in enumerate(loop.links) if link.end == node]
    heads = np.stack([nodes[loop.links[number].start] - lost[0][number] for number in incoming])
    flows = flow[incoming] > 0
    brought = np.where(flows, heads, -np.inf).max(axis=0)
    standing = (heads + lost[1][incoming]).max(axis=0)  # air holds a crest only if it flows
    return np.asarray(np.where(flows.any(axis=0), brought, standing))


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
        lost = flows.solution.head[number] - flows.system.held[number]
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
    heights = [height_of(point, now, loop) for _, _, point in loop.points(link)]
    known = [np.asarray(height) for height in heights if height is not None]
    if not known:
        return np.full(1, not link.to_sea)
    highest = known[0]
    for height in known[1:]:
        highest = np.maximum(highest, height)
    return np.atleast_1d(end > highest)
