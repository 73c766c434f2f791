"""Branches of tees and wyes, whose loss depends on how the flow divides, on the bore of the run.

The correlations come from the open library `fluids`, one point at a time.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.points import point_by_point
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

RIGHT_ANGLE = 0.5 * pi
LEAST_ANGLE = pi / 6  # the tables of the source begin here


@elementwise
@sourced("crane410", "branch of a converging tee or wye, as in fluids")
def converging_branch_coefficient(
    run_bore: Number,
    branch_bore: Number,
    run_flow: Number,
    branch_flow: Number,
    branch_angle: Number = RIGHT_ANGLE,
) -> Number:
    """Loss of the water that joins another stream from the side; a gain where it is drawn along.

    run_bore [m]: inside diameter of the straight way, before and after
    branch_bore [m]: inside diameter of the branch, not wider than the run
    run_flow [m3/s]: flow that arrives along the run
    branch_flow [m3/s]: flow that joins from the branch
    branch_angle [rad]
    returns [-]: loss coefficient on the velocity of both flows together in the run; may be negative
    raises RangeError: a bore is not above zero, the branch is wider than the run, a flow is
        negative, both are zero, or the angle lies outside 30 to 90 degrees

    A negative value is right: the faster stream gives the slower one a push.

    >>> round(converging_branch_coefficient(0.0195, 0.0195, 3e-4, 1e-4), 4)
    -0.0422
    """
    from fluids.fittings import K_branch_converging_Crane

    legs = (run_bore, branch_bore, run_flow, branch_flow, branch_angle)
    return _over(K_branch_converging_Crane, legs)


@elementwise
@sourced("crane410", "branch of a diverging tee or wye, as in fluids")
def diverging_branch_coefficient(
    run_bore: Number,
    branch_bore: Number,
    run_flow: Number,
    branch_flow: Number,
    branch_angle: Number = RIGHT_ANGLE,
) -> Number:
    """Loss of the water that turns off into a branch.

    run_bore [m]: inside diameter of the straight way, before and after
    branch_bore [m]: inside diameter of the branch, not wider than the run
    run_flow [m3/s]: flow that goes straight on
    branch_flow [m3/s]: flow that turns off into the branch
    branch_angle [rad]
    returns [-]: loss coefficient on the velocity of both flows together in the run
    raises RangeError: a bore is not above zero, the branch is wider than the run, a flow is
        negative, both are zero, or the angle lies outside 30 to 90 degrees

    >>> round(diverging_branch_coefficient(0.0195, 0.0195, 2e-4, 2e-4), 3)
    1.156
    """
    from fluids.fittings import K_branch_diverging_Crane

    legs = (run_bore, branch_bore, run_flow, branch_flow, branch_angle)
    return _over(K_branch_diverging_Crane, legs)


def _over(coefficient: Callable[..., float], legs: tuple[Number, ...]) -> Number:
    """Check the legs of a junction, and call the library's function for every point."""
    run_bore, branch_bore, run_flow, branch_flow, branch_angle = legs
    require_positive(run_bore=run_bore, branch_bore=branch_bore)
    require_not_negative(run_flow=run_flow, branch_flow=branch_flow)
    require_between(0.0, 1.0, branch_bore_over_run_bore=branch_bore / run_bore)
    require_between(LEAST_ANGLE - 1e-12, RIGHT_ANGLE + 1e-12, branch_angle=branch_angle)
    if np.any(np.asarray(run_flow + branch_flow) <= 0.0):
        raise RangeError("a junction needs flow in the run or in the branch")
    degrees = np.degrees(branch_angle)
    return point_by_point(coefficient, run_bore, branch_bore, run_flow, branch_flow, degrees)
