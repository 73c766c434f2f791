"""Pump at work: head at a speed, wear, pumps side by side. Curve and power come from here too."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise, ratio
from seaflow.base.measured import measured
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.pumping.pump_curve import (
    Knots,
    PumpCurve,
    curve_from_ends,
    curve_from_points,
)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """What turns a pump and what it draws, from its plate: none of it changes with conditions.

    `voltage` and `frequency` are those at which its curve holds, `power` is electric power over
    flow, and `required_npsh` is None where its maker does not give it.
    """

    motor: str
    voltage: float = measured("V")
    frequency: float | None = measured("Hz", None)
    minimum_voltage: float | None = measured("V", None)
    power: tuple[tuple[float, float], ...] = measured("m3/s, W")
    power_factor: float | None = measured("-", None)
    required_npsh: float | None = measured("m", None)


_LEAST_SPEED = 1e-12  # only keeps the share of free flow finite at standstill
_LEAST_SHARE = 1e-300  # of free flow: only keeps the logarithm finite


@sourced("own", where="affinity laws put into the normalised curve")
def head_and_slope(
    curve: PumpCurve, volume_flow: Number, speed_ratio: Number
) -> tuple[Array, Array]:
    """Head and its slope over flow at a speed, unchecked: the form for the solver.

    curve [curve]: the pump at rated speed
    volume_flow [m3/s]: flow through the pump, of either sign
    speed_ratio [-]: speed over rated speed; below zero counts as zero
    returns [m, s/m2]: head, and change of head with flow

    Past free flow the curve goes on as a parabola with the same slope, so a pump at standstill
    is a plain resistance, and backward flow mirrors forward flow. Both are ours. The result is
    smooth and never rises with flow.

    >>> round(float(head_and_slope(curve_from_ends(4.0, 4e-4, 2.0), 2e-4, 1.0)[1]), 1)
    -10000.0
    """
    speed = np.maximum(speed_ratio, 0.0)
    share = np.divide(volume_flow, curve.free_flow)
    size = np.abs(share)
    inside = np.minimum(size / np.maximum(speed, _LEAST_SPEED), 1.0)
    steep, (fall, fall_slope) = curve.exponent, _fall(curve, inside)
    square = speed * speed
    drop = square * fall + 0.5 * steep * np.maximum(size * size - square, 0.0)
    drop_slope = speed * fall_slope + steep * np.maximum(size - speed, 0.0)
    head_now = curve.shut_off_head * (square - np.sign(share) * drop)
    return head_now, -curve.shut_off_head * drop_slope / curve.free_flow


def _fall(curve: PumpCurve, share: Array) -> tuple[Array, Array]:
    """Return by which share of it the head falls short of that at shut-off, and the slope."""
    if isinstance(curve.knots, Knots):
        shape, slope = curve.knots.at(share)
        return 1.0 - shape, -slope
    steep = curve.exponent
    power = np.exp((steep - 1.0) * np.log(np.maximum(share, _LEAST_SHARE)))  # faster than **
    fall, fall_slope = share * power, steep * power
    for knots, where in curve.knots or ():
        shape, slope = knots.at(share[where])
        fall[where], fall_slope[where] = 1.0 - shape, -slope
    return fall, fall_slope


@elementwise
@sourced("crane410", where="affinity laws, example 7.33")
def head(curve: PumpCurve, volume_flow: Number, speed_ratio: Number) -> Number:
    """Head of a pump at a flow and a speed.

    curve [curve]: the pump at rated speed
    volume_flow [m3/s]: flow through the pump
    speed_ratio [-]: speed over rated speed
    returns [m]: head, negative past free flow
    raises RangeError: the flow or the speed is negative

    >>> round(head(curve_from_ends(4.0, 4e-4), 0.0, 0.5), 3)
    1.0
    """
    require_not_negative(volume_flow=volume_flow, speed_ratio=speed_ratio)
    return head_and_slope(curve, volume_flow, speed_ratio)[0]


@sourced("common_practice", where="old pump about 15 %, bad pump about 30 % off both ends")
def worn(curve: PumpCurve, wear: Number) -> PumpCurve:
    """Pump curve after wear, which shrinks both ends by the same share.

    curve [curve]: the pump when new
    wear [-]: share lost, 0 new, 0.15 old, 0.3 bad
    returns [curve]: the worn pump
    raises RangeError: the wear is below 0 or above 0.95

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

    curve [curve]: one pump
    n_pumps [-]: how many run
    returns [curve]: all of them together
    raises RangeError: the count is not above zero

    >>> round(float(in_parallel(curve_from_ends(4.0, 4e-4), 2).free_flow), 6)
    0.0008
    """
    require_positive(n_pumps=n_pumps)
    return replace(curve, free_flow=curve.free_flow * np.asarray(n_pumps, dtype=float))


@elementwise
@sourced("own", where="flow over free flow at the same speed")
def share_of_free_flow(curve: PumpCurve, volume_flow: Number, speed_ratio: Number) -> Number:
    """Flow as a share of the flow the pump would give against no head at the same speed.

    curve [curve]: the pump at rated speed
    volume_flow [m3/s]: flow through the pump
    speed_ratio [-]: speed over rated speed
    returns [-]: share of free flow; 0 for a pump at standstill
    raises RangeError: the flow or the speed is negative

    >>> round(share_of_free_flow(curve_from_ends(4.0, 4e-4), 2e-4, 0.8), 3)
    0.625
    """
    require_not_negative(volume_flow=volume_flow, speed_ratio=speed_ratio)
    free = np.asarray(curve.free_flow * speed_ratio, dtype=float)
    return ratio(volume_flow, free, 0.0)
