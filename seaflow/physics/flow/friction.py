"""Friction of water in hoses, pipes and coils.

Laminar to Reynolds 2000, Colebrook's equation from 4000, and our own smooth bridge between them,
so that a solver meets no jump and the head loss always rises with the flow.
Depends on: base.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.flow._colebrook import (
    LAMINAR_END,
    LEAST_REYNOLDS,
    TURBULENT_START,
    friction_factor_and_slope,
)

__all__ = [
    "GRAVITY",
    "LAMINAR_END",
    "coil_friction_multiplier",
    "corrugated_friction_factor",
    "darcy_friction_factor",
    "friction_factor_and_slope",
    "reynolds_number",
]


@elementwise
@sourced("own", "definition")
def reynolds_number(velocity: Number, bore: Number, kinematic_viscosity: Number) -> Number:
    """Reynolds number of the water in a round bore.

    Parameters
    ----------
    velocity : number or array
        Mean velocity of the water. [m/s]
    bore : number or array
        Inside diameter. [m]
    kinematic_viscosity : number or array
        Kinematic viscosity of the water. [m2/s]

    Returns
    -------
    number or array
        Reynolds number. [-]

    Raises
    ------
    RangeError
        When the velocity is negative, or bore or viscosity is not above zero.

    Examples
    --------
    >>> round(reynolds_number(1.4034, 0.01905, 8.4265e-7), -1)
    31730.0
    """
    require_not_negative(velocity=velocity)
    require_positive(bore=bore, kinematic_viscosity=kinematic_viscosity)
    return velocity * bore / kinematic_viscosity


@elementwise
@sourced(
    "colebrook1939",
    "solved by the iteration of Clamond 2009",
    {"reynolds_number": (4e3, 1e8), "relative_roughness": (0.0, 0.05)},
)
def darcy_friction_factor(reynolds_number: Number, relative_roughness: Number) -> Number:
    """Darcy friction factor of a full round bore, laminar or turbulent.

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore; below 1e-6 it counts as 1e-6. [-]
    relative_roughness : number or array
        Roughness over bore. [-]

    Returns
    -------
    number or array
        Darcy (not Fanning) friction factor. [-]

    Raises
    ------
    RangeError
        When the Reynolds number is negative, or the relative roughness is outside 0 to 0.5.

    Notes
    -----
    64/Re to Reynolds 2000; from there to 4000 our own smooth bridge, not from the source.

    Examples
    --------
    >>> round(darcy_friction_factor(1e5, 1e-4), 5)
    0.01851
    """
    require_not_negative(reynolds_number=reynolds_number)
    require_between(0.0, 0.5, relative_roughness=relative_roughness)
    return friction_factor_and_slope(reynolds_number, relative_roughness)[0]


@elementwise
@sourced("mori_nakayama1967", "turbulent equation; laminar by White 1929")
def coil_friction_multiplier(
    reynolds_number: Number, bore: Number, coil_diameter: Number
) -> Number:
    """Friction of a coiled tube over that of the same smooth tube laid straight.

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore. [-]
    bore : number or array
        Inside diameter of the tube. [m]
    coil_diameter : number or array
        Diameter of the coil, between tube centres. [m]

    Returns
    -------
    number or array
        Factor on the straight friction factor, one or more. [-]

    Raises
    ------
    RangeError
        When the Reynolds number is negative, the bore is not above zero, or the coil is not
        wider than the bore.

    Notes
    -----
    The published correlations spread from 5 % to 80 % above the straight tube in turbulent flow;
    this one lies with most of them, near 30 % in a small coil. Taking the larger of the laminar,
    the turbulent and the straight friction is our own bridge, the turbulent excess fading in from
    Reynolds 2000 to 4000: the curves cross close to where a coil turns turbulent, so nothing jumps.

    Examples
    --------
    >>> round(coil_friction_multiplier(3e4, 0.0127, 0.2), 3)
    1.287
    """
    require_not_negative(reynolds_number=reynolds_number)
    require_positive(bore=bore, coil_diameter=coil_diameter)
    ratio = bore / coil_diameter
    require_between(0.0, 1.0, bore_over_coil_diameter=ratio)
    reynolds = np.maximum(reynolds_number, LEAST_REYNOLDS)
    dean = np.maximum(reynolds * np.sqrt(ratio), 11.6)  # White: straight below 11.6
    laminar = 64.0 / reynolds / (1.0 - (1.0 - (11.6 / dean) ** 0.45) ** (1.0 / 0.45))
    straight = friction_factor_and_slope(reynolds, 0.0)[0]
    rapid = np.maximum(reynolds, TURBULENT_START)
    term = (rapid * ratio**2) ** -0.2
    turbulent = 0.3 * np.sqrt(ratio) * term * (1.0 + 0.112 * term)
    excess = np.maximum(turbulent / friction_factor_and_slope(rapid, 0.0)[0] - 1.0, 0.0)
    fade = np.clip((reynolds - LAMINAR_END) / (TURBULENT_START - LAMINAR_END), 0.0, 1.0)
    answer: Number = np.maximum(np.maximum(laminar / straight, 1.0), 1.0 + excess * fade)
    return answer


@elementwise
@sourced("hawthorne1963", "each corrugation as a sudden expansion")
def corrugated_friction_factor(bore: Number, corrugation_pitch: Number) -> Number:
    """Darcy friction factor of a hose with a corrugated bore, good to a factor of two.

    Parameters
    ----------
    bore : number or array
        Least inside diameter. [m]
    corrugation_pitch : number or array
        Distance from one corrugation to the next. [m]

    Returns
    -------
    number or array
        Darcy friction factor, the same at every flow. [-]

    Raises
    ------
    RangeError
        When bore or pitch is not above zero.

    Examples
    --------
    >>> round(corrugated_friction_factor(0.01905, 0.004), 3)
    0.124
    """
    require_positive(bore=bore, corrugation_pitch=corrugation_pitch)
    expansion = (1.0 - (bore / (bore + 0.438 * corrugation_pitch)) ** 2) ** 2
    return expansion * bore / corrugation_pitch
