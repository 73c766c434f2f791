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

    areas [m2]: area of each surface, along the last axis
    absorption_shares [-]
    returns [m2]: absorption area
    raises RangeError: an area is negative or a share lies outside 0 to 1

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

    sound_level [dB]: sound pressure level at the distance
    distance [m]: distance from the source
    directivity [-]: 1 in the open, 2 on one surface as pumps are measured
    returns [dB]: level over one picowatt
    raises RangeError: distance or directivity is not above zero, or the level is no number

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

    coupling_areas [m2]: coupling area of each partition, along the last axis
    room_pairs [-], n_rooms [-]
    returns [m2]: symmetric table of coupling areas, on the last two axes
    raises RangeError: an area is negative, or a pair names one room twice or a room that is not
        there

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

    absorption_area [m2]: absorption area of each room, without the partitions to other rooms
    coupling [m2], sound_powers [W]
    returns [J/m3]: energy of a cubic metre of air in each room
    raises RangeError: a room absorbs nothing, a power or coupling is negative, or the coupling is
        not symmetric with an empty diagonal

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

    energy_density [J/m3]
    returns [dB]: sound pressure level; minus infinity for silence
    raises RangeError: the energy is negative

    >>> round(diffuse_level(5.771e-9), 2)
    62.97
    """
    require_not_negative(energy_density=energy_density)
    return _level(SOUND_SPEED * np.asarray(energy_density))


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

    power_level [dB]
    directivity [-]: 1 in the open, 2 on one surface, 4 in an edge, 8 in a corner
    distance [m]: distance from the source
    energy_density [J/m3]: energy of a cubic metre of air in that room, from the balance
    surface_area [m2]: area of all surfaces of that room, partitions counted in
    returns [dB]: sound pressure level
    raises RangeError: directivity, distance or area is not above zero, an energy is negative, the
        level is no number, or the room lets go of more sound than its surfaces can

    The balance spreads the sound straight from the source over the room; that share is taken out
    here and put back where it belongs, by distance. For one room alone this is the handbooks'
    formula with the room constant S a/(1 - a).

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
