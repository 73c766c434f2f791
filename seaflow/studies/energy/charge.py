"""The charge of a battery through a day, step by step, for many boats at once.

In a step what goes in and out is steady, so that the charge runs straight until it is full or at
its limit. What cannot be stored is counted as spilled, and what cannot be drawn as missing: charge
at the end is charge at the start, and what went in, less what went out, less what was spilled, and
what was missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import DAY
from seaflow.boat.tables.use import Duty

STEP = 300.0  # s; all turns of the day are steps of their own
SUNRISE, SUNSET = 0.25 * DAY, 0.75 * DAY
NO_DUTY = -1


@dataclass(frozen=True, slots=True, eq=False)
class Charges:
    """The course of a battery: times [s] and, along them, energy in it by boat [J].

    `missing` and `spilled` are by step. `empty` is when it first reaches its limit, infinity where
    it never does [s].
    """

    times: Array
    energy: Array
    missing: Array
    spilled: Array
    empty: Array

    @property
    def left(self) -> Array:
        """What is left along the times, less all that was missing until then [J]."""
        until = np.cumsum(self.missing, axis=0)
        return np.asarray(self.energy - np.concatenate([np.zeros_like(until[:1]), until]))

    def at(self, time: float) -> Array:
        """Return what is left at a time [J]."""
        return np.asarray([np.interp(time, self.times, row) for row in self.left.T])

    def of(self, boats: slice) -> Charges:
        """Return the course of some of the boats."""
        return Charges(
            self.times,
            self.energy[:, boats],
            self.missing[:, boats],
            self.spilled[:, boats],
            self.empty[boats],
        )


def charge_through(times: Array, out: Array, into: Array, most: Array, start: Array) -> Charges:
    """Return the course of batteries that hold `most` and begin with `start` [J].

    `out` and `into` are what is drawn and what is charged in each step [W], of the shape (steps,
    boats).
    """
    spans = np.diff(times)
    now = np.broadcast_to(start, most.shape).astype(float)
    rows, missing, spilled = [now], [], []
    empty = np.full(most.shape, np.inf)
    for i, span in enumerate(spans):
        falls = out[i] - into[i]
        after = now - falls * span
        short = after < 0.0
        when = times[i] + now / np.where(short, falls, 1.0)
        empty = np.where(short & np.isinf(empty), when, empty)
        missing.append(np.where(short, -after, 0.0))
        spilled.append(np.maximum(after - most, 0.0))
        now = np.clip(after, 0.0, most)
        rows.append(now)
    return Charges(times, np.stack(rows), np.stack(missing), np.stack(spilled), empty)


def steps_of(duties: Sequence[Duty], starts: Sequence[float], first: float) -> tuple[Array, Array]:
    """Return times from `first` on through a day, in s after it, and the duty of each step.

    That is its number, or `NO_DUTY`. `starts` and `first` are in s after midnight.
    """
    begins = [(start - first) % DAY for start in starts]
    ends = [begin + duty.hours for begin, duty in zip(begins, duties, strict=True)]
    turns = [*begins, *(end % DAY for end in ends), (SUNRISE - first) % DAY, (SUNSET - first) % DAY]
    times = np.unique(np.round([*np.arange(0.0, DAY, STEP), DAY, *turns], 3))
    middles = 0.5 * (times[1:] + times[:-1])
    which = np.full(middles.shape, NO_DUTY)
    for number, (begin, end) in enumerate(zip(begins, ends, strict=True)):
        inside = ((middles >= begin) & (middles < end)) | (middles < end - DAY)
        which[inside] = number
    return times, which


def sun_of(times: Array, first: float) -> Array:
    """Return the share of a day's sun that falls in each step, over its length [1/s].

    Half a sine from sunrise to sunset.
    """
    clock = times + first
    day = np.floor((clock - SUNRISE) / DAY)
    along = np.clip((clock - SUNRISE - day * DAY) / (SUNSET - SUNRISE), 0.0, 1.0)
    fallen = day - 0.5 * np.cos(np.pi * along)
    return np.asarray(np.diff(fallen) / np.diff(times))
