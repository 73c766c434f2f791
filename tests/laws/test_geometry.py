"""Geometry of a loop at heel and trim: mirrors, limits, hand sums, what is not recorded."""

from dataclasses import replace
from math import atan, atan2, cos, degrees, pi, radians, sin, sqrt

import numpy as np
import pytest
from layouts import coil, entry, hose, outlet, pump
from survey_boats import sound_evidence

from seaflow.boat.tables.things import Place, apart
from seaflow.model import geometry
from seaflow.model.conditions import Conditions
from seaflow.model.crests import find_crest
from seaflow.model.drive import after_pump
from seaflow.model.elements import Cock, Point
from seaflow.model.loop import SEA, Link, Loop
from seaflow.physics.pumping.pump import curve_from_ends

EXACT = 1e-9
STEP = radians(0.1)  # the heel is searched in steps of a tenth of a degree
PRINTED_CM = 0.0051  # m: half a centimetre, to which the hand figures are printed
PRINTED_DEGREE = 0.051 + 0.1  # degrees: half a printed tenth, and a step of the search
NO_PUMPS = frozenset()


def can_siphon_back(loop, heel):
    return tuple(item.name for item in geometry.siphons(loop, heel) if item.is_possible)


def at(label, height, starboard=0.0, aft=5.0):
    return Point(label, height, aft, starboard)


def row(*elements):
    return Loop("test", (Link(SEA, SEA, tuple(elements)),), midship=5.0)


def plain(intake_depth=0.5, offset=0.0, outlet_height=0.3, outlet_offset=0.0, via=()):
    """A loop of one link: intake, hose, pump, hose with points, coil, hose, outlet."""
    first = entry("intake", bore=0.025)
    first = replace(first, point=at("intake", -intake_depth, offset))
    last = replace(outlet("outlet"), point=at("outlet", outlet_height, outlet_offset))
    machine = pump("pump", curve_from_ends(4.0, 6e-4, 2.0))
    return row(
        first,
        hose("suction", 0.5),
        machine,
        hose("delivery", 2.0, via=tuple(via)),
        coil("unit"),
        hose("return", 1.0),
        last,
    )


# ---------------------------------------------------------------------------------- immersion


@pytest.mark.parametrize(
    ("depth", "offset", "heel", "left"),
    [(0.3, 0.5, 15.0, 0.16), (0.3, 0.5, 30.0, 0.01)],
)
def test_immersion_as_printed(depth, offset, heel, left):
    """Rule of thumb of the trade: depth times cosine less offset times sine."""
    (found,) = geometry.immersions(plain(depth, offset), radians(heel))
    assert min(found.at_heel) == pytest.approx(left, abs=PRINTED_CM)
    assert max(found.at_heel) > depth * cos(radians(heel))


def test_an_intake_far_out_comes_into_the_air_where_the_trade_says():
    (found,) = geometry.immersions(plain(0.3, 0.8), radians(10.0))
    starboard_down, port_down = found.emerges
    assert starboard_down is None  # it only goes deeper
    assert 20.0 <= degrees(port_down) <= 25.0
    assert port_down == pytest.approx(atan2(0.3, 0.8), abs=STEP)


def test_tacks_mirror():
    one, other = (geometry.immersions(plain(0.4, side), 0.3)[0] for side in (0.6, -0.6))
    assert one.at_heel == pytest.approx(other.at_heel[::-1], abs=EXACT)
    assert one.emerges == other.emerges[::-1]


def test_upright_is_what_was_measured():
    (found,) = geometry.immersions(plain(0.4, 0.6), 0.0)
    assert found.upright == found.at_heel[0] == found.at_heel[1] == pytest.approx(0.4)


def test_depth_falls_as_the_boat_leans_away():
    deep = [geometry.immersions(plain(0.4, 0.6), a)[0].at_heel[1] for a in np.linspace(0, 1, 21)]
    assert np.all(np.diff(deep) < 0.0)


def test_heights_over_heel_and_trim_are_a_turn():
    """Against the rotation written out: heel about the centreline, trim about the midship."""
    lean = np.linspace(-0.8, 0.8, 33)
    place = at("x", 0.7, -1.3, 8.0)
    level = geometry.heights(place, plain(), lean)
    assert level == pytest.approx(0.7 * np.cos(lean) + 1.3 * np.sin(lean), abs=EXACT)
    trimmed = geometry.heights(at("x", 0.7, 0.0, 8.0), plain(), np.zeros(1), trim=0.1)
    assert trimmed[0] == pytest.approx(0.7 * cos(0.1) + 3.0 * sin(0.1), abs=EXACT)


# ------------------------------------------------------------------------------------- outlets


def test_an_outlet_goes_under_at_the_angle_of_its_place():
    loop = plain(outlet_height=0.15, outlet_offset=1.75)
    (found,) = geometry.dips(loop)
    assert found.goes_under[0] == pytest.approx(atan(0.15 / 1.75), abs=STEP)
    assert found.goes_under[1] is None
    assert not found.has_seacock


def test_a_seacock_at_the_outlet_is_seen():
    loop = plain()
    link = loop.links[0]
    cock = Cock(name="cock", item="seacock", bore=0.019, loss_coefficient=0.05, at_outlet=True)
    with_cock = replace(link, elements=(*link.elements[:-1], cock, link.elements[-1]))
    assert geometry.dips(replace(loop, links=(with_cock,)))[0].has_seacock


def test_a_pump_rises_out_of_the_water_on_one_tack():
    loop = plain()
    machine = replace(loop.pumps[0], point=at("pump", -0.1, 1.2))
    loop = loop.changed("pump", point=machine.point)
    (found,) = geometry.pump_depths(loop, radians(15.0))
    a = radians(15.0)
    assert found.at_heel[1] == pytest.approx(0.1 * cos(a) - 1.2 * sin(a), abs=EXACT)
    assert found.at_heel[1] < 0.0 < found.upright


# ---------------------------------------------------------------------------------------- runs


@pytest.mark.parametrize(("slope", "angle"), [(0.02, 1.1), (0.10, 5.7), (0.27, 15.1), (0.36, 19.8)])
def test_a_slope_across_the_boat_reverses_at_its_own_angle(slope, angle):
    """As printed in the trade, whole degrees for the two steep ones: 2 % at 1.1, 27 % at 15."""
    loop = plain(via=[at("low", 0.0, 0.0), at("high", slope, 1.0)])
    leg = next(
        item for item in geometry.legs(loop, NO_PUMPS) if (item.start, item.end) == ("low", "high")
    )
    assert leg.slope == pytest.approx(slope)
    assert degrees(leg.reverses[0]) == pytest.approx(angle, abs=PRINTED_DEGREE)
    assert leg.reverses[1] is None


def test_a_run_along_the_boat_never_reverses():
    loop = plain(via=[at("low", 0.0, 0.0, 5.0), at("high", 0.02, 0.0, 6.0)])
    leg = next(i for i in geometry.legs(loop, NO_PUMPS) if (i.start, i.end) == ("low", "high"))
    assert leg.reverses == (None, None)


def test_legs_before_the_pump_are_told_apart():
    loop = plain()
    before = [leg.before_pump for leg in geometry.legs(loop, after_pump(loop))]
    assert before[0]
    assert not any(before[1:])


def test_crests_and_dips_at_rest():
    loop = plain(via=[at("crest", 0.9), at("dip", 0.1)])
    found = {
        trap.point: (trap.kind, trap.by)
        for trap in geometry.air_traps(loop, NO_PUMPS, 0.0)
        if trap.where == "at rest"
    }
    assert found["crest"][0] == "crest"
    assert found["crest"][1] == pytest.approx(0.8)  # over the lower neighbour's rise
    assert found["dip"] == ("dip", pytest.approx(0.2))  # the unit stands at 0.3


def test_a_run_that_rises_traps_nothing_until_it_heels():
    level = [at("a", 0.05, 0.0), at("b", 0.10, 1.0)]
    loop = plain(via=level)
    places = {
        (trap.point, trap.where)
        for trap in geometry.air_traps(loop, NO_PUMPS, radians(15.0))
        if trap.point in ("a", "b")
    }
    # starboard down, b sinks below a: a is then a crest and b, below the unit behind it, a dip;
    # port down, b rises above the unit: 0.10 cos + sin of 15 degrees is more than 0.30 cos
    down, up = "starboard side down", "port side down"
    assert places == {("a", down), ("b", down), ("b", up)}
    assert not any(
        trap.point in ("a", "b") and trap.where == "at rest"
        for trap in geometry.air_traps(loop, NO_PUMPS, radians(15.0))
    )


def test_the_highest_point_is_the_crest():
    assert geometry.highest_point(plain(via=[at("top", 1.4)])) == ("top", 1.4)


# ------------------------------------------------------------------------------------ flooding


def test_what_an_open_hose_lets_in():
    """Area times the speed of free fall, with and without the coefficient of a sharp edge."""
    (found,) = geometry.openings(plain(0.5))
    speed = sqrt(2.0 * 9.80665 * 0.5)
    assert found.flow_at_one == pytest.approx(pi / 4 * 0.025**2 * speed)
    assert found.flow == pytest.approx(0.61 * found.flow_at_one)
    assert found.depth == 0.5


def test_an_opening_above_the_water_lets_nothing_in():
    names = [item.name for item in geometry.openings(plain(outlet_height=0.2))]
    assert names == ["intake"]
    names = [item.name for item in geometry.openings(plain(outlet_height=-0.2))]
    assert names == ["intake", "outlet"]


def test_siphon_needs_an_outlet_under_water_and_no_vent():
    dry, low = plain(outlet_height=0.5), plain(outlet_height=0.1, outlet_offset=1.5)
    assert can_siphon_back(dry, radians(10.0)) == ()
    assert can_siphon_back(low, 0.0) == ()
    assert can_siphon_back(low, radians(10.0)) == ("outlet",)
    assert can_siphon_back(replace(low, vented=frozenset({"unit"})), 0.2) == ()


@pytest.mark.parametrize(("beam", "freeboard"), [(3.7, 1.15), (4.0, 2.0)])
def test_the_sheer_meets_the_water_where_the_section_says(beam, freeboard):
    angle = geometry.sheer_immersion(beam, freeboard)
    edge = freeboard * cos(angle) - 0.5 * beam * sin(angle)
    assert edge == pytest.approx(0.0, abs=EXACT)


# ------------------------------------------------------------------------- what is not recorded


def test_without_a_side_nothing_is_guessed():
    loop = plain().changed("intake", point=Point("intake", -0.5))
    loop = loop.changed("outlet", point=Point("outlet", 0.3)).changed(
        "pump", point=Point("p", -0.3)
    )
    (one,) = geometry.immersions(loop, 0.2)
    assert (one.upright, one.at_heel, one.emerges) == (0.5, None, None)
    assert geometry.dips(loop)[0].goes_under is None
    assert geometry.pump_depths(loop, 0.2)[0].at_heel is None
    assert geometry.legs(loop, NO_PUMPS)[0].run is None
    assert geometry.legs(loop, NO_PUMPS)[0].reverses is None
    heeled = [i for i in geometry.air_traps(loop, NO_PUMPS, 0.2) if i.where != "at rest"]
    assert all(trap.point not in ("intake", "p", "outlet") for trap in heeled)


def test_without_a_height_nothing_is_said():
    loop = plain().changed("intake", point=Point("intake", None))
    assert geometry.immersions(loop, 0.2)[0].upright is None
    assert geometry.openings(loop) == ()


@pytest.mark.parametrize(("beam", "freeboard"), [(None, 1.0), (3.0, None)])
def test_without_beam_or_freeboard_there_is_no_sheer(beam, freeboard):
    assert geometry.sheer_immersion(beam, freeboard) is None


def test_the_survey_uses_the_same_places():
    facts = sound_evidence()
    (loop,) = facts.loops
    thing = loop.outlets[0]
    lean = radians(20.0)
    hand = 0.15 * cos(lean) - 1.75 * sin(lean)
    assert facts.lowest(loop, thing, lean) == pytest.approx(hand, abs=EXACT)
    assert facts.height(loop, thing, -lean) == pytest.approx(
        0.15 * cos(lean) + 1.75 * sin(lean), abs=EXACT
    )


def test_a_level_run_across_the_boat_turns_at_once():
    points = [at("low", 0.2, starboard=0.1), at("high", 0.2, starboard=0.9)]
    loop = plain(via=points)
    leg = next(i for i in geometry.legs(loop, NO_PUMPS) if (i.start, i.end) == ("low", "high"))
    assert sorted(leg.reverses, key=str) == [0.0, None]  # it falls to the side that goes down


def test_a_level_run_fore_and_aft_never_turns():
    points = [at("low", 0.2, starboard=0.4), at("high", 0.2, starboard=0.4)]
    loop = plain(via=points)
    leg = next(i for i in geometry.legs(loop, NO_PUMPS) if (i.start, i.end) == ("low", "high"))
    assert leg.reverses == (None, None)


def test_a_point_without_a_height_is_not_joined_over():
    loop = plain(via=[at("before", 0.2), at("unknown", None), at("after", 0.1)])
    found = {(leg.start, leg.end): leg for leg in geometry.legs(loop, NO_PUMPS)}
    assert ("before", "after") not in found
    assert found["before", "unknown"].rise is None
    assert found["before", "unknown"].reverses is None
    assert geometry.highest_point(loop) is None


def test_no_distance_to_what_is_not_known_all_three_ways():
    here, there = (
        Place(aft=4.0, starboard=1.0, height=0.5),
        Place(aft=1.0, starboard=5.0, height=0.5),
    )
    assert apart(here, there) == apart(there, here) == pytest.approx(5.0)
    half = [replace(here, **{way: None}) for way in ("aft", "starboard", "height")]
    for other in (None, *half):
        assert apart(here, other) is None
        assert apart(other, here) is None


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_crest_that_moves_with_heel_is_named_as_it_lies_in_the_first_condition(side):
    """Of two points of one height, a metre to either side, the high side is the crest."""
    via = (at("port", 0.8, -1.0), at("starboard", 0.8, 1.0))
    loop = plain(via=via)
    tacks = side * np.radians([-15.0, 15.0, 15.0])
    crest = find_crest(loop, loop.links[0], Conditions(sea_temperature=20.0, heel=tacks), True)
    assert crest.label == ("starboard" if side > 0 else "port")
    by_hand = 0.8 * cos(radians(15.0)) + sin(radians(15.0))
    assert crest.height == pytest.approx(by_hand)
