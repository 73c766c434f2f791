"""Levels of sound: decibels, octave bands and the A-weighting.

Bands lie on the last axis of every array of levels.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import RangeError, require_positive
from seaflow.base.sources import sourced

REFERENCE_POWER = 1e-12  # W; with air taken as 400 Pa s/m, pressure and intensity levels agree
BAND_NAMES = (63, 125, 250, 500, 1000, 2000, 4000)  # Hz, as the bands are called
_OCTAVE = 10.0**0.3
_POLES = (20.598997, 107.65265, 737.86223, 12194.217)  # Hz, IEC 61672-1 annex E


@sourced("iec61260", "exact mid-band frequencies, base ten")
def octave_frequencies() -> Array:
    """Exact middle frequencies of the octave bands 63 to 4000 Hz.

    returns [Hz]: one frequency for each of BAND_NAMES

    >>> [round(float(value), 1) for value in octave_frequencies()[:3]]
    [63.1, 125.9, 251.2]
    """
    return np.asarray(1000.0 * _OCTAVE ** np.arange(-4, 3), dtype=float)


@elementwise
@sourced("iec61260", "edges half an octave either side of the middle, base ten")
def band_index(band_frequency: Number) -> Number:
    """Place in BAND_NAMES of the octave band that holds a frequency.

    band_frequency [Hz]: frequency of a tone
    returns [-]: place, from 0 for 63 Hz; a tone outside all bands counts to the nearest
    raises RangeError: the frequency is not above zero

    >>> band_index(100.0), band_index(120.0), band_index(48.0)
    (1.0, 1.0, 0.0)
    """
    require_positive(band_frequency=band_frequency)
    steps = np.round(np.log10(np.asarray(band_frequency) / 1000.0) / 0.3)
    return np.clip(steps + 4.0, 0.0, 6.0)


@elementwise
@sourced("own", "definition, over one picowatt")
def power_from_level(power_level: Number) -> Number:
    """Sound power of a level.

    power_level [dB]
    returns [W]: sound power
    raises RangeError: the level is no number

    >>> power_from_level(60.0)
    1e-06
    """
    require_level(power_level=power_level)
    return REFERENCE_POWER * 10.0 ** (np.asarray(power_level) / 10.0)


@elementwise
@sourced("own", "definition: energies add")
def level_sum(levels: Number) -> Number:
    """Level of several sounds together, which is the sum of their energies.

    levels [dB]: levels to add, along the last axis
    returns [dB]: level of the sum
    raises RangeError: a level is no number

    >>> round(level_sum([50.0, 47.0]), 2)
    51.76
    """
    require_level(levels=levels)
    energies = 10.0 ** (np.atleast_1d(levels) / 10.0)
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(np.sum(energies, axis=-1)))


@elementwise
@sourced("iec61672", "annex E, analytical expression")
def a_weighting(band_frequency: Number) -> Number:
    """A-weighting, which the ear's lesser hearing of low notes calls for.

    band_frequency [Hz]: frequency
    returns [dB]: what to add to a level
    raises RangeError: the frequency is not above zero

    >>> round(a_weighting(100.0), 1)
    -19.1
    """
    require_positive(band_frequency=band_frequency)
    return 20.0 * np.log10(_a_response(np.asarray(band_frequency)) / _a_response(np.asarray(1e3)))


def _a_response(frequency: Array) -> Array:
    square = frequency**2
    first, second, third, fourth = (pole**2 for pole in _POLES)
    middle = np.sqrt((square + second) * (square + third))
    return np.asarray(square**2 / ((square + first) * middle * (square + fourth)))


@elementwise
@sourced("iec61672", "weighting at the middle of each band, then the sum of energies")
def a_weighted_level(levels: Number, band_frequency: Number | None = None) -> Number:
    """A-weighted level of a spectrum in octave bands.

    levels [dB]: levels of the bands, along the last axis
    band_frequency [Hz]: middle of each band; those of BAND_NAMES if left out
    returns [dB]: A-weighted level
    raises RangeError: a level is no number or a frequency is not above zero

    >>> round(a_weighted_level([63.0, 52.0, 45.0, 38.0, 31.0, 24.0, 16.0]), 1)
    42.5
    """
    weights = octave_weighting() if band_frequency is None else a_weighting(band_frequency)
    return level_sum(np.asarray(levels) + weights)


@cache
def octave_weighting() -> Array:
    """Return the A-weighting at the middle of each octave band [dB]; see `a_weighting`."""
    return np.asarray(a_weighting(octave_frequencies()))


def require_level(**values: Number) -> None:
    """Raise RangeError unless every level is a number or minus infinity, which is silence."""
    for name, value in values.items():
        array = np.asarray(value, dtype=float)
        if np.any(np.isnan(array) | (array == np.inf)):
            raise RangeError(f"{name.replace('_', ' ')} must be a level in decibels")
