"""Holes in the hull, the pressure of speed, and head against pressure."""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

SHARP_EDGE = 0.61  # discharge coefficient of a hole with a sharp edge


@elementwise
@sourced("own", "Torricelli's law")
def jet_flow(bore: Number, depth: Number, discharge_coefficient: Number = SHARP_EDGE) -> Number:
    """Flow into a boat through a round hole below the waterline.

    bore [m]: diameter of the hole
    depth [m]
    discharge_coefficient [-]: 0.61 for a sharp edge; flooding figures in print often take 1
    returns [m3/s]: flow through the hole while the inside is still dry
    raises RangeError: the bore is not above zero, the depth is negative, or the coefficient is
        outside 0 to 1

    >>> round(jet_flow(0.0254, 0.9144, 1.0) * 60e3, 1)
    128.8
    """
    require_positive(bore=bore)
    require_not_negative(depth=depth)
    require_between(0.0, 1.0, discharge_coefficient=discharge_coefficient)
    speed = np.sqrt(2.0 * GRAVITY * depth)
    answer: Number = discharge_coefficient * 0.25 * pi * bore**2 * speed
    return answer


@elementwise
@sourced("own", "hydrostatics")
def head_of_pressure(pressure: Number, density: Number) -> Number:
    """Height of the column of water that a pressure holds up.

    pressure [Pa]: pressure difference; may be negative
    density [kg/m3]: density of the water
    returns [m]: head, in metres of that water
    raises RangeError: the density is not above zero

    >>> round(head_of_pressure(6894.757, 1021.726), 4)
    0.6881
    """
    require_positive(density=density)
    return pressure / (density * GRAVITY)
