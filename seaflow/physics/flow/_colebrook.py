"""The friction factor in the form a solver calls many times: fast, unchecked, with its slope.

Depends on: base.
"""

from __future__ import annotations

from math import log

import numpy as np

from seaflow.base.arrays import Array, Number

LAMINAR_END = 2000.0  # Reynolds number
TURBULENT_START = 4000.0  # Reynolds number
LEAST_REYNOLDS = 1e-6  # stands for still water, so that 64/Re stays finite

_BLOCK = 8192
_BRIDGE = log(TURBULENT_START / LAMINAR_END)
_LAMINAR_LOG = log(64.0 / LAMINAR_END)
# Constants of Clamond's form of Colebrook's equation, exact in terms of 2.51 and 3.7.
_ROUGHNESS = log(10.0) / (2.0 * 2.51 * 3.7)
_SMOOTH = log(log(10.0) / (2.0 * 2.51))
_FACTOR = (0.5 * log(10.0)) ** 2


def friction_factor_and_slope(
    reynolds_number: Number, relative_roughness: Number
) -> tuple[Array, Array]:
    """Friction factor and the slope of its logarithm, unchecked: for the inside of a solver.

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore, zero or more. [-]
    relative_roughness : number or array
        Roughness over bore. [-]

    Returns
    -------
    tuple of arrays
        Darcy friction factor, and d ln(factor) / d ln(Reynolds number). [-]

    Raises
    ------
    Nothing
        RangeError is left to the public `darcy_friction_factor`.

    Notes
    -----
    The bridge from Reynolds 2000 to 4000 is ours: a cubic in the logarithms that meets both ends
    in value and slope. Its slope never falls below the laminar -1, so head loss rises with flow.

    Examples
    --------
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
    """Solve Colebrook's equation by Clamond's two rapidly converging steps."""
    rough = reynolds * (_ROUGHNESS * relative_roughness)
    start = np.log(reynolds)
    start += _SMOOTH
    guess = start - 0.2
    total = rough + guess
    weight = total + 1.0
    error = np.log(total)
    error -= 0.2
    error /= weight
    # guess -= error * total * (weight + error / 2) / (weight + error + error**2 / 3)
    total *= error
    share = error * (1.0 / 3.0)
    share += 1.0
    share *= error
    share += weight
    error *= 0.5
    error += weight
    error *= total
    error /= share
    guess = guess - error  # takes the shape of both arguments
    total = rough + guess
    error = np.log(total)
    error += guess
    error -= start
    error *= total
    total += 1.0
    error /= total
    guess -= error  # a plain Newton step: the first step has left almost nothing
    total -= error
    guess *= guess
    return np.divide(_FACTOR, guess), np.divide(-2.0, total)


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
