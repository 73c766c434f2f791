"""The energy of a day, best speeds and the least speed against sums done by hand or plain loops."""

import math
from dataclasses import replace

import numpy as np
import pytest
from sizing import CATAMARAN, KETCH, SLOOP, load_text, shipped, text_of

from seaflow.boat import network
from seaflow.model.operate import operate
from seaflow.model.thermal import run_unit
from seaflow.physics.water.seawater import seawater
from seaflow.studies.design.duties import HouseBank
from seaflow.studies.design.takes import Task
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.energy.optimum import best_settings, speeds_from
from seaflow.studies.energy.starting import starting_of
from seaflow.studies.energy.study import energy

KWH = 3.6e6  # J
AH = 3600.0  # A s
SETTLED = 1e-6  # relative: load against output is settled in a few rounds


def loop_of(name):
    case = shipped(name)
    found = network.loops(case)[0]
    built, part, _ = picked_loop(case, found, None)
    return case, built, part, full_supply(case, found, part)


def rated(built, now, name):
    """What a unit gives with its rated flow from the sea, over what it gives as it runs."""
    coil = next(one for one in built.loop.coils if one.unit == name)
    at = np.asarray([coil.rated_flow]), np.asarray([now.sea_temperature])
    water = seawater(now.sea_temperature, now.salinity)
    full = run_unit(coil, now, water, at, built.loop.rated_frequency).cooling[0]
    return float(full / operate(built.loop, now).units[name].cooling[0])


def test_a_hundred_watts_left_on_for_a_day():
    energy_of_a_day = 100.0 * 86400.0
    assert energy_of_a_day / KWH == pytest.approx(2.4)
    bank = HouseBank(12.8, 200.0 * AH, 1.0, 1.0, given=True, house_given=True)
    assert bank.drawn(energy_of_a_day, 0.0) / 12.8 / AH == pytest.approx(
        190.0, abs=5.0
    )  # the trade's figure, to two digits


def test_always_on_is_power_times_a_day():
    _, built, _, now = loop_of(KETCH)
    always = energy(shipped(KETCH)).loops[0].day.always_on
    power = operate(built.loop, now).pumps["pump"].power[0]
    assert always.power == pytest.approx(power, rel=1e-9)
    assert always.energy / KWH == pytest.approx(power * 24.0 / 1000.0, rel=1e-9)


def test_a_night_of_the_ketch_by_hand():
    """A compressor of fixed speed runs its load of the time, and more as it gets less water."""
    _, built, _, now = loop_of(KETCH)
    night = energy(shipped(KETCH)).loops[0].day.duties[1]
    now = replace(now, sea_temperature=28.0)
    point = operate(built.loop, now)
    hours = 0.45 * 8.0 * rated(built, now, "saloon unit")
    compressor = point.units["saloon unit"].power[0] * hours / 1000.0
    pump = point.pumps["pump"].power[0] * hours / 1000.0
    assert night.compressor / KWH == pytest.approx(compressor, rel=SETTLED)
    assert night.pump / KWH == pytest.approx(pump, rel=SETTLED)
    # 16000 BTU/h of cooling, whose fan takes 2.5 % while it runs; the control 5 W all the time
    fan, control = 0.025 * 4.6891 * hours, 0.005 * 8.0
    assert night.fans / KWH == pytest.approx(fan, rel=1e-4)
    assert night.controls / KWH == pytest.approx(control, rel=1e-9)


def test_a_crest_of_80_cm_stops_a_pump_of_3_m_near_52_per_cent():
    _, built, part, _ = loop_of(KETCH)
    coil = built.loop.coils[0]
    loop = built.loop.changed(coil.name, point=replace(coil.point, height=0.8))
    curve = replace(loop.pumps[0].curve, shut_off_head=3.0)
    found = starting_of(replace(built, loop=loop.changed("pump", curve=curve)), part)
    assert found.starting_head == 0.8
    assert found.shut_off_head == pytest.approx(3.0)
    assert found.least_by_affinity == pytest.approx(math.sqrt(0.8 / 3.0))
    assert found.least_speed == pytest.approx(0.52, abs=0.005)  # printed to two digits


def plain_total(case, built, now, speed, load):
    """One speed and load, the load settled by bisection: mean watts of compressor and pump."""
    fast = replace(now, pump_speed=1.0)
    given = operate(built.loop, fast).units["cabin unit"].cooling[0]
    full = given * rated(built, fast, "cabin unit")

    def at(share):
        return operate(built.loop, replace(now, pump_speed=speed, load={"cabin unit": share}))

    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if at(middle).units["cabin unit"].cooling[0] < load * full:
            low = middle
        else:
            high = middle
    point = at(high)
    fan, control = 0.025 * case.unit[0].cooling, 5.0
    return point.units["cabin unit"].power[0] + point.pumps["pump"].power[0] + fan + control


def test_the_best_speed_of_the_sloop_by_a_plain_loop():
    case, built, part, now = loop_of(SLOOP)
    speeds = speeds_from(part.least_speed)
    best = best_settings(case, built, [Task(now, 0.6)], speeds)[0]
    assert best.set_by.kind == "energy.least_power"
    near = [speed for speed in speeds if abs(speed - best.setting) < 0.06]
    totals = [plain_total(case, built, now, float(speed), 0.6) for speed in near]
    assert best.units + best.pump == pytest.approx(min(totals), rel=SETTLED)
    step = float(np.diff(speeds)[0])
    assert near[int(np.argmin(totals))] == pytest.approx(best.setting, abs=1.01 * step)


def ledger(start, most, rows):
    """A day in a table, hour by hour: what is left at the end of each, and the hour it runs out.

    `rows` are what is drawn and charged in each hour [W]; charge in Wh.
    """
    left, course, out = start, [], None
    for hour, (drawn, charged) in enumerate(rows):
        after = left - drawn + charged
        if after < 0.0 and out is None:
            out = hour + left / (drawn - charged)
        left = min(max(after, 0.0), most)
        course.append(left)
    return course, out


def test_the_night_of_the_ketch_hour_by_hour():
    """Night from 22:00 to 06:00, sailing to 10:00, shore to 20:00, two hours of nothing.

    A compressor of fixed speed runs the share of each hour that gives its load of rated cooling;
    fan 2.5 % of 16000 BTU/h (117.2 W), control 5 W, inverter idle 25 W and 88 %, charger 15 % of
    the battery an hour.
    """
    _, built, _, now = loop_of(KETCH)
    drawn = {}
    for name, sea, speed, load in (("night", 28.0, 0.0, 0.45), ("sail", 27.0, 6.0, 0.40)):
        at = replace(now, sea_temperature=sea, boat_speed=speed * 1852.0 / 3600.0)
        point = operate(built.loop, at)
        machines = float(point.units["saloon unit"].power[0] + point.pumps["pump"].power[0])
        time = load * rated(built, at, "saloon unit")
        drawn[name] = (time * (machines + 117.23) + 5.0) / 0.88 + 25.0
    most = 400.0 * 25.6
    rows = 8 * [(drawn["night"], 0.0)] + 4 * [(drawn["sail"], 400.0)]
    rows += 10 * [(0.0, 0.15 * most)] + 2 * [(0.0, 0.0)]
    course, out = ledger(most, most, rows)
    night = energy(shipped(KETCH)).night
    assert night.starts == "22:00" and out is None and night.limit == ""
    found = [charge * 25.6 / AH for charge in night.charge[4::4]]
    assert found == pytest.approx(course, abs=1.0)  # Wh
    assert night.left_at_dawn / AH == pytest.approx(course[7] / 25.6, abs=0.05)
    assert course[7] / 25.6 == pytest.approx(148.5, abs=1.0)  # as it stood when it was worked out


BANK = """[battery]
voltage = "12.8 V"
capacity = "{capacity} Ah"
inverter_efficiency = "90 %"
inverter_idle = "20 W"
solar = "800 W"
{house}

[[duty]]
name = "in the bay"
start = "19:00"
hours = "11 h"
load = "30 %"
source = "battery"
sea = "28 degC"

[[duty]]
name = "generator"
start = "09:00"
hours = "2 h"
load = "80 %"
source = "generator"

"""


@pytest.mark.parametrize(("capacity", "house"), [(900, 50), (350, 0)])
def test_the_night_of_the_catamaran_hour_by_hour(tmp_path, capacity, house):
    """Two loops on one battery, with sun, a house and a generator; the sun by its integral.

    From 19:00: eleven hours of cooling, three of nothing but the house, two on the generator with a
    charger of 15 % of the battery an hour, eight of the house.
    """
    bank = BANK.format(capacity=capacity, house='house_load = "50 W"' if house else "")
    case = load_text(tmp_path, text_of(CATAMARAN).replace("[[", f"{bank}[[", 1))
    watts = 20.0
    for found in network.loops(case):
        built, part, _ = picked_loop(case, found, None)
        now = replace(full_supply(case, found, part), sea_temperature=28.0)
        point = operate(built.loop, now)
        (name,) = point.units
        cooling = next(unit.cooling for unit in case.unit if unit.name == name)
        machines = float(point.units[name].power[0] + point.total_power()[0])
        time = 0.30 * rated(built, now, name)
        watts += (time * (machines + 0.025 * cooling) + 5.0) / 0.90
    most = capacity * 12.8
    rows = []
    for hour in range(24):
        begins = (19 + hour) % 24
        sun = 0.0
        if 6 <= begins < 18:  # of 800 W for 4 h
            turns = [math.cos(math.pi * (clock - 6.0) / 12.0) for clock in (begins, begins + 1)]
            sun = 3200.0 * 0.5 * (turns[0] - turns[1])
        cools = watts if hour < 11 else 0.0
        rows.append((cools + house, sun + (0.15 * most if 14 <= hour < 16 else 0.0)))
    course, out = ledger(most, most, rows)
    night = energy(case).night
    assert night.starts == "19:00"
    assert [charge * 12.8 / AH for charge in night.charge[4::4]] == pytest.approx(course, abs=3.0)
    assert (out is None) == (night.limit == "") == (capacity == 900)
    if out is not None:
        minutes = round((19.0 + out) * 60.0) % 1440
        assert night.limit == f"{minutes // 60:02d}:{minutes % 60:02d}"
