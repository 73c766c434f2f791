"""Air in a suction: how long a pump that moves air needs to draw water up, and how far it can.

Depends on: base.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

ROUNDS = 60  # halvings of a lift: to the last digit


@elementwise
@sourced("own", "isothermal air in a pipe that a steady volume flow empties, without a leak")
def priming_time(
    air_volume: Number,
    area: Number,
    suction_lift: Number,
    air_rate: Number,
    density: Number = 1025.0,
) -> Number:
    """Time a pump takes to draw water up through an air-filled suction and fill it.

    Parameters
    ----------
    air_volume : number or array
        Air between the water and the pump. [m3]
    area : number or array
        Clear area of the pipe that rises. [m2]
    suction_lift : number or array
        Height over which the water is drawn; times the area no more than the air. [m]
    air_rate : number or array
        Air the pump moves, as volume at its inlet. [m3/s]
    density : number or array
        Density of the water. [kg/m3]

    Returns
    -------
    number or array
        Time. [s]

    Raises
    ------
    RangeError
        If volume or lift is negative, area, rate or density not above zero, or the lift reaches
        the height of the atmosphere.

    Examples
    --------
    >>> round(priming_time(1.4726e-3, 4.909e-4, 1.0, 10.0 / 60e3), 1)
    9.6
    """
    require_not_negative(air_volume=air_volume, suction_lift=suction_lift)
    require_positive(area=area, air_rate=air_rate, density=density)
    atmosphere = ATMOSPHERE / (density * GRAVITY)
    require_between(0.0, 0.999, lift_over_atmosphere=suction_lift / atmosphere)
    thinned = np.log(atmosphere / (atmosphere - suction_lift))
    rising = air_volume * thinned + area * suction_lift - area * atmosphere * thinned
    return (air_volume + rising) / air_rate


@elementwise
@sourced("own", "the lift at which priming_time is the time given")
def lift_in_time(
    air_volume: Number, area: Number, air_rate: Number, priming_duration: Number, most_lift: Number
) -> Number:
    """Greatest lift to which a pump draws water within a time, through an air-filled suction.

    Parameters
    ----------
    air_volume : number or array
        Air between the water and the pump. [m3]
    area : number or array
        Clear area of the pipe that rises. [m2]
    air_rate : number or array
        Air the pump moves, as volume at its inlet. [m3/s]
    priming_duration : number or array
        The time it may take. [s]
    most_lift : number or array
        Greatest lift of the pump, from a short suction. [m]

    Returns
    -------
    number or array
        Lift; zero if even the air alone takes longer. [m]

    Raises
    ------
    RangeError
        As `priming_time`.

    Examples
    --------
    >>> round(lift_in_time(1.4726e-3, 4.909e-4, 10.0 / 60e3, 9.6, 3.0), 1)
    1.0
    >>> lift_in_time(1.4726e-3, 4.909e-4, 10.0 / 60e3, 600.0, 3.0)
    3.0
    """
    low, high = np.zeros(np.shape(most_lift)), np.asarray(most_lift, dtype=float)
    full = priming_time(air_volume, area, high, air_rate) <= priming_duration
    for _ in range(ROUNDS):
        middle = 0.5 * (low + high)
        within = priming_time(air_volume, area, middle, air_rate) <= priming_duration
        low, high = np.where(within, middle, low), np.where(within, high, middle)
    return np.where(full, most_lift, low)
