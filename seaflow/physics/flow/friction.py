"""Friction of water in hoses, pipes and coils.

Laminar to Reynolds 2000, Colebrook's equation from 4000, and our own smooth bridge between them,
so that a solver meets no jump and the head loss always rises with the flow.
"""

from __future__ import annotations

from math import log

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

LAMINAR_END = 2000.0  # Reynolds number
TURBULENT_START = 4000.0  # Reynolds number
# Roughness of growth over its thickness where it covers all. Our assumption, and may be 0.5 to 1.7
# times that. That it goes with height and cover is read (schultz2004, schultz2015); that it is
# 0.059 of the height of shells times the root of the cover in per cent, or 0.055 for slime, is not.
GROWTH_ROUGHNESS = 0.59
LEAST_REYNOLDS = 1e-6  # stands for still water, so that 64/Re stays finite

_BLOCK = 8192
_BRIDGE = log(TURBULENT_START / LAMINAR_END)
_LAMINAR_LOG = log(64.0 / LAMINAR_END)
# Constants of Clamond's form of Colebrook's equation, exact in terms of 2.51 and 3.7.
_ROUGHNESS = log(10.0) / (2.0 * 2.51 * 3.7)
_SMOOTH = log(log(10.0) / (2.0 * 2.51))
_FACTOR = (0.5 * log(10.0)) ** 2
_GUESS = (4.815, 68.4, 14.855)  # our fit to x of all pipes


@sourced("fritsch1973", "one step for Colebrook's equation; start and bridge are ours")
def friction_factor_and_slope(
    reynolds_number: Number, relative_roughness: Number
) -> tuple[Array, Array]:
    """Friction factor and the slope of its logarithm, unchecked: for the inside of a solver.

    reynolds_number [-], relative_roughness [-]
    returns [-]: Darcy friction factor, and d ln(factor) / d ln(Reynolds number)

    The bridge from Reynolds 2000 to 4000 is ours: a cubic in the logarithms that meets both ends
    in value and slope. Its slope never falls below the laminar -1, so head loss rises with flow.

    >>> [round(float(part), 4) for part in friction_factor_and_slope(1e5, 1e-4)]
    [0.0185, -0.1869]
    """
    reynolds = np.asarray(reynolds_number, dtype=float)
    if reynolds.min(initial=TURBULENT_START) >= TURBULENT_START:
        return _turbulent(reynolds, relative_roughness)
    reynolds = np.maximum(reynolds, LEAST_REYNOLDS)
    factor, slope = _turbulent(np.maximum(reynolds, TURBULENT_START), relative_roughness)
    factor, slope = np.atleast_1d(factor), np.atleast_1d(slope)
    shape = np.broadcast_shapes(reynolds.shape, np.shape(relative_roughness))
    low = np.broadcast_to(np.atleast_1d(reynolds), factor.shape) < TURBULENT_START
    below = np.broadcast_to(np.atleast_1d(reynolds), factor.shape)[low]
    factor[low], slope[low] = _below(below, factor[low], slope[low])
    return factor.reshape(shape), slope.reshape(shape)


def _turbulent(reynolds: Array, relative_roughness: Number) -> tuple[Array, Array]:
    """Take large arrays in pieces: temporaries that stay in the cache halve the time."""
    shape = np.broadcast_shapes(reynolds.shape, np.shape(relative_roughness))
    if reynolds.size <= _BLOCK or shape != reynolds.shape:
        return _solve(reynolds, relative_roughness)
    rough = np.asarray(relative_roughness)
    rough = np.broadcast_to(rough, (*shape[:-1], rough.shape[-1] if rough.ndim else 1))
    factor, slope = np.empty_like(reynolds), np.empty_like(reynolds)
    for row in np.ndindex(shape[:-1]):
        for start in range(0, shape[-1], _BLOCK):
            part = slice(start, start + _BLOCK)
            of_part = rough[row] if rough.shape[-1] == 1 else rough[row][part]
            factor[row][part], slope[row][part] = _solve(reynolds[row][part], of_part)
    return factor, slope


def _solve(reynolds: Array, relative_roughness: Number) -> tuple[Array, Array]:
    """Solve Colebrook's equation in Clamond's form: x + ln(rough + x) = start.

    From a guess that is off by less than 0.02 for every smooth bore, one step of the fourth order
    (Fritsch, Shafer and Crowley) leaves rounding alone.
    """
    rough = reynolds * (_ROUGHNESS * relative_roughness)
    start = np.log(reynolds)
    start += _SMOOTH
    x = start + rough
    x += _GUESS[2]
    x = _GUESS[1] / x
    x -= _GUESS[0]
    x += start
    total = rough + x
    left = start - x
    left -= np.log(total)
    above = total + 1.0
    term = left * (2.0 / 3.0)
    term += above
    term *= above
    term *= 2.0
    term -= left
    total *= left
    total *= term
    term -= left
    above *= term
    total /= above
    x += total
    rough += x
    rough += 1.0
    x *= x
    return np.divide(_FACTOR, x), np.divide(-2.0, rough)


def _below(reynolds: Array, factor: Array, slope: Array) -> tuple[Array, Array]:
    """Laminar law and bridge; `factor` and `slope` are those at the turbulent start."""
    place = np.log(reynolds / LAMINAR_END) / _BRIDGE
    t = np.maximum(place, 0.0)
    rise = np.log(factor) - _LAMINAR_LOG
    first, last = -_BRIDGE, slope * _BRIDGE  # end slopes over the unit interval
    square = 3.0 * rise - 2.0 * first - last
    cube = first + last - 2.0 * rise
    bridge = np.exp(_LAMINAR_LOG + t * (first + t * (square + t * cube)))
    bridge_slope = (first + t * (2.0 * square + 3.0 * t * cube)) / _BRIDGE
    laminar = place <= 0.0
    return np.where(laminar, 64.0 / reynolds, bridge), np.where(laminar, -1.0, bridge_slope)


@elementwise
@sourced("own", "definition")
def reynolds_number(velocity: Number, bore: Number, kinematic_viscosity: Number) -> Number:
    """Reynolds number of the water in a round bore.

    velocity [m/s]
    bore [m]: inside diameter
    kinematic_viscosity [m2/s]: kinematic viscosity of the water
    returns [-]: Reynolds number
    raises RangeError: the velocity is negative, or bore or viscosity is not above zero

    >>> round(reynolds_number(1.4034, 0.01905, 8.4265e-7), -1)
    31730.0
    """
    require_not_negative(velocity=velocity)
    require_positive(bore=bore, kinematic_viscosity=kinematic_viscosity)
    return velocity * bore / kinematic_viscosity


@elementwise
@sourced(
    "colebrook1939",
    "solved by the step of Fritsch, Shafer and Crowley 1973",
    {"reynolds_number": (4e3, 1e8), "relative_roughness": (0.0, 0.05)},
)
def darcy_friction_factor(reynolds_number: Number, relative_roughness: Number) -> Number:
    """Darcy friction factor of a full round bore, laminar or turbulent.

    reynolds_number [-]: Reynolds number on the bore; below 1e-6 it counts as 1e-6
    relative_roughness [-]
    returns [-]: Darcy (not Fanning) friction factor
    raises RangeError: the Reynolds number is negative, or the relative roughness is outside 0 to
        0.5

    64/Re to Reynolds 2000; from there to 4000 our own smooth bridge, not from the source.

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

    reynolds_number [-]
    bore [m]: inside diameter of the tube
    coil_diameter [m]
    returns [-]: factor on the straight friction factor, one or more
    raises RangeError: the Reynolds number is negative, the bore is not above zero, or the coil is
        not wider than the bore

    The published correlations spread from 5 % to 80 % above the straight tube in turbulent flow;
    this one lies with most of them, near 30 % in a small coil. Taking the larger of the laminar,
    the turbulent and the straight friction is our own bridge, the turbulent excess fading in from
    Reynolds 2000 to 4000: the curves cross close to where a coil turns turbulent, so nothing jumps.

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

    bore [m]: least inside diameter
    corrugation_pitch [m]
    returns [-]: Darcy friction factor, the same at every flow
    raises RangeError: bore or pitch is not above zero

    >>> round(corrugated_friction_factor(0.01905, 0.004), 3)
    0.124
    """
    require_positive(bore=bore, corrugation_pitch=corrugation_pitch)
    expansion = (1.0 - (bore / (bore + 0.438 * corrugation_pitch)) ** 2) ** 2
    return expansion * bore / corrugation_pitch
