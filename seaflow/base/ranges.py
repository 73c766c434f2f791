"""Refusals: what cannot be on any boat is said at once, with the name of the quantity."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number
from seaflow.base.problems import Problem


class RangeError(ValueError):
    """A number that no boat can have, such as a negative length."""


def beyond(error: RangeError) -> Problem:
    """Return the refusal of input that leads to a state for which no law holds."""
    why = "Beyond that no law that is used here holds, and no boat was ever there."
    write = "Look for the value that leads there: in the case, the readings or the options."
    return Problem("M03", str(error), why=why, write=write)


def require_positive(**values: Number) -> None:
    """Raise RangeError unless every value is finite and above zero."""
    for name, value in values.items():
        low, high = _ends(value, 1.0)
        if not (low > 0.0 and high < np.inf):
            raise RangeError(f"{_words(name)} must be above zero, not {_worst(value)}")


def require_not_negative(**values: Number) -> None:
    """Raise RangeError unless every value is finite and zero or more."""
    for name, value in values.items():
        low, high = _ends(value, 0.0)
        if not (low >= 0.0 and high < np.inf):
            raise RangeError(f"{_words(name)} must not be negative, not {_worst(value)}")


def require_between(lowest: float, highest: float, **values: Number) -> None:
    """Raise RangeError unless every value lies from `lowest` to `highest`."""
    for name, value in values.items():
        low, high = _ends(value, lowest)
        if not (low >= lowest and high <= highest):
            array = np.asarray(value)
            outside = array[~((array >= lowest) & (array <= highest))]
            raise RangeError(
                f"{_words(name)} must lie from {lowest:g} to {highest:g}, not {outside.flat[0]:g}"
            )


def _words(name: str) -> str:
    return name.replace("_", " ")


def _ends(value: Number, otherwise: float) -> tuple[float, float]:
    """Return the least and the most of a number or an array, `otherwise` of an empty one."""
    array = np.asarray(value)
    if array.size == 1:
        one = array.item()
        return one, one
    if not array.size:
        return otherwise, otherwise
    return np.minimum.reduce(array, axis=None), np.maximum.reduce(array, axis=None)


def _worst(value: Number) -> str:
    flat = np.asarray(value).ravel()
    bad = flat[~np.isfinite(flat)]
    return f"{(bad[0] if bad.size else flat.min()):g}"
