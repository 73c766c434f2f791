"""Laws of friction: no jump, head loss rises with flow, scalars as arrays, refusals."""

import warnings

import numpy as np
import pytest
from by_model import head_gradient, hose_head_loss
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.ranges import RangeError
from seaflow.base.sources import outside
from seaflow.physics.flow import friction
from seaflow.physics.water.seawater import seawater

ROUGHNESSES = (0.0, 1e-5, 5e-4, 5e-3, 0.05, 0.3)
EVERYWHERE = np.geomspace(1.0, 1e7, 4001)
SLOPE_ATOL = 2e-6  # central difference with a step of 1e-5 in the logarithm


@pytest.mark.parametrize("rough", ROUGHNESSES)
def test_head_loss_rises_with_flow(rough):
    loss = friction.darcy_friction_factor(EVERYWHERE, rough) * EVERYWHERE**2
    assert np.all(np.diff(loss) > 0)
    assert np.all(friction.friction_factor_and_slope(EVERYWHERE, rough)[1] >= -1.0)


@pytest.mark.parametrize("rough", ROUGHNESSES)
@pytest.mark.parametrize("join", [2000.0, 4000.0])
def test_value_and_slope_are_continuous_at_the_joins(rough, join):
    below = friction.friction_factor_and_slope(join * (1 - 1e-9), rough)
    above = friction.friction_factor_and_slope(join * (1 + 1e-9), rough)
    assert np.allclose(below, above, rtol=1e-7, atol=1e-7)


@pytest.mark.parametrize("rough", ROUGHNESSES)
def test_slope_is_the_derivative(rough):
    step = 1e-5
    reynolds = np.geomspace(100.0, 1e7, 500)
    up = friction.friction_factor_and_slope(reynolds * np.exp(step), rough)[0]
    down = friction.friction_factor_and_slope(reynolds * np.exp(-step), rough)[0]
    slope = friction.friction_factor_and_slope(reynolds, rough)[1]
    numeric = np.log(up / down) / (2 * step)
    kink = np.minimum(np.abs(reynolds / 2000 - 1), np.abs(reynolds / 4000 - 1)) < 1e-4
    assert np.allclose(slope[~kink], numeric[~kink], rtol=0, atol=SLOPE_ATOL)


def test_rougher_is_never_smoother():
    rough = np.linspace(0.0, 0.3, 200)
    for reynolds in (2500.0, 5e3, 3e4, 1e6):
        assert np.all(np.diff(friction.darcy_friction_factor(reynolds, rough)) > 0)
    assert np.ptp(friction.darcy_friction_factor(1500.0, rough)) == 0


def test_fully_rough_limit():
    rough = np.array([1e-3, 1e-2, 0.05])
    limit = (-2 * np.log10(rough / 3.7)) ** -2.0
    slope_left = 1e-5  # of the viscous term at this Reynolds number
    assert np.allclose(friction.darcy_friction_factor(1e10, rough), limit, rtol=slope_left)


def test_still_water_neither_warns_nor_gives_nan():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for still in (0.0, np.zeros(3), np.array([0.0, 3000.0, 1e5])):
            factor, slope = friction.friction_factor_and_slope(still, 1e-4)
            assert np.all(np.isfinite(factor))
            assert np.all(np.isfinite(slope))
        assert hose_head_loss(0.0, 0.019, 3.0, 1e-5, 1e-6) == 0.0
        assert friction.coil_friction_multiplier(0.0, 0.0127, 0.2) == 1.0


def test_hot_form_broadcasts():
    reynolds = np.array([[500.0], [3000.0], [1e5]])
    rough = np.array([0.0, 1e-3])
    factor, slope = friction.friction_factor_and_slope(reynolds, rough)
    assert factor.shape == slope.shape == (3, 2)
    for i in range(3):
        for j in range(2):
            alone = friction.friction_factor_and_slope(float(reynolds[i, 0]), float(rough[j]))
            assert np.allclose((factor[i, j], slope[i, j]), alone, rtol=1e-14)
    assert friction.friction_factor_and_slope(1500.0, rough)[0].shape == (2,)
    assert friction.friction_factor_and_slope(reynolds[:0], 0.0)[0].shape == (0, 1)


def test_long_arrays_are_the_same_as_short_ones():
    reynolds = np.geomspace(10.0, 1e7, 9001)
    for rough in (1e-4, np.linspace(0.0, 0.05, 9001)):
        whole = np.array(friction.friction_factor_and_slope(reynolds, rough))
        spread = np.broadcast_to(rough, reynolds.shape)
        parts = [
            np.array(
                friction.friction_factor_and_slope(reynolds[i : i + 1000], spread[i : i + 1000])
            )
            for i in range(0, 9001, 1000)
        ]
        assert np.allclose(whole, np.concatenate(parts, axis=1), rtol=1e-14, atol=0)


def test_hot_form_leaves_its_inputs_alone():
    reynolds, rough = np.array([0.0, 3000.0, 1e5]), np.array([0.0, 1e-3, 1e-3])
    kept = reynolds.copy(), rough.copy()
    friction.friction_factor_and_slope(reynolds, rough)
    friction.friction_factor_and_slope(reynolds + 5000.0, rough)
    assert np.array_equal(reynolds, kept[0])
    assert np.array_equal(rough, kept[1])


@given(reynolds=st.floats(0.0, 1e8), rough=st.floats(0.0, 0.5))
def test_scalar_is_array(reynolds, rough):
    scalar = friction.darcy_friction_factor(reynolds, rough)
    array = friction.darcy_friction_factor(np.array([reynolds, reynolds]), rough)
    assert type(scalar) is float
    assert np.allclose(array, scalar, rtol=1e-13, atol=0)


def test_loss_is_linear_in_length_and_steep_in_bore():
    def loss(**change):
        usual = {
            "volume_flow": 4e-4,
            "bore": 0.019,
            "length": 2.0,
            "roughness": 1e-5,
            "kinematic_viscosity": 1e-6,
        }
        return hose_head_loss(**(usual | change))

    assert loss(length=6.0) == pytest.approx(3 * loss(), rel=1e-14)
    bores = np.linspace(0.01, 0.05, 80)
    assert np.all(np.diff(loss(bore=bores)) < 0)
    # between the laminar fourth and the fully rough fifth power
    power = -np.diff(np.log(loss(bore=bores))) / np.diff(np.log(bores))
    assert np.all((power > 3.9) & (power < 5.4))


def test_cold_water_costs_eight_to_twelve_percent_more_head():
    for bore, flow in ((0.015875, 24.0), (0.01905, 24.0), (0.0254, 36.0)):
        cold, warm = (
            head_gradient(
                flow / 60000, bore, 1e-5, seawater(temperature, 35.16504).kinematic_viscosity
            )
            for temperature in (10.0, 30.0)
        )
        assert 1.08 < cold / warm < 1.12


@pytest.mark.parametrize("ratio", [1e-4, 1e-3, 0.01, 0.0635, 0.2, 0.5])
def test_coil_never_eases_the_flow_and_never_jumps(ratio):
    reynolds = np.geomspace(1.0, 3e5, 20001)
    factor = friction.coil_friction_multiplier(reynolds, ratio, 1.0)
    assert np.all(factor >= 1.0)
    steps = np.abs(np.diff(np.log(factor))) / np.diff(np.log(reynolds))
    assert steps.max() < 3.0  # a jump would be hundreds on this grid
    loss = factor * friction.darcy_friction_factor(reynolds, 0.0) * reynolds**2
    assert np.all(np.diff(loss) > 0)


def test_tighter_coil_costs_more():
    ratios = np.linspace(0.005, 0.3, 100)
    for reynolds in (1000.0, 2e4, 1e5):
        assert np.all(np.diff(friction.coil_friction_multiplier(reynolds, ratios, 1.0)) >= 0)


def test_mainstream_coil_lies_between_a_fifth_and_two_fifths_above_straight():
    assert 1.2 < friction.coil_friction_multiplier(3e4, 0.0127, 0.2) < 1.4


REFUSED = [
    (friction.reynolds_number, (-1.0, 0.02, 1e-6), "velocity must not be negative"),
    (friction.reynolds_number, (1.0, 0.0, 1e-6), "bore must be above zero"),
    (friction.reynolds_number, (1.0, 0.02, 0.0), "kinematic viscosity must be above zero"),
    (friction.darcy_friction_factor, (-5.0, 0.0), "reynolds number must not be negative"),
    (friction.darcy_friction_factor, (np.nan, 0.0), "reynolds number must not be negative"),
    (friction.darcy_friction_factor, (1e5, -1e-3), "relative roughness must lie"),
    (friction.darcy_friction_factor, (1e5, 0.6), "relative roughness must lie"),
    (friction.coil_friction_multiplier, (-1.0, 0.0127, 0.2), "reynolds number must not"),
    (friction.coil_friction_multiplier, (1e4, 0.0, 0.2), "bore must be above zero"),
    (friction.coil_friction_multiplier, (1e4, 0.2, 0.1), "bore over coil diameter must lie"),
    (friction.coil_friction_multiplier, (1e4, 0.2, 0.0), "coil diameter must be above zero"),
    (friction.corrugated_friction_factor, (0.0, 0.004), "bore must be above zero"),
    (friction.corrugated_friction_factor, (0.02, 0.0), "corrugation pitch must be above zero"),
]


@pytest.mark.parametrize(("function", "values", "words"), REFUSED)
def test_refuses(function, values, words):
    with pytest.raises(RangeError, match=words):
        function(*values)


def test_outside_the_source_is_said():
    assert outside(friction.darcy_friction_factor, reynolds_number=2900.0)
    assert not outside(friction.darcy_friction_factor, reynolds_number=29000.0)


def test_corrugated_is_far_rougher_than_smooth():
    pitch = np.linspace(0.001, 0.01, 50)
    factor = friction.corrugated_friction_factor(0.019, pitch)
    assert np.all(np.diff(factor) > 0)  # deeper corrugations go with a longer pitch
    assert np.all(factor > friction.darcy_friction_factor(3e4, 0.0))
