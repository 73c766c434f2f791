"""Bends, on the velocity head of their own bore.

The correlation comes from the open library `fluids`, one point at a time. It is imported where it
is needed.
Depends on: base.
"""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.points import point_by_point
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced


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
