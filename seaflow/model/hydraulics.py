"""The flow of every link: legs after a crest fill or hold air, and then the heads balance."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number
from seaflow.model.conditions import Conditions
from seaflow.model.crests import Crest, find_crest, split_losses
from seaflow.model.drive import after_pump, lift_of, paths_of, running_pump
from seaflow.model.elements import Pumping
from seaflow.model.held import hold_crests
from seaflow.model.loop import SEA, Loop
from seaflow.model.solver import Solution, solve
from seaflow.model.system import LinkLosses, Paths, System, assemble

Truths = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Flows:
    """Flows and heads of a loop: by link, by path, and by junction.

    `held_back` is the head by which a path without flow falls short [m].
    """

    paths: Paths
    system: System
    solution: Solution
    flow: Array
    start_head: Array
    node_head: dict[str, Array]
    full: Truths


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """What stays the same while legs fill: the loop, its links, crests and paths."""

    loop: Loop
    links: tuple[LinkLosses, ...]
    crests: tuple[Crest | None, ...]
    paths: Paths
    viscosity: Number
    size: int

    def assembled(self, links: list[LinkLosses]) -> System:
        return assemble(links, self.paths, self.viscosity, self.size)


def find_flows(loop: Loop, now: Conditions, viscosity: Number, size: int) -> Flows:
    """Return flows and heads of one block of conditions."""
    links, crests = _link_losses(loop, now)
    frame = _Frame(loop, links, crests, paths_of(loop, now), viscosity, size)
    still = np.zeros(size)
    full = np.stack([still == 0 if crest is None else crest.runs_full(still) for crest in crests])
    system, solution = _balanced(frame, full)
    if any(crest is not None for crest in crests):
        system, solution, full = _with_siphons(frame, full, system, solution)
    flow = frame.paths.membership @ solution.path_flow
    start, nodes = heads_along(loop, flow, solution.head, system.held)
    return Flows(frame.paths, system, solution, flow, start, nodes, full)


def _link_losses(
    loop: Loop, now: Conditions
) -> tuple[tuple[LinkLosses, ...], tuple[Crest | None, ...]]:
    pumped = after_pump(loop)
    links, crests = [], []
    for link in loop.links:
        crest = find_crest(loop, link, now, link.start in pumped)
        losses = [element.losses(now) for element in link.elements]
        rise, fall = split_losses(link, losses, crest)
        lift = sum((part.constant for part in losses), lift_of(loop, link, now))
        pumps = tuple(
            running_pump(element, now) for element in link.elements if isinstance(element, Pumping)
        )
        links.append(LinkLosses(rise, fall, lift=lift, pumps=pumps))
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
    links = list(frame.links)
    inside: dict[int, Array] = {}
    for number, crest in enumerate(frame.crests):
        if crest is None:
            continue
        if frame.loop.links[number].to_sea:
            short = np.where(full[number], 0.0, crest.above)
            links[number] = replace(links[number], unrecovered=short)
        elif not full[number].all():
            inside[number] = np.where(full[number], -np.inf, crest.height)
    system = frame.assembled(links)
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
