"""Heel, trim and speed: where a point of the boat sits, and what a scoop gives."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative
from seaflow.base.sources import sourced
from seaflow.physics.flow.fittings import velocity_head


@elementwise
@sourced("own", where="rotation about the waterline at the centreline and half the waterline")
def height_at_heel(
    height: Number,
    starboard: Number,
    aft: Number = 0.0,
    heel: Number = 0.0,
    trim: Number = 0.0,
    midship: Number = 0.0,
) -> Number:
    """Height of a point above the waterline when the boat heels and trims.

    height [m], starboard [m], aft [m]
    heel [rad]: heel, starboard side down
    trim [rad]: trim, bow down
    midship [m]
    returns [m]: height above the waterline
    raises RangeError: heel or trim leave a quarter turn either way

    The boat turns about the waterline at the centreline; that she sinks or lifts a little as she
    heels is left out.

    >>> round(height_at_heel(-0.3, -0.5, heel=0.2618), 3)
    -0.16
    """
    require_between(-np.pi / 2, np.pi / 2, heel=heel, trim=trim)
    heeled = height * np.cos(heel) - starboard * np.sin(heel)
    return heeled * np.cos(trim) + (aft - midship) * np.sin(trim)


@elementwise
@sourced("common_practice", where="recovery of intakes, a share of the head of the boat's speed")
def scoop_head(boat_speed: Number, recovery: Number) -> Number:
    """Head that the boat's speed gives at an intake, or takes from it.

    boat_speed [m/s]: speed through the water, ahead
    recovery [-]: share of the head of speed recovered; negative for a fitting that sucks
    returns [m]: head
    raises RangeError: the speed is negative or the recovery lies outside -1 to 1

    >>> round(scoop_head(3.0867, 0.5), 3)
    0.243
    """
    require_not_negative(boat_speed=boat_speed)
    require_between(-1.0, 1.0, recovery=recovery)
    return recovery * velocity_head(boat_speed)
