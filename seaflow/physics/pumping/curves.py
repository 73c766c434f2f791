"""Monotone cubic through falling points: the shape of a pump curve that is given as a table.

Depends on: base.arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array

_LEAST_END_SHARE = 0.5  # of the last secant; keeps the end of the curve from lying flat


@dataclass(frozen=True, slots=True, eq=False)
class Knots:
    """Points of a curve and its slope at each, for cubic pieces between them."""

    places: Array
    values: Array
    slopes: Array

    @classmethod
    def through(cls, places: Array, values: Array) -> Knots:
        """Knots of the monotone cubic through two or more points, `places` rising.

        Inside slopes are the weighted harmonic mean of Fritsch and Butland 1984; end slopes are
        the three-point formula kept within the monotone range. The last slope is at least half
        the last secant, which is ours: a pump curve does not end lying flat.
        """
        step = np.diff(places)
        secant = np.diff(values) / step
        slopes = np.full_like(values, secant[0])
        if secant.size > 1:
            slopes[1:-1] = _inside_slopes(step, secant)
            slopes[0] = _end_slope(step[:2], secant[:2])
            slopes[-1] = _end_slope(step[:-3:-1], secant[:-3:-1])
        slopes[-1] = min(slopes[-1], _LEAST_END_SHARE * secant[-1])
        return cls(places, values, slopes)

    def at(self, place: Array) -> tuple[Array, Array]:
        """Value and slope at `place`, which the caller keeps within the first and last knot."""
        last = self.places.size - 2
        piece = np.clip(np.searchsorted(self.places, place, side="right") - 1, 0, last)
        step = np.diff(self.places)[piece]
        t = (place - self.places[piece]) / step
        rise = self.values[piece + 1] - self.values[piece]
        leave, arrive = self.slopes[piece] * step, self.slopes[piece + 1] * step
        # Hermite form: value = start + t (leave + t (c + t d))
        c = 3.0 * rise - 2.0 * leave - arrive
        d = leave + arrive - 2.0 * rise
        value = self.values[piece] + t * (leave + t * (c + t * d))
        slope = (leave + t * (2.0 * c + 3.0 * t * d)) / step
        return value, slope


def _inside_slopes(step: Array, secant: Array) -> Array:
    left, right = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    same_way = secant[:-1] * secant[1:] > 0
    before = np.where(same_way, secant[:-1], 1.0)
    after = np.where(same_way, secant[1:], 1.0)
    mean = (left + right) / (left / before + right / after)
    return np.asarray(np.where(same_way, mean, 0.0))


def _end_slope(step: Array, secant: Array) -> float:
    """Three-point slope at an end; the pair starts with the piece at that end."""
    slope = ((2.0 * step[0] + step[1]) * secant[0] - step[0] * secant[1]) / (step[0] + step[1])
    if slope * secant[0] <= 0:
        return 0.0
    if secant[0] * secant[1] <= 0 and abs(slope) > 3.0 * abs(secant[0]):
        return float(3.0 * secant[0])
    return float(slope)
