"""Vibration of the pump and what its mount and hoses pass on to the boat."""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.sound.panels import SOUND_SPEED

CORNER = 1.0 / 3.0  # of the bending power that comes from all sides
ISOLATES_ABOVE = float(np.sqrt(2.0))  # forcing over natural frequency


@elementwise
@sourced("ogata2004", "mass on a spring that its own weight compresses")
def natural_frequency(static_deflection: Number) -> Number:
    """Frequency at which a pump bounces on its mount.

    static_deflection [m]
    returns [Hz]: natural frequency
    raises RangeError: the deflection is not above zero

    >>> round(natural_frequency(0.003), 2)
    9.1
    """
    require_positive(static_deflection=static_deflection)
    return np.sqrt(GRAVITY / np.asarray(static_deflection)) / (2.0 * pi)


@elementwise
@sourced("cremer_heckl", "infinite plate, force at a point: 1/(8 sqrt(B m))")
def plate_mobility(surface_mass: Number, stiffness: Number) -> Number:
    """Velocity that a force of one newton gives a board, away from its edges.

    surface_mass [kg/m2]: mass of a square metre of the board
    stiffness [N m]
    returns [m/(N s)]: mobility
    raises RangeError: mass or stiffness is not above zero

    >>> round(plate_mobility(8.0, 1012.0), 6)
    0.001389
    """
    require_positive(surface_mass=surface_mass, stiffness=stiffness)
    return 1.0 / (8.0 * np.sqrt(np.asarray(surface_mass) * stiffness))


@elementwise
@sourced("cremer_heckl", "chain of mobilities: source over source, mount and base together")
def mounted_force_ratio(
    band_frequency: Number,
    mount_frequency: Number,
    damping_ratio: Number,
    mounted_mass: Number,
    base_mobility: Number,
) -> Number:
    """Force that reaches a board through a soft mount, over the force in the pump.

    band_frequency [Hz]: frequency of the vibration
    mount_frequency [Hz], damping_ratio [-], mounted_mass [kg]
    base_mobility [m/(N s)]: mobility of the board; 0 for a base that does not move
    returns [-]: ratio of forces; on a base that does not move, the transmissibility
    raises RangeError: a frequency or the mass is not above zero, or damping or mobility is negative

    The pump counts as a rigid mass, the mount as a spring without waves in it: real rubber
    isolates less at high frequencies, which joined_force_ratio can allow for.

    >>> round(mounted_force_ratio(100.0, 9.1, 0.1, 3.0, 0.00139), 4)
    0.0192
    """
    require_positive(band_frequency=band_frequency, mount_frequency=mount_frequency)
    require_positive(mounted_mass=mounted_mass)
    require_not_negative(damping_ratio=damping_ratio, base_mobility=base_mobility)
    ratio = np.asarray(band_frequency) / mount_frequency
    mount = -(ratio**2) / (1.0 + 2.0j * damping_ratio * ratio)
    base = 2.0j * pi * band_frequency * mounted_mass * base_mobility
    whole = np.abs(1.0 + mount + base)
    require_positive(damping_ratio_at_resonance=whole)
    return np.asarray(1.0 / whole)


@elementwise
@sourced("cremer_heckl", "the same chain without a mount")
def rigid_force_ratio(
    band_frequency: Number, mounted_mass: Number, base_mobility: Number
) -> Number:
    """Force that reaches a board from a pump screwed to it, over the force in the pump.

    band_frequency [Hz]: frequency of the vibration
    mounted_mass [kg]
    base_mobility [m/(N s)]: mobility of the board; 0 for a base that does not move
    returns [-]: ratio of forces, at most 1
    raises RangeError: frequency or mass is not above zero, or the mobility is negative

    >>> round(rigid_force_ratio(100.0, 3.0, 0.00139), 3)
    0.357
    """
    require_positive(band_frequency=band_frequency, mounted_mass=mounted_mass)
    require_not_negative(base_mobility=base_mobility)
    turned = 2.0 * pi * np.asarray(band_frequency) * mounted_mass * base_mobility
    return 1.0 / np.sqrt(1.0 + turned**2)


@elementwise
@sourced("own", "paths side by side add as energies, since their phases are not known")
def joined_force_ratio(force_ratios: Number) -> Number:
    """Force ratio of several paths together, such as mount, hose clips and waves in the rubber.

    force_ratios [-]: force ratio of each path, along the last axis
    returns [-]: force ratio of all
    raises RangeError: a ratio is negative

    >>> round(joined_force_ratio([0.03, 0.04]), 3)
    0.05
    """
    require_not_negative(force_ratios=force_ratios)
    return np.asarray(np.sqrt(np.sum(np.atleast_1d(force_ratios) ** 2, axis=-1)))


@elementwise
@sourced("hopkins2007", "two like plates, loss by damping over loss by coupling")
def joint_loss(
    band_frequency: Number,
    dip_frequency: Number,
    board_area: Number,
    joint_length: Number,
    loss_factor: Number,
    joint_transmission: Number = CORNER,
) -> Number:
    """Drop of the vibration of bending waves from one board to the next, across a joint.

    band_frequency [Hz]
    dip_frequency [Hz]: coincidence of the boards
    board_area [m2]: of the board that receives
    joint_length [m]
    loss_factor [-]: of that board as it is built in
    joint_transmission [-]: 1/3 at a corner of like boards, 1/12 at a crossing
    returns [dB]: drop
    raises RangeError: a number is not above zero

    Waves fill a board evenly, so metres along one do not count: only joints and damping do.

    >>> round(joint_loss(100.0, 1667.0, 0.48, 0.6, 0.03), 1)
    2.7
    """
    require_positive(band_frequency=band_frequency, dip_frequency=dip_frequency)
    require_positive(board_area=board_area, joint_length=joint_length, loss_factor=loss_factor)
    require_positive(joint_transmission=joint_transmission)
    frequency = np.asarray(band_frequency)
    bending_speed = SOUND_SPEED * np.sqrt(frequency / dip_frequency)
    passed = 2.0 * bending_speed * joint_length * joint_transmission
    coupling = passed / (2.0 * pi**2 * frequency * np.asarray(board_area))
    answer: Number = 10.0 * np.log10(1.0 + loss_factor / coupling)
    return answer
