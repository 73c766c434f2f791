"""Velocity in a bore, and the head it is worth.

Depends on: base, friction.
"""

from __future__ import annotations

from math import pi

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_not_negative, require_positive
from seaflow.base.sources import sourced


@elementwise
@sourced("own", "definition")
def velocity(volume_flow: Number, bore: Number) -> Number:
    """Mean velocity of the water in a round bore.

    Parameters
    ----------
    volume_flow : number or array
        Flow through the bore. [m3/s]
    bore : number or array
        Inside diameter. [m]

    Returns
    -------
    number or array
        Mean velocity. [m/s]

    Raises
    ------
    RangeError
        When the flow is negative or the bore is not above zero.

    Examples
    --------
    >>> round(velocity(15e-3 / 60, 0.019), 4)
    0.8817
    """
    require_not_negative(volume_flow=volume_flow)
    require_positive(bore=bore)
    return volume_flow / (0.25 * pi * bore**2)


@elementwise
@sourced("own", "definition")
def velocity_head(velocity: Number) -> Number:
    """Height that the speed of the water is worth.

    Parameters
    ----------
    velocity : number or array
        Mean velocity of the water. [m/s]

    Returns
    -------
    number or array
        Velocity head. [m]

    Raises
    ------
    RangeError
        When the velocity is negative.

    Examples
    --------
    >>> round(velocity_head(2.0), 4)
    0.2039
    """
    require_not_negative(velocity=velocity)
    return velocity**2 / (2.0 * GRAVITY)


@elementwise
@sourced("own", "definition")
def loss_head(loss_coefficient: Number, velocity: Number) -> Number:
    """Head lost in a fitting.

    Parameters
    ----------
    loss_coefficient : number or array
        Loss coefficient on the bore where the velocity is taken. [-]
    velocity : number or array
        Mean velocity in that bore. [m/s]

    Returns
    -------
    number or array
        Head lost, in metres of that water. [m]

    Raises
    ------
    RangeError
        When the velocity is negative.

    Examples
    --------
    >>> round(loss_head(5.5, 2.0), 3)
    1.122
    """
    return loss_coefficient * velocity_head(velocity)
