"""Head curve of a pump, from its two ends or from points: sorted, without a hump, both ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

_LEAST_END_SHARE = 0.5  # of the last secant; keeps the end of the curve from lying flat
USUAL_EXPONENT = 1.8
STEEPEST_EXPONENT = 6.0  # a positive-displacement pump is nearer an upright line than this
LARGEST_HUMP = 0.03  # share of the shut-off head


@dataclass(frozen=True, slots=True, eq=False)
class Knots:
    """Points of a curve and its slope at each, for cubic pieces between them."""

    places: Array
    values: Array
    slopes: Array

    @classmethod
    def through(cls, places: Array, values: Array) -> Knots:
        """Knots of the monotone cubic through two or more points, `places` rising.

        Inside slopes are the weighted harmonic mean of Fritsch and Butland 1984; end slopes are
        the three-point formula kept within the monotone range. The last slope is at least half
        the last secant, which is ours: a pump curve does not end lying flat.
        """
        step = np.diff(places)
        secant = np.diff(values) / step
        slopes = np.full_like(values, secant[0])
        if secant.size > 1:
            slopes[1:-1] = _inside_slopes(step, secant)
            slopes[0] = _end_slope(step[:2], secant[:2])
            slopes[-1] = _end_slope(step[:-3:-1], secant[:-3:-1])
        slopes[-1] = min(slopes[-1], _LEAST_END_SHARE * secant[-1])
        return cls(places, values, slopes)

    def at(self, place: Array) -> tuple[Array, Array]:
        """Value and slope at `place`, which the caller keeps within the first and last knot."""
        last = self.places.size - 2
        piece = np.clip(np.searchsorted(self.places, place, side="right") - 1, 0, last)
        start = self.places[piece]
        step = self.places[piece + 1] - start
        t = (place - start) / step
        rise = self.values[piece + 1] - self.values[piece]
        leave, arrive = self.slopes[piece] * step, self.slopes[piece + 1] * step
        # Hermite form: value = start + t (leave + t (c + t d))
        c = 3.0 * rise - 2.0 * leave - arrive
        d = leave + arrive - 2.0 * rise
        value = self.values[piece] + t * (leave + t * (c + t * d))
        slope = (leave + t * (2.0 * c + 3.0 * t * d)) / step
        return value, slope


@dataclass(frozen=True, slots=True, eq=False)
class KnotsInTurn:
    """Knots of several curves; `which` of them hold under each condition, or -1 for none."""

    curves: tuple[Knots, ...]
    which: NDArray[np.intp]

    def __iter__(self) -> Iterator[tuple[Knots, NDArray[np.intp]]]:
        """Yield the knots of each curve with the conditions under which they hold."""
        for number, knots in enumerate(self.curves):
            yield knots, np.flatnonzero(self.which == number)


def _inside_slopes(step: Array, secant: Array) -> Array:
    left, right = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    same_way = secant[:-1] * secant[1:] > 0
    before = np.where(same_way, secant[:-1], 1.0)
    after = np.where(same_way, secant[1:], 1.0)
    mean = (left + right) / (left / before + right / after)
    return np.asarray(np.where(same_way, mean, 0.0))


def _end_slope(step: Array, secant: Array) -> float:
    """Three-point slope at an end; the pair starts with the piece at that end."""
    slope = ((2.0 * step[0] + step[1]) * secant[0] - step[0] * secant[1]) / (step[0] + step[1])
    if slope * secant[0] <= 0:
        return 0.0
    if secant[0] * secant[1] <= 0 and abs(slope) > 3.0 * abs(secant[0]):
        return float(3.0 * secant[0])
    return float(slope)


@dataclass(frozen=True, slots=True, eq=False)
class PumpCurve:
    """Head against flow at rated speed: two scales and a normalised shape.

    The shape is 1 - share**exponent, or a monotone cubic through `knots` if they are given; either
    way it ends at free flow as steep as the exponent says.
    Both scales and the exponent may be arrays over conditions.
    """

    shut_off_head: Number
    free_flow: Number
    exponent: Number
    knots: Knots | KnotsInTurn | None = None
    note: str = ""


@sourced("common_practice", where="shape of small centrifugal pump curves")
def curve_from_ends(
    shut_off_head: Number, free_flow: Number, exponent: float = USUAL_EXPONENT
) -> PumpCurve:
    """Pump curve from its two ends: head at no flow, and flow at no head.

    shut_off_head [m], free_flow [m3/s]
    exponent [-]: exponent of the falling curve, 1 (straight) to 6
    returns [curve]: the curve
    raises RangeError: an end is not above zero or the exponent lies outside 1 to 6

    1.8 is our choice between a straight line and a parabola.

    >>> curve_from_ends(4.0, 4e-4).exponent
    1.8
    """
    require_positive(shut_off_head=shut_off_head, free_flow=free_flow)
    require_between(1.0, STEEPEST_EXPONENT, exponent=exponent)
    return PumpCurve(shut_off_head, free_flow, float(exponent))


@sourced("fritsch1984", where="monotone piecewise cubic interpolation, the weighted harmonic mean")
def curve_from_points(
    volume_flows: Array, heads: Array, exponent: float = USUAL_EXPONENT
) -> PumpCurve:
    """Pump curve through two or more points of flow and head at rated speed.

    volume_flows [m3/s]: flow of each point
    heads [m]: head of each point
    exponent [-]: exponent of the falling curve where there are only two points, 1 to 6
    returns [curve]: the curve, with a note on every end that had to be extrapolated
    raises RangeError: there are fewer than two points, two points share a flow, a number is
        negative, the head rises with flow by more than 3 % of the shut-off head, or the exponent
        lies outside 1 to 6

    Two points make the curve H = A - B Q^n that `curve_from_ends` draws between two ends. Of three
    or more a missing end is found with n from three of them, kept within 1 to 6. A hump is cut
    down to the head before it, which errs on the weak side. All three are ours.

    >>> round(float(curve_from_points([0.0, 2e-4, 4e-4], [4.0, 3.0, 0.0]).shut_off_head), 3)
    4.0
    """
    flows, head_of = _sorted_points(volume_flows, heads)
    if flows.size == 2:
        return _through_two(flows, head_of, exponent)
    head_of, notes = _without_hump(head_of)
    flows, head_of, more = _with_ends(flows, head_of)
    knots = Knots.through(flows / flows[-1], head_of / head_of[0])
    note = "; ".join([*notes, *more])
    steep = -float(knots.slopes[-1])
    return PumpCurve(float(head_of[0]), float(flows[-1]), steep, knots, note)


def _through_two(flows: Array, head_of: Array, exponent: float) -> PumpCurve:
    require_between(1.0, STEEPEST_EXPONENT, exponent=exponent)
    top, free, notes = _ends(flows, head_of, exponent)
    note = f"two points: exponent {exponent:g} between and beyond them"
    return PumpCurve(top, free, float(exponent), None, "; ".join([note, *notes]))


def _sorted_points(volume_flows: Array, heads: Array) -> tuple[Array, Array]:
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


def _without_hump(head_of: Array) -> tuple[Array, list[str]]:
    """Heads with a small hump cut down to the head before it, and a note of it."""
    flat: Array = np.minimum.accumulate(head_of)
    hump = float(np.max(head_of - flat) / head_of[0])
    if hump > LARGEST_HUMP:
        raise RangeError(
            f"the head of the pump curve rises by {hump:.1%} with flow; "
            f"only a hump up to {LARGEST_HUMP:.0%} is taken"
        )
    return flat, [f"hump of {hump:.1%} in the pump curve flattened"] if hump > 0 else []


def _with_ends(flows: Array, head_of: Array) -> tuple[Array, Array, list[str]]:
    """Points with shut-off and free flow added where missing, and notes of it."""
    top, free, notes = _ends(flows, head_of, _fitted_exponent(flows, head_of))
    if head_of[-1] > 0:
        flows, head_of = np.append(flows, free), np.append(head_of, 0.0)
    if flows[0] > 0:
        flows, head_of = np.insert(flows, 0, 0.0), np.insert(head_of, 0, top)
    return flows, head_of, notes


def _ends(flows: Array, head_of: Array, exponent: float) -> tuple[float, float, list[str]]:
    """Shut-off head and free flow of A - B Q^n by its first and last point, and notes of them."""
    power = flows**exponent
    fall = (head_of[0] - head_of[-1]) / (power[-1] - power[0])
    top = head_of[0] + fall * power[0]
    free = flows[-1] if head_of[-1] == 0 else (top / fall) ** (1.0 / exponent)
    notes = []
    if head_of[-1] > 0:
        notes.append("flow at no head extrapolated from the points given")
    if flows[0] > 0:
        notes.append("head at no flow extrapolated from the points given")
    return float(top), float(free), notes


def _fitted_exponent(flows: Array, head_of: Array) -> float:
    """Exponent of A - B Q^n through the first, middle and last point."""
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
