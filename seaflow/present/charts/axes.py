"""Axes of a drawing: where the numbers stand along one, and how they are written."""

from __future__ import annotations

import math
from dataclasses import dataclass

MOST_MARKS = 8


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis from zero, with a mark at every step."""

    end: float
    step: float

    @property
    def marks(self) -> tuple[float, ...]:
        """The marked values, zero first."""
        return tuple(self.step * number for number in range(round(self.end / self.step) + 1))

    def share(self, value: float) -> float:
        """Return how far along the axis a value lies, 0 to 1."""
        return value / self.end

    def written(self, value: float) -> str:
        """Return a mark with as many decimals as the step needs."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return f"{value:.{decimals}f}"


def axis_for(most: float) -> Axis:
    """Return an axis that holds values up to `most`, in steps of 1, 2 or 5 times a power of ten."""
    most = max(most, 1e-9)
    power = 10.0 ** math.floor(math.log10(most / MOST_MARKS))
    step = next(power * k for k in (1, 2, 5, 10) if most / (power * k) <= MOST_MARKS)
    return Axis(step * math.ceil(most / step - 1e-9), step)
