"""Laws of the energy study: sums, limits, best speeds, starting head."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from sizing import KETCH, NAMES, SLOOP, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, FLOWING
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.energy.course import course, least_loads
from seaflow.studies.energy.day import HouseBank, always_on
from seaflow.studies.energy.optimum import (
    Task,
    best_settings,
    bounds,
    grid,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.starting import least_speed, starting_of
from seaflow.studies.energy.study import energy

ROUNDING = 1e-9  # relative: sums of a few doubles
SETTLED = 1e-6  # relative: load against output is settled in a few rounds
RESOLUTION = 1e-5  # of full speed: two steps of the search for the least speed


def loop_of(case, pump=None):
    found = network.loops(case)[0]
    built, part, _ = picked_loop(case, found, pump)
    return built, part, full_supply(case, found, part)


@pytest.fixture(scope="module")
def sloop():
    return loop_of(shipped(SLOOP))


@pytest.fixture(scope="module")
def ketch():
    return loop_of(shipped(KETCH))


@pytest.mark.parametrize("name", NAMES)
def test_a_day_is_the_sum_of_its_duties(name):
    answer = energy(shipped(name))
    for loop in answer.loops:
        day = loop.day
        assert day.total == pytest.approx(sum(duty.total for duty in day.duties), rel=ROUNDING)
        drawn = [duty.charge for duty in day.duties if duty.source == "battery"]
        assert day.charge == pytest.approx(sum(drawn), rel=ROUNDING)
        assert all(duty.charge == 0.0 for duty in day.duties if duty.source != "battery")
        assert 0.0 < day.pump_share < 1.0
        assert day.always_on.energy >= day.pump * (1.0 - ROUNDING)
    assert answer.total == pytest.approx(sum(loop.day.total for loop in answer.loops), rel=ROUNDING)


def test_duties_stand_in_where_the_case_has_none(tmp_path):
    text = text_of(KETCH)
    start, end = text.index("[battery]"), text.index("[[through_hull]]")
    answer = energy(load_text(tmp_path, text[:start] + text[end:]))
    assert not answer.day_given
    names = [duty.name for duty in answer.loops[0].day.duties]
    assert names == ["shore by day", "anchor at night", "under sail"]
    meanings = [item.meaning for item in answer.assumptions]
    for name in names:
        assert any(name in meaning for meaning in meanings)
    assert any("inverter" in meaning for meaning in meanings)


def test_regeneration_goes_off_the_charge_alone(tmp_path):
    text = text_of(KETCH)
    more = load_text(tmp_path, edited(text, ('regeneration = "400 W"', 'regeneration = "800 W"')))
    one, two = energy(shipped(KETCH)).loops[0].day, energy(more).loops[0].day
    assert two.total == one.total
    assert two.charge == one.charge
    # 400 W more for 4 h at 25.6 V
    assert one.net_charge - two.net_charge == pytest.approx(400.0 * 4 * 3600 / 25.6, rel=ROUNDING)


def test_a_pump_that_always_runs_takes_its_power_all_the_time(tmp_path):
    old = 'name = "shore"\nhours = "10 h"\nload = "60 %"\n'
    case = load_text(tmp_path, edited(text_of(KETCH), (old, old + 'pump = "always"\n')))
    usual, always = energy(shipped(KETCH)).loops[0].day, energy(case).loops[0].day
    assert always.duties[0].pump == pytest.approx(usual.duties[0].pump / 0.6, rel=SETTLED)
    assert always.duties[0].compressor == usual.duties[0].compressor


def test_what_a_pump_left_on_wastes_is_the_time_in_which_no_duty_needs_it():
    """Two duties of half a day; the first asks more than it has time for, the second nothing."""
    duty = energy(shipped(KETCH)).loops[0].day.duties[0]
    half, bank = 12 * 3600.0, HouseBank(12.0, None, 0.8)
    for share, needed in ((0.0, 0.0), (0.25, 0.25), (1.0, 1.0), (1.5, 1.0)):
        duties = [replace(duty, time=half, run_share=one) for one in (share, 0.0)]
        found = always_on(50.0, duties, bank)
        assert found.energy == pytest.approx(50.0 * 2 * half, rel=ROUNDING)
        assert found.wasted == pytest.approx(50.0 * (2.0 - needed) * half, rel=ROUNDING)
        assert found.wasted_charge == pytest.approx(found.wasted / 0.8 / 12.0, rel=ROUNDING)
    whole_day = [replace(duty, time=half, run_share=1.0 + 1e-9)] * 2
    assert always_on(50.0, whole_day, bank).wasted == 0.0


@pytest.mark.parametrize("name", NAMES)
def test_what_a_pump_left_on_wastes_and_what_the_duties_need_are_all_it_takes(name):
    for loop in energy(shipped(name)).loops:
        day = loop.day
        needed = sum(duty.run_share * duty.time for duty in day.duties) * day.always_on.power
        assert day.always_on.wasted + needed == pytest.approx(day.always_on.energy, rel=SETTLED)


def test_the_cooling_asked_for_is_given(sloop):
    built, _, now = sloop
    load = np.asarray([0.2, 0.45, 0.6, 0.8])
    least = {"cabin unit": 0.33}
    slow = replace(now, pump_speed=0.7)
    found, point = course(built, slow, load, least, standard=(built, now))
    full = operate(built.loop, now).units["cabin unit"].cooling[0]
    given = point.units["cabin unit"].cooling * found.run_share
    np.testing.assert_allclose(given, load * full, rtol=SETTLED)
    np.testing.assert_allclose(found.run_share[1:], 1.0, rtol=SETTLED)
    assert found.run_share[0] < 1.0  # below the least load the compressor is switched


def test_the_course_of_an_array_is_that_of_each(sloop):
    built, _, now = sloop
    loads, speeds = np.asarray([0.3, 0.6, 1.0]), np.asarray([0.6, 0.8, 1.0])
    least = {"cabin unit": 0.33}
    together, _ = course(built, replace(now, pump_speed=speeds), loads, least)
    for i in range(3):
        alone, _ = course(built, replace(now, pump_speed=speeds[i]), loads[i : i + 1], least)
        assert together.total[i] == pytest.approx(alone.total[0], rel=SETTLED)


def test_best_speeds_hold_to_every_limit_and_none_is_better(sloop):
    case = shipped(SLOOP)
    built, part, now = sloop
    speeds = speeds_from(part.least_speed)
    for best in best_settings(case, built, grid(case, now), speeds):
        assert best.setting is not None
        assert best.gain >= -ROUNDING * best.fixed_compressor
        at = replace(now, sea_temperature=best.sea_temperature)
        standard = (built, at)
        load = np.full(speeds.size, best.load)
        found, point = course(
            built, replace(at, pump_speed=speeds), load, least_loads(case), False, standard
        )
        holds = np.all([item.holds for item in bounds(case, built, point)], axis=0)
        chosen = int(np.argmin(np.abs(speeds - best.setting)))
        assert holds[chosen]
        assert found.total[chosen] <= found.total[holds].min() * (1.0 + ROUNDING)


def test_a_slower_pump_pays_at_low_load_only(sloop):
    case = shipped(SLOOP)
    built, part, now = sloop
    tasks = [Task(now, load) for load in (0.25, 0.5, 0.75, 1.0)]
    gains = [item.gain for item in best_settings(case, built, tasks, speeds_from(part.least_speed))]
    assert all(later < earlier for earlier, later in pairwise(gains))


def test_a_throttle_never_gains_on_the_ketch(ketch):
    case = shipped(KETCH)
    built, _, now = ketch
    for best in best_settings(case, built, grid(case, now), throttles(), throttled=True):
        assert best.setting == 0.0
        assert best.flow == best.fixed_flow


def test_throttles_cost_flow(ketch):
    case = shipped(KETCH)
    built, _, now = ketch
    tight = best_settings(case, built, [Task(now, 0.5)], np.asarray([20.0, 0.0]), throttled=True)
    only = best_settings(case, built, [Task(now, 0.5)], np.asarray([20.0]), throttled=True)
    assert only[0].flow < tight[0].fixed_flow


@pytest.mark.parametrize("name", NAMES)
def test_delivery_starts_at_the_least_speed_and_not_below(name):
    built, part, now = loop_of(shipped(name))
    found = starting_of(built, part, now)
    assert found.least_speed is not None
    assert found.least_by_affinity <= found.least_speed + RESOLUTION
    above = operate(built.loop, replace(now, pump_speed=found.least_speed + RESOLUTION))
    below = operate(built.loop, replace(now, pump_speed=found.least_speed - RESOLUTION))
    assert above.ending[0] == FLOWING
    assert below.ending[0] != FLOWING
    for row in found.speeds:
        assert row.delivers == (row.speed >= found.least_speed)
        assert row.shut_off_head == pytest.approx(found.shut_off_head * row.speed**2, rel=ROUNDING)


def test_a_higher_crest_asks_for_more_speed(ketch):
    built, _, now = ketch
    speeds = []
    for height in (0.2, 0.6, 1.2):
        coil = built.loop.coils[0]
        point = replace(coil.point, height=height)
        loop = built.loop.changed(coil.name, point=point)
        speeds.append(least_speed(replace(built, loop=loop), now))
    assert speeds == sorted(speeds)
    assert speeds[0] < speeds[-1]


def test_a_crest_above_the_shut_off_head_is_told(ketch):
    built, part, now = ketch
    coil = built.loop.coils[0]
    loop = built.loop.changed(coil.name, point=replace(coil.point, height=5.0))
    found = starting_of(replace(built, loop=loop), part, now)
    assert not found.starts
    assert found.says[0].kind == "energy.cannot_lift"
    assert [item.kind for item in found.slowest] == ["energy.no_speed_delivers"]
    assert found.factor < 1.0
    assert found.least_by_affinity is None


def test_priming_is_told_from_the_place(tmp_path):
    found = starting_of(*loop_of(shipped(KETCH)))
    assert found.can_prime is True
    assert found.says[-1].kind == "energy.flooded"
    old = 'height = "-0.42 m" }\nfitted'
    new = old.replace("-0.42", "0.10")
    high = load_text(tmp_path, edited(text_of(KETCH), (old, new)))
    found = starting_of(*loop_of(high))
    assert found.can_prime is False
    assert found.says[-1].kind == "energy.cannot_prime"


def test_all_units_of_a_day_cool():
    built, _, now = loop_of(shipped(KETCH))
    states = operate(built.loop, now).units["saloon unit"].state
    assert states[0] == COOLING
    assert energy(shipped(KETCH)).is_met


def test_refusals(tmp_path):
    with pytest.raises(SeaflowError) as no_such:
        energy(shipped(KETCH), "no such pump")
    assert no_such.value.problems[0].code == "S16"
    with pytest.raises(SeaflowError) as wrong_supply:
        energy(shipped(KETCH), "demo-dc-variable-12")
    assert wrong_supply.value.problems[0].code == "F13"
    text = edited(text_of(KETCH), ('hours = "10 h"', 'hours = "13 h"'))
    file = tmp_path / "long.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SeaflowError) as long_day:
        load_case(str(file))
    assert [item.code for item in long_day.value.problems] == ["S39"]
