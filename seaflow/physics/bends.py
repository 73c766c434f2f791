"""Bends and entrances, each on the velocity head of its own bore.

The correlations come from the open library `fluids`, one point at a time: these coefficients are
worked out once for a boat, not inside the solver. It is imported where it is needed.
Depends on: base.
"""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics._points import point_by_point


@elementwise
@sourced("rennels2012", "bend of round section, as coded in fluids")
def bend_coefficient(
    bend_diameters: Number,
    bore: Number,
    bend_angle: Number = 0.5 * pi,
    reynolds_number: Number = 3e4,
    roughness: Number = 1e-5,
) -> Number:
    """Loss of a smooth bend such as a hose swept round a corner, its own length included.

    Parameters
    ----------
    bend_diameters : number or array
        Radius of the bend, to its centreline, over the bore. [-]
    bore : number or array
        Inside diameter. [m]
    bend_angle : number or array
        Angle turned; a right angle unless given. [rad]
    reynolds_number : number or array
        Reynolds number on the bore. [-]
    roughness : number or array
        Height of the roughness of the wall. [m]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When a number is not above zero (roughness: is negative), the bend is tighter than half
        a bore, or it turns through more than half a circle.

    Notes
    -----
    Published forms for the same bend spread by about a third either way.

    Examples
    --------
    >>> round(bend_coefficient(1.5, 0.019), 3)
    0.284
    """
    require_positive(bore=bore, reynolds_number=reynolds_number, bend_angle=bend_angle)
    require_not_negative(roughness=roughness)
    require_between(0.5, 1e3, bend_diameters=bend_diameters)
    require_between(0.0, pi, bend_angle=bend_angle)

    from fluids.fittings import bend_rounded

    def bend(radius: float, inside: float, angle: float, reynolds: float, rough: float) -> float:
        return bend_rounded(
            Di=inside, angle=angle, bend_diameters=radius, Re=reynolds, roughness=rough
        )

    angle = np.degrees(bend_angle)
    return point_by_point(bend, bend_diameters, bore, angle, reynolds_number, roughness)


@elementwise
@sourced("rennels2012", "mitre bend, as coded in fluids")
def mitre_bend_coefficient(bend_angle: Number = 0.5 * pi) -> Number:
    """Loss of a bend with a sharp inner corner, the kind inside many barbed elbows.

    Parameters
    ----------
    bend_angle : number or array
        Angle turned; a right angle unless given. [rad]

    Returns
    -------
    number or array
        Loss coefficient on the bore of the bend. [-]

    Raises
    ------
    RangeError
        When the angle is not above zero or exceeds 150 degrees.

    Examples
    --------
    >>> round(mitre_bend_coefficient(), 2)
    1.2
    """
    require_positive(bend_angle=bend_angle)
    require_between(0.0, 150.0 * pi / 180.0, bend_angle=bend_angle)

    from fluids.fittings import bend_miter

    def mitre(angle: float) -> float:
        return bend_miter(angle=angle)

    return point_by_point(mitre, np.degrees(bend_angle))


@elementwise
@sourced("rennels2012", "flush entrances, sharp and rounded, as coded in fluids")
def flush_entrance_coefficient(rounding_ratio: Number = 0.0) -> Number:
    """Loss where water enters a bore through a flush hole, sharp or rounded.

    Parameters
    ----------
    rounding_ratio : number or array
        Radius of the rounded edge over the bore; zero is a sharp edge. [-]

    Returns
    -------
    number or array
        Loss coefficient on the bore. [-]

    Raises
    ------
    RangeError
        When the ratio is negative or above one.

    Examples
    --------
    >>> round(flush_entrance_coefficient(0.1), 3), flush_entrance_coefficient(0.0)
    (0.203, 0.57)
    """
    require_between(0.0, 1.0, rounding_ratio=rounding_ratio)

    from fluids.fittings import entrance_rounded, entrance_sharp

    def entrance(ratio: float) -> float:
        if ratio == 0.0:
            return entrance_sharp()
        return entrance_rounded(Di=1.0, rc=ratio)

    return point_by_point(entrance, rounding_ratio)


@elementwise
@sourced("rennels2012", "projecting entrance, as coded in fluids")
def projecting_entrance_coefficient(wall_ratio: Number) -> Number:
    """Loss where water enters a pipe that stands proud of the hull or of a tank wall.

    Parameters
    ----------
    wall_ratio : number or array
        Wall thickness of the pipe over its bore. [-]

    Returns
    -------
    number or array
        Loss coefficient on the bore. [-]

    Raises
    ------
    RangeError
        When the ratio is not above zero or exceeds one.

    Examples
    --------
    >>> round(projecting_entrance_coefficient(0.02105), 3)
    0.753
    """
    require_positive(wall_ratio=wall_ratio)
    require_between(0.0, 1.0, wall_ratio=wall_ratio)

    from fluids.fittings import entrance_distance

    def entrance(ratio: float) -> float:
        return entrance_distance(Di=1.0, t=ratio)

    return point_by_point(entrance, wall_ratio)
