"""Screens and strainers, clean and blocked."""

from __future__ import annotations

from math import inf, pi

import numpy as np

from seaflow.base.arrays import Number, any_of, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

# Invented: a small strainer, blocked share of the basket against its loss on the port.
_TABLE_BLOCKAGES = np.array([0.0, 0.5, 0.8, 0.95])
_TABLE_LOGS = np.log([4.5, 18.0, 100.0, 1500.0])
_TABLE_LAST_SLOPE = (_TABLE_LOGS[3] - _TABLE_LOGS[2]) / (_TABLE_BLOCKAGES[3] - _TABLE_BLOCKAGES[2])


@elementwise
@sourced(
    "idelchik2007",
    "thin sharp-edged perforated plate across a straight pipe; the range is that of the Reynolds "
    "number in the holes, from memory",
    {"reynolds_number": (1e5, inf)},
)
def screen_coefficient(open_area_ratio: Number) -> Number:
    """Loss of a thin perforated plate, on the velocity in front of it.

    open_area_ratio [-]: area of the holes over that of the whole plate, above 0 up to 1
    returns [-]: loss coefficient on the approach velocity
    raises RangeError: the ratio is not above zero or exceeds one

    The source vouches for fast flow through the holes. In the holes of a basket the Reynolds
    number is near 100, where viscous loss adds to it: it may be half as much again, by our own
    judgement. A clean basket is so wide that this is a hundredth of a metre of head.

    >>> round(screen_coefficient(0.5), 2)
    4.0
    """
    require_positive(open_area_ratio=open_area_ratio)
    require_between(0.0, 1.0, open_area_ratio=open_area_ratio)
    edge = 1.0 + 0.707 * np.sqrt(1.0 - open_area_ratio) - open_area_ratio
    answer: Number = (edge / open_area_ratio) ** 2
    return answer


@elementwise
@sourced("own", "housing plus a screen of which blockage leaves less open")
def strainer_coefficient(
    port_bore: Number,
    basket_area: Number,
    open_area_ratio: Number,
    blockage: Number = 0.0,
    housing_coefficient: Number = 3.0,
) -> Number:
    """Loss of a strainer by its geometry, on the velocity in its ports.

    port_bore [m]: inside diameter of the ports
    basket_area [m2]: whole area of the basket wall, holes and metal together
    open_area_ratio [-]: area of the holes over that of the whole basket wall, clean
    blockage [-]: share of the holes that is blocked, from 0 to below 1
    housing_coefficient [-]: loss of entering, turning and leaving, on the ports
    returns [-]: loss coefficient on the ports
    raises RangeError: bore, area or open share is not above zero, the open share exceeds one, the
        blockage is negative or one, or the housing coefficient is negative

    A large basket hides a clog until it is nearly complete, so this rises far later than
    `table_strainer_coefficient`: at 80 % blocked the two differ by more than ten times.

    >>> round(strainer_coefficient(0.025, 0.005, 0.5, 0.8), 2)
    5.38
    """
    require_positive(port_bore=port_bore, basket_area=basket_area)
    require_not_negative(housing_coefficient=housing_coefficient)
    _require_not_shut(blockage)
    area_ratio = 0.25 * pi * port_bore**2 / basket_area
    screen = screen_coefficient(open_area_ratio * (1.0 - blockage))
    return housing_coefficient + screen * area_ratio**2


@elementwise
@sourced("own", "invented table of a small strainer")
def table_strainer_coefficient(blockage: Number) -> Number:
    """Loss of an invented small strainer, on the velocity in its ports.

    blockage [-]: share of the basket that is blocked, from 0 to below 1
    returns [-]: loss coefficient on the ports
    raises RangeError: the blockage is negative, or is one or more

    Invented, in the range small strainers are said to have: 4.5 clean, 18 half blocked, 100 at
    80 %, 1500 at 95 %, straight in the logarithm between and beyond. At 80 % blocked it is more
    than ten times `strainer_coefficient` of a roomy basket: how a basket clogs matters more than
    how much of it.

    >>> round(table_strainer_coefficient(0.65), 1)
    42.4
    """
    _require_not_shut(blockage)
    inside = np.interp(blockage, _TABLE_BLOCKAGES, _TABLE_LOGS)
    beyond = _TABLE_LAST_SLOPE * np.maximum(blockage - _TABLE_BLOCKAGES[-1], 0.0)
    answer: Number = np.exp(inside + beyond)
    return answer


def _require_not_shut(blockage: Number) -> None:
    require_between(0.0, 1.0, blockage=blockage)
    if any_of(blockage >= 1.0):
        raise RangeError("blockage must stay below 1: a basket wholly blocked passes nothing")
