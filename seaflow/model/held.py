"""Crests inside the loop that hold air: each sits at no less than the pressure of the air.

The leg after such a crest runs partly empty, and takes whatever head is left over. That head is
no law of the flow through the link; it depends on what comes after, so it is sought around the
balance of heads: by Newton steps, and by plain substitution, which always comes nearer, where
these fail.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model.loop import SEA, Loop
from seaflow.model.solver import Solution, responses, solve
from seaflow.model.system import Paths, System

MOST_ROUNDS = 200
TOLERANCE = 1e-8  # m
GAIN = 0.5  # what is left must have halved since the last Newton step before there is another,
PATIENCE = 1.2  # or less so with every round of substitution in between
SHORTER = 0.25  # of a Newton step after one that did not halve what was left, and after
SHORTEST = 0.02  # a whole one again
SINGULAR = 1e-9
FEW = 0.5  # share of conditions still moving below which the others are left out
STEP = 1e-6  # m, of the difference that gives the slopes


def hold_crests(
    loop: Loop, system: System, crests: Mapping[int, Array], start: tuple[Array, Array] | None
) -> tuple[System, Solution]:
    """Return the system with these crests held, and its solution.

    `crests` gives the height by link, minus infinity where the leg after it runs full; `start`
    gives the flow by path and the heads held by link from which the search sets out.
    """
    heights = np.stack([np.broadcast_to(height, (system.size,)) for height in crests.values()])
    rows = list(crests)
    flow, held = None, np.zeros(heights.shape)
    if start is not None:
        flow, held = start[0], np.broadcast_to(start[1][rows], heights.shape)
    system, solution, wanted = _with(loop, system, rows, held, heights, flow)
    whole, done, where = system, solution, np.arange(system.size)
    mark, reach = np.full(system.size, np.inf), np.ones(system.size)
    by_newton = np.zeros(system.size, dtype=bool)
    for _ in range(MOST_ROUNDS):
        left = np.abs(wanted - held).max(axis=0)
        going = left >= TOLERANCE
        if not going.any():
            break
        rest = np.flatnonzero(going)
        if rest.size < FEW * going.size:  # most are done: go on with the others alone
            whole, done = _put(whole, done, (system, solution), where)
            where, system, solution = where[rest], system.at(rest), _at(solution, rest)
            held, heights, mark = held[:, rest], heights[:, rest], mark[rest]
            wanted, left, going = wanted[:, rest], left[rest], going[rest]
            reach, by_newton = reach[rest], by_newton[rest]
        newton = _newton(loop, system, (solution, wanted), rows, held, heights)
        shorter = np.where(reach > SHORTEST, SHORTER * reach, 1.0)
        reach = np.where(by_newton, np.where(left < GAIN * mark, 1.0, shorter), reach)
        by_newton = left < GAIN * mark
        mark = np.where(by_newton, left, PATIENCE * mark)
        step = np.where(by_newton, held + reach * (newton - held), wanted)
        held = np.where(going, np.maximum(step, 0.0), held)
        system, solution, wanted = _with(loop, system, rows, held, heights, solution.path_flow)
    settled = np.abs(wanted - held).max(axis=0) < TOLERANCE
    solution = replace(solution, converged=solution.converged & settled)
    return _put(whole, done, (system, solution), where)


def _at(solution: Solution, where: NDArray[np.intp]) -> Solution:
    """Return the solution of the conditions `where` alone."""
    return Solution(
        solution.path_flow[:, where],
        solution.head[:, where],
        solution.residual[where],
        solution.converged[where],
        solution.steps,
    )


def _put(
    whole: System, done: Solution, part: tuple[System, Solution], where: NDArray[np.intp]
) -> tuple[System, Solution]:
    """Return the whole with what a part of it, the conditions `where`, has come to."""
    system, solution = part
    if where.size == whole.size:
        return system, solution
    held, flow, head = whole.held.copy(), done.path_flow.copy(), done.head.copy()
    residual, converged = done.residual.copy(), done.converged.copy()
    held[:, where], flow[:, where], head[:, where] = (
        system.held,
        solution.path_flow,
        solution.head,
    )
    residual[where], converged[where] = solution.residual, solution.converged
    found = Solution(flow, head, residual, converged, max(done.steps, solution.steps))
    return replace(whole, held=held), found


def _with(
    loop: Loop,
    system: System,
    rows: list[int],
    held: Array,
    heights: Array,
    start: Array | None,
) -> tuple[System, Solution, Array]:
    """Solve with this head held at each crest; return also the head that should be held."""
    everywhere = np.zeros((len(loop.links), system.size))
    everywhere[rows] = held
    system = replace(system, held=everywhere)
    solution = solve(system, start)
    return system, solution, _wanted(loop, system, solution.path_flow, rows, heights)


def _wanted(loop: Loop, system: System, path_flow: Array, rows: list[int], heights: Array) -> Array:
    """Return by how much the head after each crest, were it full, falls short of its height."""
    lost, _, falls = system.heads_and_falls(system.paths.membership @ path_flow)
    ends = _levels_from_the_end(loop, system.paths, lost)
    after = np.stack([ends[loop.links[number].end] for number in rows]) + falls[rows]
    return np.maximum(heights - after, 0.0)


def _levels_from_the_end(loop: Loop, paths: Paths, head: Array) -> dict[str, Array]:
    """Return the head each node needs for its water to reach the sea by the easiest open way.

    Where water flows that is the head at the node; where it stands, the level at which it spills.
    """
    open_links = (paths.membership @ paths.is_open) > 0
    lost = np.where(open_links, head, np.inf)
    levels = {SEA: np.zeros(head.shape[-1])}
    waiting = {link.end for link in loop.links} - {SEA}
    while waiting:
        for node in sorted(waiting):
            leaving = [number for number, link in enumerate(loop.links) if link.start == node]
            if all(loop.links[number].end in levels for number in leaving):
                ways = [lost[number] + levels[loop.links[number].end] for number in leaving]
                levels[node] = np.min(ways, axis=0)
                waiting.discard(node)
    return levels


def _newton(
    loop: Loop,
    system: System,
    found: tuple[Solution, Array],
    rows: list[int],
    held: Array,
    heights: Array,
) -> Array:
    """Return the heads that would settle every crest if all were straight lines.

    `found` is the solution with those `held`, and the heads that should be.
    """
    flow, now = found[0].path_flow, found[1]
    slopes = []
    for place, (number, response) in enumerate(
        zip(rows, responses(system, flow, rows), strict=True)
    ):
        moved = np.maximum(flow + STEP * response, 0.0)
        more = system.held.copy()
        more[number] += STEP
        then = _wanted(loop, replace(system, held=more), moved, rows, heights)
        change = np.nan_to_num((now - then) / STEP)
        change[place] += 1.0
        slopes.append(change)
    matrix = np.moveaxis(np.stack(slopes, axis=1), -1, 0)
    return held + _solved(matrix, (now - held).T).T


def _solved(matrix: Array, right: Array) -> Array:
    """Solve one small system for each condition; where there is no answer keep the right side."""
    sound = np.abs(np.linalg.det(matrix)) > SINGULAR
    matrix = np.where(sound[:, None, None], matrix, np.eye(matrix.shape[-1]))
    return np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0])
