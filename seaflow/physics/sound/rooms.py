"""Sound in the rooms of a boat: one balance of energy for each band, and the level at a berth.

Rooms, and the surfaces of one, lie on the last axis of every array; bands and cases on the axes
before it. A source gives its whole power to its room; each room swallows some and trades some with
its neighbours through what stands between them. Air counts as 400 Pa s/m; warm air adds 0.1 dB.
"""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.sound.levels import REFERENCE_POWER, power_from_level, require_level
from seaflow.physics.sound.panels import SOUND_SPEED

_ROUNDING = 1e-9  # share of the room's energy that may be lost to rounding in a difference


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
@sourced("own", "inverse square law, solved for the power")
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
@sourced("own", "sum of the coupling areas of all partitions between two rooms")
def coupling_matrix(coupling_areas: Number, room_pairs: Number, n_rooms: Number) -> Number:
    """Coupling of every room with every other.

    Parameters
    ----------
    coupling_areas : number or array
        Coupling area of each partition, along the last axis. [m2]
    room_pairs : number or array
        Two rooms, counted from 0, for each partition. [-]
    n_rooms : number or array
        How many rooms there are. [-]

    Returns
    -------
    number or array
        Symmetric table of coupling areas, on the last two axes. [m2]

    Raises
    ------
    RangeError
        When an area is negative, or a pair names one room twice or a room that is not there.

    Examples
    --------
    >>> coupling_matrix([0.02], [[0, 1]], 2).tolist()
    [[0.0, 0.02], [0.02, 0.0]]
    """
    require_not_negative(coupling_areas=coupling_areas)
    areas = np.atleast_1d(np.asarray(coupling_areas, dtype=float))
    pairs = np.asarray(room_pairs).astype(int).reshape(-1, 2)
    count = int(n_rooms)
    if pairs.shape[0] != areas.shape[-1] or np.any((pairs < 0) | (pairs >= count)):
        raise RangeError("each partition must stand between two of the rooms")
    if np.any(pairs[:, 0] == pairs[:, 1]):
        raise RangeError("a partition must stand between two different rooms")
    table = np.zeros((*areas.shape[:-1], count, count))
    for place, (first, second) in enumerate(pairs):
        table[..., first, second] += areas[..., place]
        table[..., second, first] += areas[..., place]
    return table


@elementwise
@sourced("billon2008", "statistical theory of coupled rooms: balance of power in each")
def energy_densities(absorption_area: Number, coupling: Number, sound_powers: Number) -> Number:
    """Density of sound energy in every room.

    Parameters
    ----------
    absorption_area : number or array
        Absorption area of each room, without the partitions to other rooms. [m2]
    coupling : number or array
        Symmetric table of coupling areas. [m2]
    sound_powers : number or array
        Power of the sources in each room. [W]

    Returns
    -------
    number or array
        Energy of a cubic metre of air in each room. [J/m3]

    Raises
    ------
    RangeError
        When a room absorbs nothing, a power or coupling is negative, or the coupling is not
        symmetric with an empty diagonal.

    Examples
    --------
    >>> table = coupling_matrix([0.02], [[0, 1]], 2)
    >>> densities = energy_densities([2.0, 4.0], table, [1e-6, 0.0])
    >>> [round(float(value) * 1e11, 3) for value in densities]
    [577.1, 2.871]
    """
    require_positive(absorption_area=absorption_area)
    require_not_negative(coupling=coupling, sound_powers=sound_powers)
    table = np.asarray(coupling)
    if np.any(np.diagonal(table, axis1=-2, axis2=-1) != 0.0):
        raise RangeError("a room cannot be coupled with itself")
    if np.any(table != np.swapaxes(table, -1, -2)):
        raise RangeError("coupling must be the same both ways")
    own = np.asarray(absorption_area) + np.sum(table, axis=-1)
    balance = own[..., None] * np.eye(table.shape[-1]) - table
    incident = np.linalg.solve(balance, np.asarray(sound_powers)[..., None])[..., 0]
    return 4.0 * np.asarray(incident) / SOUND_SPEED


@elementwise
@sourced("own", "definition, air counted as 400 Pa s/m")
def diffuse_level(energy_density: Number) -> Number:
    """Level of the sound that fills a room.

    Parameters
    ----------
    energy_density : number or array
        Energy of a cubic metre of air. [J/m3]

    Returns
    -------
    number or array
        Sound pressure level; minus infinity for silence. [dB]

    Raises
    ------
    RangeError
        When the energy is negative.

    Examples
    --------
    >>> round(diffuse_level(5.771e-9), 2)
    62.97
    """
    require_not_negative(energy_density=energy_density)
    with np.errstate(divide="ignore"):
        return 10.0 * np.log10(SOUND_SPEED * np.asarray(energy_density) / REFERENCE_POWER)


@elementwise
@sourced("vigran2008", "equation 4.49, with the balance of all rooms for that of one")
def level_near_source(
    power_level: Number,
    directivity: Number,
    distance: Number,
    energy_density: Number,
    surface_area: Number,
) -> Number:
    """Level at a distance from a source, in the room that holds it, with all rooms counted in.

    Parameters
    ----------
    power_level : number or array
        Level of the source's sound power, over one picowatt. [dB]
    directivity : number or array
        1 in the open, 2 on one surface, 4 in an edge, 8 in a corner. [-]
    distance : number or array
        Distance from the source. [m]
    energy_density : number or array
        Energy of a cubic metre of air in that room, from the balance. [J/m3]
    surface_area : number or array
        Area of all surfaces of that room, partitions counted in. [m2]

    Returns
    -------
    number or array
        Sound pressure level. [dB]

    Raises
    ------
    RangeError
        When directivity, distance or area is not above zero, an energy is negative, the level is
        no number, or the room lets go of more sound than its surfaces can.

    Notes
    -----
    The balance spreads the sound straight from the source over the room; that share is taken out
    here and put back where it belongs, by distance. For one room alone this is the handbooks'
    formula with the room constant S a/(1 - a).

    Examples
    --------
    >>> round(level_near_source(60.0, 2.0, 1.0, 3.5318e-9, 22.0), 2)
    60.75
    """
    require_positive(directivity=directivity, distance=distance, surface_area=surface_area)
    require_not_negative(energy_density=energy_density)
    power = np.asarray(power_from_level(power_level))
    intensity = SOUND_SPEED * np.asarray(energy_density)
    reflected = intensity - 4.0 * power / surface_area
    if np.any(reflected < -_ROUNDING * intensity):
        raise RangeError("absorption and leaks of the room must not exceed its surface area")
    direct = power * directivity / (4.0 * pi * np.asarray(distance) ** 2)
    return _level(direct + np.maximum(reflected, 0.0))


def _level(intensity: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(intensity / REFERENCE_POWER))
