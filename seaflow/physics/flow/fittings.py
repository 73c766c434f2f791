"""Loss coefficients of fittings, each on the velocity head of the bore it names.

Depends on: base, bends, valves, velocities.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.flow.valves import (
    ball_valve_coefficient,
    swing_check_coefficient,
)
from seaflow.physics.flow.velocities import loss_head, velocity, velocity_head

__all__ = [
    "ball_valve_coefficient",
    "barb_coefficient",
    "loss_head",
    "step_coefficient",
    "swing_check_coefficient",
    "transfer_coefficient",
    "velocity",
    "velocity_head",
]


@elementwise
@sourced("own", "continuity: the head is the same on either bore")
def transfer_coefficient(loss_coefficient: Number, from_bore: Number, to_bore: Number) -> Number:
    """Move a loss coefficient from the velocity head of one bore to that of another.

    Parameters
    ----------
    loss_coefficient : number or array
        Loss coefficient on `from_bore`. [-]
    from_bore : number or array
        Bore on which the coefficient is given. [m]
    to_bore : number or array
        Bore on which it is wanted. [m]

    Returns
    -------
    number or array
        Loss coefficient on `to_bore`. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero.

    Examples
    --------
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

    Parameters
    ----------
    barb_bore : number or array
        Inside diameter of the barb. [m]
    hose_bore : number or array
        Inside diameter of the hose pushed over it. [m]
    barb_length : number or array
        Length of the narrow bore; 30 mm is usual. [m]
    friction_factor : number or array
        Darcy friction factor in the narrow bore. [-]

    Returns
    -------
    number or array
        Loss coefficient on `hose_bore`; zero where the barb is as wide as the hose. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero, or length or friction factor is negative.

    Notes
    -----
    Both the contraction and the expansion are counted, so one barb is one passage from a wide
    bore through a narrow one into a wide one.

    Examples
    --------
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

    Parameters
    ----------
    from_bore : number or array
        Inside diameter the water comes from. [m]
    to_bore : number or array
        Inside diameter the water goes to. [m]

    Returns
    -------
    number or array
        Loss coefficient on the smaller bore; zero where the bores are equal. [-]

    Raises
    ------
    RangeError
        When a bore is not above zero.

    Examples
    --------
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
