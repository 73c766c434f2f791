"""Laws of the night on the battery: balance, caps, order, and what can only help."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from sizing import KETCH, MOTOR, SLOOP, edited, load_text, shipped, text_of

from seaflow.base.constants import DAY
from seaflow.boat.clock import at_once, clock_of, clock_text, starts_of
from seaflow.boat.tables.use import Duty
from seaflow.studies.energy.charge import NO_DUTY, charge_through, steps_of, sun_of
from seaflow.studies.energy.plan import ways_of
from seaflow.studies.energy.study import energy

ROUNDING = 1e-9  # relative: sums of a few doubles
HOUR = 3600.0
KWH = 3.6e6
BATTERY = """
[battery]
voltage = "25.6 V"
capacity = "300 Ah"
inverter_efficiency = "90 %"

[[duty]]
name = "marina"
start = "10:00"
hours = "10 h"
load = "60 %"
source = "shore"

[[duty]]
name = "bay at night"
start = "21:00"
hours = "10 h"
load = "45 %"
source = "battery"

"""


@pytest.fixture(scope="module")
def ketch():
    return energy(shipped(KETCH)).night


@pytest.fixture(scope="module")
def motor(tmp_path_factory):
    """The boat of three units with a battery that is too small for her night."""
    text = text_of(MOTOR).replace("[[", f"{BATTERY.lstrip()}[[", 1)
    return energy(load_text(tmp_path_factory.mktemp("motor"), text)).night


# ------------------------------------------------------------------------------------- the clock


def test_times_of_day():
    told = {"22:00": 22.0, "7:30": 7.5, "7 pm": 19.0, "12 am": 0.0, "12:15 pm": 12.25, "6h": 6.0}
    assert {text: clock_of(text) / HOUR for text in told} == told
    for wrong in ("", "22", "25:00", "7:60", "13 pm", "late", "-3:00"):
        assert clock_of(wrong) is None, wrong
    assert [clock_text(hours * HOUR) for hours in (4.6667, 24.0, 31.5)] == [
        "04:40",
        "00:00",
        "07:30",
    ]


def duty(name, hours, start=None, source="battery"):
    return Duty(name=name, hours=hours * HOUR, load=0.5, source=source, start=start)


def test_duties_follow_one_another_from_the_first_that_is_told():
    plain = [duty("day", 10), duty("a night", 8), duty("sail", 4)]
    assert [start / HOUR for start in starts_of(plain)] == [10.0, 22.0, 6.0]
    told = [duty("day", 10), duty("a night", 8, "20:00"), duty("sail", 4)]
    assert [start / HOUR for start in starts_of(told)] == [8.0, 20.0, 4.0]
    assert [start / HOUR for start in starts_of([duty("all day", 24)])] == [8.0]
    assert at_once(told) is None
    assert at_once([duty("day", 10, "12:00"), duty("night", 8, "21:00")]) == (0, 1)
    assert at_once([duty("night", 8, "21:00"), duty("early", 2, "04:00")]) == (0, 1)


def test_every_hour_of_a_day_is_in_its_duty():
    duties = [duty("day", 9.3, "10:10"), duty("night", 9, "21:40"), duty("sail", 2.5, "07:00")]
    times, which = steps_of(duties, starts_of(duties), 21.0 * HOUR + 2400.0)
    spans = np.diff(times)
    assert (times[0], times[-1]) == (0.0, DAY)
    for number, one in enumerate(duties):
        assert spans[which == number].sum() == pytest.approx(one.hours, abs=0.01)
    assert spans[which == NO_DUTY].sum() == pytest.approx(DAY - 20.8 * HOUR, abs=0.01)
    assert which[0] == 1


def test_the_sun_of_a_day_falls_between_six_and_six():
    times = np.linspace(0.0, DAY, 97)
    for first in (0.0, 7.0 * HOUR, 22.0 * HOUR):
        sun = sun_of(times, first) * np.diff(times)
        assert sun.sum() == pytest.approx(1.0, rel=ROUNDING)
        clock = (0.5 * (times[1:] + times[:-1]) + first) % DAY
        dark = (clock < 6.0 * HOUR) | (clock > 18.0 * HOUR)
        assert np.abs(sun[dark]).max() < 1e-12
        assert sun[np.abs(clock - 12.0 * HOUR) < HOUR].min() == pytest.approx(sun.max(), rel=0.04)


# ---------------------------------------------------------------------------------------- balance


def test_a_year_of_random_duties_keeps_energy_balanced():
    rng = np.random.default_rng(5)
    most, now = rng.uniform(1.0, 12.0, 40) * KWH, np.zeros(40)
    for _ in range(365):
        times = np.unique(np.concatenate([[0.0, DAY], rng.uniform(0.0, DAY, 30)]))
        shape = (times.size - 1, 40)
        out, into = rng.exponential(700.0, shape), rng.exponential(650.0, shape)
        into *= rng.random(shape) < 0.6
        found = charge_through(times, out, into, most, now)
        spans = np.diff(times)[:, np.newaxis]
        whole = ((into - out) * spans).sum(axis=0)
        made = found.missing.sum(axis=0) - found.spilled.sum(axis=0)
        np.testing.assert_allclose(found.energy[-1] - now, whole + made, atol=1.0)  # J
        assert np.all(found.energy >= 0.0) and np.all(found.energy <= most)
        assert np.all((found.missing == 0.0) | (found.spilled == 0.0))
        empty = np.isfinite(found.empty)
        assert np.array_equal(empty, found.missing.sum(axis=0) > 0.0)
        now = found.energy[-1]


def test_what_can_only_help_never_brings_the_limit_earlier():
    """Batteries, suns and draws of the same nights, each along the axis in growing order."""
    rng = np.random.default_rng(6)
    times = np.linspace(0.0, DAY, 49)
    steps = (48, 1)
    for _ in range(50):
        out, into = rng.exponential(600.0, steps), rng.exponential(300.0, steps)
        more = np.linspace(0.5, 2.0, 9)
        for much, gain, draw in ((more, 1.0, 1.0), (1.0, more, 1.0), (1.0, 1.0, 1.0 / more)):
            most = 4.0 * KWH * much * np.ones(9)
            found = charge_through(
                times, out * draw * np.ones(9), into * gain * np.ones(9), most, most
            )
            assert np.all(np.diff(np.minimum(found.empty, 2.0 * DAY)) >= -1e-6)
            assert np.all(np.diff(found.missing.sum(axis=0)) <= 1e-6)
            assert np.all(np.diff(found.at(0.4 * DAY)) >= -1e-6)


def test_a_boat_with_a_larger_battery_lasts_longer(tmp_path):
    lasts = []
    for ampere_hours in (150, 250, 350):
        text = edited(text_of(KETCH), ('capacity = "400 Ah"', f'capacity = "{ampere_hours} Ah"'))
        night = energy(load_text(tmp_path, text)).night
        lasts.append((clock_of(night.limit) - night.begins) % DAY if night.limit else DAY)
    assert lasts[0] < lasts[1] < lasts[2]


# ------------------------------------------------------------------------------------- the answer


def test_no_alarm_where_the_day_makes_good_what_the_night_takes(ketch):
    kinds = [item.kind for item in ketch.says]
    assert kinds[0] == "energy.night_lasts" and "energy.full_again" in kinds
    assert ketch.limit == ketch.early == ""
    assert 0.9 < ketch.lasting <= 1.0
    assert ketch.after_a_day == pytest.approx(400.0 * HOUR, rel=ROUNDING)


def test_charge_never_passes_what_the_battery_holds(tmp_path):
    """4 kW under sail for 4 h are 625 Ah, and the battery holds 400."""
    text = edited(text_of(KETCH), ('regeneration = "400 W"', 'regeneration = "4 kW"'))
    night = energy(load_text(tmp_path, text)).night
    assert max(night.charge) <= 400.0 * HOUR * (1.0 + ROUNDING)
    assert all(part.charge <= 400.0 * HOUR * (1.0 + ROUNDING) for part in night.stretches)


def test_what_is_told_is_what_the_line_shows(motor):
    limit = next(item for item in motor.says if item.kind.startswith("energy.night_limit"))
    assert (motor.starts, limit["start"], limit["limit"]) == ("21:00", "21:00", motor.limit)
    when = (clock_of(motor.limit) - motor.begins) % DAY
    after = [charge for time, charge in zip(motor.times, motor.charge, strict=True) if time > when]
    before = [charge for time, charge in zip(motor.times, motor.charge, strict=True) if time < when]
    assert min(before) > 0.0 == after[0]
    band = [(clock_of(time) - motor.begins) % DAY for time in (motor.early, motor.late)]
    assert band[0] < when < band[1]
    assert motor.lasting < 0.05
    assert motor.stretches[0].draws * 10.0 * HOUR > 300.0 * HOUR * 25.6  # what she would take


def test_changes_are_ranked_by_what_is_left_at_dawn(motor):
    left = [change.left_at_dawn for change in motor.changes]
    assert left == sorted(left, reverse=True)
    assert left[-1] > motor.left_at_dawn
    off = {
        change.changes[0]["unit"]
        for change in motor.changes
        if "unit" in dict(change.changes[0].values)
    }
    assert off == {unit.name for unit in shipped(MOTOR).unit}
    said = next(item for item in motor.says if item.kind.startswith("energy.night_until"))
    longest = max(motor.changes, key=lambda change: change.lasts)
    assert (said["changes"], said["until"]) == (longest.changes, longest.until)


def test_a_slower_pump_and_less_cooling_leave_more_at_dawn_each_and_together():
    night = energy(shipped(SLOOP)).night
    left = {tuple(item.kind for item in one.changes): one.left_at_dawn for one in night.changes}
    slow, less, both = (
        left[("energy.way_speeds",)],
        left[("energy.way_less",)],
        left[("energy.way_speeds", "energy.way_less")],
    )
    assert night.left_at_dawn < slow < both and night.left_at_dawn < less < both


def test_nothing_is_saved_at_night_by_what_runs_on_shore_power():
    """Only units that call on the battery can be left off, only pumps on it be switched."""
    marina = Duty(name="marina", hours=HOUR, source="shore", units=("saloon",), pump="always")
    bay = Duty(name="bay", hours=HOUR, source="battery", units=("cabin",), pump="when cooling")
    loop = SimpleNamespace(units=("saloon", "cabin", "galley"), speeds={})

    def ways(*duties):
        return ways_of(SimpleNamespace(duties=duties, loops=[loop]))

    assert {way.off for way in ways(marina, bay)} == {"", "cabin"}
    assert not any(way.switched or way.slow for way in ways(marina, bay))
    on_battery = ways(marina, replace(marina, source="battery"), bay)
    assert {way.off for way in on_battery} == {"", "saloon", "cabin"}
    assert sum(way.switched for way in on_battery) == 1
    assert {way.off for way in ways(replace(bay, units=()))} == {"", *loop.units}


# ----------------------------------------------------------------------- inverter and unknown bank


def test_a_unit_starts_beside_all_that_the_inverter_drives(tmp_path):
    text = text_of(MOTOR).replace("[[", f"{BATTERY.lstrip()}[[", 1)
    two = text.replace('name = "bay', 'units = ["saloon unit", "guest cabin unit"]\nname = "bay')
    one = text.replace('name = "bay', 'units = ["saloon unit"]\nname = "bay')
    case = load_text(tmp_path, text)
    guest = next(unit for unit in case.unit if unit.name == "guest cabin unit")
    starts = [energy(load_text(tmp_path, it)).inverter for it in (one, two, text)]
    assert {start["unit"] for start in starts} == {"saloon unit"}
    running = [start["running"].value for start in starts]
    assert running[0] > 0.0 and running[1] - running[0] >= guest.input_power
    assert running[2] > running[1]
    own = [start["high"].value - start["running"].value for start in starts]
    assert own == pytest.approx([own[0]] * 3, rel=ROUNDING)


def test_a_battery_that_is_not_told_is_asked_for_and_not_judged(tmp_path, motor):
    text = text_of(MOTOR).replace("[[", f"{BATTERY.lstrip()}[[", 1)
    unknown = energy(load_text(tmp_path, edited(text, ('capacity = "300 Ah"\n', "")))).night
    assert unknown.limit and unknown.grade == "tight" and not unknown.bank.given
    assert unknown.needed == pytest.approx(motor.needed, rel=ROUNDING)  # whatever it holds
    assert motor.needed > motor.bank.capacity and motor.limit
