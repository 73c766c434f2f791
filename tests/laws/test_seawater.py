"""Laws that seawater must keep: direction of every change, scalars as arrays, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.ranges import RangeError
from seaflow.base.sources import outside
from seaflow.physics.water import seawater as sea

TWO = (
    sea.density,
    sea.heat_capacity,
    sea.dynamic_viscosity,
    sea.thermal_conductivity,
    sea.vapour_pressure,
)
FIELDS = (
    "density",
    "heat_capacity",
    "dynamic_viscosity",
    "kinematic_viscosity",
    "thermal_conductivity",
    "prandtl",
    "vapour_pressure",
)
WARM = np.linspace(4.0, 45.0, 83)  # fresh water is densest near 4 degC
SALT = np.linspace(0.0, 50.0, 51)


def test_warmer_water_is_lighter_thinner_conducts_better_and_boils_sooner():
    for salinity in (0.0, 7.0, 35.0, 50.0):
        assert np.all(np.diff(sea.density(WARM, salinity)) < 0)
        assert np.all(np.diff(sea.dynamic_viscosity(WARM, salinity)) < 0)
        assert np.all(np.diff(sea.thermal_conductivity(WARM, salinity)) > 0)
        assert np.all(np.diff(sea.vapour_pressure(WARM, salinity)) > 0)


def test_saltier_water_is_heavier_thicker_holds_less_heat_and_freezes_later():
    for temperature in (1.0, 15.0, 30.0, 45.0):
        assert np.all(np.diff(sea.density(temperature, SALT)) > 0)
        assert np.all(np.diff(sea.dynamic_viscosity(temperature, SALT)) > 0)
        assert np.all(np.diff(sea.heat_capacity(temperature, SALT)) < 0)
        assert np.all(np.diff(sea.thermal_conductivity(temperature, SALT)) < 0)
        assert np.all(np.diff(sea.vapour_pressure(temperature, SALT)) < 0)
    assert np.all(np.diff(sea.freezing_temperature(SALT)) < 0)


@pytest.mark.parametrize("function", TWO)
@given(temperature=st.floats(0.1, 45.0), salinity=st.floats(0.0, 50.0))
def test_scalar_is_array(function, temperature, salinity):
    scalar = function(temperature, salinity)
    array = function(np.array([temperature, temperature]), salinity)
    assert type(scalar) is float
    assert array.shape == (2,)
    assert np.allclose(array, scalar, rtol=1e-14, atol=0)


def test_the_bundle_keeps_scalars_and_shapes():
    scalar = sea.seawater(20.0, 35.0)
    array = sea.seawater(np.full((3, 2), 20.0), np.array([35.0, 36.0]))
    for name in FIELDS:
        assert type(getattr(scalar, name)) is float
        assert getattr(array, name).shape == (3, 2)
        assert getattr(array, name)[0, 0] == pytest.approx(getattr(scalar, name), rel=1e-14)


@pytest.mark.parametrize("function", [*TWO, sea.seawater])
def test_refuses_what_no_sea_is(function):
    with pytest.raises(RangeError, match=r"below freezing, -1\.9"):
        function(-2.5, 35.0)
    with pytest.raises(RangeError, match="below freezing"):
        function(np.array([20.0, -1.0]), np.array([35.0, 0.0]))
    with pytest.raises(RangeError, match="sea temperature must lie"):
        function(46.0, 35.0)
    with pytest.raises(RangeError, match="sea temperature must lie"):
        function(np.nan, 35.0)
    with pytest.raises(RangeError, match="salinity must not be negative"):
        function(20.0, -1.0)
    with pytest.raises(RangeError, match="salinity must lie"):
        function(20.0, 51.0)


def test_freezing_temperature_refuses():
    for salinity in (-1.0, 51.0, np.nan):
        with pytest.raises(RangeError, match="salinity must lie"):
            sea.freezing_temperature(salinity)


def test_water_at_its_freezing_point_is_still_water():
    for salinity in SALT:
        assert sea.density(sea.freezing_temperature(salinity), salinity) > 999.0
    assert sea.density(0.0, 0.0) > 999.8


def test_below_zero_the_extension_is_said():
    (left,) = outside(sea.seawater, sea_temperature=-1.5, salinity=35.0)
    assert (left.quantity, left.value, left.limit) == ("sea_temperature", -1.5, 0.0)
    assert outside(sea.dynamic_viscosity, sea_temperature=-1.5, salinity=35.0)
    assert not outside(sea.seawater, sea_temperature=15.0, salinity=35.0)


def test_no_step_at_zero_degrees():
    for name in FIELDS:
        below, above = (getattr(sea.seawater(t, 35.0), name) for t in (-1e-6, 1e-6))
        assert below == pytest.approx(above, rel=1e-6)
