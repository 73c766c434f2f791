"""Seawater against independent libraries, over the whole range the package accepts."""

import warnings

import CoolProp.CoolProp as coolprop
import gsw
import iapws
import numpy as np
import pytest

from seaflow.physics.water import seawater as sea

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the old library says at import that it is superseded
    import seawater as eos80
    from seawater.library import T90conv as t90

PRACTICAL = 35.0 / 35.16504  # practical over absolute salinity of standard seawater
DENSITY_ATOL = 0.03  # kg/m3; the 1980 equation is fitted to 40 degC and 42 g/kg
CAPACITY_RTOL = 1.5e-3  # the two standards differ by 0.11 %
POLYNOMIAL_DENSITY_RTOL = 1e-3  # stated accuracy of the density they were fitted to (from memory)
VISCOSITY_RTOL = 0.015  # stated accuracy of our viscosity
CONDUCTIVITY_RTOL = 2e-3  # found between our equation and the guideline
VAPOUR_RTOL = 3e-3  # published forms agree to 0.3 %
CHECK_ATOL = 5e-6  # digits of the published check values

GRID = [(t, s) for t in np.linspace(0.5, 45.0, 12) for s in np.linspace(0.0, 50.0, 6)]
TEMPERATURE, SALINITY = np.array(GRID).T


def test_density_and_capacity_against_the_1980_equation():
    fitted = (SALINITY <= 42.0) & (TEMPERATURE <= 40.0)
    t, s = TEMPERATURE[fitted], SALINITY[fitted]
    assert np.allclose(sea.density(t, s), eos80.dens0(s * PRACTICAL, t), rtol=0, atol=DENSITY_ATOL)
    inside = t <= 35.0
    old = eos80.cp(s[inside] * PRACTICAL, t[inside], 0)
    assert np.allclose(sea.heat_capacity(t[inside], s[inside]), old, rtol=CAPACITY_RTOL)


def test_density_and_viscosity_against_fitted_polynomials():
    for t, s in GRID:
        fluid = f"INCOMP::MITSW[{s / 1000:g}]"
        at = ("T", t + 273.15, "P", 101325)
        assert sea.density(t, s) == pytest.approx(
            coolprop.PropsSI("D", *at, fluid), rel=POLYNOMIAL_DENSITY_RTOL
        )
        assert sea.dynamic_viscosity(t, s) == pytest.approx(
            coolprop.PropsSI("V", *at, fluid), rel=VISCOSITY_RTOL
        )


def test_conductivity_against_the_guideline():
    for t, s in GRID:
        guideline = iapws.SeaWater(T=t + 273.15, P=0.101325, S=s / 1000).k
        assert sea.thermal_conductivity(t, s) == pytest.approx(guideline, rel=CONDUCTIVITY_RTOL)


def test_pure_water_viscosity_and_conductivity():
    pure_rtol = {"viscosity": 2e-3, "conductivity": 2e-3}  # equations for pure water, 0.1 % each
    for t in np.linspace(0.5, 45.0, 15):
        water = iapws.IAPWS97(T=t + 273.15, P=0.101325)
        assert sea.dynamic_viscosity(t, 0.0) == pytest.approx(water.mu, rel=pure_rtol["viscosity"])
        assert sea.thermal_conductivity(t, 0.0) == pytest.approx(
            water.k, rel=pure_rtol["conductivity"]
        )


def test_vapour_pressure_against_water_activity():
    for t, s in GRID:
        pure = coolprop.PropsSI("P", "T", t + 273.15, "Q", 0, "Water")
        potential = gsw.chem_potential_water_t_exact([s, 0.0], t, 0)
        activity = np.exp(1000 * (potential[0] - potential[1]) / (461.51805 * (t + 273.15)))
        # below 20 degC the source states 0.91 %, but it is found far better
        assert sea.vapour_pressure(t, s) == pytest.approx(pure * activity, rel=VAPOUR_RTOL)


def test_freezing_point_against_the_1980_equation():
    s = np.linspace(1.0, 40.0, 20)
    assert np.allclose(sea.freezing_temperature(s), eos80.fp(s * PRACTICAL, 0), rtol=0, atol=0.005)


def test_the_bundle_is_the_functions():
    bundle = sea.seawater(TEMPERATURE, SALINITY)
    for name in (
        "density",
        "heat_capacity",
        "dynamic_viscosity",
        "thermal_conductivity",
        "vapour_pressure",
    ):
        assert np.array_equal(getattr(bundle, name), getattr(sea, name)(TEMPERATURE, SALINITY))
    assert np.allclose(bundle.kinematic_viscosity * bundle.density, bundle.dynamic_viscosity)
    diffusivity = bundle.thermal_conductivity / bundle.volumetric_heat_capacity
    assert np.allclose(bundle.prandtl * diffusivity, bundle.kinematic_viscosity)


def test_the_old_library_reproduces_its_published_check_values():
    """What we compare with is itself checked: UNESCO 44, values from memory (1968 scale)."""
    assert eos80.dens(0, t90(5.0), 0) == pytest.approx(999.96675, abs=CHECK_ATOL)
    assert eos80.dens(35, t90(5.0), 0) == pytest.approx(1027.67547, abs=CHECK_ATOL)
    assert eos80.dens(35, t90(25.0), 0) == pytest.approx(1023.34306, abs=CHECK_ATOL)
    assert eos80.dens(35, t90(25.0), 10000) == pytest.approx(1062.53817, abs=CHECK_ATOL)
    assert eos80.cp(40, t90(40.0), 10000) == pytest.approx(3849.500, abs=5.01e-4)
    assert eos80.fp(40, 500) == pytest.approx(-2.588567 / 1.00024, abs=1e-6)


def test_the_new_library_reproduces_its_published_freezing_points():
    """At 10 dbar, so not askable of our surface function (help page of another gsw)."""
    assert gsw.t_freezing_poly(34.7118, 10, 1) == pytest.approx(-1.902704434299200, abs=2e-4)
    assert gsw.t_freezing(34.7118, 10, 1) == pytest.approx(-1.902730710149803, abs=1e-6)


def test_absolute_pressure_passed_as_sea_pressure_would_be_seen():
    atmosphere = 10.1325  # dbar
    wrong = gsw.rho_t_exact(35.16504, 15.0, atmosphere)
    assert wrong == pytest.approx(1026.021, abs=5.01e-4)
    assert abs(sea.density(15.0, 35.16504) - wrong) > 0.04
