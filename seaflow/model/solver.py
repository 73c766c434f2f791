"""Find the flow of every path at once, for all conditions at once.

The flows that balance all heads are those at which the content of the network (Cherry 1951,
Millar 1951: the sum over links of head integrated over flow) is least. Every loss rises with
flow, so the content is convex and has one lowest point; a path that would have to run backward
sits at its bound, zero. That is a convex programme with bounds, solved by projected Newton steps
(Bertsekas 1982) with a line search on the slope of the content along the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number
from seaflow.model.system import System

HEAD_TOLERANCE = 1e-9  # m, along every path
MOST_STEPS = 200
MOST_CUTS = 40
LEAST_CUT = 1e-6  # of a step, at once
FEW = 0.5  # share of conditions still moving below which the others are left out
CURVATURE = 0.5  # share of the slope of the content that may be left, uphill, after a step
RIDGE = 1e-12  # relative; paths that share all their links have no flows of their own
TRICKLE = 1e-8  # m3/s
MANY, SCOUTS = 4096, 17  # from so many conditions on, so many are solved first
LEAST_SCOUTED = 0.1  # of an equal share of flow: a path that is dry for most still starts with some
FIRST_SHARE = 0.4  # of the pump's free flow: where the search starts


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Flows by path [m3/s] and the head lost by link less what pumps add [m].

    With it what is left of the head balance [m], and which conditions are settled.
    """

    path_flow: Array
    head: Array
    residual: Array
    converged: NDArray[np.bool_]
    steps: int


def solve(system: System, start: Array | None = None) -> Solution:
    """Return the flows of all paths under all conditions of `system`.

    `start` may give path flows to start from; the answer does not depend on it. A condition
    that has settled moves no more, so its answer does not depend on the others.
    """
    flow = _first_guess(system) if start is None else start.copy()
    flow = np.where(system.paths.is_open, flow, 0.0)
    whole, residual, where, here = system, np.zeros(system.size), np.arange(system.size), flow
    gradient, slope, lost = _gradient(system, here)
    head = lost.copy()
    for steps in range(MOST_STEPS + 1):
        bound = ((here <= 0.0) & (gradient >= 0.0)) | ~system.paths.is_open
        left = _left(gradient, bound)
        going = left >= HEAD_TOLERANCE
        rest = np.flatnonzero(going)
        is_last = steps == MOST_STEPS or not rest.size
        if is_last or rest.size < FEW * going.size:
            residual[where], flow[:, where], head[:, where] = left, here, lost
        if is_last:
            break
        if rest.size < FEW * going.size:
            where, system, going = where[rest], system.at(rest), going[rest]
            here, gradient, slope = here[:, rest], gradient[:, rest], slope[:, rest]
            bound = bound[:, rest]
        step = _bounded_step(system.paths.membership, slope, here, gradient, bound)
        step = np.where(going, step, 0.0)
        here, gradient, slope, lost = _line_search(system, here, gradient, step)
    found = Solution(flow, head, residual, residual < HEAD_TOLERANCE, steps)
    return _without_trickles(whole, found) if np.any((flow > 0.0) & (flow < TRICKLE)) else found


def _without_trickles(system: System, solution: Solution) -> Solution:
    """Stop the paths whose trickle is only what the tolerance of the heads leaves open."""
    flow, head, residual = solution.path_flow, solution.head.copy(), solution.residual.copy()
    some = np.flatnonzero(((flow > 0.0) & (flow < TRICKLE)).any(axis=0))
    stopped = np.where(flow < TRICKLE, 0.0, flow)[:, some]
    few = system.at(some)
    gradient, _, lost = _gradient(few, stopped)
    left = _left(gradient, ((stopped <= 0.0) & (gradient >= 0.0)) | ~few.paths.is_open)
    as_good = left < HEAD_TOLERANCE
    where, flow = some[as_good], flow.copy()
    flow[:, where], head[:, where] = stopped[:, as_good], lost[:, as_good]
    residual[where] = left[as_good]
    return replace(solution, path_flow=flow, head=head, residual=residual)


def responses(system: System, path_flow: Array, links: Sequence[int]) -> list[Array]:
    """Return how the settled flows of all paths change with the head that each link takes."""
    _, slope, _ = _gradient(system, path_flow)
    membership, bound = system.paths.membership, (path_flow <= 0.0) | ~system.paths.is_open
    units = (np.broadcast_to(membership[link][:, np.newaxis], path_flow.shape) for link in links)
    return [_newton_step(membership, slope, unit, bound) for unit in units]


def _first_guess(system: System) -> Array:
    n_paths = system.paths.membership.shape[1]
    if system.size >= MANY:
        # a few of the conditions tell where most of them lie, and that saves whole rounds
        few = np.linspace(0, system.size - 1, SCOUTS).astype(np.intp)
        middle = np.median(solve(system.at(few)).path_flow, axis=1, keepdims=True)
        least = LEAST_SCOUTED * middle.max(initial=0.0) / n_paths
        return np.broadcast_to(np.maximum(middle, least), (n_paths, system.size)).copy()
    free = [np.asarray(pump.curve.free_flow, dtype=float) for _, pump in system.pumps]
    most = sum(free, np.zeros(1)) if free else np.full(1, 1e-4)
    return np.broadcast_to(FIRST_SHARE * most / n_paths, (n_paths, system.size)).copy()


def _left(gradient: Array, bound: NDArray[np.bool_]) -> Array:
    """Return the largest head out of balance over the paths that carry water."""
    return np.asarray(np.abs(np.where(bound, 0.0, gradient)).max(axis=0))


def _gradient(system: System, flow: Array) -> tuple[Array, Array, Array]:
    """Return the head out of balance by path, and by link the slope of head over flow, and head."""
    membership = system.paths.membership
    head, slope = system.heads(_carried(membership, flow))
    return _along(membership, head), slope, head


def _carried(membership: Array, path_flow: Array) -> Array:
    """Return the flow of each link: the sum over the paths that use it."""
    if membership.shape == (1, 1):
        return path_flow
    return np.asarray(membership @ path_flow)


def _along(membership: Array, by_link: Array) -> Array:
    """Return the sum along each path."""
    if membership.shape == (1, 1):
        return by_link
    return np.asarray(membership.T @ by_link)


def _bounded_step(
    membership: Array, slope: Array, flow: Array, gradient: Array, bound: NDArray[np.bool_]
) -> Array:
    """Return the Newton step to flows that are not negative.

    A path that the step would turn round goes to zero, and the others are worked out anew.
    Without that the paths would wait for each other, in ever shorter steps. Where the wrong paths
    went to zero, so that the content would rise, the plain step is taken, to be cut at zero.
    """
    step = plain = _newton_step(membership, slope, gradient, bound)
    moved: Number = 0.0
    for _ in flow:
        turned = ~bound & (flow + step < 0.0)
        if not turned.any():
            break
        bound, moved = bound | turned, np.where(turned, -flow, moved)
        step = _newton_step(membership, slope, gradient, bound, np.asarray(moved))
    falls = np.einsum("pn,pn->n", gradient, step) < 0.0
    return np.where(falls, step, plain)


def _newton_step(
    membership: Array,
    slope: Array,
    gradient: Array,
    bound: NDArray[np.bool_],
    moved: Array | None = None,
) -> Array:
    """Return the Newton step of the paths that are free, those at their bound moving as told."""
    n_paths = gradient.shape[0]
    matrix = [[np.empty(0)] * n_paths for _ in range(n_paths)]
    for row in range(n_paths):
        for column in range(row + 1):
            shared = membership[:, row] * membership[:, column]
            entry = shared @ slope
            if row == column:
                entry = np.where(bound[row], 1.0, entry * (1.0 + RIDGE) + 1e-300)
            else:
                entry = np.where(bound[row] | bound[column], 0.0, entry)
            matrix[row][column] = entry
    if moved is None:
        return _solve_symmetric(matrix, np.where(bound, 0.0, -gradient))
    uphill = gradient + _along(membership, slope * _carried(membership, moved))
    return _solve_symmetric(matrix, np.where(bound, moved, -uphill))


def _solve_symmetric(matrix: list[list[Array]], right: Array) -> Array:
    """Solve small symmetric positive systems, one per condition, by LDL' over whole arrays.

    `matrix` holds the lower triangle and is used up; rows of arrays are many times faster here
    than a call into LAPACK for each condition.
    """
    n = len(matrix)
    answer = right.copy()
    for column in range(n):
        pivot = matrix[column][column]
        for row in range(column + 1, n):
            ratio = matrix[row][column] / pivot
            for other in range(column + 1, row + 1):
                matrix[row][other] = matrix[row][other] - ratio * matrix[other][column]
            answer[row] -= ratio * answer[column]
        # keep the unscaled column: the back substitution divides by the pivot once
    for row in range(n - 1, -1, -1):
        for later in range(row + 1, n):
            answer[row] -= matrix[later][row] * answer[later]
        answer[row] /= matrix[row][row]
    return answer


def _line_search(
    system: System, flow: Array, gradient: Array, step: Array
) -> tuple[Array, Array, Array, Array]:
    """Return flow, gradient, slope and head after the longest step that does not go too far."""
    share = np.ones(system.size)
    for _ in range(MOST_CUTS):
        tried = np.where(system.paths.is_open, np.maximum(flow + share * step, 0.0), 0.0)
        new_gradient, slope, head = _gradient(system, tried)
        moved = tried - flow
        before = np.abs(np.einsum("pn,pn->n", gradient, moved))
        after = np.einsum("pn,pn->n", new_gradient, moved)
        settled = np.abs(new_gradient * (tried > 0)).max(axis=0) < HEAD_TOLERANCE
        too_far = (after > CURVATURE * before) & ~settled
        if not too_far.any():
            break
        # a loss goes with the square of flow at most, so this cut does not fall short
        cut = np.sqrt(before / np.where(too_far, after, 1.0))
        share = np.where(too_far, share * np.clip(cut, LEAST_CUT, 0.5), share)
    return tried, new_gradient, slope, head
