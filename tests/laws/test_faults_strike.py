"""What each fault does to a boat: the worse it is, the less is left of what it takes."""

from dataclasses import replace

import numpy as np
import pytest
from sizing import KETCH, shipped

from seaflow.boat import network
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.effects import EFFECTS, Boats, Struck

ROUNDING = 1e-9
# What falls as a fault gets worse, and two severities of it in the units of the table of faults.
FALLS = {
    "intake_blocked": ("flow", 0.5, 0.8),
    "seacock_part_shut": ("flow", 0.5, 0.8),
    "strainer": ("flow", 0.6, 0.9),
    "air_drawn_in": ("flow", 0.02, 0.05),
    "pump_worn": ("flow", 0.1, 0.3),
    "suction_kinked": ("flow", 10.0, 40.0),
    "delivery_kinked": ("flow", 10.0, 40.0),
    "branch_kinked": ("flow", 10.0, 40.0),
    "growth": ("flow", 1e-3, 3e-3),
    "coil_blocked": ("flow", 2.0, 6.0),
    "branch_air": ("flow", 0.3, 0.6),
    "coil_scaled": ("margin", 1e-4, 3e-4),
    "overcharge": ("margin", 0.1, 0.2),
    "pressure_switch": ("margin", 2.0, 4.0),
    "low_refrigerant": ("power", 0.2, 0.5),
    "not_pumping": ("power", 0.2, 0.5),
    "part_load": ("heat", 0.2, 0.5),
    "filter": ("heat", 0.2, 0.4),
}


@pytest.fixture(scope="module")
def setup():
    case = shipped(KETCH)
    return setup_of(case, network.loops(case)[0])


def struck(setup, name, severities):
    """The ketch with a fault as bad as each of these, and how she runs."""
    bad = np.asarray(severities, dtype=float)
    loop, many = setup.built.loop, bad.size
    now = Conditions(
        sea_temperature=np.full(many, 24.0), salinity=35.0, voltage=230.0, frequency=50.0
    )
    units = {coil.unit: bad for coil in loop.coils}
    heads = np.ones(many, dtype=bool)
    boats = EFFECTS[name](Boats.sound(loop, now, many), Struck(bad, units, heads, setup.built))
    return boats, operate(boats.loop, boats.now)


def read(point):
    (unit,) = point.units.values()
    return {
        "flow": unit.volume_flow,
        "margin": unit.cut_out_margin,
        "power": unit.power,
        "heat": unit.heat_rejected,
    }


@pytest.mark.parametrize("name", FALLS)
def test_the_worse_a_fault_the_less_is_left_of_what_it_takes(setup, name):
    what, some, more = FALLS[name]
    none = 1.0 if name == "coil_blocked" else 0.0
    _, point = struck(setup, name, (none, some, more))
    _, sound = struck(setup, "leak", (0.0, 0.0, 0.0))
    now, before = read(point), read(sound)
    assert all(now[key][0] == pytest.approx(before[key][0], rel=ROUNDING) for key in now)
    assert now[what][0] > now[what][1] > now[what][2]
    if what == "flow":  # with less water everything runs hotter
        assert now["margin"][0] > now["margin"][1] > now["margin"][2]
    elif name != "coil_scaled":  # scale narrows a coil as well; of the others no water knows
        assert np.ptp(now["flow"]) < 1e-6 * now["flow"][0]


def test_a_pressure_switch_that_trips_early_takes_as_much_of_the_margin(setup):
    _, point = struck(setup, "pressure_switch", (0.0, 1.5, 4.0))
    (unit,) = point.units.values()
    assert unit.cut_out_margin[0] - unit.cut_out_margin == pytest.approx([0.0, 1.5, 4.0])
    assert np.ptp(unit.condensing_temperature) == 0.0


def test_refrigerant_and_load_that_are_missing_take_their_shares(setup):
    (sound,) = struck(setup, "leak", (0.0,))[1].units.values()
    (lost,) = struck(setup, "part_load", (0.25,))[1].units.values()
    assert lost.heat_rejected < 0.85 * sound.heat_rejected
    (coil,) = struck(setup, "low_refrigerant", (0.3,))[0].loop.coils
    (whole,) = setup.built.loop.coils
    assert coil.machine.rated_capacity == pytest.approx(0.7 * whole.machine.rated_capacity)
    assert coil.machine.rated_power == pytest.approx((1.0 - 0.7 * 0.3) * whole.machine.rated_power)


@pytest.mark.parametrize(
    "name", ["not_commanded", "thermal_cut_out", "motor_shorted", "pump_jammed"]
)
def test_a_pump_that_stands_moves_nothing_and_only_on_boats_that_are_struck(setup, name):
    boats, point = struck(setup, name, (0.0, 1.0))
    flow = read(point)["flow"]
    assert flow[0] > 0.0 == flow[1]
    assert list(boats.locked > 0.0) == [False, name == "pump_jammed"]


def test_the_other_frequency_is_that_of_the_other_shore(setup):
    boats, _ = struck(setup, "other_frequency", (0.0, 1.0))
    assert list(boats.now.frequency) == [50.0, 60.0]


def test_a_thermometer_is_off_to_one_side_or_the_other_and_a_leak_is_water_lost(setup):
    boats, _ = struck(setup, "thermometer", (0.0, 3.0))
    assert list(boats.reads_high) == [0.0, 3.0]
    other = Struck(np.asarray([3.0]), {}, np.asarray([False]), setup.built)
    sound = Boats.sound(setup.built.loop, boats.now, 1)
    assert list(EFFECTS["thermometer"](sound, other).reads_high) == [-3.0]
    leaking, _ = struck(setup, "leak", (0.0, 0.4))
    assert list(leaking.leaking) == [0.0, 0.4]
    twice = EFFECTS["leak"](leaking, replace(other, severity=np.asarray([0.2, 0.2])))
    assert list(twice.leaking) == [0.2, 0.4]  # of two leaks the worse
