"""Axes of a drawing: where the numbers stand along one, and how they are written."""

from __future__ import annotations

import math
from dataclasses import dataclass

MOST_MARKS = 8


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis, mostly from zero, with a mark at every step."""

    end: float
    step: float
    start: float = 0.0

    @property
    def marks(self) -> tuple[float, ...]:
        """The marked values, the start first."""
        many = round((self.end - self.start) / self.step) + 1
        return tuple(self.start + self.step * number for number in range(many))

    def share(self, value: float) -> float:
        """Return how far along the axis a value lies, 0 to 1."""
        return (value - self.start) / (self.end - self.start)

    def written(self, value: float) -> str:
        """Return a mark with as many decimals as the step needs."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return f"{value:.{decimals}f}"


def axis_for(most: float) -> Axis:
    """Return an axis that holds values up to `most`, in steps of 1, 2 or 5 times a power of ten."""
    most = max(most, 1e-9)
    step = _step(most)
    return Axis(step * math.ceil(most / step - 1e-9), step)


def axis_between(low: float, high: float) -> Axis:
    """Return an axis in such steps that holds values from `low` to `high`."""
    step = _step(max(high - low, 1e-9))
    start = step * math.floor(low / step + 1e-9)
    return Axis(step * math.ceil(high / step - 1e-9), step, start)


def _step(wide: float) -> float:
    power = 10.0 ** math.floor(math.log10(wide / MOST_MARKS))
    return next(power * k for k in (1, 2, 5, 10) if wide / (power * k) <= MOST_MARKS)
