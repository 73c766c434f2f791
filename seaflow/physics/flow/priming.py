"""Air in a suction: how long a pump that moves air needs to draw water up, and how far it can."""

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

    air_volume [m3]: air between the water and the pump
    area [m2]: clear area of the pipe that rises
    suction_lift [m]: height over which the water is drawn; times the area no more than the air
    air_rate [m3/s]
    density [kg/m3]: density of the water
    returns [s]: time
    raises RangeError: volume or lift is negative, area, rate or density not above zero, or the lift
        reaches the height of the atmosphere

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

    air_volume [m3]: air between the water and the pump
    area [m2]: clear area of the pipe that rises
    air_rate [m3/s]
    priming_duration [s]: the time it may take
    most_lift [m]: greatest lift of the pump, from a short suction
    returns [m]: lift; zero if even the air alone takes longer
    raises RangeError: as `priming_time`

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
