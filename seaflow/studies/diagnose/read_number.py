"""How well a number that was read agrees with each simulated boat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model import point as words
from seaflow.studies.diagnose.predict import high_side, predicted
from seaflow.studies.diagnose.readings import HIGH_SIDE, Number, instruments
from seaflow.studies.diagnose.simulate import Flotilla
from seaflow.studies.diagnose.trip_told import before_trip, only_unit

LEAST_LOG = -30.0  # no reading rules anything out for good
TRIP_SPREAD = 2.0  # K, of the discharge just before a trip
NO_STREAM = 1.0 / 40.0  # per K: density of a temperature read where no stream comes
DRY_READ = 0.02  # how often one is read there
AFTER_TRIP = 40.0  # K over which the high side may stand some time after a trip
PER_KELVIN = 0.025  # of its pressure by which a refrigerant's rises for each K
# How often a number is read how many times as badly as the instrument can, and how often it is
# quite another: miscounted, or written down wrongly. Own choices: most people read well, some not.
BADLY = ((0.875, 1.0), (0.1, 3.0), (0.022, 8.0))
MISREAD = 0.003


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What a true instrument would show on each boat, whatever was read.

    `error` is that of the reading and of the model together, `most` the logarithm of how
    likely what is shown itself is to be read, and a misread number lies anywhere in the range
    `wide`. `nothing` is shown on these boats. Of the water that leaves one unit
    `tripping` are the boats on which it trips, with what it was `before`, and `dry` those on which
    no stream comes.
    """

    flotilla: Flotilla
    kind: str
    place: str
    shows: Array
    error: Array
    most: Array
    wide: float
    nothing: NDArray[np.intp]
    tripping: NDArray[np.intp]
    before: Array
    dry: NDArray[np.intp]


def seen_on(flotilla: Flotilla, kind: str, place: str) -> Seen | None:
    """Return what an instrument shows; None where the case cannot tell, or the draws know it."""
    shows = predicted(flotilla, kind, place)
    if shows is None or kind in ("sea", "volts"):
        return None
    error, wide = error_of(flotilla, kind, shows), range_of(kind, shows)
    nothing = np.flatnonzero(~np.isfinite(shows) | ~np.isfinite(error))
    told = (flotilla, kind, place, shows, error, _log_of_most(error), wide, nothing)
    name = only_unit(flotilla, place) if kind == "discharge" else ""
    if not name:
        nobody = np.asarray([], dtype=np.intp)
        return Seen(*told, nobody, np.asarray([]), nobody)
    unit = flotilla.point.units[name]
    which = np.flatnonzero(unit.state == words.TRIPS)
    before = (before_trip(flotilla, name) + flotilla.boats.reads_high)[which]
    return Seen(*told, which, before, np.flatnonzero(unit.volume_flow <= 0))


def log_of_number(flotilla: Flotilla, number: Number, wider: float = 1.0) -> Array:
    """Return the logarithm of how likely a reading is on each boat."""
    seen = seen_on(flotilla, number.kind, number.place)
    if seen is None:
        return np.zeros(flotilla.hypotheses.size)
    return _held(seen, number.value, _normal(number.value - seen.shows, seen.error * wider))


def log_of_read(seen: Seen, value: float, wider: float = 1.0) -> tuple[Array, float]:
    """Return how likely a reading is on each boat, as people read; and how likely if it is any.

    Both in logarithms. A misread number lies anywhere that boats of this plan read.
    """
    shares, coarser = np.array(BADLY).T
    times, off = wider * coarser[:, np.newaxis], ((value - seen.shows) / seen.error) ** 2
    each = _held(seen, value, -0.5 / times**2 * off + (seen.most - np.log(times)))
    # none is so unlikely that it were nought
    found = np.log(shares @ np.exp(each) + MISREAD / seen.wide)
    return np.asarray(found), -float(np.log(seen.wide))


def _held(seen: Seen, value: float, found: Array) -> Array:
    """Return how likely a reading is with what a trip allows, and never quite nought.

    What is `found` without that has the boats along its last axis.
    """
    found[..., seen.nothing] = LEAST_LOG
    if seen.tripping.size:  # read as warm as it was just before, or as cold as after
        warm = _normal(value - seen.before, np.asarray(TRIP_SPREAD))
        at_trip = np.logaddexp(found[..., seen.tripping], warm) - np.log(2.0)
        found[..., seen.tripping] = at_trip
    found[..., seen.dry] = np.log(NO_STREAM * DRY_READ)
    if seen.kind in HIGH_SIDE:
        found = _at_trip(seen, value, found)
    return np.maximum(found, LEAST_LOG)


def error_of(flotilla: Flotilla, kind: str, seen: Array) -> Array:
    """Return the error of a reading and of the model together.

    What the model may be off of a discharge is a share of its rise.
    """
    instrument = instruments()[kind]
    size = seen
    if kind in ("discharge", "condensing"):
        wrong = flotilla.boats.reads_high if kind == "discharge" else 0.0
        size = seen - wrong - flotilla.met.sea
    own = np.asarray(instrument.deviation(np.abs(seen)))
    return np.asarray(np.hypot(own, instrument.model * np.abs(size)))


def range_of(kind: str, seen: Array) -> float:
    """Return over how wide a range boats of this plan read, and a little more."""
    known, instrument = seen[np.isfinite(seen)], instruments()[kind]
    if not known.size:
        return instrument.most - instrument.least
    low, high = np.quantile(known, (0.005, 0.995))
    return 1.2 * float(high - low) + 6.0 * float(instrument.deviation(abs(high)))


def _normal(off: Array, deviation: Array) -> Array:
    return np.asarray(-0.5 * (off / deviation) ** 2 + _log_of_most(deviation))


def _log_of_most(deviation: Array) -> Array:
    """Return the logarithm of how likely what is shown itself is to be read."""
    return np.asarray(-np.log(deviation * np.sqrt(2.0 * np.pi)))


def _at_trip(seen: Seen, value: float, found: Array) -> Array:
    """Let the high side of a unit that trips have been read at its cut-out, or some time after."""
    flotilla, unit = seen.flotilla, seen.flotilla.point.units[seen.place]
    coil = next(item for item in flotilla.point.loop.coils if item.unit == seen.place)
    at = np.broadcast_to(np.asarray(coil.cut_out_temperature, dtype=float), unit.state.shape)
    spread = np.full(unit.state.shape, TRIP_SPREAD)
    if seen.kind == "high_side":
        pressure = high_side(flotilla, seen.place, at)
        assert pressure is not None  # the reading was refused without a refrigerant
        at, spread = pressure, TRIP_SPREAD * PER_KELVIN * pressure
    after = -np.log(AFTER_TRIP * spread / TRIP_SPREAD)
    either = np.logaddexp(_normal(value - at, spread), after) - np.log(2.0)
    tripped = (unit.state == words.TRIPS) | (unit.state == words.NO_WATER)
    return np.where(tripped, either, found)
