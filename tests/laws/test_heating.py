"""Laws of heating: balances, limits, what colder sea and more water do, refusals."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sizing import KETCH, MOTOR, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.base.ranges import RangeError
from seaflow.boat import network
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import HEATING, NO_WATER, OFF
from seaflow.physics.heat.heating import (
    Heater,
    carnot_heating,
    coldest_wall,
    evaporating_temperature,
    heat_drawn,
    heating_balance,
    heating_capacity,
    heating_power,
)
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.heating.study import heating

ROUNDING = 1e-9  # relative, of sums and one square root
HEATER = Heater(5000.0, 1300.0, 3.0)
ratings = st.builds(
    Heater,
    rated_heating=st.floats(2000.0, 20000.0),
    rated_power=st.floats(500.0, 1900.0),
    rated_evaporating_temperature=st.floats(-8.0, 10.0),
    condensing_temperature=st.floats(38.0, 55.0),
    capacity_slope=st.floats(0.0, 0.04),
)
waters, rates, films = st.floats(-1.0, 25.0), st.floats(100.0, 4000.0), st.floats(50.0, 4000.0)
loads = st.floats(0.05, 1.0)


@given(ratings, waters, rates, films, loads)
@example(Heater(2000.0, 1530.0, 10.0, 42.0, 0.0), 0.0015, 100.0, 352.0, 1.0)
@settings(max_examples=200, deadline=None)
def test_the_water_gives_what_the_machine_draws(heater, water, rate, film, load):
    found, drawn, given_, power = heating_balance(heater, water, rate, film, load)
    assert found <= water
    assert given_ == pytest.approx(drawn + power, rel=ROUNDING)
    # the machine's own laws at that evaporating temperature, not those of the exchanger
    assert drawn == pytest.approx(heat_drawn(heater, found, load), rel=1e-6, abs=1e-6)
    taken = rate * -np.expm1(-film / rate) * (water - found)
    assert drawn == pytest.approx(taken, rel=1e-9, abs=1e-9)


@given(ratings, waters, rates, films)
@settings(max_examples=100, deadline=None)
def test_nothing_beats_carnot_where_the_rating_does_not(heater, water, rate, film):
    rated = carnot_heating(heater.rated_evaporating_temperature, heater.condensing_temperature)
    if heater.rated_coefficient > rated:
        return
    found, _, given_, power = heating_balance(heater, water, rate, film, 1.0)
    if power > 0.0:
        bound = carnot_heating(found, heater.condensing_temperature)
        assert given_ / power <= bound * (1.0 + ROUNDING)


def test_the_second_law_share_stays():
    evaporating = np.linspace(-15.0, 12.0, 28)
    given_ = heating_capacity(HEATER, evaporating, 1.0)
    shares = given_ / heating_power(HEATER, evaporating, 1.0) / carnot_heating(evaporating, 45.0)
    np.testing.assert_allclose(shares, shares[0], rtol=ROUNDING)


def test_scalars_and_arrays_agree():
    waters_ = np.asarray([2.0, 8.0, 15.0])
    together = heating_balance(HEATER, waters_, 1022.0, 700.0, 1.0)
    for i, water in enumerate(waters_):
        alone = heating_balance(HEATER, float(water), 1022.0, 700.0, 1.0)
        assert [column[i] for column in together] == pytest.approx(alone, rel=ROUNDING)


def test_without_water_or_load_nothing_is_given():
    assert heating_balance(HEATER, 10.0, 0.0, 700.0, 1.0)[1:] == (0.0, 0.0, 0.0)
    found, drawn, given_, power = heating_balance(HEATER, 10.0, 1022.0, 700.0, 0.0)
    assert found == pytest.approx(10.0, rel=ROUNDING)
    assert (drawn, given_, power) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_rating_point_comes_back():
    at = evaporating_temperature(10.0, 3700.0, 1022.0, 700.0)
    heater = Heater(5000.0, 1300.0, at)
    found = heating_balance(heater, 10.0, 1022.0, 700.0, 1.0)
    assert found == pytest.approx((at, 3700.0, 5000.0, 1300.0), rel=ROUNDING)


def test_the_wall_lies_between_refrigerant_and_water():
    flow = np.linspace(0.1, 3.0, 30)
    wall = coldest_wall(6.0, -1.0, 0.5, flow)
    assert np.all((wall > -1.0) & (wall < 6.0))
    assert np.all(np.diff(wall) > 0.0)  # a faster film holds the wall nearer to the water


@pytest.mark.parametrize(
    "call",
    [
        lambda: Heater(1000.0, 1300.0, 3.0),
        lambda: Heater(5000.0, 1300.0, 40.0),
        lambda: Heater(5000.0, 1300.0, 3.0, capacity_slope=-0.01),
        lambda: heating_balance(HEATER, 40.0, 1022.0, 700.0, 1.0),
        lambda: heating_balance(HEATER, 10.0, -1.0, 700.0, 1.0),
        lambda: heating_capacity(HEATER, 0.0, 1.5),
        lambda: heating_power(HEATER, 0.0, -0.5),
        lambda: heat_drawn(HEATER, 0.0, 1.5),
        lambda: evaporating_temperature(10.0, 0.0, 1022.0, 700.0),
        lambda: coldest_wall(6.0, 0.0, 0.0, 1.0),
        lambda: carnot_heating(45.0, 45.0),
    ],
)
def test_impossible_machines_are_refused(call):
    with pytest.raises(RangeError):
        call()


@pytest.fixture(scope="module")
def ketch():
    case = shipped(KETCH)
    found = network.loops(case)[0]
    built, part, _ = picked_loop(case, found, None)
    return built, replace(full_supply(case, found, part), mode="heating")


def test_energy_balances_along_the_loop(ketch):
    built, now = ketch
    seas = np.linspace(-1.5, 20.0, 44)
    point = operate(built.loop, replace(now, sea_temperature=seas))
    unit = point.units["saloon unit"]
    assert np.all(unit.state == HEATING)
    rate = point.water.density * point.water.heat_capacity * unit.volume_flow
    # the fall of the water is a difference of two temperatures near 10
    np.testing.assert_allclose(rate * unit.temperature_rise, unit.heat_rejected, rtol=1e-9)
    np.testing.assert_allclose(unit.heating, unit.power - unit.heat_rejected, rtol=1e-9)
    for values in (unit.heating, unit.outlet_temperature, unit.evaporating_temperature):
        assert np.all(np.diff(values) > 0.0)  # colder sea, less of everything
    assert np.all(unit.wall_temperature < unit.outlet_temperature)
    assert np.all(unit.wall_temperature > unit.evaporating_temperature)


def test_more_water_leaves_warmer(ketch):
    built, now = ketch
    openings = np.linspace(0.3, 1.0, 15)
    cold = replace(now, sea_temperature=8.0, seacock_opening=openings)
    point = operate(built.loop, cold)
    unit = point.units["saloon unit"]
    order = np.argsort(unit.volume_flow)
    assert np.all(np.diff(unit.outlet_temperature[order]) >= 0.0)
    assert np.all(np.diff(unit.heating[order]) >= 0.0)
    assert unit.volume_flow.max() > 1.2 * unit.volume_flow.min()


def test_states(ketch):
    built, now = ketch
    cold = replace(now, sea_temperature=8.0)
    still = operate(built.loop, replace(cold, pump_running=False)).units["saloon unit"]
    assert still.state[0] == NO_WATER
    assert still.heating[0] == still.power[0] == 0.0
    off = operate(built.loop, replace(cold, running={"saloon unit": False})).units["saloon unit"]
    assert off.state[0] == OFF
    assert off.outlet_temperature[0] == 8.0


def test_a_unit_without_a_heating_plate_stays_off():
    case = shipped(MOTOR)
    built, _, _ = picked_loop(case, network.loops(case)[0], None)
    point = operate(built.loop, Conditions(sea_temperature=8.0, mode="heating"))
    assert all(unit.state[0] == OFF for unit in point.units.values())


def test_the_coldest_sea_is_where_the_first_limit_breaks(ketch):
    built, now = ketch
    at = heating(shipped(KETCH)).loops[0].clean
    step = 0.05  # K, more than the step of the search
    freezing = freezing_temperature(36.0)
    for sea, safe in (
        (at.coldest.temperature + step, True),
        (at.coldest.temperature - step, False),
    ):
        unit = operate(built.loop, replace(now, sea_temperature=sea)).units["saloon unit"]
        holds = unit.wall_temperature[0] >= freezing
        holds &= unit.outlet_temperature[0] >= freezing + 2.0
        assert holds == safe


def test_dirt_and_fresh_water_ask_for_a_warmer_sea(tmp_path):
    salt = heating(shipped(KETCH)).loops[0]
    fresh = heating(load_text(tmp_path, edited(text_of(KETCH), ('"36 g/kg"', '"0 g/kg"')))).loops[0]
    for at in salt.at:
        assert at.coldest.temperature >= salt.clean.coldest.temperature
    assert fresh.clean.coldest.temperature > salt.clean.coldest.temperature + 1.0
    assert fresh.least_flows["saloon unit"] > salt.least_flows["saloon unit"]


def test_the_least_flow_heats_clear_of_ice(ketch):
    loop = heating(shipped(KETCH)).loops[0]
    assert 0.0 < loop.least_flows["saloon unit"] < loop.clean.flow


def test_a_sea_too_cold_is_not_met(tmp_path):
    old, new = 'heating_from = "8 degC"', 'heating_from = "1 degC"'
    answer = heating(load_text(tmp_path, edited(text_of(KETCH), (old, new))))
    assert not answer.is_met
    loop = answer.loops[0]
    assert loop.clean.units[0].outlet_margin < 7.0
    assert loop.heats.kind == "heating.only_warmer"
    assert loop.heats["coldest"].value == loop.clean.coldest.temperature > 1.0
    assert loop.heats["why"].kind == "heating.wall_ices"


def test_no_unit_that_heats_is_refused():
    with pytest.raises(SeaflowError) as refused:
        heating(shipped(MOTOR))
    assert refused.value.problems[0].code == "M02"


def test_the_mode_changes_nothing_of_the_water(ketch):
    built, now = ketch
    sea = replace(now, sea_temperature=15.0)
    heats, cools = (operate(built.loop, replace(sea, mode=mode)) for mode in ("heating", "cooling"))
    np.testing.assert_array_equal(heats.flow, cools.flow)
    assert heats.units["saloon unit"].heating[0] > 0.0
    assert cools.units["saloon unit"].heating[0] == 0.0
