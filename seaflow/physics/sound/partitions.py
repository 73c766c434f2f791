"""Airborne sound through what stands between two rooms: parts, leaks, two leaves, enclosures.

Parts of a partition lie on the last axis.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.sound.panels import mass_law_loss

_CAVITY_CONSTANT = 29.0  # dB, of the region where the air between two leaves is a spring
_CAVITY_LIMIT = 6.0  # dB, gained once waves stand between the leaves


@elementwise
@sourced("crocker2021", "equations 12.60 and 12.61")
def composite_loss(losses: Number, areas: Number) -> Number:
    """Transmission loss of a partition made of unlike parts, such as a bulkhead and its door.

    losses [dB]: transmission loss of each part, along the last axis
    areas [m2]: area of each part, along the last axis
    returns [dB]: transmission loss of the whole
    raises RangeError: a loss or area is negative, or all areas are zero

    >>> round(composite_loss([59.0, 35.0], [9.5, 1.08]), 1)
    44.8
    """
    require_not_negative(losses=losses, areas=areas)
    parts = np.atleast_1d(areas)
    whole = np.sum(parts, axis=-1)
    require_positive(areas=whole)
    passed = np.sum(parts * 10.0 ** (-np.atleast_1d(losses) / 10.0), axis=-1)
    return np.asarray(10.0 * np.log10(whole / passed))


@elementwise
@sourced("crocker2021", "equation 12.65 and example 12.16, here with the loss of the opening")
def loss_with_leak(loss: Number, leak_share: Number, opening_loss: Number = 0.0) -> Number:
    """Transmission loss of a partition, part of which is open, leaking or louvred.

    loss [dB]: transmission loss of the closed part
    leak_share [-]: area of the opening over that of the whole
    opening_loss [dB]: transmission loss of the opening itself: none if open, a few decibels for
        louvres
    returns [dB]: transmission loss of the whole
    raises RangeError: a loss is negative or the share lies outside 0 to 1

    An opening never counts as quieter than the panel it stands in: ours.

    >>> round(loss_with_leak(50.0, 0.01), 1)
    20.0
    """
    require_not_negative(loss=loss, opening_loss=opening_loss)
    require_between(0.0, 1.0, leak_share=leak_share)
    opening = np.minimum(opening_loss, loss)
    closed = (1.0 - np.asarray(leak_share)) * 10.0 ** (-np.asarray(loss) / 10.0)
    opened = leak_share * 10.0 ** (-opening / 10.0)
    return -10.0 * np.log10(closed + opened)


@elementwise
@sourced("own", "perimeter of a door of 0.6 by 1.6 m or of its proportions, times the gap")
def gap_area(door_area: Number, gap: Number) -> Number:
    """Open area of a gap that runs round a door or lid.

    door_area [m2]
    gap [m]: width of the gap
    returns [m2]: open area, no more than that of the door
    raises RangeError: the area is not above zero or the gap is negative

    The smaller the lid, the larger its share: 5 mm round a door of 0.96 m2 are 2.3 % of it, round a
    lid of 0.1 m2 they are 7 %.

    >>> round(gap_area(0.96, 0.005), 3)
    0.022
    """
    require_positive(door_area=door_area)
    require_not_negative(gap=gap)
    return np.minimum(2.0 * (0.6 + 1.6) * np.sqrt(door_area / (0.6 * 1.6)) * gap, door_area)


@elementwise
@sourced("own", "definition: area times transmission")
def coupling_area(loss: Number, partition_area: Number) -> Number:
    """Open area that would pass as much sound as a partition does.

    loss [dB], partition_area [m2]
    returns [m2]: area
    raises RangeError: loss or area is negative

    >>> round(coupling_area(20.0, 2.0), 4)
    0.02
    """
    require_not_negative(loss=loss, partition_area=partition_area)
    return partition_area * 10.0 ** (-np.asarray(loss) / 10.0)


@elementwise
@sourced("sharp1973", "ideal double panel, cavity damped and leaves not joined")
def double_leaf_loss(
    band_frequency: Number,
    first_mass: Number,
    second_mass: Number,
    first_loss: Number,
    second_loss: Number,
    gap: Number,
) -> Number:
    """Transmission loss of two leaves with a damped air gap, such as a bulkhead and its lining.

    band_frequency [Hz]: frequency
    first_mass [kg/m2], second_mass [kg/m2], first_loss [dB], second_loss [dB], gap [m]
    returns [dB]: transmission loss of both
    raises RangeError: frequency, mass or gap is not above zero, or a loss is negative

    The greater of both leaves as one mass and of the two leaves apart: ours, in place of a jump
    at the resonance, so that more mass never reads louder. The dip at the resonance itself, and
    frames that join the leaves, make it less than this.

    >>> round(double_leaf_loss(1000.0, 8.0, 3.0, 31.1, 22.5, 0.05), 1)
    58.6
    """
    require_positive(band_frequency=band_frequency, gap=gap)
    require_positive(first_mass=first_mass, second_mass=second_mass)
    require_not_negative(first_loss=first_loss, second_loss=second_loss)
    gained = 20.0 * np.log10(np.asarray(band_frequency) * gap) - _CAVITY_CONSTANT
    apart = first_loss + second_loss + np.minimum(gained, _CAVITY_LIMIT)
    return np.maximum(mass_law_loss(band_frequency, first_mass + second_mass), apart)


@elementwise
@sourced("own", "energy balance of the space inside; for a quiet wall the handbooks' R + 10 lg a")
def enclosure_gain(loss: Number, mean_absorption: Number) -> Number:
    """Decibels that a closed locker round the pump takes off its airborne sound.

    loss [dB]: transmission loss of the locker's walls, leaks counted in
    mean_absorption [-]: mean absorption of its inside, from 0 for none to 1
    returns [dB]: level without less level with the locker; never negative
    raises RangeError: the loss is negative or the absorption lies outside 0 to 1

    Sound that is not absorbed inside comes out in the end, so an unlined locker gains little.

    >>> round(enclosure_gain(25.0, 0.05), 1), round(enclosure_gain(25.0, 0.5), 1)
    (12.3, 22.0)
    """
    require_not_negative(loss=loss)
    require_between(0.0, 1.0, mean_absorption=mean_absorption)
    return 10.0 * np.log10(1.0 + mean_absorption * 10.0 ** (np.asarray(loss) / 10.0))
