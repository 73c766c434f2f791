"""Laws of the energy study: sums, limits, best speeds, starting head."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from sizing import KETCH, MOTOR, NAMES, SLOOP, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, FLOWING, TRIPS
from seaflow.model.thermal import run_unit
from seaflow.physics.pumping import pump_power
from seaflow.physics.water.seawater import seawater
from seaflow.present.card import card_text
from seaflow.present.faces import faces_of
from seaflow.present.layout import page
from seaflow.present.quantities import Show
from seaflow.studies.balance.study import balance
from seaflow.studies.design.takes import Task, course, machines_of
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.energy.day import always_on
from seaflow.studies.energy.optimum import (
    best_settings,
    bounds,
    grid,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.starting import least_speed, starting_of
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.improve.study import improve
from seaflow.studies.place.study import place
from seaflow.studies.size.size import size

ROUNDING = 1e-9  # relative: sums of a few doubles
SETTLED = 1e-6  # relative: load against output is settled in a few rounds
NEAR_RATED = 0.02  # relative: these units get nearly the water that they are rated for
RESOLUTION = 1e-5  # of full speed: two steps of the search for the least speed


def loop_of(case, pump=None):
    found = network.loops(case)[0]
    built, part, _ = picked_loop(case, found, pump)
    return built, part, full_supply(case, found, part)


def rated_cooling(built, now, name):
    """What a unit gives with its rated flow straight from the sea [W]."""
    coil = next(one for one in built.loop.coils if one.unit == name)
    at = np.asarray([coil.rated_flow]), np.asarray([now.sea_temperature])
    water = seawater(now.sea_temperature, now.salinity)
    return float(run_unit(coil, now, water, at, built.loop.rated_frequency).cooling[0])


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
        assert 0.0 < day.pump_share < 1.0
        assert day.always_on.energy >= day.pump * (1.0 - ROUNDING)
    assert answer.total == pytest.approx(sum(loop.day.total for loop in answer.loops), rel=ROUNDING)


def test_duties_stand_in_where_the_case_has_none(tmp_path):
    text = text_of(KETCH)
    start, end = text.index("[battery]"), text.index("[[through_hull]]")
    answer = energy(load_text(tmp_path, text[:start] + text[end:]))
    assert not answer.day_given
    names = [duty.name for duty in answer.loops[0].day.duties]
    assert names == ["shore by day", "shore by night"]  # the file tells of no battery
    meanings = [item.meaning for item in answer.assumptions]
    for name in names:
        assert any(name in meaning for meaning in meanings)
    assert not any("inverter" in meaning for meaning in meanings)
    battery = energy(load_text(tmp_path, text[: text.index("[[duty]]")] + text[end:]))
    names = [duty.name for duty in battery.loops[0].day.duties]
    assert names == ["shore by day", "anchor at night", "under sail"]


def test_what_is_said_of_the_day_is_what_it_takes():
    loop = energy(shipped(KETCH)).loops[0]
    day = loop.day
    assert loop.takes.kind == "energy.takes"
    parts = day.compressor + day.fans + day.controls + day.pump
    assert loop.takes["energy"].value == pytest.approx(parts, rel=ROUNDING)
    assert loop.takes["share"] == pytest.approx(day.pump / day.total, rel=ROUNDING)
    assert loop.takes["time"].value == 22 * 3600.0
    low, high = loop.band
    assert 0.75 * day.total < low < day.total < high < 1.3 * day.total


@pytest.mark.parametrize("ask", [balance, energy, heating, improve, place, size])
def test_with_every_unit_off_no_pump_is_asked_for(ask):
    case = shipped(KETCH)
    off = replace(case, unit=tuple(replace(one, switched_on=False) for one in case.unit))
    with pytest.raises(SeaflowError) as refused:
        ask(off)
    assert [problem.code for problem in refused.value.problems] == ["M04"]


def test_a_day_on_shore_says_nothing_of_a_battery(tmp_path):
    text = text_of(KETCH).replace('source = "battery"', 'source = "shore"')
    start, end = text.index("[battery]"), text.index("[[duty]]")
    ashore = energy(load_text(tmp_path, text[:start] + text[end:]))
    assert ashore.night is None and ashore.inverter is None
    assert "battery" not in {item.subject for item in ashore.assumptions}
    assert "batter" not in everything_said(ashore)
    old = 'name = "shore"\nhours = "10 h"\nload = "60 %"\nsource = "shore"'
    night = edited(text[:start] + text[end:], (old, old.replace('"shore"\nh', '"night"\nh')))
    one = night.replace('source = "shore"', 'source = "battery"', 1)
    away = energy(load_text(tmp_path, one))
    assert away.night is not None
    usual = {item.value for item in away.assumptions if item.subject == "battery"}
    assert usual == {"12.8 V", "2.5 kWh", "90 %", "25 W", "15 %", "6 h"}


def everything_said(answer):
    """Card and sections as one text."""
    faces = faces_of("energy", shipped(KETCH))
    show = Show()
    return card_text(faces.card(answer, show)) + page(faces.lines(answer, show))


def test_what_another_pump_would_save_is_what_its_best_speeds_save(tmp_path):
    """Only a compressor that follows the load leaves a slower pump something to save."""
    fixed = energy(shipped(KETCH)).loops[0]
    assert fixed.other_pump.kind == "energy.other_saves_nothing"
    assert fixed.gains[0].kind == "energy.no_throttle_gains"
    assert 0.0 <= fixed.like_saved < 0.005 * fixed.day.total
    old = 'name = "saloon unit"\n'
    follows = edited(text_of(KETCH), (old, f'{old}least_load = "30 %"\n'))
    loop = energy(load_text(tmp_path, follows)).loops[0]
    assert loop.other_pump.kind == "energy.other_saves"
    assert loop.other_pump["saved"].value == loop.like_saved > 0.005 * loop.day.total
    assert loop.day.saved == 0.0  # the pump that is fitted cannot be set


def test_what_is_said_of_the_best_speeds_is_what_they_save():
    loop = energy(shipped(SLOOP)).loops[0]
    season, on_this_day = loop.gains
    gains = [item.gain for item in loop.settings]
    assert season.kind == "energy.best_speed"
    assert (season["least"].value, season["most"].value) == (max(min(gains), 0.0), max(gains))
    best = loop.settings[int(np.argmax(gains))]
    assert (season["sea"].value, season["load"]) == (best.sea_temperature, best.load)
    full = best.fixed_units + best.fixed_pump
    assert best.gain_share == pytest.approx(1.0 - (best.units + best.pump) / full)
    shares = [max(item.gain_share, 0.0) for item in loop.settings]
    assert (season["least_share"], season["most_share"]) == (min(shares), max(shares))
    speeds = [duty.best.setting for duty in loop.day.duties]
    assert (on_this_day["low"], on_this_day["high"]) == (min(speeds), max(speeds))
    saved = sum(duty.best.gain * duty.time for duty in loop.day.duties)
    assert on_this_day["saved"].value == pytest.approx(saved, rel=ROUNDING)
    assert on_this_day["share"] == pytest.approx(saved / loop.day.total, rel=ROUNDING)


def test_a_pump_that_always_runs_takes_its_power_all_the_time(tmp_path):
    old = 'name = "shore"\nhours = "10 h"\nload = "60 %"\n'
    case = load_text(tmp_path, edited(text_of(KETCH), (old, old + 'pump = "always"\n')))
    usual, always = energy(shipped(KETCH)).loops[0].day, energy(case).loops[0].day
    assert always.duties[0].pump == pytest.approx(
        usual.duties[0].pump / usual.duties[0].run_share, rel=SETTLED
    )
    assert always.duties[0].compressor == usual.duties[0].compressor


def test_what_a_pump_left_on_wastes_is_the_time_in_which_no_duty_needs_it():
    """Two duties of half a day; the first asks more than it has time for, the second nothing."""
    duty = energy(shipped(KETCH)).loops[0].day.duties[0]
    half = 12 * 3600.0
    for share, needed in ((0.0, 0.0), (0.25, 0.25), (1.0, 1.0), (1.5, 1.0)):
        duties = [replace(duty, time=half, run_share=one) for one in (share, 0.0)]
        found = always_on(50.0, duties)
        assert found.energy == pytest.approx(50.0 * 2 * half, rel=ROUNDING)
        assert found.wasted == pytest.approx(50.0 * (2.0 - needed) * half, rel=ROUNDING)
    whole_day = [replace(duty, time=half, run_share=1.0 + 1e-9)] * 2
    assert always_on(50.0, whole_day).wasted == 0.0


@pytest.mark.parametrize("name", NAMES)
def test_what_a_pump_left_on_wastes_and_what_the_duties_need_are_all_it_takes(name):
    for loop in energy(shipped(name)).loops:
        day = loop.day
        needed = sum(duty.run_share * duty.time for duty in day.duties) * day.always_on.power
        assert day.always_on.wasted + needed == pytest.approx(day.always_on.energy, rel=SETTLED)


def test_the_cooling_asked_for_is_given(sloop):
    built, _, now = sloop
    load = np.asarray([0.2, 0.45, 0.6, 0.8])
    slow = replace(now, pump_speed=0.7)
    follows = machines_of(shipped(SLOOP))
    found, point = course(built, slow, load, follows)
    full = rated_cooling(built, now, "cabin unit")
    given = point.units["cabin unit"].cooling * found.run_share
    np.testing.assert_allclose(given, load * full, rtol=SETTLED)
    np.testing.assert_allclose(found.run_share[1:], 1.0, rtol=SETTLED)
    assert found.run_share[0] < 1.0  # below the least load the compressor is switched


def test_a_pump_that_always_runs_stops_no_sooner_than_its_units(sloop):
    """Slow and at full load the units run on past the time; at low load they are soon done."""
    built, _, now = sloop
    slow, load = replace(now, pump_speed=0.35), np.asarray([0.2, 1.0])
    fixed = replace(machines_of(shipped(SLOOP)), least={"cabin unit": 1.0})
    found, point = course(built, slow, load, fixed)
    always, _ = course(built, slow, load, fixed, True)
    drawn = point.pumps["pump"].power
    assert found.run_share[0] < 1.0 < found.run_share[1]
    np.testing.assert_allclose(found.pump, drawn * found.run_share, rtol=ROUNDING)
    np.testing.assert_allclose(always.pump, drawn * [1.0, found.run_share[1]], rtol=ROUNDING)
    np.testing.assert_array_equal(always.compressor, found.compressor)


def test_the_pump_runs_while_any_unit_calls(tmp_path):
    """Three thermostats on their own: it rests while all three do, 1 less the product of rests."""
    case = shipped(MOTOR)
    built, _, now = loop_of(case)
    loads, own = np.asarray([0.2, 0.5, 0.6, 1.0]), machines_of(case)
    alone, _ = course(built, now, loads, own)
    point = operate(built.loop, now)
    ratios = {
        name: rated_cooling(built, now, name) / unit.cooling[0]
        for name, unit in point.units.items()
    }
    rest = np.prod([1.0 - np.minimum(loads * one, 1.0) for one in ratios.values()], axis=0)
    longest = loads * max(ratios.values())
    np.testing.assert_allclose(alone.run_share, np.maximum(1.0 - rest, longest), rtol=SETTLED)
    together = replace(own, thermostats=dict.fromkeys(own.thermostats, "one"))
    one, _ = course(built, now, loads, together)
    np.testing.assert_allclose(one.run_share, longest, rtol=SETTLED)
    np.testing.assert_allclose(one.units, alone.units, rtol=ROUNDING)
    pair = text_of(MOTOR).replace("[[unit]]", '[[unit]]\nthermostat = "one"', 2)
    shared, _ = course(built, now, loads, machines_of(load_text(tmp_path, pair)))
    first, second, third = (loads * ratios[unit.name] for unit in case.unit)
    rest = (1.0 - np.minimum(np.maximum(first, second), 1.0)) * (1.0 - np.minimum(third, 1.0))
    np.testing.assert_allclose(shared.run_share, np.maximum(1.0 - rest, longest), rtol=SETTLED)


def test_a_duty_of_one_unit_takes_what_that_unit_takes(tmp_path):
    """The pump feeds all of them still, so that each runs as it would beside the others."""
    duty = '[[duty]]\nname = "night"\nhours = "10 h"\nload = "50 %"\nsource = "shore"\n'
    only = 'units = ["guest cabin unit"]\n'
    days = [
        energy(load_text(tmp_path, text_of(MOTOR).replace("[[", duty + more + "\n[[", 1)))
        for more in ("", only)
    ]
    every, one = (day.loops[0].day.duties[0] for day in days)
    assert one.run_share == pytest.approx(0.5, rel=NEAR_RATED)
    assert every.run_share == pytest.approx(0.875, rel=NEAR_RATED)
    assert one.controls == pytest.approx(every.controls / 3.0, rel=ROUNDING)
    assert one.pump == pytest.approx(every.pump * one.run_share / every.run_share, rel=SETTLED)
    assert 0.0 < one.compressor < 0.6 * every.compressor


def test_at_a_quarter_load_a_compressor_gives_what_is_printed(sloop):
    """12 to 18 BTU/Wh at part load, trade pages, publishers withheld: 3.5 to 5.3 W for 1 W."""
    built, _, now = sloop
    quarter = {"cabin unit": np.full(2, 0.25)}
    point = operate(built.loop, replace(now, sea_temperature=np.array([24.0, 28.0]), load=quarter))
    unit = point.units["cabin unit"]
    ratio = unit.cooling / unit.power
    assert ratio[0] == pytest.approx(4.5, abs=0.3)  # 7.1 by the cycle alone
    assert np.all((ratio >= 3.5) & (ratio <= 5.3))


def test_one_unit_that_trips_is_enough_not_to_cool():
    built, _, now = loop_of(shipped(MOTOR))
    warm = np.asarray([0.0, 45.0])  # K, of the water that one of three units gets
    machines = machines_of(shipped(MOTOR))
    found, point = course(built, replace(now, preheat={"saloon unit": warm}), np.ones(2), machines)
    assert point.units["saloon unit"].state.tolist() == [COOLING, TRIPS]
    assert point.units["guest cabin unit"].state.tolist() == [COOLING, COOLING]
    assert found.cools.tolist() == [True, False]


def test_the_course_of_an_array_is_that_of_each(sloop):
    built, _, now = sloop
    loads, speeds = np.asarray([0.3, 0.6, 1.0]), np.asarray([0.6, 0.8, 1.0])
    least = machines_of(shipped(SLOOP))
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
        assert best.gain >= -ROUNDING * best.fixed_units
        at = replace(now, sea_temperature=best.sea_temperature)
        load = np.full(speeds.size, best.load)
        found, point = course(built, replace(at, pump_speed=speeds), load, machines_of(case))
        holds = np.all([item.holds for item in bounds(case, built, point)], axis=0)
        chosen = int(np.argmin(np.abs(speeds - best.setting)))
        assert holds[chosen]
        assert found.total[chosen] <= found.total[holds].min() * (1.0 + ROUNDING)


def test_a_slower_pump_pays_at_low_load_only(sloop):
    case = shipped(SLOOP)
    built, part, now = sloop
    tasks = [Task(now, load) for load in (0.35, 0.5, 0.75, 1.0)]
    found = best_settings(case, built, tasks, speeds_from(part.least_speed))
    gains = [item.gain for item in found if item.set_by.kind == "energy.least_power"]
    assert len(gains) >= 3  # at the lowest load another bound may hold the speed up
    assert all(later < earlier for earlier, later in pairwise(gains))


@pytest.mark.parametrize("steady", [0.05, 0.125])
def test_the_best_speed_hardly_hangs_on_the_power_that_is_steady(sloop, steady, monkeypatch):
    """That share is assumed, and may be 5 to 12.5 %."""
    case = shipped(SLOOP)
    built, part, now = sloop
    speeds, tasks = speeds_from(part.least_speed), [Task(now, load) for load in (0.25, 0.5, 1.0)]
    usual = best_settings(case, built, tasks, speeds)
    monkeypatch.setattr(pump_power, "STEADY_SHARE", steady)
    for one, other in zip(usual, best_settings(case, built, tasks, speeds), strict=True):
        assert one.setting == pytest.approx(other.setting, abs=0.05)
        assert one.gain == pytest.approx(other.gain, abs=0.03 * one.fixed_units)


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
    assert np.diff([row.speed for row in found.speeds]) == pytest.approx(-0.1)
    for row in found.speeds:
        assert row.delivers == (row.speed >= found.least_speed)
        assert row.shut_off_head == pytest.approx(found.shut_off_head * row.speed**2, rel=ROUNDING)
        over = row.shut_off_head / found.starting_head
        assert row.over_starting == pytest.approx(over, rel=ROUNDING)
    by_head = np.sqrt([found.starting_head, found.running_head] / np.asarray(found.shut_off_head))
    assert [found.least_by_affinity, found.least_once_full] == pytest.approx(list(by_head))
    said = {item.kind: item for item in (*found.says, *found.slowest)}
    assert said["energy.lifts"]["times"] == found.factor
    assert said["energy.slowest"]["speed"] == found.least_speed
    if found.running_head > 0.0:
        assert said["energy.once_full"]["left"].value == found.running_head
        assert said["energy.holds_on"]["speed"] == found.least_once_full
    else:  # an outlet at or under the water
        assert "energy.once_full_nothing" in said
        assert "energy.holds_on" not in said
    assert ("energy.can_be_set" in said) == (part.least_speed is not None)


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


@pytest.mark.parametrize(
    ("times", "kind"),
    [(0.98, "cannot_lift"), (1.02, "lifts_barely"), (1.48, "lifts_barely"), (1.52, "lifts")],
)
def test_the_start_is_judged_by_how_often_the_climb_goes_into_the_shut_off_head(ketch, times, kind):
    built, part, now = ketch
    coil = built.loop.coils[0]
    height = starting_of(built, part, now).shut_off_head / times
    loop = built.loop.changed(coil.name, point=replace(coil.point, height=height))
    found = starting_of(replace(built, loop=loop), part, now)
    assert found.says[0].kind == f"energy.{kind}"
    assert found.factor == pytest.approx(times, rel=ROUNDING)


def test_every_limit_of_the_flow_breaks_where_the_model_passes_it(sloop):
    """Rise, margin and velocity are set half way between slow and fast, so that each flips."""
    case = shipped(SLOOP)
    built, _, now = sloop
    speeds = np.linspace(0.4, 1.0, 25)
    point = operate(built.loop, replace(now, pump_speed=speeds))
    unit, coil = point.units["cabin unit"], built.loop.coils[0]
    flow, rise, margin = unit.volume_flow, unit.temperature_rise, unit.cut_out_margin
    middle = {name: float(np.median(values)) for name, values in (("r", rise), ("m", margin))}
    design = replace(case.design, permitted_rise=middle["r"], cut_out_margin=middle["m"])
    held = replace(coil, flow_limits=(float(flow[5]) * 1.001, float(flow[20]) * 1.001))
    limited = replace(built, loop=built.loop.changed(coil.name, flow_limits=held.flow_limits))
    found = {item.says.kind: item for item in bounds(replace(case, design=design), limited, point)}
    velocity = coil.velocity(flow)
    wanted = {
        "energy.runs": np.ones(25, dtype=bool),
        "energy.least_flow": flow >= held.flow_limits[0],
        "energy.most_flow": flow <= held.flow_limits[1],
        "energy.silt": velocity >= 1.0,
        "energy.alloy": velocity <= found["energy.alloy"].says["velocity"].value,
        "energy.rise": rise <= middle["r"] * (1.0 + ROUNDING),
        "energy.cut_out": margin >= middle["m"],
    }
    assert set(found) == set(wanted)
    for kind, holds in wanted.items():
        assert found[kind].holds.tolist() == holds.tolist(), kind
    flips = {kind for kind, holds in wanted.items() if 0 < holds.sum() < 25}
    assert {"least_flow", "most_flow", "silt", "rise", "cut_out"} <= {
        kind.removeprefix("energy.") for kind in flips
    }


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
    found = energy(shipped(KETCH)).loops[0]
    assert found.start.outcome == "starts"
    assert [item.kind for item in found.starts] == ["start.as_it_is"]
    old = 'height = "-0.42 m" }\nfitted'
    new = old.replace("-0.42", "0.10")
    high = load_text(tmp_path, edited(text_of(KETCH), (old, new)))
    answer = energy(high)
    found = answer.loops[0]
    assert found.start.outcome == "no" and answer.grade == "no"
    assert found.starts[0].kind == "start.will_not"
    # the same boat asked by another command
    assert heating(high).grade == "no" and heating(shipped(KETCH)).grade == "yes"


def test_all_units_of_a_day_cool():
    built, _, now = loop_of(shipped(KETCH))
    states = operate(built.loop, now).units["saloon unit"].state
    assert states[0] == COOLING
    answer = energy(shipped(KETCH))
    assert answer.loops[0].day.cools
    assert answer.grade == "tight"  # as `size` calls the pump fitted


def test_one_duty_without_cooling_is_enough_to_say_no(tmp_path):
    """With a cut-out so low the unit trips in the warmest sea, and so in one duty of three."""
    low = ('gauge_pressure = "41 bar"', 'gauge_pressure = "25.2 bar"')
    answer = energy(load_text(tmp_path, edited(text_of(KETCH), low)))
    day = answer.loops[0].day
    assert [duty.fails is None for duty in day.duties] == [False, True, True]
    assert day.duties[0].fails["duty"] == "shore"
    assert not day.cools
    assert answer.grade == "no"


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


@pytest.mark.parametrize("name", NAMES)
def test_no_assumption_is_told_twice(name):
    """Those of the battery are asked for the boat and again for the supply of each pump."""
    told = energy(shipped(name)).assumptions
    assert told and len(set(told)) == len(told)
