"""Condensers, tubes and machines against ht, a cycle of real properties and a bisection."""

from __future__ import annotations

from pathlib import Path

import ht
import numpy as np
import pytest
from by_model import build_loops
from fluids.friction import friction_factor

from seaflow.base.tables import read_table
from seaflow.boat.defaults import default
from seaflow.boat.load import load_case
from seaflow.physics.heat import (
    compressor,
    exchanger,
    refrigerant,
    tubes,
)
from seaflow.physics.water.seawater import seawater

CASES = Path(__file__).parents[2] / "cases"
ROUNDING = 1e-12  # the same formula written twice
# Petukhov's friction factor lies up to 4 % above Colebrook's near Re 4000 and within 1.5 % of it
# from Re 20000; two thirds of that reach the Nusselt number.
COLEBROOK_TOLERANCE, COLEBROOK_TOLERANCE_FAST = 0.03, 0.012
BISECTION_TOLERANCE = 1e-7  # K, the last bracket of the bisection

REYNOLDS = np.geomspace(4000.0, 2e5, 40)
PRANDTL = np.linspace(4.0, 14.0, 6)


def test_effectiveness_over_the_range() -> None:
    units = np.linspace(0.01, 8.0, 60)
    truth = [ht.effectiveness_from_NTU(NTU=float(value), Cr=0.0) for value in units]
    np.testing.assert_allclose(exchanger.effectiveness(units), truth, rtol=ROUNDING)
    back = [ht.NTU_from_effectiveness(effectiveness=value, Cr=0.0) for value in truth[:40]]
    np.testing.assert_allclose(exchanger.ntu_from_effectiveness(truth[:40]), back, rtol=1e-9)


def test_rated_conductance_agrees_with_the_mean_temperature_difference() -> None:
    for rise in (2.0, 5.7, 9.0):
        heat = 1022.1 * rise
        ours = exchanger.rated_conductance(heat, 42.0, 30.0, 1022.1)
        mean = ht.LMTD(Thi=42.0, Tho=42.0, Tci=30.0, Tco=30.0 + rise)
        assert ours == pytest.approx(heat / mean, rel=1e-9)


def test_turbulent_nusselt_is_gnielinskis() -> None:
    for prandtl in PRANDTL:
        truth = [
            ht.turbulent_Gnielinski(Re=float(re), Pr=float(prandtl), fd=0.02) for re in REYNOLDS
        ]
        ours = tubes.turbulent_nusselt(REYNOLDS, float(prandtl), 0.02)
        np.testing.assert_allclose(ours, truth, rtol=ROUNDING)


def test_straight_nusselt_over_the_range() -> None:
    for prandtl in PRANDTL:
        truth = [
            ht.turbulent_Gnielinski(
                Re=float(re), Pr=float(prandtl), fd=friction_factor(Re=float(re), eD=0.0)
            )
            for re in REYNOLDS
        ]
        ours = tubes.straight_nusselt(REYNOLDS, float(prandtl))
        np.testing.assert_allclose(ours, truth, rtol=COLEBROOK_TOLERANCE)
        fast = REYNOLDS > 2e4
        np.testing.assert_allclose(ours[fast], np.array(truth)[fast], rtol=COLEBROOK_TOLERANCE_FAST)


def test_straight_nusselt_is_gnielinski_with_petukhovs_friction() -> None:
    for re in REYNOLDS:
        friction = (0.79 * np.log(re) - 1.64) ** -2
        truth = ht.turbulent_Gnielinski(Re=float(re), Pr=6.0, fd=float(friction))
        assert tubes.straight_nusselt(float(re), 6.0) == pytest.approx(truth, rel=ROUNDING)


def test_laminar_nusselt_is_that_of_a_wall_at_one_temperature() -> None:
    assert tubes.straight_nusselt(1000.0, 6.0) == pytest.approx(ht.laminar_T_const(), rel=1e-3)


@pytest.mark.parametrize("curvature", [0.03, 0.0635, 0.1])
def test_coil_nusselt_is_mori_and_nakayamas_when_turbulent(curvature: float) -> None:
    for prandtl in PRANDTL:
        for re in np.geomspace(22000.0, 1.5e5, 12):
            truth = ht.helical_turbulent_Nu_Mori_Nakayama(float(re), float(prandtl), curvature, 1.0)
            floor = float(tubes.straight_nusselt(float(re), float(prandtl)))
            ours = tubes.coil_nusselt(float(re), float(prandtl), curvature)
            assert ours == pytest.approx(max(truth, floor), rel=1e-12)


@pytest.mark.parametrize("curvature", [0.03, 0.0635, 0.08])
def test_coil_nusselt_lies_among_the_published_correlations(curvature: float) -> None:
    coils = (
        ht.helical_turbulent_Nu_Schmidt,
        ht.helical_turbulent_Nu_Xin_Ebadian,
        ht.helical_turbulent_Nu_Mori_Nakayama,
    )
    for re in np.geomspace(22000.0, 1e5, 8):
        published = [coil(float(re), 5.0, curvature, 1.0) for coil in coils]
        published.append(float(tubes.straight_nusselt(float(re), 5.0)))
        ours = tubes.coil_nusselt(float(re), 5.0, curvature)
        assert min(published) * (1 - ROUNDING) <= ours <= max(published) * (1 + ROUNDING)


def test_fouling_acts_as_in_ht() -> None:
    plain = tubes.tube_conductance(5000.0, 0.3, 3000.0, 0.3, 0.0, 0.0)
    scaled = tubes.tube_conductance(5000.0, 0.3, 3000.0, 0.3, 0.0, 8.8e-5)
    assert 1.0 / scaled - 1.0 / plain == pytest.approx(8.8e-5 / 0.3, rel=1e-9)


# --- a cycle with real properties -------------------------------------------------------------

EVAPORATING, SUPERHEAT, SUBCOOLING, ISENTROPIC = 7.0, 8.0, 5.0, 0.65
CYCLE_FLUIDS = ("R-134a", "R-410A", "R-32", "R-290", "R-22")
# The rows of the table are 2.5 K apart, and the mean of two pressures stands for the pressure of
# the mean temperature.
CYCLE_TOLERANCE = 0.005


def cycle(name: str, condensing: float) -> tuple[float, float]:
    """Return capacity and power for a swept volume flow of 1 m3/s, by the library itself."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    fluid = str(read_table("refrigerants.toml")["refrigerant"][name]["library_name"])
    low, high = (
        0.5 * sum(props("P", "T", at + 273.15, "Q", quality, fluid) for quality in (0, 1))
        for at in (EVAPORATING, condensing)
    )
    suction = EVAPORATING + SUPERHEAT + 273.15
    inlet = {out: props(out, "T", suction, "P", low, fluid) for out in "HSD"}
    work = props("H", "P", high, "S", inlet["S"], fluid) - inlet["H"]
    liquid = props("H", "T", condensing - SUBCOOLING + 273.15, "P", high, fluid)
    volumetric = 0.95 - 0.03 * (high / low - 1.0)
    isentropic = ISENTROPIC * volumetric / 0.95
    mass_flow = inlet["D"] * volumetric
    return mass_flow * (inlet["H"] - liquid), mass_flow * work / isentropic


@pytest.mark.parametrize("name", CYCLE_FLUIDS)
@pytest.mark.parametrize("rated_at", [35.0, 43.0, 55.0])
def test_machine_follows_a_cycle(name: str, rated_at: float) -> None:
    ours = compressor.Machine(*cycle(name, rated_at), rated_at, cycle=refrigerant.cycle_of(name))
    for condensing in (16.0, 25.0, 31.0, 40.6, 47.0, 56.0, 65.0):
        capacity, power = cycle(name, condensing)
        assert compressor.capacity(ours, condensing) == pytest.approx(capacity, rel=CYCLE_TOLERANCE)
        assert compressor.power(ours, condensing) == pytest.approx(power, rel=CYCLE_TOLERANCE)


def test_power_grows_by_the_slopes_of_a_cycle_of_constant_efficiency() -> None:
    """R-410A, evaporating at 7 degC: 2.8, 2.4, 2.1 and 1.9 % a kelvin, worked out elsewhere."""
    unit = compressor.Machine(3.0, 1.0, 45.0)
    for condensing, slope in ((40.0, 2.8), (45.0, 2.4), (50.0, 2.1), (55.0, 1.9)):
        above, below = (compressor.power(unit, condensing + step) for step in (1.0, -1.0))
        assert 50.0 * np.log(above / below) == pytest.approx(slope, abs=0.05)


# --- the balance ------------------------------------------------------------------------------

MACHINE = compressor.Machine(4689.0, 1340.0, 40.0, power_to_refrigerant=0.9)
POLYNOMIALS = compressor.Polynomials(
    capacity=(5900.0, 190.0, -38.0, 2.0, -1.2, -0.25, 0.01, -0.01, 0.0, 0.0),
    power=(420.0, -9.0, 15.0, -0.1, 0.2, 0.12, 0.0, 0.0, 0.0, 0.0006),
)
POLYNOMIAL_MACHINE = compressor.Machine(4689.0, 1340.0, 40.0, polynomials=POLYNOMIALS)


def bisect(unit: compressor.Machine, inlet: float, uptake: float, load: float) -> float:
    """Return the balance by halving the bracket from the inlet to 120 K above it."""
    low, high = inlet, inlet + 120.0
    while high - low > BISECTION_TOLERANCE:
        middle = 0.5 * (low + high)
        if compressor.heat_rejected(unit, middle, load) > uptake * (middle - inlet):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@pytest.mark.parametrize("unit", [MACHINE, POLYNOMIAL_MACHINE], ids=["table", "polynomial"])
def test_balance_is_that_of_a_bisection(unit: compressor.Machine) -> None:
    generator = np.random.default_rng(20)
    for _ in range(300):
        inlet, rate = generator.uniform(-1.5, 38.0), 10.0 ** generator.uniform(1.7, 4.0)
        conductance, load = 10.0 ** generator.uniform(1.5, 3.7), generator.uniform(0.05, 1.0)
        found = compressor.balance(unit, inlet, rate, conductance, load)[0]
        uptake = rate * exchanger.effectiveness(conductance / rate)
        expected = bisect(unit, inlet, float(uptake), load)
        if np.isinf(found):
            # a cubic may turn up again far above any compressor's range and then crosses twice
            widest = 120.0 if unit is MACHINE else 60.0
            assert expected > inlet + widest - 2.0 * BISECTION_TOLERANCE
        else:
            assert found == pytest.approx(expected, abs=2.0 * BISECTION_TOLERANCE)


def test_polynomial_is_numpys() -> None:
    c = POLYNOMIALS.power
    table = np.array(
        [
            [c[0], c[2], c[5], c[9]],
            [c[1], c[4], c[8], 0.0],
            [c[3], c[7], 0.0, 0.0],
            [c[6], 0.0, 0.0, 0.0],
        ]
    )
    suction, discharge = np.meshgrid(np.linspace(-10, 15, 6), np.linspace(25, 65, 9))
    truth = np.polynomial.polynomial.polyval2d(suction, discharge, table)
    np.testing.assert_allclose(compressor.polynomial(c, suction, discharge), truth, rtol=1e-12)


# --- the share of the water film in a known tube -----------------------------------------------

# A power of the flow stands for the film: good to 4 %, but where a slow film nears laminar flow, at
# four tenths of the rated flow, it falls faster.
FILM_TOLERANCE = {0.4: 0.1, 0.7: 0.04, 1.0: ROUNDING, 1.5: 0.04}
TUBES = ("badly-arranged", "battery-sloop-variable", "ketch-one-unit")


def known_tube(name: str):
    """The coil and tube of a shipped boat, with the water at which its plate holds."""
    case = load_case(str(CASES / f"{name}.toml")).case
    places = {place.name: case.catalogue.pumps()[0] for place in case.pump}
    unit = next(unit for unit in case.unit if unit.tube)
    coils = build_loops(case, places)[0].loop.coils
    coil = next(coil for coil in coils if coil.unit == unit.name)
    return coil, unit.tube, seawater(default("unit.rating_water").value, 0.0)


@pytest.mark.parametrize("name", TUBES)
@pytest.mark.parametrize("ratio", FILM_TOLERANCE)
def test_a_known_tube_at_another_flow_is_that_tube_worked_out_anew(name: str, ratio: float) -> None:
    coil, tube, sea = known_tube(name)
    film = tubes.film_coefficient(
        ratio * coil.rated_flow,
        tube.bore,
        tube.coil_diameter or 1e3,
        sea.kinematic_viscosity,
        sea.thermal_conductivity,
        sea.prandtl,
    )
    outside, inside = np.pi * (tube.bore + 2e-3) * tube.length, np.pi * tube.bore * tube.length
    wall = np.log(1.0 + 2e-3 / tube.bore) / (2.0 * np.pi * 50.0 * tube.length)
    anew = 1.0 / (1.0 / (film * inside) + wall + 1.0 / (2500.0 * outside))
    ours = exchanger.conductance(coil.conductance, ratio, coil.water_share, 0.0)
    assert ours == pytest.approx(anew, rel=FILM_TOLERANCE[ratio])


def test_the_share_of_a_straight_tube_by_the_librarys_film() -> None:
    coil, tube, sea = known_tube("badly-arranged")
    speed = coil.rated_flow / (0.25 * np.pi * tube.bore**2)
    reynolds = speed * tube.bore / sea.kinematic_viscosity
    friction = (0.790 * np.log(reynolds) - 1.64) ** -2
    nusselt = ht.turbulent_Gnielinski(reynolds, float(sea.prandtl), friction)
    film = nusselt * sea.thermal_conductivity / tube.bore * np.pi * tube.bore * tube.length
    assert coil.water_share == pytest.approx(coil.conductance / film, rel=1e-3)
    assert 0.15 < coil.water_share < 0.45  # the refrigerant's side holds most of it
