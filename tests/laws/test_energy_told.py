"""What energy makes of numbers, at each edge: which setting, which limit, which change."""

from dataclasses import replace
from functools import partial
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from made import kinds_of, made
from sizing import KETCH, MOTOR, shipped

from seaflow.base.constants import DAY
from seaflow.base.facts import fact
from seaflow.boat.defaults import default
from seaflow.boat.tables.use import Duty
from seaflow.model.conditions import Conditions
from seaflow.model.starting import Climb
from seaflow.studies.design.duties import HouseBank
from seaflow.studies.design.limits import limit
from seaflow.studies.energy.charge import NO_DUTY, Charges, charge_through, steps_of
from seaflow.studies.energy.day import Day, DutyEnergy
from seaflow.studies.energy.inverter import start_of_unit
from seaflow.studies.energy.night import NightChange, _after, _grade, _helps, _says
from seaflow.studies.energy.optimum import (
    Best,
    Bound,
    _flows,
    _set_by,
    coil_velocities,
    gain_of,
    grid,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.plan import NightWay, Plan, _begins, _otherwise, named
from seaflow.studies.energy.starting import _affinity, _lift, _slowest
from seaflow.studies.energy.study import _any_best, _on_this_day, _other_pump, _takes

HOUR, KWH = 3600.0, 3.6e6

kinds = partial(kinds_of, "energy")


def by_kind(said):
    return {one.kind.removeprefix("energy."): one for one in said}


# --------------------------------------------------------------------------------------- a setting


def bound(name, *holds):
    return Bound(fact("energy.runs", unit=name), np.asarray(holds))


@pytest.mark.parametrize(
    ("best", "limits", "kind", "unit"),
    [
        (-1, [bound("a", True, False, True), bound("b", True, True, False)], "breaks", "b"),
        (-1, [bound("a", False, False, True)], "not_all_limits", None),
        (0, [bound("a", True, True, True)], "least_setting", None),
        (1, [bound("a", True, True, True)], "least_power", None),
        (2, [bound("a", True, True, True)], "full_speed", None),
        (2, [bound("a", False, True, True), bound("b", True, False, True)], "runs", "b"),
        (1, [bound("a", False, True, True), bound("b", False, True, True)], "runs", "a"),
    ],
)
def test_a_setting_is_set_by_the_first_limit_that_the_next_slower_breaks(best, limits, kind, unit):
    said = _set_by(best, np.asarray([0.4, 0.7, 1.0]), limits)
    assert said.kind == f"energy.{kind}"
    if unit is not None:
        assert (said["limit"] if kind == "breaks" else said)["unit"] == unit


def at_best(units, pump, **more):
    """A setting beside 400 W of units and 100 W of pump at full speed."""
    told = {"setting": 0.6, "fixed_units": 400.0, "fixed_pump": 100.0, "units": units}
    told |= {"pump": pump, "sea_temperature": 28.0, "load": 1.0}
    return made(Best, **told | more)


def test_a_gain_is_what_units_and_pump_save_together():
    best = at_best(410.0, 60.0)
    assert (best.gain, best.gain_share) == (30.0, 0.06)
    assert at_best(410.0, 100.0).gain == -10.0
    assert made(Best).gain_share == 0.0


@pytest.mark.parametrize("throttled", [False, True])
def test_what_best_settings_gain_is_told_from_half_a_watt_on(throttled):
    what = "throttle" if throttled else "speed"
    none, some = at_best(399.51, 100.0), at_best(399.49, 100.0)
    assert kinds([gain_of([none], throttled)]) == [f"no_{what}_gains"]
    assert kinds([gain_of([some], throttled)]) == [f"best_{what}"]
    fails = replace(none, setting=None, set_by=fact("energy.not_all_limits"), units=0.0)
    said = gain_of([replace(fails, set_by=fact("energy.full_speed")), fails], throttled)
    assert (said.kind, said["why"]) == (f"energy.no_{what}_holds", fails.set_by)
    worse = at_best(420.0, 100.0, sea_temperature=20.0, load=0.5)
    most = at_best(390.0, 60.0, sea_temperature=25.0, load=0.75)
    said = gain_of([worse, most, fails], throttled)
    assert (said["least"].value, said["most"].value) == (0.0, 50.0)
    assert (said["least_share"], said["most_share"]) == (0.0, 0.1)
    assert (said["sea"].value, said["load"]) == (25.0, 0.75)
    said = gain_of([some, most], throttled)
    assert said["least"].value == pytest.approx(0.51)


def test_settings_tried_run_from_the_least_to_full_speed_and_to_an_open_hose():
    speeds, losses = speeds_from(0.35), throttles()
    assert (speeds[0], speeds[-1]) == (0.35, 1.0) and np.ptp(np.diff(speeds)) < 1e-12
    assert losses[-1] == 0.0 and np.all(np.diff(losses) < 0.0)
    assert (losses[0], losses[-2]) == pytest.approx((1e4, 0.1))
    assert speeds.size == losses.size


def test_seas_tried_run_from_the_coldest_to_the_warmest_with_four_loads_each():
    case = shipped(KETCH)
    now = Conditions(sea_temperature=0.0)
    tasks = grid(case, now)
    seas = sorted({task.now.sea_temperature for task in tasks})
    assert (seas[0], seas[-1]) == (case.sea.coldest, case.sea.warmest)
    assert {task.load for task in tasks} == {0.25, 0.5, 0.75, 1.0}
    assert len(tasks) == 4 * len(seas) and np.ptp(np.diff(seas)) < 1e-9
    for coldest in (case.sea.warmest, case.sea.warmest + 1.0):
        other = replace(case, sea=replace(case.sea, coldest=coldest))
        assert {task.now.sea_temperature for task in grid(other, now)} == {case.sea.warmest}


def test_limits_of_flow_hold_at_the_limit_itself_and_not_beyond_rounding():
    coil = SimpleNamespace(unit="a", flow_limits=(1e-4, 3e-4))
    least, most = _flows(coil, np.asarray([0.9999e-4, 1e-4, 3e-4, 3.0001e-4]))
    assert least.holds.tolist() == [False, True, True, True]
    assert most.holds.tolist() == [True, True, True, False]
    assert (least.says.kind, most.says.kind) == ("energy.least_flow", "energy.most_flow")
    assert (least.says["flow"].value, most.says["flow"].value) == (1e-4, 3e-4)
    assert _flows(SimpleNamespace(unit="a", flow_limits=(None, None)), np.ones(2)) == []


def test_velocities_are_those_of_the_alloy_of_the_unit_itself():
    case = shipped(MOTOR)
    first, *others = case.unit
    alloys = ("90-10 copper-nickel", None)
    mixed = replace(case, unit=tuple(replace(one, alloy=None) for one in others))
    assert coil_velocities(mixed, others[0].name) == (limit("silt_velocity"), None)
    told = replace(mixed, unit=(replace(first, alloy=alloys[0]), *mixed.unit))
    least, most = coil_velocities(told, first.name)
    assert most == case.catalogue.fastest_water(alloys[0])[1]
    assert least == (case.catalogue.slowest_water(alloys[0]) or limit("silt_velocity"))
    assert coil_velocities(told, others[0].name)[1] is None


# ------------------------------------------------------------------------------------------ the day


def duty_energy(compressor, fans, controls, pump, **more):
    told = {"compressor": compressor, "fans": fans, "controls": controls, "pump": pump}
    return made(DutyEnergy, **told | more)


def test_a_duty_and_a_day_are_all_that_they_take():
    duty = duty_energy(4.0, 3.0, 2.0, 1.0, time=HOUR)
    assert (duty.units, duty.total) == (9.0, 10.0)
    fails = replace(duty, fails=fact("energy.fails"))
    day = made(Day, duties=(duty, duty), compressor=8.0, fans=6.0, controls=4.0, pump=2.0)
    assert (day.total, day.pump_share, day.cools) == (20.0, 0.1, True)
    assert not replace(day, duties=(duty, fails)).cools
    assert made(Day, duties=()).pump_share == 0.0
    said = _takes(day)
    assert (said.kind, said["energy"].value, said["time"].value) == ("energy.takes", 20.0, 2 * HOUR)
    assert (said["pump"].value, said["share"]) == (2.0, 0.1)
    assert _takes(replace(day, saved=1.0)).kind == "energy.at_full_speed"


def day_at(*settings, saved=1e5):
    rows = tuple(
        duty_energy(
            1.0, 0.0, 0.0, 0.0, best=None if one is None else at_best(1.0, 1.0, setting=one)
        )
        for one in settings
    )
    return made(Day, duties=rows, compressor=1e6, saved=saved)


def test_the_best_speeds_of_a_day_are_told_from_slowest_to_fastest():
    (said,) = _on_this_day(day_at(0.8, 0.5, None))
    assert (said.kind, said["low"], said["high"]) == ("energy.saves_between", 0.5, 0.8)
    assert (said["saved"].value, said["share"]) == (1e5, 0.1)
    (said,) = _on_this_day(day_at(0.503, 0.497))
    assert said.kind == "energy.saves_at"
    assert not list(_on_this_day(day_at(0.8, saved=0.0)))
    assert len(list(_on_this_day(day_at(0.8, saved=0.5)))) == 1
    assert not list(_on_this_day(day_at(None)))
    assert _any_best(day_at(None, 0.8)) and not _any_best(day_at(None))
    assert not _any_best(made(Day, duties=(duty_energy(1.0, 0.0, 0.0, 0.0, best=made(Best)),)))


def test_another_pump_is_told_from_a_two_hundredth_of_the_day_on():
    day = day_at(0.8)
    assert _other_pump(4999.0, day).kind == "energy.other_saves_nothing"
    said = _other_pump(5001.0, day)
    assert (said.kind, said["saved"].value) == ("energy.other_saves", 5001.0)
    assert said["share"] == pytest.approx(0.005001)


# ------------------------------------------------------------------------------------ how slowly


@pytest.mark.parametrize(
    ("height", "shut_off", "speed"),
    [(0.0, 3.0, 0.0), (-0.4, 3.0, 0.0), (0.75, 3.0, 0.5), (3.0, 3.0, None), (4.0, 3.0, None)],
)
def test_the_shut_off_head_falls_with_the_square_of_the_speed(height, shut_off, speed):
    assert _affinity(height, shut_off) == speed


@pytest.mark.parametrize(
    ("speeds", "settable", "told"),
    [
        ((None, 0.5, 0.3), 0.4, ["no_speed_delivers"]),
        ((0.2, 0.0, 0.0), 0.4, ["any_speed"]),
        ((0.2, None, None), None, ["any_speed"]),
        ((0.5, 0.48, None), None, ["slowest"]),
        ((0.5, 0.48, 0.0), None, ["slowest"]),
        ((0.5, 0.48, 0.3), None, ["slowest", "holds_on"]),
        ((0.5, 0.48, 0.3), 0.6, ["slowest", "holds_on", "can_be_set"]),
        ((0.5, 0.48, 0.3), 0.4, ["slowest", "holds_on", "can_be_set_too_low"]),
        ((0.5, 0.48, 0.3), 0.5, ["slowest", "holds_on", "can_be_set_too_low"]),
    ],
)
def test_how_slowly_a_pump_may_turn(speeds, settable, told):
    said = list(_slowest(speeds, settable))
    assert kinds(said) == told
    values = {one.kind: one for one in said}
    if "slowest" in told:
        assert values["energy.slowest"]["speed"] == speeds[0]
        assert values["energy.slowest"]["by_affinity"] == speeds[1]
    if "holds_on" in told:
        assert values["energy.holds_on"]["speed"] == speeds[2]
    if settable is not None and len(told) == 3:
        assert said[-1]["speed"] == settable


def climb(times):
    height = 1.0
    shut_off = 3.0 if times is None else times * height
    return SimpleNamespace(shut_off_head=shut_off, times=times, height=height, label="crest")


def test_a_pump_lifts_barely_below_the_factor_wanted_and_cannot_below_the_height():
    assert {name for name in dir(climb(1.0)) if not name.startswith("_")} <= {
        *Climb.__dataclass_fields__,
        *dir(Climb),
    }
    wanted = limit("starting_factor")
    cases = [(0.99, "cannot_lift"), (1.0, "lifts_barely"), (wanted - 0.01, "lifts_barely")]
    cases += [(wanted, "lifts"), (wanted + 1.0, "lifts")]
    for times, kind in cases:
        first, left = _lift(climb(times), 0.2)
        assert (first.kind, first["wanted"], first["times"]) == (f"energy.{kind}", wanted, times)
        assert (first["height"].value, first["highest"]) == (1.0, "crest")
        assert (left.kind, left["left"].value) == ("energy.once_full", 0.2)
    assert kinds(_lift(climb(2.0), 0.0))[1] == "once_full_nothing"
    (alone,) = _lift(climb(None), 0.2)
    assert (alone.kind, alone["shut_off"].value) == ("energy.nothing_to_lift", 3.0)


# ---------------------------------------------------------------------------------------- the night


def duty(name, hours, source, **more):
    return Duty(name=name, hours=hours * HOUR, load=0.5, source=source, **more)


@pytest.mark.parametrize(
    ("rows", "begins"),
    [
        # hours, source, start: a run of two is longer than one of six hours
        ([(6, "battery", 2), (4, "shore", 8), (4, "battery", 12), (3, "battery", 16)], 12),
        ([(8, "battery", 0), (4, "shore", 8), (4, "battery", 12), (3, "battery", 16)], 12),
        ([(4, "shore", 8), (5, "battery", 12), (5, "battery", 22)], 12),
        ([(5, "battery", 22), (4, "shore", 8), (2, "battery", 12), (2, "generator", 15)], 22),
        ([(5, "battery", 3), (4, "battery", 20), (3, "battery", 12)], 20),
        ([(5, "battery", 3), (4, "battery", 16), (3, "battery", 12)], 3),
        ([(5, "battery", 18), (4, "battery", 20)], 18),
    ],
)
def test_a_night_begins_with_the_longest_run_on_the_battery(rows, begins):
    duties = [duty(str(i), hours, source) for i, (hours, source, _) in enumerate(rows)]
    starts = [start * HOUR for *_, start in rows]
    assert _begins(duties, starts) == begins * HOUR
    turned = [*range(1, len(rows)), 0]
    assert _begins([duties[i] for i in turned], [starts[i] for i in turned]) == begins * HOUR


def test_no_step_of_a_day_is_longer_than_five_minutes_and_turns_are_steps():
    duties = [duty("a", 3.51, "battery"), duty("b", 2.0, "shore")]
    times, which = steps_of(duties, [22.0 * HOUR + 70.0, 4.0 * HOUR], 21.0 * HOUR)
    assert (times[0], times[-1]) == (0.0, DAY)
    assert np.diff(times).max() <= 300.0 + 1e-6 and np.diff(times).min() > 0.0
    spans = np.diff(times)
    assert spans[which == 0].sum() == pytest.approx(3.51 * HOUR, abs=0.002)
    assert spans[which == 1].sum() == pytest.approx(2.0 * HOUR)
    assert spans[which == NO_DUTY].sum() == pytest.approx(DAY - 5.51 * HOUR, abs=0.002)


def charges(rows, most=1000.0, steps=4):
    """A battery of so many joules through four equal steps of a day, drawn and charged so [W]."""
    times = np.linspace(0.0, DAY, steps + 1)
    out, into = (np.asarray(column)[:, np.newaxis] for column in zip(*rows, strict=True))
    full = np.asarray([most])
    return times, charge_through(times, out, into, full, full)


def plan(most=1000.0, given=True, house_given=True, begins=0.0, times=None):
    bank = made(
        HouseBank,
        voltage=10.0,
        capacity=most / 10.0,
        given=given,
        house=5.0,
        house_given=house_given,
    )
    return made(Plan, bank=bank, begins=begins, times=times, duties=(), loops=())


QUARTER = DAY / 4.0


def test_a_night_that_lasts_is_told_with_what_is_left_at_dawn_and_the_least():
    """Drawn to six tenths by six in the morning and to five by noon; charged to full by six."""
    rows = [(400.0 / QUARTER, 0.0), (100.0 / QUARTER, 0.0), (0.0, 500.0 / QUARTER), (0.0, 0.0)]
    times, known = charges(rows)
    for least, said in ((0.1, True), (0.03, True), (0.01, False)):
        rows[1] = (1000.0 * least * 0.6 / QUARTER, 0.0)
        times, known = charges(rows)
        night = plan(times=times)
        assert night.dawn == pytest.approx(default("battery.dawn").value)
        told = by_kind(_says(night, known, known, []))
        at_dawn = known.at(night.dawn)[0]
        assert told["night_lasts"]["share"] == pytest.approx(at_dawn / 1000.0)
        assert told["night_lasts"]["left"].value == pytest.approx(at_dawn / 10.0)
        assert ("night_least" in told) == said
        if said:
            assert told["night_least"]["left"].value == pytest.approx(known.energy.min() / 10.0)
            assert told["night_least"]["time"] == "12:00"
        assert told["night_share"]["share"] == 1.0


def test_a_night_that_does_not_last_is_told_with_its_hour_and_what_helps():
    rows = [(500.0 / QUARTER, 0.0), (1000.0 / QUARTER, 0.0), (0.0, 0.0), (0.0, 900.0 / QUARTER)]
    times, known = charges(rows)
    drawn = replace(known, empty=np.asarray([0.2, 0.3, 0.5, np.inf]) * DAY)
    change = made(NightChange, changes=(fact("energy.way_switched"),), until="", left_at_dawn=3.0)
    way = NightWay(switched=True)
    night = plan(times=times, given=False, house_given=False)
    told = {
        one.kind.removeprefix("energy."): one for one in _says(night, known, drawn, [(way, change)])
    }
    assert told["night_limit_or_not"]["limit"] == "09:00"
    assert told["night_limit_or_not"]["early"] == "04:48"
    assert told["night_lasts_with"]["changes"] == change.changes
    assert told["night_lasts_with"]["left"].value == 3.0
    assert told["bank_typical"]["charge"].value == 100.0
    assert told["house_typical"]["power"].value == 5.0
    assert told["night_share"]["share"] == 0.25
    assert told["not_made_good"]["missing"].value == pytest.approx(10.0)
    late = replace(drawn, empty=np.asarray([0.2, 0.3, 0.5, 0.6]) * DAY)
    told = by_kind(_says(night, known, late, []))
    assert told["night_limit"]["late"] == "14:24"


def test_a_day_makes_good_what_is_within_a_fiftieth_and_when_it_is_full_again():
    for back, good in ((500.0, True), (481.0, True), (479.0, False)):
        rows = [(500.0 / QUARTER, 0.0), (0.0, back / QUARTER), (0.0, 0.0), (0.0, 0.0)]
        times, known = charges(rows)
        said = _after(plan(times=times), known)
        assert (said.kind == "energy.full_again") == good
        if good:
            assert said["time"] == ("12:00" if back == 500.0 else "00:00")
        else:
            assert said["missing"].value == pytest.approx(2.1) and said["time"] == "00:00"


def change(name, until="", lasts=DAY, left=1.0):
    told = {"until": until, "lasts": lasts, "left_at_dawn": left}
    return made(NightChange, changes=(fact("energy.way_off", unit=name),), **told)


def test_of_what_makes_the_night_last_the_least_change_is_told():
    both = (NightWay(slow=True, load=0.8), change("both", left=9.0))
    slow = (NightWay(slow=True), change("slow", left=2.0))
    less = (NightWay(load=0.8), change("less", left=5.0))
    off = (NightWay(off="a"), change("off", left=4.0))

    def told(*tried):
        (said,) = _helps(tried)
        return said["changes"][0]["unit"]

    for one, other in pairwise((slow, off, less, both)):
        assert told(one, other) == told(other, one) == one[1].changes[0]["unit"]
    short = (NightWay(slow=True), change("short", "05:00", 7.0 * HOUR))
    longer = (NightWay(slow=True, off="a"), change("longer", "06:00", 8.0 * HOUR))
    assert told(short, both) == "both"
    assert told(short, longer) == told(longer, short) == "longer"
    assert list(_helps([])) == []
    assert [way.n_changes for way, _ in (slow, both, longer)] == [1, 2, 2]
    assert NightWay(True, "a", 0.8, True).n_changes == 4 and NightWay().n_changes == 0


def test_the_grade_of_a_night():
    enough = limit("likely_enough")
    assert _grade(True, enough, []) == "yes" and _grade(True, enough - 0.01, []) == "tight"
    assert _grade(False, 0.0, [change("a", "05:00"), change("b")]) == "tight"
    assert _grade(False, 0.0, [change("a", "05:00")]) == _grade(False, 1.0, []) == "no"


def test_a_duty_otherwise_is_only_what_runs_on_the_battery():
    loops = (SimpleNamespace(units=("a", "b"), speeds={}), SimpleNamespace(units=("c",), speeds={}))
    night = made(Plan, loops=loops)
    bay, marina = (duty("x", 4, source, pump="always") for source in ("battery", "shore"))
    way = NightWay(off="b", switched=True)
    assert _otherwise(night, marina, way) == marina
    assert _otherwise(night, bay, way).units == ("a", "c")
    assert _otherwise(night, bay, way).pump is None
    assert _otherwise(night, bay, NightWay(off="b")).pump == "always"
    alone = _otherwise(night, replace(bay, units=("b",)), way)
    assert alone.units and "b" not in alone.units  # nobody, and not everybody


def test_ways_are_named_by_what_they_change():
    duties = (duty("bay", 4, "battery"), duty("marina", 4, "shore"))
    loop = SimpleNamespace(units=("a",), speeds={"bay": 0.6, "marina": 0.3})
    night = made(Plan, duties=duties, loops=(loop,))
    (said,) = named(night, NightWay(slow=True))
    assert (said.kind, said["speed"]) == ("energy.way_speed", 0.6)
    other = SimpleNamespace(units=("b",), speeds={"bay": 0.45})
    (said,) = named(replace(night, loops=(loop, other)), NightWay(slow=True))
    assert (said["low"], said["high"]) == (0.45, 0.6)
    every = list(named(night, NightWay(True, "a", 0.8, True)))
    assert kinds(every) == ["way_speed", "way_switched", "way_off", "way_less"]
    assert (every[2]["unit"], every[3]["less"]) == ("a", pytest.approx(0.2))
    assert not list(named(night, NightWay()))


def test_what_is_missing_until_then_is_taken_from_what_is_left():
    _, found = charges([(600.0 / QUARTER, 0.0), (600.0 / QUARTER, 0.0), (0.0, 0.0), (0.0, 0.0)])
    assert isinstance(found, Charges)
    assert found.left[:, 0].tolist() == pytest.approx([1000.0, 400.0, -200.0, -200.0, -200.0])
    assert found.empty[0] == pytest.approx(QUARTER * (1.0 + 4.0 / 6.0))


# ------------------------------------------------------------------------------------- the inverter


def units_on(case, **watts):
    return replace(
        case,
        unit=tuple(replace(one, input_power=watts[one.name.split()[0]]) for one in case.unit),
    )


def test_the_largest_compressor_starts_last_of_the_duty_on_the_battery_that_asks_most():
    case = units_on(shipped(MOTOR), saloon=900.0, guest=500.0, wheelhouse=700.0)
    case = replace(case, battery=None)
    small = duty("one", 4, "battery", units=("guest cabin unit",))
    large = duty("all", 4, "battery")
    shore = duty("shore", 4, "shore")
    bank = made(HouseBank, inverter=None)

    def told(*duties, **more):
        return start_of_unit(case, duties, replace(bank, **more), 150.0)

    assert told(shore) is None
    said = told(small, large, shore)
    assert (said.kind, said["unit"]) == ("energy.inverter_asked", "saloon unit")
    assert told(small)["unit"] == "guest cabin unit"
    # pump, the other compressors, every fan and control
    fans = sum(one.fan_power or 0.025 * one.cooling for one in case.unit)
    running = 150.0 + 500.0 + 700.0 + fans + 3 * 5.0
    assert said["running"].value == pytest.approx(running)
    low, high = (said[key].value - running for key in ("low", "high"))
    assert 900.0 < low < high
    surge = default("battery.inverter_surge").value
    ask = {key: said[key].value / surge for key in ("low", "high")}
    for inverter, kind in (
        (ask["low"] * 0.999, "too_small"),
        (ask["low"] * 1.001, "may_not"),
        (ask["high"] * 0.999, "may_not"),
        (ask["high"] * 1.001, "starts"),
    ):
        found = told(large, inverter=inverter)
        assert found.kind == f"energy.inverter_{kind}"
        assert found["gives"].value == pytest.approx(inverter * surge)
    direct = replace(case, supply=replace(case.supply, current="dc"), unit_supply=None)
    if direct.units_on.current == "dc":
        assert start_of_unit(direct, (large,), bank, 150.0) is None
