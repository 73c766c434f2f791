"""Laws of heating: balances, limits, what colder sea and more water do, refusals."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sizing import KETCH, MOTOR, edited, load_text, shipped, text_of

from seaflow.base.facts import fact
from seaflow.base.problems import SeaflowError
from seaflow.base.ranges import RangeError
from seaflow.boat import network
from seaflow.model.conditions import Conditions
from seaflow.model.heating import room_to_ice
from seaflow.model.operate import operate
from seaflow.model.point import HEATING, NO_WATER, OFF
from seaflow.model.thermal import run_unit
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
from seaflow.physics.water.seawater import freezing_temperature, seawater
from seaflow.studies.design.judge import GRADES, NO, TIGHT, YES, Ruling
from seaflow.studies.design.limits import limit
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.heating.cold import coldest_seas, least_flow, no_ice
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


@pytest.mark.parametrize("stride", [5, 16])
def test_seas_far_apart_lead_to_the_coldest_sea_that_all_of_them_give(ketch, monkeypatch, stride):
    """Also where nothing freezes but the sea itself, and where no sea is warm enough."""
    built, now = ketch
    settings = [
        (built.loop, replace(now, strainer_blockage=blocked, growth=growth))
        for blocked, growth in ((0.0, 0.0), (0.9, 1e-3), (0.99, 4e-3), (0.0, 9e-3))
    ]
    settings.append((built.loop, replace(now, running={"saloon unit": False})))
    monkeypatch.setattr("seaflow.studies.heating.cold.STRIDE", 1)
    every = coldest_seas(settings)
    monkeypatch.setattr("seaflow.studies.heating.cold.STRIDE", stride)
    assert coldest_seas(settings) == every
    assert len({one.temperature for one in every}) == len(every)
    assert any(one.temperature is None for one in every)


def test_dirt_and_fresh_water_ask_for_a_warmer_sea(tmp_path):
    salt = heating(shipped(KETCH)).loops[0]
    fresh = heating(load_text(tmp_path, edited(text_of(KETCH), ('"36 g/kg"', '"0 g/kg"')))).loops[0]
    for at in salt.at:
        if at.name.endswith("down"):  # a tack may lower the outlet and give more water
            continue
        assert at.coldest.temperature >= salt.clean.coldest.temperature
    assert fresh.clean.coldest.temperature > salt.clean.coldest.temperature + 1.0
    assert fresh.least_flows["saloon unit"] > salt.least_flows["saloon unit"]


def test_the_least_flow_heats_clear_of_ice_and_less_does_not(ketch):
    built, now = ketch
    found = heating(shipped(KETCH)).loops[0].least_flows["saloon unit"]
    cold, coil = replace(now, sea_temperature=8.0), built.loop.coils[0]
    flows = found * np.asarray([1.0, 0.95])  # steps of the search are a hundredth of rated
    water = seawater(8.0, now.salinity)
    unit = run_unit(coil, cold, water, (flows, np.full(2, 8.0)))
    freezing = freezing_temperature(float(now.salinity))
    clear = (unit.wall_temperature >= freezing) & (unit.outlet_temperature >= freezing + 2.0)
    assert clear.tolist() == [True, False]
    assert least_flow(coil, replace(now, sea_temperature=-1.5)) is None  # no flow is enough


def test_the_limits_of_ice_are_those_of_wall_and_outlet(ketch):
    """Each limit alone, a hundredth of a kelvin either way of it, and a coil that is off."""
    built, now = ketch
    unit = operate(built.loop, replace(now, sea_temperature=np.full(6, 8.0))).units["saloon unit"]
    freezing, near = -1.9, 0.01
    unit = replace(
        unit,
        state=np.asarray([HEATING, HEATING, HEATING, HEATING, NO_WATER, OFF]),
        outlet_temperature=freezing + 2.0 + near * np.asarray([1.0, -1.0, 1.0, 9.0, 9.0, -9.0]),
        wall_temperature=freezing + near * np.asarray([1.0, 9.0, -1.0, 9.0, 9.0, np.nan]),
    )
    limits = {says.kind: holds.tolist() for says, holds in no_ice("unit", unit, freezing)}
    assert limits == {
        "heating.no_water": [True, True, True, True, False, True],
        "heating.near_freezing": [True, False, True, True, True, True],
        "heating.wall_ices": [True, True, False, True, True, True],
    }
    room = room_to_ice(unit, freezing)[:4] / near
    np.testing.assert_allclose(room, [1.0, -1.0, -1.0, 9.0], rtol=1e-9)


def test_what_a_unit_gives_and_takes_and_its_share_of_what_carnot_allows(ketch):
    built, _ = ketch
    heater = built.loop.coils[0].heating.heater
    for at in heating(shipped(KETCH)).loops[0].at:
        for unit in at.units:
            assert unit.heating == pytest.approx(unit.power + unit.heat_drawn, rel=ROUNDING)
            above = unit.outlet_temperature - freezing_temperature(36.0)
            assert unit.outlet_margin == pytest.approx(above, rel=ROUNDING)
            assert unit.coefficient * unit.power == pytest.approx(unit.heating, rel=ROUNDING)
            span = heater.condensing_temperature - unit.evaporating_temperature
            share = unit.coefficient * span / (heater.condensing_temperature + 273.15)
            assert unit.share_of_carnot == pytest.approx(share, rel=ROUNDING)
            assert 0.0 < share < 1.0


def test_the_worst_case_is_the_one_that_asks_for_the_warmest_sea():
    case = shipped(KETCH)
    for growth in (0.001, 0.003):
        loop = heating(replace(case, design=replace(case.design, growth=growth))).loops[0]
        down_to = {item.kind: item for item in loop.down_to}
        worst = max(loop.at, key=lambda at: at.coldest.temperature)
        said = down_to["heating.worst_down_to"]
        assert said["sea"].value == worst.coldest.temperature > loop.clean.coldest.temperature
        assert said["where"] == worst.where
        assert down_to["heating.clean_down_to"]["why"] == loop.clean.coldest.set_by


def test_hoses_all_but_grown_shut_heat_in_no_sea():
    case = shipped(KETCH)
    loop = heating(replace(case, design=replace(case.design, growth=0.007))).loops[0]
    assert loop.heats.kind == "heating.in_no_sea"
    assert loop.heats["where"].kind == "design.growth"
    assert [item.kind for item in loop.down_to] == [
        "heating.clean_down_to",
        "heating.worst_in_no_sea",
    ]
    assert loop.grade == NO
    assert loop.judgement.deciding.said["where"].kind == "design.growth"


def test_one_loop_in_one_worst_case_is_enough_to_say_no():
    answer = heating(shipped(KETCH))
    (loop,) = answer.loops
    assert answer.grade == YES
    for grade in (TIGHT, NO):
        ruling = Ruling(grade, fact("heating.ices"))
        bad = replace(loop, judgement=replace(loop.judgement, rulings=(ruling,)))
        assert replace(answer, loops=(loop, bad)).grade == grade


def test_a_sea_hardly_too_cold_is_tight_and_one_clearly_too_cold_is_no():
    """By the water that is lacking: up to 5 % of what would keep clear of ice."""
    case = shipped(KETCH)
    (loop,) = heating(case).loops
    coldest = max(at.coldest.temperature for at in loop.at)
    grades = []
    for below in (-0.1, 0.02, 0.1, 0.5, 2.0):
        sea = replace(case.sea, heating_from=coldest - below)
        (found,) = heating(replace(case, sea=sea)).loops
        assert (found.grade == YES) == all(at.safe for at in found.at)
        for ruling in found.judgement.rulings:
            short = ruling.said["short"]
            assert short == pytest.approx(
                1.0 - ruling.said["flow"].value / ruling.said["asked"].value
            )
            assert ruling.grade == (TIGHT if short <= limit("must_flow") else NO)
        grades.append(found.grade)
    assert grades == sorted(grades, key=GRADES.index)
    assert set(grades) == set(GRADES)


def test_only_units_that_heat_and_are_on_have_a_least_flow(tmp_path):
    plate = 'heating = { capacity = "12000 BTU/h", input_power = "1 kW" }'
    old = 'name = "guest cabin unit"\n'
    case = load_text(tmp_path, edited(text_of(MOTOR), (old, f"{old}{plate}\n")))
    loop = heating(case).loops[0]
    assert list(loop.least_flows) == ["guest cabin unit"]
    assert all([unit.name for unit in at.units] == ["guest cabin unit"] for at in loop.at)
    off = load_text(tmp_path, edited(text_of(MOTOR), (old, f"{old}{plate}\nswitched_on = false\n")))
    assert heating(off).loops[0].least_flows == {}


def test_a_sea_too_cold_is_not_met(tmp_path):
    old, new = 'heating_from = "8 degC"', 'heating_from = "1 degC"'
    answer = heating(load_text(tmp_path, edited(text_of(KETCH), (old, new))))
    assert answer.grade == "no"
    loop = answer.loops[0]
    assert loop.clean.units[0].outlet_margin < 7.0
    assert loop.heats.kind == "heating.only_warmer"
    assert loop.heats["coldest"].value == loop.clean.coldest.temperature > 1.0
    assert loop.heats["why"].kind == "heating.near_freezing"


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
