"""Head curve of a pump, from its two ends or from points.

Depends on: base, curves, _pump_points.
"""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.arrays import Array, Number
from seaflow.base.ranges import require_between, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.pumping._pump_points import (
    STEEPEST_EXPONENT,
    sorted_points,
    with_ends,
    without_hump,
)
from seaflow.physics.pumping.curves import Knots

USUAL_EXPONENT = 1.8


@dataclass(frozen=True, slots=True, eq=False)
class PumpCurve:
    """Head against flow at rated speed: two scales and a normalised shape.

    The shape is 1 - share**exponent, or a monotone cubic through `knots` if they are given.
    Both scales may be arrays over conditions.
    """

    shut_off_head: Number
    free_flow: Number
    exponent: float = USUAL_EXPONENT
    knots: Knots | None = None
    note: str = ""


@sourced("common_practice", where="shape of small centrifugal pump curves")
def curve_from_ends(
    shut_off_head: Number, free_flow: Number, exponent: float = USUAL_EXPONENT
) -> PumpCurve:
    """Pump curve from its two ends: head at no flow, and flow at no head.

    Parameters
    ----------
    shut_off_head : number or array
        Head at no flow, at rated speed. [m]
    free_flow : number or array
        Flow at no head, at rated speed. [m3/s]
    exponent : number
        Exponent of the falling curve, 1 (straight) to 6. [-]

    Returns
    -------
    PumpCurve
        The curve. [curve]

    Raises
    ------
    RangeError
        If an end is not above zero or the exponent lies outside 1 to 6.

    Notes
    -----
    1.8 is our choice between a straight line and a parabola.

    Examples
    --------
    >>> curve_from_ends(4.0, 4e-4).exponent
    1.8
    """
    require_positive(shut_off_head=shut_off_head, free_flow=free_flow)
    require_between(1.0, STEEPEST_EXPONENT, exponent=exponent)
    return PumpCurve(shut_off_head, free_flow, float(exponent))


@sourced("fritsch1984", where="monotone piecewise cubic interpolation, the weighted harmonic mean")
def curve_from_points(volume_flows: Array, heads: Array) -> PumpCurve:
    """Pump curve through two or more points of flow and head at rated speed.

    Parameters
    ----------
    volume_flows : array
        Flow of each point. [m3/s]
    heads : array
        Head of each point. [m]

    Returns
    -------
    PumpCurve
        The curve, with a note on every end that had to be extrapolated. [curve]

    Raises
    ------
    RangeError
        If there are fewer than two points, two points share a flow, a number is negative, or
        the head rises with flow by more than 3 % of the shut-off head.

    Notes
    -----
    A missing end is found with H = A - B Q^n, n from three of the points (kept within 1 to 6), or
    n = 2 from two. A hump is cut down to the head before it, which errs on the weak side. Both
    are ours.

    Examples
    --------
    >>> round(float(curve_from_points([0.0, 2e-4, 4e-4], [4.0, 3.0, 0.0]).shut_off_head), 3)
    4.0
    """
    flows, head_of = sorted_points(volume_flows, heads)
    head_of, notes = without_hump(head_of)
    flows, head_of, more = with_ends(flows, head_of)
    knots = Knots.through(flows / flows[-1], head_of / head_of[0])
    note = "; ".join([*notes, *more])
    return PumpCurve(float(head_of[0]), float(flows[-1]), USUAL_EXPONENT, knots, note)
