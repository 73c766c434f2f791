"""Heel, trim and speed: where a point of the boat sits, and what a scoop gives.

Depends on: base, velocities.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative
from seaflow.base.sources import sourced
from seaflow.physics.flow.velocities import velocity_head


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

    Parameters
    ----------
    height : number or array
        Height above the waterline, boat upright; negative below. [m]
    starboard : number or array
        Distance to starboard of the centreline; negative to port. [m]
    aft : number or array
        Distance aft of the stem. [m]
    heel : number or array
        Heel, starboard side down. [rad]
    trim : number or array
        Trim, bow down. [rad]
    midship : number or array
        Distance of the middle of the waterline aft of the stem. [m]

    Returns
    -------
    number or array
        Height above the waterline. [m]

    Raises
    ------
    RangeError
        If heel or trim leave a quarter turn either way.

    Notes
    -----
    The boat turns about the waterline at the centreline; that she sinks or lifts a little as she
    heels is left out.

    Examples
    --------
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

    Parameters
    ----------
    boat_speed : number or array
        Speed through the water, ahead. [m/s]
    recovery : number or array
        Share of the head of speed recovered; negative for a fitting that sucks. [-]

    Returns
    -------
    number or array
        Head. [m]

    Raises
    ------
    RangeError
        If the speed is negative or the recovery lies outside -1 to 1.

    Examples
    --------
    >>> round(scoop_head(3.0867, 0.5), 3)
    0.243
    """
    require_not_negative(boat_speed=boat_speed)
    require_between(-1.0, 1.0, recovery=recovery)
    return recovery * velocity_head(boat_speed)
