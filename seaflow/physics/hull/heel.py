"""Heel, trim and speed: where a point of the boat sits, and what a scoop gives.

Depends on: base, velocities.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative
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
@sourced("own", where="same rotation, heeled the worse way")
def immersion_at_heel(depth: Number, offset: Number, heel: Number) -> Number:
    """Depth of a fitting below the heeled waterline, on the tack that lifts it.

    Parameters
    ----------
    depth : number or array
        Depth below the upright waterline. [m]
    offset : number or array
        Distance from the centreline, either side. [m]
    heel : number or array
        Heel, either way. [rad]

    Returns
    -------
    number or array
        Depth; negative means in the air. [m]

    Raises
    ------
    RangeError
        If the heel leaves a quarter turn.

    Examples
    --------
    >>> round(immersion_at_heel(0.3, 0.5, 0.2618), 3)
    0.16
    """
    require_between(-np.pi / 2, np.pi / 2, heel=heel)
    immersion: Number = depth * np.cos(heel) - np.abs(offset) * np.sin(np.abs(heel))
    return immersion


@elementwise
@sourced("own", where="the angle at which the point meets the waterline")
def heel_at_waterline(height: Number, offset: Number) -> Number:
    """Heel at which a fitting reaches the waterline: an outlet goes under, an intake comes out.

    Parameters
    ----------
    height : number or array
        Height above the upright waterline; for an intake below it the sign does not matter. [m]
    offset : number or array
        Distance from the centreline, either side. [m]

    Returns
    -------
    number or array
        Heel; a quarter turn for a fitting on the centreline. [rad]

    Raises
    ------
    RangeError
        If height and offset are both zero.

    Examples
    --------
    >>> round(float(np.degrees(heel_at_waterline(0.1, 1.8))), 2)
    3.18
    """
    if np.any((np.asarray(height) == 0) & (np.asarray(offset) == 0)):
        raise RangeError("a point on the waterline at the centreline has no such heel")
    angle: Number = np.arctan2(np.abs(height), np.abs(offset))
    return angle


@elementwise
@sourced("own", where="a run athwartships reverses when the heel equals its slope")
def reversing_heel(slope: Number) -> Number:
    """Heel at which a run laid across the boat turns its slope round and traps air.

    Parameters
    ----------
    slope : number or array
        Rise over run, boat upright. [-]

    Returns
    -------
    number or array
        Heel. [rad]

    Raises
    ------
    RangeError
        If the slope is negative.

    Examples
    --------
    >>> round(float(np.degrees(reversing_heel(0.10))), 1)
    5.7
    """
    require_not_negative(slope=slope)
    return np.arctan(slope)


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
