"""Customary fouling resistances of sea and brackish water. Depends on: base."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_not_negative
from seaflow.base.sources import sourced

# Water below 50 degC: resistance up to 1 m/s, and above 1 m/s [m2 K/W].
FOULING_RESISTANCES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"sea": (0.00009, 0.00009), "brackish": (0.00035, 0.00018)}
)
_FOULING_VELOCITY = 1.0


@elementwise
@sourced("tema", where="fouling resistances of sea and brackish water below 50 degC")
def fouling_resistance(water_kind: str, velocity: Number) -> Number:
    """Customary fouling resistance of a surface in sea or brackish water below 50 degC.

    Parameters
    ----------
    water_kind : str
        "sea" or "brackish". [text]
    velocity : number or array
        Mean velocity of the water in the tube. [m/s]

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
    Brackish water is rated worse than open sea. At exactly 1 m/s the slower column holds.

    Examples
    --------
    >>> fouling_resistance("sea", 1.5)
    9e-05
    """
    require_not_negative(velocity=velocity)
    if water_kind not in FOULING_RESISTANCES:
        kinds = ", ".join(FOULING_RESISTANCES)
        raise KeyError(f"fouling resistances are known for {kinds}, not {water_kind!r}")
    slow, fast = FOULING_RESISTANCES[water_kind]
    return np.where(np.asarray(velocity) > _FOULING_VELOCITY, fast, slow)
