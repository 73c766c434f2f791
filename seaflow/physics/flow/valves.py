"""Valves and threaded fittings, each on the velocity head of its own bore.

The correlations come from the open library `fluids`, one point at a time: these coefficients are
worked out once for a boat, not inside the solver. It is imported where it is needed.
Depends on: base.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.points import point_by_point
from seaflow.base.ranges import require_between, require_positive
from seaflow.base.sources import sourced

# Full-bore ball valve: share open against the logarithm of the coefficient. Below a third open
# the last slope is carried on.
_BALL_SHARES = np.array([0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0])
_BALL_LOGS = np.log([200.0 * 200.0 / 5.5, 200.0, 5.5, 0.05])


@elementwise
@sourced("fitting_tables", "full-bore ball valve open, one third and two thirds closed")
def ball_valve_coefficient(open_share: Number) -> Number:
    """Loss of a full-bore ball valve, open or part shut.

    Parameters
    ----------
    open_share : number or array
        Share of the handle's travel that is open, above 0 up to 1. [-]

    Returns
    -------
    number or array
        Loss coefficient on the bore of the valve. [-]

    Raises
    ------
    RangeError
        When the share is not above zero (a shut valve has no coefficient) or is above one.

    Notes
    -----
    Between the three published points, and below one third open, the logarithm runs straight:
    our own choice.

    Examples
    --------
    >>> round(ball_valve_coefficient(1.0), 3), round(ball_valve_coefficient(0.5), 1)
    (0.05, 33.2)
    """
    require_positive(open_share=open_share)
    require_between(0.0, 1.0, open_share=open_share)
    answer: Number = np.exp(np.interp(open_share, _BALL_SHARES, _BALL_LOGS))
    return answer


@elementwise
@sourced("crane410", "swing check valve, 100 times the fully turbulent factor, as in fluids")
def swing_check_coefficient(bore: Number) -> Number:
    """Loss of a swing check valve with an angled seat, fully open.

    Parameters
    ----------
    bore : number or array
        Inside diameter of the valve. [m]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When the bore is not above zero.

    Examples
    --------
    >>> round(swing_check_coefficient(0.019), 2)
    2.43
    """
    require_positive(bore=bore)
    from fluids.fittings import K_swing_check_valve_Crane

    return point_by_point(K_swing_check_valve_Crane, bore)
