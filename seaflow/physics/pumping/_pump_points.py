"""Points of a pump curve made fit for use: sorted, without a hump, with both ends.

Depends on: base.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.ranges import RangeError, require_not_negative

STEEPEST_EXPONENT = 6.0  # a positive-displacement pump is nearer an upright line than this
LARGEST_HUMP = 0.03  # share of the shut-off head


def sorted_points(volume_flows: Array, heads: Array) -> tuple[Array, Array]:
    """Points in order of flow, refused if they cannot be a pump."""
    flows = np.asarray(volume_flows, dtype=float).ravel()
    head_of = np.asarray(heads, dtype=float).ravel()
    if flows.size != head_of.size or flows.size < 2:
        raise RangeError("a pump curve needs two or more points, each with a flow and a head")
    require_not_negative(volume_flows=flows, heads=head_of)
    order = np.argsort(flows)
    flows, head_of = flows[order], head_of[order]
    if np.any(np.diff(flows) <= 0):
        raise RangeError("two points of the pump curve have the same flow")
    if head_of[0] <= head_of[-1]:
        raise RangeError("the head of the pump curve must fall from the first point to the last")
    if np.count_nonzero(head_of == 0) > 1:
        raise RangeError("the pump curve reaches zero head at more than one flow")
    return flows, head_of


def without_hump(head_of: Array) -> tuple[Array, list[str]]:
    """Heads with a small hump cut down to the head before it, and a note of it."""
    flat: Array = np.minimum.accumulate(head_of)
    hump = float(np.max(head_of - flat) / head_of[0])
    if hump > LARGEST_HUMP:
        raise RangeError(
            f"the head of the pump curve rises by {hump:.1%} with flow; "
            f"only a hump up to {LARGEST_HUMP:.0%} is taken"
        )
    return flat, [f"hump of {hump:.1%} in the pump curve flattened"] if hump > 0 else []


def with_ends(flows: Array, head_of: Array) -> tuple[Array, Array, list[str]]:
    """Points with shut-off and free flow added where missing, and notes of it."""
    notes = []
    exponent = _fitted_exponent(flows, head_of)
    power = flows**exponent
    fall = (head_of[0] - head_of[-1]) / (power[-1] - power[0])
    top = head_of[0] + fall * power[0]
    if head_of[-1] > 0:
        notes.append("flow at no head extrapolated from the points given")
        free = float((top / fall) ** (1.0 / exponent))
        flows, head_of = np.append(flows, free), np.append(head_of, 0.0)
    if flows[0] > 0:
        notes.append("head at no flow extrapolated from the points given")
        flows, head_of = np.insert(flows, 0, 0.0), np.insert(head_of, 0, top)
    return flows, head_of, notes


def _fitted_exponent(flows: Array, head_of: Array) -> float:
    """Exponent of A - B Q^n through the first, middle and last point (2 where only two exist)."""
    if flows.size < 3:
        return 2.0
    middle = flows.size // 2
    share = flows[[0, middle]] / flows[-1]
    wanted = (head_of[0] - head_of[middle]) / (head_of[0] - head_of[-1])
    low, high = 1.0, STEEPEST_EXPONENT
    for _ in range(50):
        exponent = 0.5 * (low + high)
        first, mid = share**exponent
        # the middle point has fallen too far: the curve must stay up longer
        if (mid - first) / (1.0 - first) > wanted:
            low = exponent
        else:
            high = exponent
    return 0.5 * (low + high)
