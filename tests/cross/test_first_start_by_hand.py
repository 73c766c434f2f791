"""Six layouts of a first start, worked by hand from hydrostatics; all invented.

Heights are from the sea. A leg that falls shuts its air in, so its fall is lost to what comes
behind it; the pump pushes against the sum. Every bore is 19 mm unless another is said.
"""

import numpy as np
import pytest
from layouts import coil, entry, hose, outlet, point, pump

from seaflow.model.conditions import Conditions
from seaflow.model.elements import Fixed
from seaflow.model.first_start import BLEED, NO, PRIMES, STARTS, Primer, first_starts
from seaflow.model.loop import SEA, Link, Loop
from seaflow.physics.pumping.pump import curve_from_ends

NOW = Conditions(sea_temperature=20.0, salinity=35.0, voltage=24.0)
CENTRIFUGAL, SELF_PRIMING = Primer(False), Primer(True, 2.0)
EXACT = 1e-9  # m; sums of a few heights
JUST_UNDER = 1e-6  # m; a cure ends under water, not at its level


def loop_of(*heights, shut_off=4.0, vents=()):
    """A row of named points: the first is the intake, "pump" the pump, the last the outlet."""
    (first, start), *middle, (last, end) = heights
    parts = [entry(first, start), hose("hose 0", 1.0)]
    for number, (name, height) in enumerate(middle, 1):
        if name == "pump":
            one = pump(name, curve_from_ends(shut_off, 5e-4, 1.8))
            parts.append(type(one)(**{**values(one), "point": point(name, height)}))
        else:
            at = point(name, height)
            parts.append(Fixed(name=name, item="bend", bore=0.019, point=at, loss_coefficient=0.0))
        parts.append(hose(f"hose {number}", 1.0))
    parts.append(outlet(last, end))
    return Loop("row", (Link(SEA, SEA, tuple(parts)),), vented=frozenset(vents))


def values(element):
    return {name: getattr(element, name) for name in element.__dataclass_fields__}


def start_of(loop, primer=CENTRIFUGAL):
    (found,) = first_starts(loop, NOW, {"pump": primer})
    return found


def test_a_suction_that_rises_and_a_delivery_that_rises_start_without_bleeding():
    loop = loop_of(
        ("intake", -0.6), ("strainer", -0.5), ("pump", -0.4), ("unit", 0.3), ("out", 0.4)
    )
    start = start_of(loop)
    assert start.outcome == STARTS and start.flooded
    assert start.depth == pytest.approx(0.4, abs=EXACT)
    assert start.head == pytest.approx(0.4, abs=EXACT)  # to the outlet, nothing lost before it
    assert start.pockets == () and start.moves == ()


def test_a_suction_crest_above_the_water_keeps_a_centrifugal_pump_dry_below_it():
    loop = loop_of(("intake", -0.6), ("crest", 0.3), ("pump", -0.4), ("out", 0.4))
    start = start_of(loop)
    assert start.outcome == NO and not start.flooded
    assert start.lift == pytest.approx(0.3, abs=EXACT)
    (move,) = start.moves
    assert (move.thing, move.way) == ("crest", "lower")
    assert move.distance == pytest.approx(0.3 + JUST_UNDER, abs=EXACT)
    assert start_of(loop, SELF_PRIMING).outcome == PRIMES


def test_two_crests_with_a_lowered_hose_between_add_up():
    # The pump gives 1.2 m. Over the first crest at 0.8 m; the fall of 0.9 m to the dip is lost; the
    # second crest at 0.7 m asks for 0.7 + 0.9 = 1.6 m. With both legs filled 0.8 m would do.
    heights = (
        *(("intake", -0.6), ("pump", -0.4), ("first crest", 0.8), ("dip", -0.1)),
        *(("second crest", 0.7), ("out", 0.2)),
    )
    start = start_of(loop_of(*heights, shut_off=1.2))
    assert start.outcome == BLEED
    assert start.head == pytest.approx(1.6, abs=EXACT)
    assert start.head_bled == pytest.approx(0.8, abs=EXACT)
    assert start.bleed_at == ("first crest", "second crest")
    assert start_of(loop_of(*heights, shut_off=1.7)).outcome == STARTS
    assert start_of(loop_of(*heights, shut_off=0.7)).outcome == NO
    # A vent on the first crest lets its air out: 0.8 m and no more.
    vented = start_of(loop_of(*heights, shut_off=1.2, vents=("first crest",)))
    assert vented.outcome == STARTS
    assert vented.head == pytest.approx(0.8, abs=EXACT)


def test_both_ends_under_water_keep_the_air_in():
    # 4 m of hose hold 4 units of air at 10.08 m of sea water (101.325 kPa, 1024.8 kg/m3). At the
    # outlet 0.5 m down they are squeezed to 4 x 10.08 / 10.58 = 3.81 at the most, so water comes no
    # further than 0.19 m of hose, far short of the pump after 1 m.
    heights = (("intake", -0.6), ("pump", -0.4), ("unit", 0.3), ("bend", 0.2), ("out", -0.5))
    start = start_of(loop_of(*heights))
    assert start.outcome == BLEED and not start.flooded
    assert [reason.kind for reason in start.reasons] == ["start.air_shut_in"]
    assert [(move.thing, move.way) for move in start.moves] == [("unit", "vent")]
    # At 0.2 m down air of more than that bubbles out: water stands 0.2 m above the pump.
    for up in (-0.2, 0.2):
        opened = start_of(loop_of(*heights[:-1], ("out", up)))
        assert opened.outcome == STARTS and opened.flooded
    assert start_of(loop_of(*heights, vents=("unit",))).outcome == STARTS


def test_air_behind_a_dip_in_the_suction_must_be_bled():
    # The strainer at -0.10 m, then down 0.35 m to a bend and up to the pump: all of it under water,
    # yet 0.35 m of hose stay full of air, and beyond it the water would stand 0.35 m lower.
    loop = loop_of(
        *(("intake", -0.6), ("strainer", -0.10), ("bend", -0.45), ("pump", -0.40)),
        *(("unit", 0.3), ("out", 0.4)),
    )
    start = start_of(loop)
    assert start.outcome == BLEED and start.flooded
    (pocket,) = start.pockets
    assert (pocket.crest, pocket.dip, pocket.before_pump) == ("strainer", "bend", True)
    assert pocket.fall == pytest.approx(0.35, abs=EXACT)
    assert start.head == pytest.approx(0.4 + 0.35, abs=EXACT)


def test_what_lies_under_water_is_not_said_to_stand_above_it():
    # From the intake at -0.05 m down to a bend at -0.60 m, up to the pump at -0.30 m. With air
    # in its fall water would have to be 0.25 m above the sea to reach the pump; bled, it floods it.
    below = (("intake", -0.05), ("bend", -0.60), ("pump", -0.30), ("unit", 0.3), ("out", 0.2))
    start = start_of(loop_of(*below))
    assert start.outcome == BLEED
    assert [reason.kind for reason in start.reasons] == ["start.air_in_suction"]
    # Over a strainer 0.10 m above the sea it does not start, and that is what stands above it.
    above = (("intake", -0.60), ("strainer", 0.10), ("bend", -0.45), ("pump", -0.20), ("out", 0.2))
    start = start_of(loop_of(*above))
    assert start.outcome == NO
    ((thing, lift),) = ((reason["thing"], reason["lift"].value) for reason in start.reasons)
    assert thing == "strainer"
    assert lift == pytest.approx(0.10, abs=EXACT)


def test_an_intake_above_the_water_never_starts():
    loop = loop_of(("intake", 0.62), ("pump", -0.4), ("out", 0.4))
    for primer in (CENTRIFUGAL, SELF_PRIMING):
        start = start_of(loop, primer)
        assert start.outcome == NO
        assert start.moves[0].thing == "intake"
        assert start.moves[0].distance == pytest.approx(0.62 + JUST_UNDER, abs=EXACT)


def test_a_long_wide_suction_takes_lift_from_a_pump_that_primes_itself():
    # 5e-4 m3/s free flow, a fifth of it air: 6 L/min. 50 m of 19 mm hold 14 L of air: 142 s for the
    # air alone, more than the 120 s that it may run dry.
    loop = loop_of(("intake", -0.6), ("pump", 0.5), ("out", 0.9))
    assert start_of(loop, SELF_PRIMING).outcome == PRIMES
    long = loop.changed("hose 0", length=50.0)
    start = start_of(long, SELF_PRIMING)
    assert 50.0 * np.pi * 0.019**2 / 4.0 / 1e-4 == pytest.approx(142.0, abs=1.0)
    assert start.outcome == NO
    assert [reason.kind for reason in start.reasons] == ["start.lift_too_great"]


def test_heel_lifts_the_pump_and_the_intake_of_one_side():
    loop = loop_of(("intake", -0.3), ("pump", -0.2), ("unit", 0.3), ("out", 0.4))
    at = point("intake", -0.3, starboard=1.2)
    aside = loop.changed("intake", point=at)
    (upright, down, up) = first_starts(
        aside,
        NOW,
        {"pump": CENTRIFUGAL},
        ((0.0, 0.0), (np.radians(20), 0.0), (-np.radians(20), 0.0)),
    )
    # -0.3 cos 20 -/+ 1.2 sin 20: 0.69 m under with starboard down, 0.13 m out with port down.
    assert upright.outcome == down.outcome == STARTS
    assert up.outcome == NO
    # Moved down in the boat it goes down less, by the cosine of the heel.
    out = 1.2 * np.sin(np.radians(20)) - 0.3 * np.cos(np.radians(20))
    down_by = (out + JUST_UNDER) / np.cos(np.radians(20))
    assert up.moves[0].distance == pytest.approx(down_by, abs=1e-6)


def test_the_second_unit_of_a_manifold_is_judged_by_its_own_branch():
    trunk = (
        entry("intake", -0.6),
        hose("suction", 1.0),
        pump("pump", curve_from_ends(1.0, 5e-4, 1.8)),
    )
    low = (
        hose("to low", 1.0),
        coil("low", height=0.2),
        hose("from low", 1.0),
        outlet("low out", 0.3),
    )
    high = (
        hose("to high", 1.0),
        coil("high", height=1.4),
        hose("from high", 1.0),
        outlet("high out", 0.3),
    )
    links = (Link(SEA, "tee", trunk), Link("tee", SEA, low), Link("tee", SEA, high))
    start = start_of(Loop("two", links, node_points=(point("tee", 0.0),)))
    assert start.outcome == NO
    assert [(move.thing, move.way) for move in start.moves] == [("high", "lower")]
    assert start.moves[0].distance == pytest.approx(0.4, abs=EXACT)
