"""Laws of fittings, screens and openings: limits, directions, scalars as arrays, refusals."""

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import RangeError
from seaflow.model.losses import shared_fitting
from seaflow.physics.flow import fittings, junctions, screens
from seaflow.physics.hull import openings

BORES = st.floats(0.006, 0.1)


@given(from_bore=BORES, to_bore=BORES, flow=st.floats(1e-5, 5e-3))
def test_a_transferred_coefficient_loses_the_same_head(from_bore, to_bore, flow):
    moved = fittings.transfer_coefficient(2.0, from_bore, to_bore)
    here = 2.0 * fittings.velocity_head(fittings.velocity(flow, from_bore))
    there = moved * fittings.velocity_head(fittings.velocity(flow, to_bore))
    assert there == pytest.approx(here, rel=1e-12)


@given(first=BORES, second=BORES)
def test_steps_and_barbs_are_never_negative_and_vanish_without_a_step(first, second):
    assert fittings.step_coefficient(first, second) >= 0
    assert fittings.barb_coefficient(first, second) >= 0
    assert fittings.step_coefficient(first, first) == 0
    assert fittings.barb_coefficient(first, first) == 0
    assert fittings.barb_coefficient(max(first, second), min(first, second)) == 0


def test_step_is_a_contraction_one_way_and_an_expansion_the_other():
    widening = fittings.step_coefficient(0.019, 0.025)
    assert widening == pytest.approx((1.0 - (19.0 / 25.0) ** 2) ** 2)  # Borda and Carnot
    assert fittings.step_coefficient(0.025, 0.019) > widening
    assert fittings.step_coefficient(0.019, 1e6) == pytest.approx(1.0)  # all speed is lost


def test_barb_is_its_three_parts():
    bore, hose = 0.0143, 0.01905
    parts = fittings.step_coefficient(hose, bore)
    parts += 0.03 * 0.03 / bore
    parts += fittings.step_coefficient(bore, hose)
    whole = fittings.transfer_coefficient(parts, bore, hose)
    assert fittings.barb_coefficient(bore, hose) == pytest.approx(whole, rel=1e-14)


def test_narrower_barb_costs_more():
    bores = np.linspace(0.008, 0.019, 50)
    assert np.all(np.diff(fittings.barb_coefficient(bores, 0.0191)) < 0)


def test_ball_valve_closes_steeply_and_without_end():
    share = np.linspace(1e-3, 1.0, 500)
    loss = fittings.ball_valve_coefficient(share)
    assert np.all(np.diff(loss) < 0)
    assert np.all(np.isfinite(loss))
    assert fittings.ball_valve_coefficient(0.1) > 1000
    # below a third open the logarithm carries on as straight as before
    slopes = np.diff(np.log(fittings.ball_valve_coefficient(np.array([0.1, 0.2, 0.3, 0.4, 0.5]))))
    assert np.allclose(slopes, slopes[0], rtol=1e-12, atol=0)


def test_screen_limits():
    share = np.linspace(0.01, 1.0, 500)
    loss = screens.screen_coefficient(share)
    assert np.all(np.diff(loss) < 0)
    assert loss[-1] == 0
    assert loss[0] > 1e4


def test_strainers_rise_with_blockage():
    blockage = np.linspace(0.0, 0.999, 500)
    by_size = screens.strainer_coefficient(0.025, 0.005, 0.5, blockage)
    by_table = screens.table_strainer_coefficient(blockage)
    assert np.all(np.diff(by_size) > 0)
    assert np.all(np.diff(by_table) > 0)
    assert np.all(np.isfinite(by_table))


def test_the_two_strainer_models_differ_by_more_than_ten_at_four_fifths():
    by_size = screens.strainer_coefficient(0.025, 0.005, 0.5, 0.8)
    assert screens.table_strainer_coefficient(0.8) > 10 * by_size


def test_table_strainer_goes_on_with_the_last_slope():
    ratio = 1500.0 / 100.0
    beyond = screens.table_strainer_coefficient(0.98)
    assert beyond == pytest.approx(1500.0 * ratio ** (0.03 / 0.15), rel=1e-12)


def test_jet_grows_with_the_root_of_depth_and_the_square_of_bore():
    one = openings.jet_flow(0.025, 0.5)
    assert openings.jet_flow(0.025, 2.0) == pytest.approx(2 * one, rel=1e-14)
    assert openings.jet_flow(0.05, 0.5) == pytest.approx(4 * one, rel=1e-14)
    assert openings.jet_flow(0.025, 0.0) == 0


@given(speed=st.floats(0.0, 20.0), mass=st.floats(990.0, 1035.0))
def test_head_and_pressure_are_inverse_and_speed_is_worth_half_its_square(speed, mass):
    head = fittings.velocity_head(speed)
    pressure = head * mass * GRAVITY
    assert pressure == pytest.approx(0.5 * mass * speed**2, rel=1e-12)
    assert openings.head_of_pressure(pressure, mass) == pytest.approx(head, rel=1e-12)


CALLS = [
    (fittings.velocity, (4e-4, 0.019)),
    (fittings.velocity_head, (1.4,)),
    (fittings.transfer_coefficient, (1.5, 0.015, 0.019)),
    (fittings.barb_coefficient, (0.015, 0.019)),
    (fittings.step_coefficient, (0.015, 0.019)),
    (fittings.ball_valve_coefficient, (0.5,)),
    (fittings.swing_check_coefficient, (0.019,)),
    (screens.screen_coefficient, (0.5,)),
    (screens.strainer_coefficient, (0.025, 0.005, 0.5, 0.3)),
    (screens.table_strainer_coefficient, (0.3,)),
    (openings.jet_flow, (0.025, 0.5)),
    (openings.head_of_pressure, (1e4, 1025.0)),
]


@pytest.mark.parametrize(("function", "values"), CALLS)
def test_scalar_is_array(function, values):
    scalar = function(*values)
    array = function(*(np.full(3, value) for value in values))
    assert type(scalar) is float
    assert array.shape == (3,)
    assert np.allclose(array, scalar, rtol=1e-14, atol=0)


REFUSED = [
    (fittings.velocity, (-1.0, 0.019), "volume flow must not be negative"),
    (fittings.velocity, (1e-4, 0.0), "bore must be above zero"),
    (fittings.velocity_head, (-1.0,), "velocity must not be negative"),
    (fittings.transfer_coefficient, (1.0, 0.0, 0.019), "from bore must be above zero"),
    (fittings.transfer_coefficient, (1.0, 0.019, -1.0), "to bore must be above zero"),
    (fittings.barb_coefficient, (0.0, 0.019), "barb bore must be above zero"),
    (fittings.barb_coefficient, (0.01, 0.019, -0.1), "barb length must not be negative"),
    (fittings.step_coefficient, (0.0, 0.019), "from bore must be above zero"),
    (fittings.ball_valve_coefficient, (0.0,), "open share must be above zero"),
    (fittings.ball_valve_coefficient, (1.1,), "open share must lie"),
    (fittings.swing_check_coefficient, (0.0,), "bore must be above zero"),
    (junctions.converging_branch_coefficient, (0.0, 0.019, 1.0, 1.0), "run bore must be above"),
    (junctions.converging_branch_coefficient, (0.019, 0.02, 1.0, 1.0), "branch bore over run"),
    (junctions.diverging_branch_coefficient, (0.019, 0.019, -1.0, 1.0), "run flow must not"),
    (junctions.diverging_branch_coefficient, (0.019, 0.019, 0.0, 0.0), "needs flow"),
    (junctions.diverging_branch_coefficient, (0.019, 0.019, 1.0, 1.0, 0.1), "branch angle"),
    (screens.screen_coefficient, (0.0,), "open area ratio must be above zero"),
    (screens.screen_coefficient, (1.1,), "open area ratio must lie"),
    (screens.strainer_coefficient, (0.0, 0.01, 0.5), "port bore must be above zero"),
    (screens.strainer_coefficient, (0.02, 0.01, 0.5, 1.0), "blockage must stay below 1"),
    (screens.strainer_coefficient, (0.02, 0.01, 0.5, 0.1, -1.0), "housing coefficient must not"),
    (screens.table_strainer_coefficient, (1.0,), "blockage must stay below 1"),
    (screens.table_strainer_coefficient, (-0.1,), "blockage must lie"),
    (openings.jet_flow, (0.0, 1.0), "bore must be above zero"),
    (openings.jet_flow, (0.02, -1.0), "depth must not be negative"),
    (openings.jet_flow, (0.02, 1.0, 1.5), "discharge coefficient must lie"),
    (openings.head_of_pressure, (1.0, 0.0), "density must be above zero"),
]


@pytest.mark.parametrize(("function", "values", "words"), REFUSED)
def test_refuses(function, values, words):
    with pytest.raises(RangeError, match=words):
        function(*values)


JUNCTIONS = [
    junctions.converging_branch_coefficient,
    junctions.diverging_branch_coefficient,
]


@pytest.mark.parametrize("junction", JUNCTIONS)
def test_a_junction_knows_only_how_the_flow_divides(junction):
    """The same coefficient at every size and flow, for scalars as for arrays."""
    shares = np.array([0.1, 0.35, 0.7])
    many = junction(0.025, 0.019, 3e-4 * (1.0 - shares), 3e-4 * shares, pi / 4)
    one = [junction(0.05, 0.038, 1.0 - float(q), float(q), pi / 4) for q in shares]
    assert all(type(value) is float for value in one)
    assert np.allclose(many, one, rtol=1e-12)


@pytest.mark.parametrize("other", [0.0, 4e-4])
@pytest.mark.parametrize("flow", [0.0, 2e-4, 5e-4])
def test_an_opening_that_others_use_too_costs_the_velocity_head_of_all_its_water(flow, other):
    coefficient, bore = 1.7, 0.025
    told = shared_fitting(coefficient, bore, other)
    powers = sum(one.head * (flow / one.flow) ** one.exponent for one in told.powers)
    lost = told.quadratic * flow**2 + powers + told.constant
    speed = (flow + other) / (pi / 4.0 * bore**2)
    assert lost == pytest.approx(coefficient * speed**2 / (2.0 * GRAVITY), rel=1e-12)
