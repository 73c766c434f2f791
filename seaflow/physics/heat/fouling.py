"""Customary fouling resistances of sea and brackish water. Depends on: base."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_not_negative
from seaflow.base.sources import sourced

# Resistance [m2 K/W] up to 1 m/s and above it; then the same for water warmer than 50 degC.
FOULING_RESISTANCES: Mapping[str, tuple[float, float, float, float]] = MappingProxyType(
    {
        "sea": (0.00009, 0.00009, 0.00018, 0.00018),
        "brackish": (0.00035, 0.00018, 0.00053, 0.00035),
    }
)
_FOULING_VELOCITY = 1.0
_WARM = 50.0
_USUAL_TEMPERATURE = 25.0


@elementwise
@sourced("tema", where="fouling resistances of sea and brackish water")
def fouling_resistance(
    water_kind: str, velocity: Number, water_temperature: Number = _USUAL_TEMPERATURE
) -> Number:
    """Customary fouling resistance of a surface in sea or brackish water.

    Parameters
    ----------
    water_kind : str
        "sea" or "brackish". [text]
    velocity : number or array
        Mean velocity of the water in the tube. [m/s]
    water_temperature : number or array
        Temperature of the water; the table steps at 50 degC, which no sea reaches. [degC]

    Returns
    -------
    number or array
        Fouling resistance over one square metre. [m2 K/W]

    Raises
    ------
    RangeError
        If `velocity` is negative.
    KeyError
        If the kind of water is not one of the two.

    Notes
    -----
    Brackish water is rated worse than open sea. At exactly 1 m/s and 50 degC the slower
    and the cooler column hold.

    Examples
    --------
    >>> fouling_resistance("sea", 1.5)
    9e-05
    """
    require_not_negative(velocity=velocity)
    if water_kind not in FOULING_RESISTANCES:
        kinds = ", ".join(FOULING_RESISTANCES)
        raise KeyError(f"fouling resistances are known for {kinds}, not {water_kind!r}")
    slow, fast, warm_slow, warm_fast = FOULING_RESISTANCES[water_kind]
    warm = np.asarray(water_temperature) > _WARM
    rapid = np.asarray(velocity) > _FOULING_VELOCITY
    return np.where(rapid, np.where(warm, warm_fast, fast), np.where(warm, warm_slow, slow))
