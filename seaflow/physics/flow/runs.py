"""Descending runs: whether a falling leg runs full and gives its height back."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

Truth: TypeAlias = bool | NDArray[np.bool_]
UPRIGHT = float(np.pi / 2)


@elementwise
@sourced("own", where="definition")
def froude_number(velocity: Number, bore: Number) -> Number:
    """Froude number of a full pipe, velocity over the square root of gravity times bore.

    velocity [m/s]: velocity if the pipe were full
    bore [m]: inside diameter
    returns [-]: Froude number
    raises RangeError: the velocity is negative or the bore is not above zero

    >>> round(froude_number(0.5, 0.019), 3)
    1.158
    """
    require_not_negative(velocity=velocity)
    require_positive(bore=bore)
    return velocity / np.sqrt(GRAVITY * bore)


@elementwise
@sourced("wisner1975", where="0.825 + 0.25 sqrt(sin(angle)), as quoted from Sanks")
def clearing_froude_number(downward_angle: Number = UPRIGHT) -> Number:
    """Froude number above which a falling leg carries its air away and so runs full.

    downward_angle [rad]
    returns [-]: Froude number
    raises RangeError: the angle lies outside level to straight down

    Measured in a large sloping pipe and taken over here to hoses: ours. A process-engineering
    page puts the limit at 1.0 for any slope, and calls 0.3 to 1.0 pulsing.

    >>> round(clearing_froude_number(), 3)
    1.075
    """
    require_between(0.0, UPRIGHT, downward_angle=downward_angle)
    return 0.825 + 0.25 * np.sqrt(np.sin(downward_angle))


@elementwise
@sourced("wisner1975", where="velocity above the one that clears air")
def runs_full(velocity: Number, bore: Number, downward_angle: Number = UPRIGHT) -> Truth:
    """Whether a falling leg runs full, so that it gives its height back.

    velocity [m/s]: velocity if the pipe were full
    bore [m]: inside diameter
    downward_angle [rad]
    returns [-]: true where the leg runs full
    raises RangeError: the velocity is negative, the bore not above zero, or the angle outside its
        range

    >>> bool(runs_full(0.6, 0.019)), bool(runs_full(0.3, 0.019))
    (True, False)
    """
    return froude_number(velocity, bore) >= clearing_froude_number(downward_angle)


@elementwise
@sourced("wisner1975", where="flow at the velocity that clears air")
def flow_to_run_full(bore: Number, downward_angle: Number = UPRIGHT) -> Number:
    """Least flow at which a falling leg runs full.

    bore [m]: inside diameter
    downward_angle [rad]
    returns [m3/s]: flow
    raises RangeError: the bore is not above zero or the angle lies outside its range

    >>> round(60000 * flow_to_run_full(0.019), 2)
    7.89
    """
    require_positive(bore=bore)
    velocity = clearing_froude_number(downward_angle) * np.sqrt(GRAVITY * bore)
    return velocity * 0.25 * np.pi * bore**2
