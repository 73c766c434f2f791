"""Laws of what comes before any flow: the climb, priming, what a scoop lends, panel volts."""

from dataclasses import replace
from math import cos, radians, sin

import pytest
from layouts import coil, entry, hose, outlet, point, pump
from sizing import KETCH, shipped

from seaflow.model.conditions import Conditions
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.operate import operate
from seaflow.model.pressures import heads_by_element
from seaflow.model.starting import climb_of
from seaflow.physics.pumping.pump import curve_from_ends
from seaflow.studies.design.supply import panel_volts

EXACT = 1e-12  # relative: one product
SETTLED = 1e-8  # m: heads are settled to 1e-9 m
SHUT_OFF = 3.0  # m
CALM = Conditions(sea_temperature=20.0)


def run_over(crest, starboard=0.0, recovery=0.0):
    """One unit at this height, abreast of the centreline by this much."""
    unit = replace(coil("unit"), point=point("unit", crest, starboard))
    elements = (
        entry("intake", recovery=recovery),
        hose("suction", 1.0, 0.0254),
        replace(pump("pump", curve_from_ends(SHUT_OFF, 6e-4)), point=point("pump", -0.3)),
        hose("delivery", 2.0),
        unit,
        outlet("outlet", 0.1),
    )
    return Loop("by hand", (Link(SEA, SEA, elements),))


@pytest.mark.parametrize("crest", [0.2, 0.75, 1.5])
def test_the_climb_is_to_the_highest_point_and_no_pump_changes_it(crest):
    climb = climb_of(run_over(crest))
    assert (climb.label, climb.height) == ("unit", crest)
    assert climb.shut_off_head == pytest.approx(SHUT_OFF, rel=EXACT)
    assert climb.times == pytest.approx(SHUT_OFF / crest, rel=EXACT)


def test_a_slower_pump_has_less_head_by_the_square_of_its_speed():
    slow = climb_of(run_over(0.75), replace(CALM, pump_speed=0.5))
    assert slow.shut_off_head == pytest.approx(0.25 * SHUT_OFF, rel=EXACT)
    assert slow.height == 0.75


@pytest.mark.parametrize("degrees", [-20.0, 20.0])
def test_heel_lifts_the_high_side_and_sinks_the_low_one(degrees):
    angle, out = radians(degrees), 1.2
    climb = climb_of(run_over(0.75, starboard=out), replace(CALM, heel=angle))
    by_hand = 0.75 * cos(angle) - out * sin(angle)  # + is starboard down
    assert climb.height == pytest.approx(max(by_hand, 0.1 * cos(angle)), rel=EXACT)


def test_without_anything_above_the_water_there_is_no_climb():
    loop = run_over(-0.2)
    loop = loop.changed("outlet", point=point("outlet", -0.1))
    assert climb_of(loop).label == ""
    assert climb_of(loop).times is None


@pytest.mark.parametrize("recovery", [0.5, -0.5])
def test_what_a_scoop_lends_stands_at_the_inlet_of_the_pump_and_in_its_npsh(recovery):
    """With the pump held still nothing flows, and the inlet stands at the scoop's head."""
    now = replace(CALM, boat_speed=3.0, seacock_opening=1.0, pump_running=False)
    by_hand = recovery * 3.0**2 / (2.0 * 9.80665)
    crest = 2.0  # higher than the scoop lifts
    still, sailing = (
        operate(run_over(crest, recovery=value), now).pumps["pump"] for value in (0.0, recovery)
    )
    assert sailing.inlet_head[0] == pytest.approx(by_hand, abs=SETTLED)
    assert sailing.npsh_available[0] - still.npsh_available[0] == pytest.approx(
        by_hand, abs=SETTLED
    )
    point_ = operate(run_over(crest, recovery=recovery), now)
    assert heads_by_element(point_)[0].head_after[0] == pytest.approx(by_hand, abs=SETTLED)


def test_the_usual_volts_lie_between_the_lowest_and_the_highest():
    case = shipped(KETCH)
    for lowest, highest in ((None, None), (207.0, 240.0), (235.0, 250.0), (200.0, 220.0)):
        supply = replace(case.supply, lowest_voltage=lowest, highest_voltage=highest)
        low, usual, high = panel_volts(replace(case, supply=supply))
        assert low <= usual <= high
        assert low == (lowest or 0.9 * 230.0)
        assert high == pytest.approx(highest or 1.1 * 230.0)
