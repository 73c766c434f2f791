"""Constants that are plain numbers in the package, by another route: pint, gsw, definitions."""

import math

import gsw
import numpy as np
import pint
import pytest
from scipy.special import ndtr

from seaflow.boat.checks import ratings
from seaflow.boat.parts import part
from seaflow.boat.reader import heads
from seaflow.physics.sound import levels, panels
from seaflow.physics.sound.partitions import gap_area
from seaflow.studies.baseline import sheet
from seaflow.studies.design import judge, need
from seaflow.studies.diagnose import impossible, next_reading
from seaflow.studies.improve import answer
from seaflow.studies.place import rooms
from seaflow.studies.survey import intakes, waterlines, wiring

UNITS = pint.UnitRegistry()
PRINTED = 1e-6  # relative: numbers given to seven digits or more
AWG_18 = 0.127e-3 * 92 ** ((36 - 18) / 39)  # m across, by the definition of the gauge


def si(text, unit):
    return UNITS(text).to(unit).magnitude


@pytest.mark.parametrize(
    ("here", "there", "rel"),
    [
        (need.TON, si("12000 BTU/hour", "W"), 1e-4),  # several definitions of the BTU
        (intakes.KNOT, si("1 knot", "m/s"), PRINTED),
        (impossible.BAR, si("1 bar", "Pa"), PRINTED),
        (impossible.PSI, si("1 psi", "Pa"), PRINTED),
        (answer.ENERGY_STEP, si("50 watt_hour", "J"), PRINTED),
        (sheet.UNDER_WAY, si("6 knot", "m/s"), 0.03),  # about 6 kn
        (part.FRESH_DENSITY, gsw.rho_t_exact(0.0, 20.0, 0.0), 1e-4),
        (
            judge.SEA_DENSITY,
            gsw.rho_t_exact(35.0, 15.0, 0.0),
            2e-3,
        ),  # of any sea, to 2 in a thousand
        (heads.FRESH_DENSITY, gsw.rho_t_exact(0.0, 20.0, 0.0), 1e-4),
        (wiring.LEAST_IN_SHEATH, 0.25 * math.pi * AWG_18**2, 5e-3),
        (ratings.MOST_COEFFICIENT, (7.0 + 273.15) / (45.0 - 7.0), 1e-3),  # Carnot, as cooling
        (waterlines.MODEST, si("7 degree", "rad"), PRINTED),
        (waterlines.STEEP, si("30 degree", "rad"), PRINTED),
        (rooms.ORDINARY_DOOR, 0.6 * 1.6, PRINTED),
    ],
)
def test_a_constant_is_what_its_definition_gives(here, there, rel):
    assert here == pytest.approx(there, rel=rel)


def test_the_carnot_limit_is_taken_at_the_point_that_is_named():
    cold, warm = ratings.USUAL_POINT
    assert pytest.approx((cold + 273.15) / (warm - cold), rel=1e-3) == ratings.MOST_COEFFICIENT


def test_the_logistic_curve_is_the_normal_one_to_within_a_hundredth():
    """And by no other factor nearer: that is what the number is known for."""
    x = np.linspace(-6.0, 6.0, 2001)

    def off(factor):
        return float(np.max(np.abs(1.0 / (1.0 + np.exp(-factor * x)) - ndtr(x))))

    assert off(next_reading.LOGIT) < 0.01
    assert off(next_reading.LOGIT) == pytest.approx(
        min(map(off, np.linspace(1.5, 2.0, 251))), abs=1e-4
    )


@pytest.mark.parametrize("gap", [0.002, 0.005])
def test_the_gap_round_an_ordinary_door_is_its_perimeter_times_the_gap(gap):
    assert gap_area(0.6 * 1.6, gap) == pytest.approx(2.0 * (0.6 + 1.6) * gap)
    assert gap_area(0.3 * 0.8, gap) == pytest.approx(2.0 * (0.3 + 0.8) * gap)  # of its proportions


def test_bands_are_those_of_powers_of_ten():
    """IEC 61260-1: octaves by 10**(3/10), thirds by 10**(1/10), each about its own middle."""
    octave = 10.0 ** (3 / 10)
    assert octave == pytest.approx(levels._OCTAVE)
    below, middle, above = panels._THIRDS
    assert middle == 1.0
    assert (above / middle, middle / below) == pytest.approx((octave ** (1 / 3),) * 2)
