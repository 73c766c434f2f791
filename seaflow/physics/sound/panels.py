"""Airborne sound through one panel: mass law, coincidence and the dip there."""

from __future__ import annotations

from math import pi

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

AIR_DENSITY = 1.204  # kg/m3, air at 20 degC
SOUND_SPEED = 343.2  # m/s, air at 20 degC
MASS_LAW_CONSTANT = 47.0  # dB; authors print 47 to 48 for sound that comes from all sides
_THIRDS = 10.0 ** np.array([-0.1, 0.0, 0.1])  # thirds of an octave about its middle


@elementwise
@sourced("crocker2021", "example 12.13: 20 lg(M f) - 47", {"surface_mass": (1.0, 300.0)})
def mass_law_loss(
    band_frequency: Number,
    surface_mass: Number,
    mass_law_constant: Number = MASS_LAW_CONSTANT,
) -> Number:
    """Transmission loss of a limp panel for sound from all sides (field incidence).

    band_frequency [Hz]: frequency
    surface_mass [kg/m2]
    mass_law_constant [dB]: constant of the law, 47 unless given
    returns [dB]: transmission loss; never below zero, where the law itself would go for light
        panels
    raises RangeError: frequency or mass is not above zero

    >>> round(mass_law_loss(500.0, 8.0), 2)
    25.04
    """
    require_positive(band_frequency=band_frequency, surface_mass=surface_mass)
    product = np.asarray(band_frequency) * np.asarray(surface_mass)
    return np.asarray(np.maximum(20.0 * np.log10(product) - mass_law_constant, 0.0))


@elementwise
@sourced("crocker2021", "chapter 12, mass law for a plane wave straight on")
def normal_incidence_loss(band_frequency: Number, surface_mass: Number) -> Number:
    """Transmission loss of a limp panel for sound straight on, the most a mass can do.

    band_frequency [Hz]: frequency
    surface_mass [kg/m2]
    returns [dB]: transmission loss
    raises RangeError: frequency or mass is not above zero

    >>> round(normal_incidence_loss(500.0, 20.0), 2)
    37.62
    """
    require_positive(band_frequency=band_frequency, surface_mass=surface_mass)
    return 10.0 * np.log10(1.0 + _mass_reactance(band_frequency, surface_mass) ** 2)


def _mass_reactance(frequency: Number, mass: Number) -> Array:
    return np.asarray(pi * np.asarray(frequency) * mass / (AIR_DENSITY * SOUND_SPEED))


@elementwise
@sourced("cremer_heckl", "c^2/(2 pi) sqrt(m/B)")
def coincidence_frequency(surface_mass: Number, stiffness: Number) -> Number:
    """Frequency at which bending waves run as fast as sound, so that the panel lets it through.

    surface_mass [kg/m2], stiffness [N m]
    returns [Hz]: lowest frequency of coincidence
    raises RangeError: mass or stiffness is not above zero

    >>> round(coincidence_frequency(8.0, 1034.0), 0)
    1649.0
    """
    require_positive(surface_mass=surface_mass, stiffness=stiffness)
    return SOUND_SPEED**2 / (2.0 * pi) * np.sqrt(surface_mass / stiffness)


@elementwise
@sourced("cremer_heckl", "the same relation, solved for the stiffness")
def stiffness_of(surface_mass: Number, dip_frequency: Number) -> Number:
    """Bending stiffness of a panel whose coincidence frequency is known.

    surface_mass [kg/m2]
    dip_frequency [Hz]: coincidence frequency
    returns [N m]: stiffness for each metre of width
    raises RangeError: mass or frequency is not above zero

    >>> round(stiffness_of(8.0, 1667.0), 0)
    1012.0
    """
    require_positive(surface_mass=surface_mass, dip_frequency=dip_frequency)
    return surface_mass * (SOUND_SPEED**2 / (2.0 * pi * dip_frequency)) ** 2


@elementwise
@sourced(
    "sharp1973",
    "mass law to half the coincidence frequency, Cremer's damped law from it, a line between",
    {"loss_factor": (0.005, 0.2)},
)
def panel_loss(
    band_frequency: Number, surface_mass: Number, dip_frequency: Number, loss_factor: Number
) -> Number:
    """Transmission loss of a single stiff panel at one frequency.

    band_frequency [Hz]: frequency
    surface_mass [kg/m2]
    dip_frequency [Hz]: coincidence frequency
    loss_factor [-]
    returns [dB]: transmission loss; never below zero
    raises RangeError: frequency, mass or coincidence is not above zero, or the loss factor is
        outside 0 to 1

    Above coincidence never more than mass alone does for sound straight on: ours. The resonance
    of a small stiff panel, below about 100 Hz, is left out, as is its stiffness below that.

    >>> round(panel_loss(1667.0, 8.0, 1667.0, 0.03), 2)
    22.93
    """
    require_positive(band_frequency=band_frequency, surface_mass=surface_mass)
    require_positive(dip_frequency=dip_frequency, loss_factor=loss_factor)
    require_between(0.0, 1.0, loss_factor=loss_factor)
    ratio = np.asarray(band_frequency) / dip_frequency
    start = 20.0 * np.log10(surface_mass * dip_frequency / 2.0) - MASS_LAW_CONSTANT
    dip = _damped_loss(dip_frequency, surface_mass, 1.0, loss_factor)
    line = start + (dip - start) * (1.0 + np.log2(ratio))
    above = np.minimum(
        _damped_loss(band_frequency, surface_mass, ratio, loss_factor),
        normal_incidence_loss(band_frequency, surface_mass),
    )
    stiff = np.where(ratio < 1.0, line, above)
    below = mass_law_loss(band_frequency, surface_mass)
    return np.maximum(np.where(ratio <= 0.5, below, stiff), 0.0)


def _damped_loss(frequency: Number, mass: Number, ratio: Number, damping: Number) -> Array:
    reactance = _mass_reactance(frequency, mass)
    return np.asarray(20.0 * np.log10(reactance) + 10.0 * np.log10(2.0 * damping * ratio / pi))


@elementwise
@sourced("bies_hansen", "octave value: the mean transmission of its three thirds")
def octave_panel_loss(
    band_frequency: Number, surface_mass: Number, dip_frequency: Number, loss_factor: Number
) -> Number:
    """Transmission loss of a single stiff panel over an octave band.

    band_frequency [Hz]: middle of the band
    surface_mass [kg/m2]
    dip_frequency [Hz]: coincidence frequency
    loss_factor [-]
    returns [dB]: transmission loss; never below zero
    raises RangeError: as panel_loss

    >>> round(octave_panel_loss(500.0, 8.0, 1667.0, 0.03), 2)
    24.74
    """
    require_not_negative(band_frequency=band_frequency)
    inputs = (band_frequency, surface_mass, dip_frequency, loss_factor)
    middle, *panel = (np.asarray(value, dtype=float)[..., None] for value in inputs)
    passed = 10.0 ** (-np.asarray(panel_loss(middle * _THIRDS, *panel)) / 10.0)
    return np.asarray(-10.0 * np.log10(np.mean(passed, axis=-1)))
