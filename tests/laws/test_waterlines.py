"""Waterlines that standards ask for, what goes under at them, and pumps put first, on paper."""

import math
from collections import namedtuple
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from sizing import CATAMARAN, KETCH, MOTOR, shipped

from seaflow.boat import network
from seaflow.boat.tables.things import Place
from seaflow.model.geometry import sheer_immersion
from seaflow.studies.page.study import _with_chosen
from seaflow.studies.survey import evidence
from seaflow.studies.survey.evidence import Evidence, distance, is_stuck, unplaced
from seaflow.studies.survey.waterlines import waterlines

Sided = namedtuple("Sided", "side")


def angles(hull, **more):
    boat = replace(shipped(KETCH).boat, hull=hull, **more)
    return [None if one.angle is None else math.degrees(one.angle) for one in waterlines(boat)]


def test_a_hull_is_heeled_as_far_as_each_standard_asks():
    """30 degrees or to the sheer, and to the sheer; 7 degrees for what does not heel far."""
    sheer = math.degrees(sheer_immersion(3.0, 0.6))
    assert sheer < 30.0 and angles("sailing monohull", beam=3.0, freeboard=0.6) == pytest.approx(
        [sheer, sheer]
    )
    high = math.degrees(sheer_immersion(3.0, 1.4))
    assert high > 30.0 and angles("sailing monohull", beam=3.0, freeboard=1.4) == pytest.approx(
        [30.0, high]
    )
    assert angles("sailing monohull", beam=3.0, freeboard=None) == [pytest.approx(30.0), None]
    assert angles("sailing multihull") == pytest.approx([7.0])
    assert angles("motor monohull") == angles("motor multihull") == pytest.approx([7.0, 7.0])
    names = [one.name for one in waterlines(replace(shipped(KETCH).boat, hull="sailing monohull"))]
    assert len(set(names)) == 2


def cock(**seen):
    return SimpleNamespace(seen=SimpleNamespace(**{"moves_freely": None, "full_turn": None} | seen))


def test_a_seacock_is_stuck_if_it_does_not_move_or_not_all_the_way():
    assert is_stuck(cock(moves_freely=False)) and is_stuck(cock(full_turn=False))
    assert is_stuck(cock(moves_freely=True, full_turn=False))
    assert not is_stuck(cock()) and not is_stuck(cock(moves_freely=True, full_turn=True))
    assert not is_stuck(None) and not is_stuck(SimpleNamespace(seen=None))


def thing(level=None, at=None, name="hole"):
    return SimpleNamespace(name=name, level=level, at=at, table="outlet")


def test_a_distance_is_of_the_place_and_the_first_that_is_missing_is_asked_for():
    place = Place(aft=3.0, starboard=None, height=0.4)
    one = thing(0.4, place)
    assert [distance(one, key) for key in ("height", "aft", "starboard")] == [0.4, 3.0, None]
    assert [distance(thing(0.4), key) for key in ("height", "aft")] == [0.4, None]
    whole = thing(0.4, replace(place, starboard=1.0), "whole")
    asked = unplaced(whole, one)
    assert (asked.table, asked.thing, asked.key) == ("outlet", "hole", "starboard")
    assert unplaced(thing(None, place), one).key == "height"
    with pytest.raises(ValueError, match="place"):
        unplaced(whole)


@pytest.mark.parametrize(
    ("level", "working", "lines", "heeled", "under"),
    [
        (None, 1.0, [0.1], 1.0, None),
        (-0.1, 1.0, [0.1], 1.0, True),
        (0.2, -0.01, [0.1], 1.0, True),
        (0.2, 0.1, [0.1], -0.01, True),
        (0.2, 0.1, [0.1], 0.01, False),
        (0.2, None, [None], 0.01, None),
        (0.2, 0.1, [0.1, None], None, None),
        (0.0, 0.1, [0.1], 0.01, False),
    ],
)
def test_a_thing_goes_under_at_rest_as_she_works_or_as_far_as_asked(
    monkeypatch, level, working, lines, heeled, under
):
    lists = tuple(SimpleNamespace(angle=angle) for angle in lines)
    found = Evidence(shipped(KETCH), (), lists, {})
    monkeypatch.setattr(Evidence, "lowest_working", lambda *_: working)
    asked = []

    def lowest(self, loop, one, angle):
        asked.append(angle)
        return heeled

    monkeypatch.setattr(Evidence, "lowest", lowest)
    assert found.may_go_under(None, thing(level)) is under
    assert all(angle == max(one for one in lines if one is not None) for angle in asked)


def test_the_lower_of_both_tacks_counts(monkeypatch):
    monkeypatch.setattr(evidence, "point_of", lambda one: one)

    def heights(one, loop, angles):
        return 0.3 + one.side * np.sin(angles)

    monkeypatch.setattr(evidence, "heights", heights)
    found = Evidence(shipped(KETCH), (), (), {})
    loop = SimpleNamespace(loop=None)
    for side in (1.0, -1.0):
        one = Sided(side)
        assert found.lowest(loop, one, 0.2) == pytest.approx(0.3 - np.sin(0.2))
        assert found.height(loop, one, 0.2) == pytest.approx(0.3 + side * np.sin(0.2))


@pytest.mark.parametrize("name", [MOTOR, CATAMARAN])
def test_every_loop_has_the_pump_put_first_or_the_one_that_is_fitted(name):
    case = shipped(name)
    loops = [found.pumps for found in network.loops(case)]
    best = [f"best {number}" for number in range(len(loops))]
    parts = [SimpleNamespace(part=SimpleNamespace(name=one)) for one in best]
    sized = SimpleNamespace(loops=[SimpleNamespace(chosen=one) for one in parts])
    found = _with_chosen(case, sized)
    assert found.design.pumps == tuple(best)
    assert all(spot.fitted is None for spot in found.pump)
    kept = _with_chosen(case, sized, as_fitted=True)
    if all(spot.fitted for spot in case.pump):
        assert kept is case
    bare = replace(case, pump=tuple(replace(spot, fitted=None) for spot in case.pump))
    for fitted in (False, True):
        assert _with_chosen(bare, sized, fitted).design.pumps == tuple(best)
    same = replace(case, pump=tuple(replace(spot, fitted="best 0") for spot in case.pump))
    if len(loops) == 1:
        assert _with_chosen(same, sized) is same
    else:
        other = _with_chosen(same, sized)
        assert [spot.fitted for spot in other.pump].count("best 0") == len(loops[0])
    none = SimpleNamespace(loops=[SimpleNamespace(chosen=None) for _ in loops])
    assert _with_chosen(case, none) is case
