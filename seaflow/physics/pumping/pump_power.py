"""Power of a pump: in the water, at the plug, at another speed, and with air in the water."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

AIR_AT_STALL = 0.07  # share by volume
AIR_EXPONENT = 1.65
DUTY_SHARE = 0.6  # of free flow: where a single power figure is taken to hold
SHUT_OFF_POWER_SHARE = 0.6  # power at no flow over power at duty
# Of the power at full speed, what does not fall with the speed: electronics, bearings, magnetising.
# Our assumption: a trade page has circulators of heating draw about 5 W at their least speed
# (trade_circulators); that these are pumps of 40 to 60 W, and some draw 3 W, is from memory. So it
# may be 0.05 to 0.125.
STEADY_SHARE = 0.07


@elementwise
@sourced("own", where="weight flow times head")
def hydraulic_power(volume_flow: Number, head: Number, density: Number) -> Number:
    """Power the pump puts into the water.

    volume_flow [m3/s]: flow through the pump
    head [m]: head added by the pump
    density [kg/m3]: density of the water
    returns [W]: power in the water
    raises RangeError: the flow is negative or the density is not above zero

    >>> round(hydraulic_power(20 / 60000, 3.0, 1022.0), 2)
    10.02
    """
    require_not_negative(volume_flow=volume_flow)
    require_positive(density=density)
    return density * GRAVITY * volume_flow * head


@elementwise
@sourced("trade_air", where="2 % air takes 12 %, 4 % takes 40 %", valid={"air_fraction": (0, 0.07)})
def air_factor(air_fraction: Number) -> Number:
    """Share of the head that is left when air is drawn in with the water.

    air_fraction [-]: air in the mixture, by volume at the pump inlet
    returns [-]: head with air over head without
    raises RangeError: the share of air lies outside 0 to 1

    One minus (air / 7 %)^1.65 is our curve through the two trade figures; that a small pump stops
    near 7 % is from memory (the trade page calls a stall quite likely at 10 %).

    >>> round(air_factor(0.02), 3)
    0.873
    """
    require_between(0.0, 1.0, air_fraction=air_fraction)
    return 1.0 - np.minimum(air_fraction / AIR_AT_STALL, 1.0) ** AIR_EXPONENT


@elementwise
@sourced("common_practice", where="power of a small centrifugal pump at no flow against duty")
def electric_power(
    rated_power: Number,
    speed_ratio: Number,
    share_of_free_flow: Number,
    duty_share: Number = DUTY_SHARE,
) -> Number:
    """Electric power of a pump of which one power figure is known.

    rated_power [W]
    speed_ratio [-]: speed over rated speed
    share_of_free_flow [-]: flow over free flow at that speed
    duty_share [-]
    returns [W]: electric power
    raises RangeError: a number is negative or the duty share lies outside 0.05 to 1

    A straight line from 60 % of the figure at no flow to the figure at 60 % of free flow, times
    `share_at_speed`; past free flow it stays. The line is ours.

    >>> round(electric_power(110.0, 1.0, 0.3), 1)
    88.0
    """
    require_not_negative(
        rated_power=rated_power, speed_ratio=speed_ratio, share_of_free_flow=share_of_free_flow
    )
    require_between(0.05, 1.0, duty_share=duty_share)
    line = SHUT_OFF_POWER_SHARE + (1.0 - SHUT_OFF_POWER_SHARE) * (
        np.minimum(share_of_free_flow, 1.0) / duty_share
    )
    return rated_power * share_at_speed(speed_ratio) * line


@elementwise
@sourced("trade_circulators", where="the share that does not fall with speed is our assumption")
def share_at_speed(speed_ratio: Number) -> Number:
    """Electric power of a pump at a speed over that at rated speed, at one share of free flow.

    speed_ratio [-]: speed over rated speed
    returns [-]: share of the power; 0 for a pump at standstill
    raises RangeError: the speed is negative

    Speed cubed by the affinity laws, but for the 7 % that does not fall with it: our assumption, it
    may be 5 to 12.5 %. The rule for pumps of 1 hp and more in 10 CFR 431 holds 64 % of the motor's
    losses steady, which would be far more for a small motor.

    >>> round(share_at_speed(0.5), 3)
    0.186
    """
    require_not_negative(speed_ratio=speed_ratio)
    share = STEADY_SHARE + (1.0 - STEADY_SHARE) * speed_ratio**3
    return np.where(speed_ratio > 0.0, share, 0.0)


@sourced("own", where="affinity laws on a table of power against flow")
def electric_power_from_points(
    volume_flow: Number, speed_ratio: Number, point_volume_flows: Array, point_powers: Array
) -> Number:
    """Electric power of a pump of which power is known at several flows.

    volume_flow [m3/s]: flow through the pump
    speed_ratio [-]: speed over rated speed
    point_volume_flows [m3/s]: flow of each known point, at rated speed
    point_powers [W]: electric power of each known point, at rated speed
    returns [W]: electric power; straight lines between the points, flat beyond them
    raises RangeError: a number is negative or the points do not rise in flow

    >>> round(electric_power_from_points(1e-4, 1.0, [0.0, 4e-4], [60.0, 100.0]), 1)
    70.0
    """
    require_not_negative(volume_flow=volume_flow, speed_ratio=speed_ratio)
    flows = np.asarray(point_volume_flows, dtype=float)
    powers = np.asarray(point_powers, dtype=float)
    require_not_negative(point_volume_flows=flows, point_powers=powers)
    if flows.size != powers.size or flows.size < 1 or np.any(np.diff(flows) <= 0):
        raise RangeError("the power points of a pump must rise in flow, each with one power")
    return _scaled_power(volume_flow, speed_ratio, flows, powers)


@elementwise
def _scaled_power(volume_flow: Number, speed_ratio: Number, flows: Array, powers: Array) -> Number:
    speed = np.maximum(speed_ratio, 1e-12)
    return np.interp(volume_flow / speed, flows, powers) * share_at_speed(speed_ratio)
