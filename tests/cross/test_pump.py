"""Pump curves by an independent route: scipy's monotone cubic, solved examples, differences."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from seaflow.physics.pumping.pump import (
    curve_from_ends,
    curve_from_points,
    head,
    head_and_slope,
)
from seaflow.physics.pumping.pump_curve import Knots
from seaflow.physics.pumping.pump_power import share_at_speed

SAME_FORMULA = 1e-12  # both routes evaluate the same cubic in double precision
DIFFERENCE_RATIO = 1e-6  # error of a central difference over this step
PRINTED = 1e-3  # the page prints two decimals of 8.18 and 53.46 and says "about"


def _falling_points(seed: int) -> tuple[np.ndarray, np.ndarray]:
    random = np.random.default_rng(seed)
    n_points = int(random.integers(2, 9))
    places = np.cumsum(random.uniform(0.05, 1.0, n_points))
    values = np.cumsum(random.uniform(0.05, 1.0, n_points))[::-1]
    places = (places - places[0]) / (places[-1] - places[0])
    values = (values - values[-1]) / (values[0] - values[-1])
    return places, values


@pytest.mark.parametrize("seed", range(60))
def test_monotone_cubic_is_pchip(seed: int) -> None:
    places, values = _falling_points(seed)
    ours, theirs = Knots.through(places, values), PchipInterpolator(places, values)
    # our own floor on the last slope is the only difference, and it touches the last piece only
    floored = abs(ours.slopes[-1] - theirs.derivative()(1.0)) > SAME_FORMULA
    at = np.linspace(0.0, places[-2] if floored else 1.0, 501)
    value, slope = ours.at(at)
    np.testing.assert_allclose(value, theirs(at), atol=SAME_FORMULA)
    np.testing.assert_allclose(slope, theirs.derivative()(at), atol=1e3 * SAME_FORMULA)


@pytest.mark.parametrize("rise", [0.005, 0.02, 0.3])
def test_the_cubic_of_a_curve_that_rises_at_first_is_pchip_too(rise: float) -> None:
    """Where the second piece turns steeply, the slope at the start is held to three secants."""
    places, values = np.array([0.0, 0.25, 0.6, 1.0]), np.array([1.0, 1.0 + rise, 0.5, 0.0])
    at = np.linspace(0.0, places[-2], 301)
    value, slope = Knots.through(places, values).at(at)
    theirs = PchipInterpolator(places, values)
    np.testing.assert_allclose(value, theirs(at), atol=SAME_FORMULA)
    np.testing.assert_allclose(slope, theirs.derivative()(at), atol=1e3 * SAME_FORMULA)


def test_most_curves_need_no_floor() -> None:
    floored = 0
    for seed in range(60):
        places, values = _falling_points(seed)
        theirs = PchipInterpolator(places, values).derivative()(1.0)
        floored += abs(Knots.through(places, values).slopes[-1] - theirs) > SAME_FORMULA
    assert floored < 20


def test_linear_pump_on_quadratic_system() -> None:
    # Web page, worked example: 60 - 0.8 Q meets 20 + 0.5 Q^2 near Q 8.18, H 53.46.
    curve = curve_from_ends(60.0, 75.0, 1.0)
    flow = 8.17998
    assert head(curve, flow, 1.0) == pytest.approx(53.45602, abs=PRINTED)
    assert 20.0 + 0.5 * flow**2 == pytest.approx(head(curve, flow, 1.0), abs=PRINTED)


@pytest.mark.parametrize("lift", [0.0, 0.5, 2.0])
def test_parabola_meets_parabola(lift: float) -> None:
    # Closed form: a + b Q^2 = c - d Q^2 at Q = sqrt((c - a) / (b + d)).
    shut_off, free, resistance = 4.6, 6.3e-4, 2.0e7
    fall = shut_off / free**2
    flow = np.sqrt((shut_off - lift) / (resistance + fall))
    meeting = head(curve_from_ends(shut_off, free, 2.0), flow, 1.0)
    assert meeting == pytest.approx(lift + resistance * flow**2, rel=SAME_FORMULA)


@pytest.mark.parametrize("exponent", [1.0, 1.5, 1.8, 2.0, 3.0, 5.0])
def test_ends_found_again_from_inside_points(exponent: float) -> None:
    shut_off, free = 4.6, 6.3e-4
    flows = free * np.array([0.2, 0.5, 0.8])
    curve = curve_from_points(flows, shut_off * (1.0 - (flows / free) ** exponent))
    assert curve.shut_off_head == pytest.approx(shut_off, rel=1e-8)  # fifty halvings of 5
    assert curve.free_flow == pytest.approx(free, rel=1e-8)


SHAPES = [
    curve_from_ends(4.0, 4e-4),
    curve_from_ends(4.0, 4e-4, 1.0),
    curve_from_ends(4.0, 4e-4, 4.0),
    curve_from_points(np.array([0.0, 1e-4, 2e-4, 3e-4, 4e-4]), np.array([4.0, 3.9, 3.0, 1.9, 0.0])),
]


@pytest.mark.parametrize("curve", SHAPES)
@pytest.mark.parametrize("speed", [0.0, 0.3, 0.83, 1.0, 1.2])
def test_slope_is_the_difference(curve: object, speed: float) -> None:
    step = 1e-10
    flow = np.linspace(-3e-4, 7e-4, 997)  # 997 misses the knots
    _, slope = head_and_slope(curve, flow, speed)
    above, below = (
        head_and_slope(curve, flow + step, speed),
        head_and_slope(curve, flow - step, speed),
    )
    difference = (above[0] - below[0]) / (2.0 * step)
    scale = 4.0 / 4e-4
    np.testing.assert_allclose(slope, difference, atol=20 * DIFFERENCE_RATIO * scale, rtol=1e-4)


@pytest.mark.parametrize("curve", SHAPES)
@pytest.mark.parametrize("speed", [0.4, 0.8333, 1.1])
def test_affinity_moves_every_point_of_the_curve(curve: object, speed: float) -> None:
    flow = np.linspace(0.0, 6e-4, 61)
    at_rated = head_and_slope(curve, flow, 1.0)[0]
    np.testing.assert_allclose(head(curve, flow * speed, speed), at_rated * speed**2, atol=1e-12)


def regulated_losses(load: float) -> float:
    """Losses of a motor at part load over those at full, by a rule for pumps (10 CFR 431)."""
    return -0.4508 * load**3 + 1.2399 * load**2 - 0.4301 * load + 0.641


@pytest.mark.parametrize("speed", [0.3, 0.5, 0.7, 0.9])
def test_power_at_low_speed_lies_between_the_cube_and_the_rule_for_larger_motors(speed) -> None:
    """With a motor of 70 %, whose losses by the rule hardly fall at part load."""
    by_rule = 0.7 * speed**3 + 0.3 * regulated_losses(speed**3)
    assert speed**3 < share_at_speed(speed) < by_rule
