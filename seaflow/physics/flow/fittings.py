"""Velocity in a bore and the head it is worth, and the loss of fittings on the bore they name."""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.points import point_by_point
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

# Full-bore ball valve: share open against the logarithm of the coefficient. Below a third open
# the last slope is carried on.
_BALL_SHARES = np.array([0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0])
_BALL_LOGS = np.log([200.0 * 200.0 / 5.5, 200.0, 5.5, 0.05])


@elementwise
@sourced("own", "definition")
def velocity(volume_flow: Number, bore: Number) -> Number:
    """Mean velocity of the water in a round bore.

    volume_flow [m3/s]: flow through the bore
    bore [m]: inside diameter
    returns [m/s]: mean velocity
    raises RangeError: the flow is negative or the bore is not above zero

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

    velocity [m/s]
    returns [m]: velocity head
    raises RangeError: the velocity is negative

    >>> round(velocity_head(2.0), 4)
    0.2039
    """
    require_not_negative(velocity=velocity)
    return velocity**2 / (2.0 * GRAVITY)


@elementwise
@sourced("own", "continuity: the head is the same on either bore")
def transfer_coefficient(loss_coefficient: Number, from_bore: Number, to_bore: Number) -> Number:
    """Move a loss coefficient from the velocity head of one bore to that of another.

    loss_coefficient [-]: loss coefficient on `from_bore`
    from_bore [m]: bore on which the coefficient is given
    to_bore [m]: bore on which it is wanted
    returns [-]: loss coefficient on `to_bore`
    raises RangeError: a bore is not above zero

    >>> round(transfer_coefficient(1.0, 0.0127, 0.01905), 4)
    5.0625
    """
    require_positive(from_bore=from_bore, to_bore=to_bore)
    return loss_coefficient * (to_bore / from_bore) ** 4


@elementwise
@sourced("own", "contraction, friction in the bore and expansion, added")
def barb_coefficient(
    barb_bore: Number,
    hose_bore: Number,
    barb_length: Number = 0.03,
    friction_factor: Number = 0.03,
) -> Number:
    """Loss of a hose barb, on the hose: in over its edge, along its bore, out at its end.

    barb_bore [m]
    hose_bore [m]: inside diameter of the hose pushed over it
    barb_length [m]: length of the narrow bore; 30 mm is usual
    friction_factor [-]: Darcy friction factor in the narrow bore
    returns [-]: loss coefficient on `hose_bore`; zero where the barb is as wide as the hose
    raises RangeError: a bore is not above zero, or length or friction factor is negative

    Both the contraction and the expansion are counted, so one barb is one passage from a wide
    bore through a narrow one into a wide one.

    >>> round(barb_coefficient(0.0143, 0.01905), 2)
    1.72
    """
    require_positive(barb_bore=barb_bore, hose_bore=hose_bore)
    require_not_negative(barb_length=barb_length, friction_factor=friction_factor)
    narrow = np.minimum(barb_bore, hose_bore)
    on_bore = _contraction(narrow, hose_bore) + (1.0 - (narrow / hose_bore) ** 2) ** 2
    on_bore = on_bore + friction_factor * barb_length / narrow
    return np.where(barb_bore < hose_bore, on_bore * (hose_bore / narrow) ** 4, 0.0)


@elementwise
@sourced("rennels2012", "sharp contraction, as coded in fluids; widening: Borda and Carnot")
def step_coefficient(from_bore: Number, to_bore: Number) -> Number:
    """Loss of a change of bore such as a reducer, on the smaller of the two bores.

    from_bore [m]
    to_bore [m]: inside diameter the water goes to
    returns [-]: loss coefficient on the smaller bore; zero where the bores are equal
    raises RangeError: a bore is not above zero

    >>> round(step_coefficient(0.025, 0.019), 3), round(step_coefficient(0.019, 0.025), 3)
    (0.282, 0.178)
    """
    require_positive(from_bore=from_bore, to_bore=to_bore)
    small, large = np.minimum(from_bore, to_bore), np.maximum(from_bore, to_bore)
    expansion = (1.0 - (small / large) ** 2) ** 2
    return np.where(from_bore > to_bore, _contraction(small, large), expansion)


def _contraction(bore: Number, larger_bore: Number) -> Number:
    from fluids.fittings import contraction_sharp

    # The library's formula is plain arithmetic, so it takes arrays as they are.
    answer: Number = contraction_sharp(larger_bore, bore)  # type: ignore[arg-type]
    return answer


@elementwise
@sourced("fitting_tables", "full-bore ball valve open, one third and two thirds closed")
def ball_valve_coefficient(open_share: Number) -> Number:
    """Loss of a full-bore ball valve, open or part shut.

    open_share [-]: share of the handle's travel that is open, above 0 up to 1
    returns [-]: loss coefficient on the bore of the valve
    raises RangeError: the share is not above zero (a shut valve has no coefficient) or is above one

    Between the three published points, and below one third open, the logarithm runs straight:
    our own choice.

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

    bore [m]: inside diameter of the valve
    returns [-]: loss coefficient on `bore`
    raises RangeError: the bore is not above zero

    >>> round(swing_check_coefficient(0.019), 2)
    2.43
    """
    require_positive(bore=bore)
    from fluids.fittings import K_swing_check_valve_Crane

    return point_by_point(K_swing_check_valve_Crane, bore)
