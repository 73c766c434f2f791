"""Sound in one room: absorption, the level at a distance from a source, and the room next door.

Surfaces of a room lie on the last axis where there are several.
Depends on: base, sound_levels.
"""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.sound.levels import require_level

_SABINE = 0.161  # s/m
_DIFFUSE = 2000.0  # with volume in m3 and time in s, the answer is in Hz


@elementwise
@sourced("sabine1922", "sum of area times absorption")
def absorption_area(areas: Number, absorption_shares: Number) -> Number:
    """Absorption of a room, as the area of open window that would swallow as much.

    Parameters
    ----------
    areas : number or array
        Area of each surface, along the last axis. [m2]
    absorption_shares : number or array
        Share of the sound that each surface swallows, along the last axis. [-]

    Returns
    -------
    number or array
        Absorption area. [m2]

    Raises
    ------
    RangeError
        When an area is negative or a share lies outside 0 to 1.

    Examples
    --------
    >>> round(absorption_area([18.0, 4.0], [0.08, 0.4]), 2)
    3.04
    """
    require_not_negative(areas=areas)
    require_between(0.0, 1.0, absorption_shares=absorption_shares)
    products = np.asarray(areas) * np.asarray(absorption_shares)
    return np.asarray(np.sum(np.atleast_1d(products), axis=-1))


@elementwise
@sourced("sabine1922", "0.161 V/A")
def reverberation_time(room_volume: Number, absorption_area: Number) -> Number:
    """Time in which sound in a room dies away by 60 decibels.

    Parameters
    ----------
    room_volume : number or array
        Volume of air in the room. [m3]
    absorption_area : number or array
        Absorption area of the room. [m2]

    Returns
    -------
    number or array
        Reverberation time. [s]

    Raises
    ------
    RangeError
        When volume or absorption is not above zero.

    Examples
    --------
    >>> round(reverberation_time(8.0, 3.0), 4)
    0.4293
    """
    require_positive(room_volume=room_volume, absorption_area=absorption_area)
    return _SABINE * room_volume / absorption_area


@elementwise
@sourced("schroeder1962", "2000 times the root of reverberation time over volume")
def diffuse_from(room_volume: Number, absorption_area: Number) -> Number:
    """Frequency below which a room answers note by note, and one level for it is a rough guess.

    Parameters
    ----------
    room_volume : number or array
        Volume of air in the room. [m3]
    absorption_area : number or array
        Absorption area of the room. [m2]

    Returns
    -------
    number or array
        Frequency. [Hz]

    Raises
    ------
    RangeError
        When volume or absorption is not above zero.

    Examples
    --------
    >>> round(diffuse_from(8.0, 3.0), 0)
    463.0
    """
    return _DIFFUSE * np.sqrt(reverberation_time(room_volume, absorption_area) / room_volume)


@elementwise
@sourced("crocker2021", "room constant S a/(1 - a)")
def room_constant(surface_area: Number, mean_absorption: Number) -> Number:
    """Room constant, the absorption area that the sound meets after its first reflection.

    Parameters
    ----------
    surface_area : number or array
        Area of all surfaces of the room. [m2]
    mean_absorption : number or array
        Mean absorption of the surfaces. [-]

    Returns
    -------
    number or array
        Room constant. [m2]

    Raises
    ------
    RangeError
        When the area is not above zero, or the absorption not above 0 and below 1.

    Examples
    --------
    >>> round(room_constant(22.0, 0.15), 3)
    3.882
    """
    require_positive(surface_area=surface_area, mean_absorption=mean_absorption)
    require_between(0.0, 1.0, mean_absorption=mean_absorption)
    if np.any(np.asarray(mean_absorption) >= 1.0):
        raise RangeError("mean absorption must be below 1, for a room that sends some sound back")
    return surface_area * mean_absorption / (1.0 - np.asarray(mean_absorption))


@elementwise
@sourced("vigran2008", "equation 4.49, with the room constant for the absorption area")
def room_level(
    power_level: Number, directivity: Number, distance: Number, room_constant: Number
) -> Number:
    """Level at a distance from a source in a room.

    Parameters
    ----------
    power_level : number or array
        Level of the source's sound power, over one picowatt. [dB]
    directivity : number or array
        1 in the open, 2 on one surface, 4 in an edge, 8 in a corner. [-]
    distance : number or array
        Distance from the source. [m]
    room_constant : number or array
        Room constant. [m2]

    Returns
    -------
    number or array
        Sound pressure level. [dB]

    Raises
    ------
    RangeError
        When directivity, distance or room constant is not above zero, or the level is no number.

    Notes
    -----
    Air counts as 400 Pa s/m, as in the source; warm air would add 0.1 dB.

    Examples
    --------
    >>> round(room_level(60.0, 2.0, 1.0, 3.882), 2)
    60.75
    """
    require_level(power_level=power_level)
    require_positive(directivity=directivity, distance=distance, room_constant=room_constant)
    direct = directivity / (4.0 * pi * np.asarray(distance) ** 2)
    return power_level + 10.0 * np.log10(direct + 4.0 / np.asarray(room_constant))


@elementwise
@sourced("own", "the direct part of room_level, solved for the power")
def source_power_level(sound_level: Number, distance: Number, directivity: Number = 2.0) -> Number:
    """Sound power level of a source whose level is stated at a distance without a room.

    Parameters
    ----------
    sound_level : number or array
        Sound pressure level at the distance. [dB]
    distance : number or array
        Distance from the source. [m]
    directivity : number or array
        1 in the open, 2 on one surface as pumps are measured. [-]

    Returns
    -------
    number or array
        Level over one picowatt. [dB]

    Raises
    ------
    RangeError
        When distance or directivity is not above zero, or the level is no number.

    Examples
    --------
    >>> round(source_power_level(45.0, 1.0), 2)
    52.98
    """
    require_level(sound_level=sound_level)
    require_positive(distance=distance, directivity=directivity)
    return sound_level + 10.0 * np.log10(4.0 * pi * np.asarray(distance) ** 2 / directivity)


@elementwise
@sourced("iso12354_1", "simplest form, no flanking: L2 = L1 - R + 10 lg(S/A)")
def level_next_door(
    sound_level: Number, loss: Number, partition_area: Number, absorption_area: Number
) -> Number:
    """Level in the room behind a partition.

    Parameters
    ----------
    sound_level : number or array
        Level in the first room. [dB]
    loss : number or array
        Transmission loss of the partition. [dB]
    partition_area : number or array
        Area of the partition. [m2]
    absorption_area : number or array
        Absorption area of the second room. [m2]

    Returns
    -------
    number or array
        Level in the second room. [dB]

    Raises
    ------
    RangeError
        When the loss is negative, an area is not above zero, or the level is no number.

    Notes
    -----
    One way only; where sound goes back and forth, sound_network gives the balance.

    Examples
    --------
    >>> round(level_next_door(70.0, 20.0, 2.0, 4.0), 2)
    46.99
    """
    require_level(sound_level=sound_level)
    require_not_negative(loss=loss)
    require_positive(partition_area=partition_area, absorption_area=absorption_area)
    return sound_level - loss + 10.0 * np.log10(partition_area / np.asarray(absorption_area))
