"""Laws of condenser and machine: balances, limits, monotone, one crossing, arrays, refusals."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table
from seaflow.boat.defaults import default
from seaflow.physics.heat import compressor, exchanger, tubes
from seaflow.physics.heat.compressor import LEAST_LIFT, Machine, Polynomials
from seaflow.physics.heat.refrigerant import cycle_of

HEAT_TOLERANCE = 1e-9  # share of the heat; the table is solved to rounding
PLAIN = Machine(4689.0, 1340.0, 40.0)
FLAT_COEFFICIENTS = (5000.0, 0.0, -20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
POLYNOMIAL = Machine(
    4689.0,
    1340.0,
    40.0,
    polynomials=Polynomials(
        FLAT_COEFFICIENTS, (300.0, 0.0, 22.0, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0, 0.0)
    ),
)

CYCLES = [cycle_of(name) for name in read_table("refrigerants.toml")["refrigerant"]]
inlets = st.floats(-2.0, 38.0)
rates = st.floats(1.0, 2e4)
conductances = st.floats(1.0, 2e4)
loads = st.floats(0.0, 1.0)
machines = st.builds(
    Machine,
    rated_capacity=st.floats(1e3, 5e4),
    rated_power=st.floats(3e2, 1e3),  # no more than the cooling
    rated_condensing_temperature=st.floats(30.0, 55.0),
    evaporating_temperature=st.floats(-15.0, 12.0),
    power_to_refrigerant=st.floats(0.0, 1.0),
    cycle=st.sampled_from(
        [cycle_of(name) for name in read_table("refrigerants.toml")["refrigerant"]]
    ),
)


@given(machines, inlets, rates, conductances, loads)
def test_heat_rejected_equals_heat_taken(
    unit: Machine, inlet: float, rate: float, conductance: float, load: float
) -> None:
    found, heat, cooling, drawn = compressor.balance(unit, inlet, rate, conductance, load)
    assert heat == pytest.approx(cooling + unit.power_to_refrigerant * drawn)
    if np.isinf(found):
        assert (heat, cooling, drawn) == (0.0, 0.0, 0.0)
        return
    taken = rate * exchanger.effectiveness(conductance / rate) * (found - inlet)
    assert heat == pytest.approx(
        taken, rel=HEAT_TOLERANCE, abs=HEAT_TOLERANCE * unit.rated_capacity
    )
    assert found >= inlet - 1e-9


@given(machines, inlets, rates, conductances, st.floats(0.01, 1.0))
def test_there_is_one_crossing(
    unit: Machine, inlet: float, rate: float, conductance: float, load: float
) -> None:
    """Heat less uptake is above zero before the balance and below zero after it, up to 120 K."""
    found = compressor.balance(unit, inlet, rate, conductance, load)[0]
    tried = inlet + np.linspace(0.0, 120.0, 241)
    uptake = rate * exchanger.effectiveness(conductance / rate)
    miss = compressor.heat_rejected(unit, tried, load) - uptake * (tried - inlet)
    near = np.abs(tried - found) < 1e-6
    assert np.all((miss > 0.0) | near | (tried >= found))
    assert np.all((miss < 0.0) | near | (tried <= found))


@pytest.mark.parametrize("unit", [PLAIN, POLYNOMIAL], ids=["plain", "polynomial"])
def test_balance_moves_the_right_way(unit: Machine) -> None:
    sea = compressor.balance(unit, np.linspace(-1.0, 36.0, 38), 1000.0, 700.0)[0]
    assert np.all(np.diff(sea) > 0.0)
    flow = compressor.balance(unit, 30.0, np.linspace(100.0, 3000.0, 30), 700.0)[0]
    assert np.all(np.diff(flow) < 0.0)
    surface = compressor.balance(unit, 30.0, 1000.0, np.linspace(100.0, 3000.0, 30))[0]
    assert np.all(np.diff(surface) < 0.0)
    load = compressor.balance(unit, 30.0, 1000.0, 700.0, np.linspace(0.0, 1.0, 11))[0]
    assert np.all(np.diff(load) > 0.0)


@pytest.mark.parametrize("unit", [PLAIN, POLYNOMIAL], ids=["plain", "polynomial"])
def test_no_water_is_infinity_and_rest_is_the_sea(unit: Machine) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found, heat, cooling, drawn = compressor.balance(
            unit,
            np.full(4, 30.0),
            np.array([0.0, 0.0, 1000.0, 1000.0]),
            np.array([0.0, 700.0, 700.0, 0.0]),
            np.array([1.0, 0.0, 0.0, 1.0]),
        )
    np.testing.assert_array_equal(found, [np.inf, 30.0, 30.0, np.inf])
    assert not heat.any()
    assert not cooling.any()
    assert not drawn.any()


def test_scalar_equals_array_and_machine_may_vary() -> None:
    one = compressor.balance(PLAIN, 30.0, 1000.0, 700.0, 0.8)
    assert all(type(value) is float for value in one)
    many = compressor.balance(PLAIN, np.array([30.0, 20.0]), 1000.0, 700.0, 0.8)
    assert [column[0] for column in many] == pytest.approx(list(one), rel=1e-14)
    worn = Machine(np.array([4689.0, 4000.0]), 1340.0, 40.0)
    both = compressor.balance(worn, 30.0, 1000.0, 700.0, 0.8)
    assert both[0].shape == (2,)
    assert both[0][0] == pytest.approx(one[0], rel=1e-14)
    rate = exchanger.conductance(700.0, np.array([0.5, 1.0]), 0.5, 0.0)
    assert exchanger.conductance(700.0, 0.5, 0.5, 0.0) == rate[0]
    film = tubes.film_coefficient(np.array([1e-4, 3e-4]), 0.0127, 0.2, 8.4e-7, 0.61, 5.6)
    assert tubes.film_coefficient(1e-4, 0.0127, 0.2, 8.4e-7, 0.61, 5.6) == film[0]


def test_machine_keeps_its_rating_point() -> None:
    assert compressor.capacity(PLAIN, 40.0) == pytest.approx(4689.0)
    assert compressor.power(PLAIN, 40.0) == pytest.approx(1340.0)
    assert compressor.heat_rejected(PLAIN, 40.0) == pytest.approx(6029.0)
    assert compressor.capacity(PLAIN, 40.0, 0.5) == pytest.approx(2344.5)


def test_below_the_least_lift_performance_is_held() -> None:
    lifts = np.array([-5.0, 0.0, LEAST_LIFT])
    performance = compressor.coefficient_of_performance(3.5, 33.0, lifts)
    assert len(set(performance)) == 1


@pytest.mark.parametrize("name", read_table("refrigerants.toml")["refrigerant"])
def test_power_rises_and_capacity_falls_over_the_table(name: str) -> None:
    unit = Machine(4689.0, 1340.0, 40.0, cycle=cycle_of(name))
    condensing = np.linspace(15.0, unit.cycle.condensing[-1], 101)
    assert np.all(np.diff(compressor.power(unit, condensing)) > 0.0)
    assert np.all(np.diff(compressor.capacity(unit, condensing)) < 0.0)
    assert unit.cycle.condensing[0] == 15.0
    assert unit.cycle.condensing[-1] >= 65.0
    # beyond both ends nothing moves: power never falls as the lift rises
    outside = np.array([-5.0, 15.0, unit.cycle.condensing[-1], 90.0])
    for law in (compressor.power, compressor.capacity):
        cold, first, last, hot = law(unit, outside)
        assert (cold, hot) == (first, last)


def test_only_the_ratio_to_the_rating_point_counts() -> None:
    """A machine rated where another one runs is that other one."""
    other = Machine(compressor.capacity(PLAIN, 52.0), compressor.power(PLAIN, 52.0), 52.0)
    for law in (compressor.power, compressor.capacity):
        assert law(other, 33.0) == pytest.approx(law(PLAIN, 33.0), rel=1e-12)


def test_capacity_of_a_polynomial_is_never_negative() -> None:
    assert compressor.capacity(POLYNOMIAL, 500.0) == 0.0


def test_conductance_at_the_rating_and_its_limits() -> None:
    assert exchanger.conductance(700.0, 1.0, 0.4, 0.0) == pytest.approx(700.0, rel=1e-14)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert exchanger.conductance(700.0, 0.0, 0.4, 0.001) == 0.0
    ratios = np.linspace(0.01, 3.0, 100)
    assert np.all(np.diff(exchanger.conductance(700.0, ratios, 0.4, 0.001)) > 0.0)
    written_out = (0.4 * ratios**-0.8 + 0.6) / 700.0 + 0.001
    np.testing.assert_allclose(
        1.0 / exchanger.conductance(700.0, ratios, 0.4, 0.001), written_out, rtol=1e-13
    )


@given(st.floats(0.05, 0.95), rates)
def test_rated_conductance_gives_the_stated_point_back(share: float, rate: float) -> None:
    heat = share * rate * 12.0
    conductance = exchanger.rated_conductance(heat, 42.0, 30.0, rate)
    assert exchanger.effectiveness(conductance / rate) == pytest.approx(share, rel=1e-9)


def test_effectiveness_limits_and_inverse() -> None:
    assert exchanger.effectiveness(0.0) == 0.0
    assert exchanger.effectiveness(50.0) == pytest.approx(1.0)
    units = np.linspace(0.0, 5.0, 50)
    back = exchanger.ntu_from_effectiveness(exchanger.effectiveness(units))
    np.testing.assert_allclose(back, units, atol=1e-12)


def test_rise_times_rate_is_the_heat() -> None:
    rate = exchanger.capacity_rate(2.5e-4, 1021.7, 4001.0)
    assert exchanger.temperature_rise(5861.0, rate) * rate == pytest.approx(5861.0)


@pytest.mark.parametrize("prandtl", [4.0, 7.0, 14.0])
def test_nusselt_rises_without_jumps(prandtl: float) -> None:
    reynolds = np.geomspace(100.0, 1e5, 4000)
    for curvature in (0.0, 0.02, 0.0635, 0.2):
        values = tubes.coil_nusselt(reynolds, prandtl, curvature)
        assert np.all(np.diff(values) >= -1e-12)
        # the steepest step is that of the blend from laminar to turbulent straight flow
        assert np.max(np.diff(values) / values[:-1]) < 0.03


def test_a_coil_is_never_worse_than_a_straight_tube() -> None:
    reynolds = np.geomspace(100.0, 1e5, 200)
    straight = tubes.straight_nusselt(reynolds, 6.0)
    np.testing.assert_array_equal(tubes.coil_nusselt(reynolds, 6.0, 0.0), straight)
    for curvature in np.linspace(1e-6, 0.3, 40):
        assert np.all(tubes.coil_nusselt(reynolds, 6.0, float(curvature)) >= straight)


def test_wall_is_a_thin_plate_in_the_limit() -> None:
    wall = tubes.wall_resistance(0.0127, 0.01271, 5.0, 40.0)
    plate = 0.5e-5 / (40.0 * np.pi * 0.012705 * 5.0)
    assert wall == pytest.approx(plate, rel=1e-5)
    assert tubes.wall_resistance(0.0127, 0.0127, 5.0, 40.0) == 0.0


def test_resistances_of_a_tube_add_up() -> None:
    film, inside, outer, outside, wall, scale = 5000.0, 0.2, 3000.0, 0.5, 2e-4, 9e-5
    whole = 1.0 / tubes.tube_conductance(film, inside, outer, outside, wall, scale)
    parts = 1.0 / (film * inside) + scale / inside + wall + 1.0 / (outer * outside)
    assert whole == pytest.approx(parts, rel=1e-12)


def test_still_water_keeps_its_laminar_film() -> None:
    film = tubes.film_coefficient(0.0, 0.0127, np.inf, 8.4e-7, 0.61, 5.6)
    assert film == pytest.approx(3.657 * 0.61 / 0.0127)


REFUSED = {
    "negative units": lambda: exchanger.effectiveness(-0.1),
    "effectiveness of one": lambda: exchanger.ntu_from_effectiveness(1.0),
    "negative effectiveness": lambda: exchanger.ntu_from_effectiveness(-0.1),
    "water warmer than refrigerant": lambda: exchanger.rated_conductance(9e3, 38.0, 30.0, 1e3),
    "no flow at the rating": lambda: exchanger.rated_conductance(5e3, 40.0, 30.0, 0.0),
    "share of zero": lambda: exchanger.conductance(700.0, 1.0, 0.0, 0.0),
    "share above one": lambda: exchanger.conductance(700.0, 1.0, 1.1, 0.0),
    "negative flow": lambda: exchanger.conductance(700.0, -0.1, 0.5, 0.0),
    "negative scale": lambda: exchanger.conductance(700.0, 1.0, 0.5, -1e-5),
    "negative volume flow": lambda: exchanger.capacity_rate(-1e-4, 1020.0, 4000.0),
    "rise of still water": lambda: exchanger.temperature_rise(5e3, 0.0),
    "laminar as turbulent": lambda: tubes.turbulent_nusselt(500.0, 6.0, 0.03),
    "negative Reynolds number": lambda: tubes.straight_nusselt(-1.0, 6.0),
    "Prandtl number of zero": lambda: tubes.straight_nusselt(1e4, 0.0),
    "gas in a coil": lambda: tubes.coil_nusselt(1e4, 0.7, 0.05),
    "coil of one bore": lambda: tubes.coil_nusselt(1e4, 6.0, 1.0),
    "coil inside its tube": lambda: tubes.film_coefficient(1e-4, 0.01, 0.01, 1e-6, 0.6, 6.0),
    "tube inside out": lambda: tubes.wall_resistance(0.02, 0.01, 1.0, 40.0),
    "no film": lambda: tubes.tube_conductance(0.0, 1.0, 1.0, 1.0, 0.0, 0.0),
    "negative fouling": lambda: tubes.tube_conductance(1.0, 1.0, 1.0, 1.0, 0.0, -1.0),
    "performance of zero": lambda: compressor.coefficient_of_performance(0.0, 33.0, 30.0),
    "nine coefficients": lambda: compressor.polynomial((1.0,) * 9, 7.0, 40.0),
    "nine coefficients in a machine": lambda: Polynomials((1.0,) * 9, (1.0,) * 10),
    "load above one": lambda: compressor.capacity(PLAIN, 40.0, 1.1),
    "load below zero": lambda: compressor.power(POLYNOMIAL, 40.0, -0.1),
    "negative capacity rate": lambda: compressor.balance(PLAIN, 30.0, -1.0, 700.0),
    "no capacity": lambda: Machine(0.0, 1340.0, 40.0),
    "rating without lift": lambda: Machine(4689.0, 1340.0, 10.0),
    "more power than all": lambda: Machine(4689.0, 1340.0, 40.0, power_to_refrigerant=1.2),
}


@pytest.mark.parametrize("case", REFUSED)
def test_refuses_what_no_boat_has(case: str) -> None:
    with pytest.raises(RangeError):
        REFUSED[case]()


def test_a_machine_evaporates_where_the_table_of_defaults_says():
    assert Machine(1.0, 0.3, 40.0).evaporating_temperature == default("unit.evaporating").value
