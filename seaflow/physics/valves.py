"""Valves and threaded fittings, each on the velocity head of its own bore.

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


@elementwise
@sourced("crane410", "lift check valve of globe type, 600 times the turbulent factor, as in fluids")
def lift_check_coefficient(port_bore: Number, bore: Number) -> Number:
    """Loss of a lift check valve of globe type, fully open, on the pipe.

    Parameters
    ----------
    port_bore : number or array
        Inside diameter of the seat. [m]
    bore : number or array
        Inside diameter of the pipe. [m]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, or the seat is wider than the pipe.

    Notes
    -----
    Six times a swing check of the same size: too dear for the suction side of any small pump.

    Examples
    --------
    >>> round(lift_check_coefficient(0.019, 0.019), 1)
    14.6
    """
    require_positive(port_bore=port_bore, bore=bore)
    require_between(0.0, 1.0, port_bore_over_bore=port_bore / bore)

    from fluids.fittings import K_lift_check_valve_Crane

    def valve(seat: float, pipe: float) -> float:
        return K_lift_check_valve_Crane(seat, pipe, angled=False)

    return point_by_point(valve, port_bore, bore)


@elementwise
@sourced("crane410", "equivalent lengths times the fully turbulent factor of clean steel pipe")
def equivalent_length_coefficient(equivalent_diameters: Number, bore: Number) -> Number:
    """Loss of a threaded fitting whose equivalent length is tabulated in diameters of pipe.

    Parameters
    ----------
    equivalent_diameters : number or array
        Equivalent length over bore: elbow 30, gate 8, ball 3, tee run 20, tee branch 60. [-]
    bore : number or array
        Inside diameter of the pipe. [m]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When the equivalent length is negative or the bore is not above zero.

    Examples
    --------
    >>> round(equivalent_length_coefficient(30.0, 0.0209), 3)
    0.711
    """
    require_not_negative(equivalent_diameters=equivalent_diameters)
    require_positive(bore=bore)
    from fluids.friction import ft_Crane

    return equivalent_diameters * point_by_point(ft_Crane, bore)


@elementwise
@sourced("crane410", "reduced-port ball valve, as in fluids")
def reduced_ball_valve_coefficient(
    port_bore: Number, bore: Number, bend_angle: Number = pi / 6
) -> Number:
    """Loss of an open ball valve whose port is narrower than its ends, on the ends.

    Parameters
    ----------
    port_bore : number or array
        Inside diameter of the hole in the ball. [m]
    bore : number or array
        Inside diameter of the ends. [m]
    bend_angle : number or array
        Included angle of the taper between port and end. [rad]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When a bore or the angle is not above zero, or the port is wider than the ends.

    Examples
    --------
    >>> round(reduced_ball_valve_coefficient(0.015, 0.019), 3)
    0.634
    """
    require_positive(port_bore=port_bore, bore=bore, bend_angle=bend_angle)
    require_between(0.0, 1.0, port_bore_over_bore=port_bore / bore)
    require_between(0.0, pi, bend_angle=bend_angle)
    from fluids.fittings import K_ball_valve_Crane

    return point_by_point(K_ball_valve_Crane, port_bore, bore, np.degrees(bend_angle))


@elementwise
@sourced("iec60534", "flow coefficient of a valve, through fluids")
def flow_rating_coefficient(flow_at_one_bar: Number, bore: Number) -> Number:
    """Loss of a valve rated by the flow of water that loses one bar in it (its Kv).

    Parameters
    ----------
    flow_at_one_bar : number or array
        Flow of cold fresh water at a loss of one bar; a Kv of 1 is 1 m3/h. [m3/s]
    bore : number or array
        Inside diameter of the pipe. [m]

    Returns
    -------
    number or array
        Loss coefficient on `bore`. [-]

    Raises
    ------
    RangeError
        When flow or bore is not above zero.

    Examples
    --------
    >>> round(flow_rating_coefficient(500 / 3600, 0.154), 2)
    3.6
    """
    require_positive(flow_at_one_bar=flow_at_one_bar, bore=bore)
    from fluids.fittings import Kv_to_K

    return point_by_point(Kv_to_K, flow_at_one_bar * 3600.0, bore)
