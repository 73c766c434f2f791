"""One implementation for scalars and arrays: scalars come in and go out as scalars."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Number: TypeAlias = float | Array
Truths: TypeAlias = NDArray[np.bool_]

_P = ParamSpec("_P")
_R = TypeVar("_R")


def elementwise(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Turn numeric arguments into float arrays, and 0-d answers back into floats.

    Text arguments pass through, so a function may also take the name of a method or part.
    """

    @wraps(function)
    def wrapper(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        arrays = [_as_array(value) for value in args]
        named = {name: _as_array(value) for name, value in kwargs.items()} if kwargs else kwargs
        return unwrap(function(*arrays, **named))  # type: ignore[arg-type]

    return wrapper


def ratio(above: Number, below: Number, otherwise: Number) -> Array:
    """Return one over the other, and something else where the other is not above zero."""
    fits = np.asarray(below) > 0.0
    return np.where(fits, above / np.where(fits, below, 1.0), otherwise)


def any_of(value: Any) -> bool:
    """Return whether a number is not zero, or any of an array; soonest for plain numbers."""
    return bool(value.any()) if isinstance(value, np.ndarray) else bool(value)


def _as_array(value: object) -> object:
    if type(value) is np.ndarray:
        return value
    if type(value) is float:
        return np.asarray(value)
    if isinstance(value, (int, float, np.number)) and not isinstance(value, bool):
        return np.asarray(float(value))
    if isinstance(value, (list, tuple)):
        return np.asarray(value, dtype=float)
    return value


def unwrap(value: _R) -> _R:
    """Return a float for a 0-d array, a tuple of such for a tuple, and anything else as it is."""
    if isinstance(value, np.ndarray):
        return value if value.ndim else float(value)  # type: ignore[return-value]
    if isinstance(value, np.floating):
        return float(value)  # type: ignore[return-value]
    if type(value) is tuple:
        return tuple(unwrap(item) for item in value)  # type: ignore[return-value, attr-defined]
    return value
