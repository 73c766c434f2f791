"""In which seas drawn boats trip, or are near it: as a whole, and each of several units."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.studies.diagnose.predict import margin, trips
from seaflow.studies.diagnose.simulate import Flotilla
from seaflow.studies.diagnose.trip_told import NEAR_TRIP

Course: TypeAlias = Callable[[Callable[[Flotilla], NDArray[Any]], bool], NDArray[Any]]


@dataclass(frozen=True, slots=True, eq=False)
class TripsAt:
    """One of several units: in which seas [degC] it trips, or is near it, on each boat.

    It does from a sea on, and until another where it gets the water of a unit that tripped; that is
    told half way between seas at which boats were run.
    """

    unit: str
    trips_from: Array
    trips_until: Array
    near_from: Array
    near_until: Array


def trips_from(seas: tuple[float, ...], dry: NDArray[np.bool_], room: Array) -> Array:
    """Return the sea from which on each boat trips [degC]: where its room ends, or runs out.

    Between the last sea with room and the first without, the room goes on falling as it did.
    """
    steps, n_seas = np.diff(seas)[:, np.newaxis], len(seas)
    first = np.where(dry.any(axis=0), dry.argmax(axis=0), n_seas)
    last, boats = np.clip(first - 1, 0, n_seas - 2), np.arange(first.size)
    known = np.isfinite(room) & ~dry
    left = np.where(known, room, 0.0)
    both = known[:-1] & known[1:]
    falls = np.where(both, (left[:-1] - left[1:]) / steps, 0.0)
    usual = float(np.median(falls[both])) if both.any() else 1.0
    before = np.maximum(last - 1, 0)
    fall = np.where(both[before, boats], falls[before, boats], usual)
    found = left[last, boats] / np.maximum(fall, 1e-3)
    found = np.asarray(seas)[last] + np.clip(found, 0.0, steps[last, 0])
    return np.where(first == 0, -np.inf, np.where(first == n_seas, np.inf, found))


def units_at(seas: tuple[float, ...], course: Course, names: tuple[str, ...]) -> Iterator[TripsAt]:
    """Yield each of several units; `course` asks boats at these seas, and says whether it bends."""
    for unit in names if len(names) > 1 else ():
        dry = course(partial(trips, of=unit), False)
        rooms = course(partial(margin, of=unit), True)
        near = rooms < NEAR_TRIP
        yield TripsAt(
            unit=unit,
            trips_from=trips_from(seas, dry, rooms),
            trips_until=_until(seas, dry),
            near_from=trips_from(seas, near, rooms - NEAR_TRIP),
            near_until=_until(seas, near),
        )


def _until(seas: tuple[float, ...], so: NDArray[np.bool_]) -> Array:
    """Return the sea from which on a boat is so no longer [degC], infinity for none."""
    ends = so[:-1] & ~so[1:]
    middles = (np.asarray(seas)[:-1] + np.asarray(seas)[1:]) / 2.0
    return np.where(ends.any(axis=0), middles[ends.argmax(axis=0)], np.inf)
