"""Heel and scoop: rotation keeps distances, tacks mirror, hand sums, refusals."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.physics.hull import heel

EXACT = 1e-12
HAND = 0.005  # the hand sums below are written to a centimetre
KNOT = 1852.0 / 3600.0
HAND_DEGREE = 0.1  # hand sums of angles, one decimal and its last digit
HAND_SCOOP = 0.06  # heads to two digits, the larger ones to 0.1 m


def test_upright_boat_leaves_the_height_alone() -> None:
    assert heel.height_at_heel(-0.4, 0.7) == -0.4


def test_starboard_goes_down_and_bow_goes_down() -> None:
    lean = 0.2
    assert heel.height_at_heel(0.0, 1.0, heel=lean) < 0 < heel.height_at_heel(0.0, -1.0, heel=lean)
    bow = heel.height_at_heel(0.0, 0.0, 0.0, 0.0, 0.05, 5.0)
    stern = heel.height_at_heel(0.0, 0.0, 10.0, 0.0, 0.05, 5.0)
    assert bow < 0 < stern
    assert bow == pytest.approx(-stern)


def test_tacks_mirror() -> None:
    lean = np.linspace(-0.6, 0.6, 25)
    one = heel.height_at_heel(-0.3, 0.5, heel=lean)
    other = heel.height_at_heel(-0.3, -0.5, heel=-lean)
    np.testing.assert_allclose(one, other, atol=EXACT)


def test_rotation_keeps_the_distance_from_the_axis() -> None:
    lean = np.linspace(-1.5, 1.5, 61)
    down = heel.height_at_heel(-0.3, 0.5, heel=lean)
    # the sideways place after rotation is the height of the same point a quarter turn on
    side = -heel.height_at_heel(-0.5, -0.3, heel=lean)
    np.testing.assert_allclose(down**2 + side**2, 0.34, rtol=1e-12)


@pytest.mark.parametrize(
    "depth, offset, degrees, left",
    [(0.3, 0.5, 15, 0.16), (0.3, 0.5, 30, 0.01), (0.5, 0.8, 20, 0.20), (0.5, 1.2, 20, 0.06)],
)
def test_immersion_by_hand(depth: float, offset: float, degrees: float, left: float) -> None:
    lean = np.radians(degrees)
    assert heel.height_at_heel(-depth, -offset, heel=lean) == pytest.approx(-left, abs=HAND)


@pytest.mark.parametrize(
    "height, offset, degrees",
    # an intake 0.3 m deep and 0.8 m out comes out; an outlet 100 mm up and 1.8 m out goes under
    [(-0.3, -0.8, 20.6), (0.1, 1.8, 3.2)],
)
def test_a_point_meets_the_waterline_where_said(
    height: float, offset: float, degrees: float
) -> None:
    before, after = np.radians(degrees - HAND_DEGREE), np.radians(degrees + HAND_DEGREE)
    one = heel.height_at_heel(height, offset, heel=before)
    assert one * heel.height_at_heel(height, offset, heel=after) < 0.0


@pytest.mark.parametrize("slope, degrees", [(0.02, 1.1), (0.1, 5.7), (0.27, 15.1), (0.36, 19.8)])
def test_a_run_across_the_boat_is_level_at_its_slope(slope: float, degrees: float) -> None:
    before, after = np.radians(degrees - HAND_DEGREE), np.radians(degrees + HAND_DEGREE)
    assert heel.height_at_heel(slope, 1.0, heel=before) > 0.0
    assert heel.height_at_heel(slope, 1.0, heel=after) < 0.0


@pytest.mark.parametrize(
    "knots, height", [(5, 0.34), (6, 0.49), (8, 0.86), (10, 1.35), (15, 3.0), (20, 5.4)]
)
def test_perfect_scoop(knots: float, height: float) -> None:
    assert heel.scoop_head(knots * KNOT, 1.0) == pytest.approx(height, abs=HAND_SCOOP)


def test_scoop_is_odd_in_recovery_and_grows_with_speed() -> None:
    speed = np.linspace(0.0, 10.0, 21)
    ahead = heel.scoop_head(speed, 0.5)
    assert np.all(np.diff(ahead) > 0)
    np.testing.assert_array_equal(heel.scoop_head(speed, -0.5), -ahead)


def test_scalar_equals_array() -> None:
    lean = np.linspace(-0.4, 0.4, 9)
    together = heel.height_at_heel(-0.3, 0.5, 3.0, lean, 0.02, 5.0)
    alone = [heel.height_at_heel(-0.3, 0.5, 3.0, float(one), 0.02, 5.0) for one in lean]
    np.testing.assert_array_equal(together, alone)
    assert isinstance(alone[0], float)


def test_refusals() -> None:
    with pytest.raises(RangeError):
        heel.height_at_heel(0.0, 0.0, heel=15.0)  # degrees where radians are due
    for angle in (-1.6, 1.6):  # a quarter turn is 1.571
        with pytest.raises(RangeError):
            heel.height_at_heel(0.0, 0.0, heel=angle)
        with pytest.raises(RangeError):
            heel.height_at_heel(0.0, 0.0, trim=angle)
    with pytest.raises(RangeError):
        heel.scoop_head(-1.0, 0.5)
    with pytest.raises(RangeError):
        heel.scoop_head(3.0, 1.01)  # no fitting gives back more than the speed is worth
    with pytest.raises(RangeError):
        heel.scoop_head(3.0, -1.01)
