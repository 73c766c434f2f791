"""Scalar functions of a library over arrays, for what is worked out once and not in a solver."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from seaflow.base.arrays import Number


def point_by_point(function: Callable[..., float], *values: Number) -> Number:
    """Call `function` for every point of the broadcast `values`."""
    answer: Number = np.vectorize(function, otypes=[float])(*values)
    return answer
