"""Solvers behind the balance of machine and water. Depends on: base, machine."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from seaflow.base.arrays import Array, Number
from seaflow.physics.heat.machine import LEAST_LIFT, Machine

# The balance is sought up to this far above the inlet; beyond it no machine stays on.
WIDEST = 120.0
_REACHES = (15.0, 30.0, 60.0, WIDEST)
_ROUNDS = 60
_CLOSE_ENOUGH = 1e-9  # K


def closed_form(machine: Machine, inlet: Number, uptake: Array, load: Number) -> Array:
    """Solve load (k + m y)(h + b y) = uptake (y + from_inlet), y the lift above the least lift.

    With the excess of heat over uptake as a y^2 + slope y + excess, a is never above zero, so an
    excess at the least lift (y = 0) above zero means exactly one root beyond it. Otherwise the
    factor is constant and the equation is linear.
    """
    full = load * machine.rated_capacity
    k = full * (1.0 + machine.capacity_slope * (LEAST_LIFT - machine.rated_lift))
    m = full * machine.capacity_slope
    b = (machine.rated_factor - 1.0) / machine.rated_lift
    h = 1.0 + LEAST_LIFT * b
    from_inlet = machine.evaporating_temperature + LEAST_LIFT - inlet
    excess = np.asarray(k * h - uptake * from_inlet)
    a, slope = m * b, m * h + k * b - uptake
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(np.maximum(slope * slope - 4.0 * a * excess, 0.0))
        beyond = 2.0 * excess / (root - slope)
        below = excess / (uptake - m * h)
    lift_above = np.where(excess > 0.0, beyond, below)
    at_rest = (uptake <= 0.0) & (np.asarray(full) <= 0.0)
    found = machine.evaporating_temperature + LEAST_LIFT + lift_above
    found = np.where(at_rest, inlet, found)
    return np.asarray(np.where((uptake <= 0.0) & ~at_rest, np.inf, found))


def false_position(miss: Callable[[Array], Number], inlet: Number) -> Array:
    """Find where `miss` falls through zero above the inlet, by the Illinois rule.

    The bracket grows in steps, so that a polynomial that turns up far outside its range does not
    hide the crossing, and then always holds it. Where there is none the answer is infinity.
    """
    start = np.array(inlet, dtype=float)
    low, miss_low = start, np.asarray(miss(start))
    high = start + _REACHES[0]
    miss_high = np.asarray(miss(high))
    for reach in _REACHES[1:]:
        beyond = miss_high > 0.0
        low, miss_low = np.where(beyond, high, low), np.where(beyond, miss_high, miss_low)
        high = np.where(beyond, start + reach, high)
        miss_high = np.asarray(miss(high))
    none = miss_high > 0.0
    middle, kept = low, np.zeros(low.shape)
    for _ in range(_ROUNDS):
        before = middle
        with np.errstate(divide="ignore", invalid="ignore"):
            straight = low + (high - low) * miss_low / (miss_low - miss_high)
        middle = np.where(np.isfinite(straight), np.clip(straight, low, high), low)
        value = np.asarray(miss(middle))
        above = value > 0.0
        # An end kept twice in a row counts half, or it would be kept for ever.
        miss_high = np.where(above, np.where(kept > 0, 0.5 * miss_high, miss_high), value)
        miss_low = np.where(above, value, np.where(kept < 0, 0.5 * miss_low, miss_low))
        low, high = np.where(above, middle, low), np.where(above, high, middle)
        kept = np.where(above, 1.0, -1.0)
        if np.all((np.abs(middle - before) < _CLOSE_ENOUGH) | (value == 0.0) | none):
            break
    return np.where(none, np.inf, middle)
