"""The energy of a day, best speeds and the least speed against sums done by hand or plain loops."""

import math
from dataclasses import replace

import numpy as np
import pytest
from sizing import KETCH, SLOOP, shipped

from seaflow.boat import network
from seaflow.model.operate import operate
from seaflow.studies.design.duties import HouseBank
from seaflow.studies.design.takes import Task
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.energy.day import charge_of
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


def test_a_hundred_watts_left_on_for_a_day():
    energy_of_a_day = 100.0 * 86400.0
    assert energy_of_a_day / KWH == pytest.approx(2.4)
    charge = charge_of(energy_of_a_day, 0.0, HouseBank(12.8, None, 1.0, 1.0))
    assert charge / AH == pytest.approx(190.0, abs=5.0)  # the trade's figure, to two digits


def test_always_on_is_power_times_a_day():
    _, built, _, now = loop_of(KETCH)
    always = energy(shipped(KETCH)).loops[0].day.always_on
    power = operate(built.loop, now).pumps["pump"].power[0]
    assert always.power == pytest.approx(power, rel=1e-9)
    assert always.energy / KWH == pytest.approx(power * 24.0 / 1000.0, rel=1e-9)


def test_a_night_of_the_ketch_by_hand():
    """A compressor of fixed speed runs the share of the night that its load says."""
    _, built, _, now = loop_of(KETCH)
    night = energy(shipped(KETCH)).loops[0].day.duties[1]
    point = operate(built.loop, replace(now, sea_temperature=28.0))
    hours = 0.45 * 8.0
    compressor = point.units["saloon unit"].power[0] * hours / 1000.0
    pump = point.pumps["pump"].power[0] * hours / 1000.0
    assert night.compressor / KWH == pytest.approx(compressor, rel=SETTLED)
    assert night.pump / KWH == pytest.approx(pump, rel=SETTLED)
    # 16000 BTU/h of cooling, whose fan takes 2.5 % while it runs; the control 5 W all the time
    fan, control = 0.025 * 4.6891 * hours, 0.005 * 8.0
    assert night.fans / KWH == pytest.approx(fan, rel=1e-4)
    assert night.controls / KWH == pytest.approx(control, rel=1e-9)
    drawn = (compressor + fan + control + pump) * 1000.0 / 0.88 / 25.6
    assert night.charge / AH == pytest.approx(drawn, rel=1e-4)


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
    full = operate(built.loop, replace(now, pump_speed=1.0)).units["cabin unit"].cooling[0]

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
