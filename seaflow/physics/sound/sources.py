"""Sound of the pump itself by octave band, and the tables of sound that ship with the package."""

from __future__ import annotations

from typing import Any

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.near import nearest
from seaflow.base.ranges import RangeError, require_between, require_positive
from seaflow.base.sources import sourced
from seaflow.base.tables import read_table
from seaflow.physics.sound.levels import (
    BAND_NAMES,
    a_weighted_level,
    a_weighting,
    band_index,
    level_sum,
    require_level,
)

SPEED_EXPONENT = 50.0  # dB for each tenfold speed: power as the fifth power of the speed


def sound_names(sound_table: str) -> tuple[str, ...]:
    """Names of the rows of a table of sound.

    sound_table [text]: "sources", "panels", "openings", "surfaces", "mounts", "paths" or
        "yardsticks"
    returns [text]: the names
    raises FileNotFoundError: there is no such table

    >>> sound_names("mounts")[0]
    'screwed down'
    """
    return tuple(read_table(f"sound/{sound_table}.toml"))


def sound_row(sound_table: str, row_name: str) -> dict[str, Any]:
    """Row of a table of sound.

    sound_table [text]: "sources", "panels", "openings", "surfaces", "mounts", "paths" or
        "yardsticks"
    row_name [text]: one of `sound_names(sound_table)`
    returns [text]: the row, numbers in SI units
    raises KeyError: there is no such row; the message lists the names and the near match

    >>> sound_row("panels", "plywood 12 mm")["surface_mass"]
    8.0
    """
    table = read_table(f"sound/{sound_table}.toml")
    if row_name not in table:
        near = nearest(str(row_name), table)
        hint = f"; did you mean {near}?" if near else ""
        raise KeyError(f"no {row_name!r} among {sound_table}: {', '.join(table)}{hint}")
    row: dict[str, Any] = table[row_name]
    return row


@elementwise
@sourced("own", "iron is pulled twice in each period of the current")
def hum_frequency(line_frequency: Number) -> Number:
    """Frequency of the hum of a motor on alternating current.

    line_frequency [Hz]: frequency of the current
    returns [Hz]: frequency of the hum
    raises RangeError: the frequency is not above zero

    >>> hum_frequency(50.0)
    100.0
    """
    require_positive(line_frequency=line_frequency)
    return 2.0 * np.asarray(line_frequency)


@elementwise
@sourced("common_practice", "as the fan laws: 50 lg of the speed ratio")
def speed_change(speed_ratio: Number, speed_exponent: Number = SPEED_EXPONENT) -> Number:
    """Change of a pump's sound when its speed changes.

    speed_ratio [-]: speed over rated speed
    speed_exponent [dB]: decibels for a tenfold speed
    returns [dB]: decibels to add to every band
    raises RangeError: the speed ratio is not above zero

    A law of fans, taken over to small pumps: ours. At 60 to 70 % of the speed it gives 8 to 11 dB
    less, near the 8 to 10 dB that the trade counts on.

    >>> round(speed_change(0.65), 1)
    -9.4
    """
    require_positive(speed_ratio=speed_ratio)
    return np.asarray(speed_exponent * np.log10(speed_ratio))


@elementwise
@sourced("own", "shape of the broad sound and one tone, scaled to the A-weighted level")
def band_levels(
    a_level: Number, band_shape: Number, hum_share: Number = 0.0, tone_frequency: Number = 100.0
) -> Number:
    """Spectrum of a pump of which only the A-weighted level is known.

    a_level [dB]
    band_shape [dB]: levels of the broad sound over one another, in the bands 63 to 4000 Hz
    hum_share [-], tone_frequency [Hz]
    returns [dB]: levels in the bands 63 to 4000 Hz, hum counted in, whose A-weighted sum is
        `a_level`
    raises RangeError: the shape has not seven bands, the share lies outside 0 to 1, or the
        frequency is not above zero

    The hum is weighted as a tone at the middle of its band, so that the bands add up to the level
    stated; at 100 Hz that is 3 dB less hum than the tone's own weight would give.

    >>> levels = band_levels(45.0, [-12.0, -11.0, -9.0, -9.0, -6.0, -9.0, -13.0], 0.2, 100.0)
    >>> [round(float(value), 1) for value in levels]
    [34.6, 54.2, 37.6, 37.6, 40.6, 37.6, 33.6]
    """
    require_level(a_level=a_level, band_shape=band_shape)
    require_between(0.0, 1.0, hum_share=hum_share)
    shape = np.asarray(band_shape, dtype=float)
    if shape.shape[-1:] != (len(BAND_NAMES),):
        raise RangeError(f"band shape must have {len(BAND_NAMES)} bands")
    place = int(np.asarray(band_index(tone_frequency)))
    with np.errstate(divide="ignore"):
        broad = shape - a_weighted_level(shape) + 10.0 * np.log10(1.0 - np.asarray(hum_share))
        hum = 10.0 * np.log10(np.asarray(hum_share)) - a_weighting(_middle(place))
    tone = np.where(np.arange(len(BAND_NAMES)) == place, hum, -np.inf)
    return a_level + np.asarray(level_sum(np.stack([broad, tone], axis=-1)))


def _middle(place: int) -> float:
    return float(1000.0 * 10.0 ** (0.3 * (place - 4)))
