"""Pump at work: head at a speed, wear, pumps side by side. Curve and power come from here too.

Depends on: base, pump_curve, pump_power.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.pumping.pump_curve import PumpCurve, curve_from_ends, curve_from_points
from seaflow.physics.pumping.pump_power import (
    air_factor,
    electric_power,
    electric_power_from_points,
    hydraulic_power,
)

__all__ = [
    "PumpCurve",
    "air_factor",
    "curve_from_ends",
    "curve_from_points",
    "electric_power",
    "electric_power_from_points",
    "head",
    "head_and_slope",
    "hydraulic_power",
    "in_parallel",
    "share_of_free_flow",
    "worn",
]

_LEAST_SPEED = 1e-12  # only keeps the share of free flow finite at standstill
_LEAST_SHARE = 1e-300  # of free flow: only keeps the logarithm finite


@sourced("own", where="affinity laws put into the normalised curve")
def head_and_slope(
    curve: PumpCurve, volume_flow: Number, speed_ratio: Number
) -> tuple[Array, Array]:
    """Head and its slope over flow at a speed, unchecked: the form for the solver.

    Parameters
    ----------
    curve : PumpCurve
        The pump at rated speed. [curve]
    volume_flow : number or array
        Flow through the pump, of either sign. [m3/s]
    speed_ratio : number or array
        Speed over rated speed; below zero counts as zero. [-]

    Returns
    -------
    tuple of arrays
        Head, and change of head with flow. [m, s/m2]

    Raises
    ------
    Nothing
        Numbers are not checked here; `head` checks them.

    Notes
    -----
    Past free flow the curve goes on as a parabola with the same slope, so a pump at standstill
    is a plain resistance, and backward flow mirrors forward flow. Both are ours. The result is
    smooth and never rises with flow.

    Examples
    --------
    >>> round(float(head_and_slope(curve_from_ends(4.0, 4e-4, 2.0), 2e-4, 1.0)[1]), 1)
    -10000.0
    """
    speed = np.maximum(speed_ratio, 0.0)
    share = np.divide(volume_flow, curve.free_flow)
    size = np.abs(share)
    inside = np.minimum(size / np.maximum(speed, _LEAST_SPEED), 1.0)
    if curve.knots is None:
        steep = curve.exponent
        power = np.exp((steep - 1.0) * np.log(np.maximum(inside, _LEAST_SHARE)))  # faster than **
        fall, fall_slope = inside * power, steep * power
    else:
        shape, slope = curve.knots.at(inside)
        steep = -float(curve.knots.slopes[-1])
        fall, fall_slope = 1.0 - shape, -slope
    square = speed * speed
    drop = square * fall + 0.5 * steep * np.maximum(size * size - square, 0.0)
    drop_slope = speed * fall_slope + steep * np.maximum(size - speed, 0.0)
    head_now = curve.shut_off_head * (square - np.sign(share) * drop)
    return head_now, -curve.shut_off_head * drop_slope / curve.free_flow


@elementwise
@sourced("crane410", where="affinity laws, example 7.33")
def head(curve: PumpCurve, volume_flow: Number, speed_ratio: Number) -> Number:
    """Head of a pump at a flow and a speed.

    Parameters
    ----------
    curve : PumpCurve
        The pump at rated speed. [curve]
    volume_flow : number or array
        Flow through the pump. [m3/s]
    speed_ratio : number or array
        Speed over rated speed. [-]

    Returns
    -------
    number or array
        Head, negative past free flow. [m]

    Raises
    ------
    RangeError
        If the flow or the speed is negative.

    Examples
    --------
    >>> round(head(curve_from_ends(4.0, 4e-4), 0.0, 0.5), 3)
    1.0
    """
    require_not_negative(volume_flow=volume_flow, speed_ratio=speed_ratio)
    return head_and_slope(curve, volume_flow, speed_ratio)[0]


@sourced("common_practice", where="old pump about 15 %, bad pump about 30 % off both ends")
def worn(curve: PumpCurve, wear: Number) -> PumpCurve:
    """Pump curve after wear, which shrinks both ends by the same share.

    Parameters
    ----------
    curve : PumpCurve
        The pump when new. [curve]
    wear : number or array
        Share lost, 0 new, 0.15 old, 0.3 bad. [-]

    Returns
    -------
    PumpCurve
        The worn pump. [curve]

    Raises
    ------
    RangeError
        If the wear is below 0 or above 0.95.

    Examples
    --------
    >>> round(float(worn(curve_from_ends(4.0, 4e-4), 0.15).shut_off_head), 3)
    3.4
    """
    require_between(0.0, 0.95, wear=wear)
    left = 1.0 - np.asarray(wear, dtype=float)
    return replace(
        curve, shut_off_head=curve.shut_off_head * left, free_flow=curve.free_flow * left
    )


@sourced("own", where="equal pumps side by side share the flow at equal head")
def in_parallel(curve: PumpCurve, n_pumps: Number) -> PumpCurve:
    """Pump curve of equal pumps side by side.

    Parameters
    ----------
    curve : PumpCurve
        One pump. [curve]
    n_pumps : number
        How many run. [-]

    Returns
    -------
    PumpCurve
        All of them together. [curve]

    Raises
    ------
    RangeError
        If the count is not above zero.

    Examples
    --------
    >>> round(float(in_parallel(curve_from_ends(4.0, 4e-4), 2).free_flow), 6)
    0.0008
    """
    require_positive(n_pumps=n_pumps)
    return replace(curve, free_flow=curve.free_flow * np.asarray(n_pumps, dtype=float))


@elementwise
@sourced("own", where="flow over free flow at the same speed")
def share_of_free_flow(curve: PumpCurve, volume_flow: Number, speed_ratio: Number) -> Number:
    """Flow as a share of the flow the pump would give against no head at the same speed.

    Parameters
    ----------
    curve : PumpCurve
        The pump at rated speed. [curve]
    volume_flow : number or array
        Flow through the pump. [m3/s]
    speed_ratio : number or array
        Speed over rated speed. [-]

    Returns
    -------
    number or array
        Share of free flow; 0 for a pump at standstill. [-]

    Raises
    ------
    RangeError
        If the flow or the speed is negative.

    Examples
    --------
    >>> round(share_of_free_flow(curve_from_ends(4.0, 4e-4), 2e-4, 0.8), 3)
    0.625
    """
    require_not_negative(volume_flow=volume_flow, speed_ratio=speed_ratio)
    free = np.asarray(curve.free_flow * speed_ratio, dtype=float)
    share: Array = np.where(free > 0, volume_flow / np.where(free > 0, free, 1.0), 0.0)
    return share
