"""Tees and wyes whose loss depends on how the flow divides, on the bore of the run.

The correlations come from the open library `fluids`, one point at a time. The model of a loop
does not use them: see the notes of each function.
Depends on: base.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.points import point_by_point
from seaflow.base.ranges import (
    RangeError,
    require_between,
    require_not_negative,
    require_positive,
)
from seaflow.base.sources import sourced

RIGHT_ANGLE = 0.5 * pi
LEAST_ANGLE = pi / 6  # the tables of the source begin here


@elementwise
@sourced("crane410", "run of a converging tee or wye, as in fluids")
def converging_run_coefficient(
    run_bore: Number,
    branch_bore: Number,
    run_flow: Number,
    branch_flow: Number,
    branch_angle: Number = RIGHT_ANGLE,
) -> Number:
    """Loss of the water that goes straight on where another stream joins it.

    Parameters
    ----------
    run_bore : number or array
        Inside diameter of the straight way, before and after. [m]
    branch_bore : number or array
        Inside diameter of the branch, not wider than the run. [m]
    run_flow : number or array
        Flow that arrives along the run. [m3/s]
    branch_flow : number or array
        Flow that joins from the branch. [m3/s]
    branch_angle : number or array
        Angle of the branch to the run; a right angle is a tee. [rad]

    Returns
    -------
    number or array
        Loss coefficient on the velocity of both flows together in the run. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, the branch is wider than the run, a flow is negative, both
        are zero, or the angle lies outside 30 to 90 degrees.

    Notes
    -----
    The model of a loop gives each leg of a tee a constant coefficient on its own flow instead, so
    that its loss rises with its flow and the division of the flow has one answer. In a tee of
    equal bores the two differ by up to two velocity heads of the joint flow: the model is the
    dearer one for a large leg, and misses up to one velocity head where a small branch leaves.

    Examples
    --------
    >>> round(converging_run_coefficient(0.0195, 0.0195, 3e-4, 1e-4), 3)
    0.325
    """
    from fluids.fittings import K_run_converging_Crane

    legs = (run_bore, branch_bore, run_flow, branch_flow, branch_angle)
    return _over(K_run_converging_Crane, legs)


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

    Parameters
    ----------
    run_bore : number or array
        Inside diameter of the straight way, before and after. [m]
    branch_bore : number or array
        Inside diameter of the branch, not wider than the run. [m]
    run_flow : number or array
        Flow that arrives along the run. [m3/s]
    branch_flow : number or array
        Flow that joins from the branch. [m3/s]
    branch_angle : number or array
        Angle of the branch to the run; a right angle is a tee. [rad]

    Returns
    -------
    number or array
        Loss coefficient on the velocity of both flows together in the run; may be negative. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, the branch is wider than the run, a flow is negative, both
        are zero, or the angle lies outside 30 to 90 degrees.

    Notes
    -----
    A negative value is right: the faster stream gives the slower one a push. The model of a loop
    takes a constant instead; see `converging_run_coefficient`.

    Examples
    --------
    >>> round(converging_branch_coefficient(0.0195, 0.0195, 3e-4, 1e-4), 4)
    -0.0422
    """
    from fluids.fittings import K_branch_converging_Crane

    legs = (run_bore, branch_bore, run_flow, branch_flow, branch_angle)
    return _over(K_branch_converging_Crane, legs)


@elementwise
@sourced("crane410", "run of a diverging tee or wye, as in fluids")
def diverging_run_coefficient(
    run_bore: Number,
    branch_bore: Number,
    run_flow: Number,
    branch_flow: Number,
    branch_angle: Number = RIGHT_ANGLE,
) -> Number:
    """Loss of the water that goes straight on where part of the stream turns off.

    Parameters
    ----------
    run_bore : number or array
        Inside diameter of the straight way, before and after. [m]
    branch_bore : number or array
        Inside diameter of the branch, not wider than the run. [m]
    run_flow : number or array
        Flow that goes straight on. [m3/s]
    branch_flow : number or array
        Flow that turns off into the branch. [m3/s]
    branch_angle : number or array
        Angle of the branch to the run; a right angle is a tee. [rad]

    Returns
    -------
    number or array
        Loss coefficient on the velocity of both flows together in the run; may be negative. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, the branch is wider than the run, a flow is negative, both
        are zero, or the angle lies outside 30 to 90 degrees.

    Notes
    -----
    The model of a loop takes a constant instead; see `converging_run_coefficient`.

    Examples
    --------
    >>> round(diverging_run_coefficient(0.0195, 0.0195, 4e-4, 2.5e-4), 4)
    -0.0683
    """
    from fluids.fittings import K_run_diverging_Crane

    legs = (run_bore, branch_bore, run_flow, branch_flow, branch_angle)
    return _over(K_run_diverging_Crane, legs)


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

    Parameters
    ----------
    run_bore : number or array
        Inside diameter of the straight way, before and after. [m]
    branch_bore : number or array
        Inside diameter of the branch, not wider than the run. [m]
    run_flow : number or array
        Flow that goes straight on. [m3/s]
    branch_flow : number or array
        Flow that turns off into the branch. [m3/s]
    branch_angle : number or array
        Angle of the branch to the run; a right angle is a tee. [rad]

    Returns
    -------
    number or array
        Loss coefficient on the velocity of both flows together in the run. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, the branch is wider than the run, a flow is negative, both
        are zero, or the angle lies outside 30 to 90 degrees.

    Notes
    -----
    The model of a loop takes a constant instead; see `converging_run_coefficient`.

    Examples
    --------
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
