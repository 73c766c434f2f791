"""Heel and trim at once, and siphons: signs, limits, and what is not recorded."""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
from survey_boats import sound_evidence

from seaflow.model import geometry, heights
from seaflow.model.elements import Point

ROUNDING = 1e-12  # m: both sides are the same few products
STEP = radians(0.11)  # the search runs in steps of a tenth of a degree


@pytest.fixture
def loop():
    return replace(sound_evidence().loops[0].loop, midship=5.0)


def test_each_corner_is_the_height_turned_by_hand(loop):
    point = Point("x", height=-0.5, starboard=0.8, aft=7.0)
    heel, trim = radians(12.0), radians(3.0)
    found = heights.corners(point, loop, heel, trim)
    level = [-0.5 * cos(heel) - side * 0.8 * sin(heel) for side in (1.0, -1.0)]
    end = 2.0 * sin(trim)  # two metres abaft the middle: bow down lifts it
    by_hand = [level[0] * cos(trim) + end, level[0] * cos(trim) - end]
    by_hand += [level[1] * cos(trim) + end, level[1] * cos(trim) - end]
    assert found.all == pytest.approx(by_hand, abs=ROUNDING)
    assert (found.lowest, found.highest) == (min(by_hand), max(by_hand))
    assert found.attitudes == (("starboard", "stern"), ("port", "bow"))


def test_without_trim_the_ends_are_equal(loop):
    found = heights.corners(Point("x", height=-0.5, starboard=0.8, aft=7.0), loop, 0.2, 0.0)
    assert found.starboard_bow == found.starboard_stern
    assert found.port_bow == found.port_stern


def test_amidships_trim_hardly_counts(loop):
    point = Point("x", height=-0.5, starboard=0.0, aft=5.0)
    found = heights.corners(point, loop, 0.0, radians(2.0))
    assert np.ptp(found.all) == pytest.approx(0.0, abs=ROUNDING)


@pytest.mark.parametrize("missing", ["height", "starboard", "aft"])
def test_what_is_not_recorded_is_not_guessed(loop, missing):
    point = replace(Point("x", height=0.2, starboard=0.8, aft=7.0), **{missing: None})
    assert heights.corners(point, loop, 0.2, 0.05) is None
    assert heights.crossing(point, loop, 0.05, rising=False) is None


def test_trim_brings_the_crossing_nearer(loop):
    point = Point("x", height=0.2, starboard=0.8, aft=7.0)
    angles = [heights.crossing(point, loop, radians(trim), rising=False) for trim in (0, 1, 2, 4)]
    assert angles == sorted(angles, reverse=True)
    assert angles[0] == pytest.approx(np.arctan2(0.2, 0.8), abs=STEP)


def test_a_point_that_never_crosses(loop):
    deep = Point("x", height=-2.0, starboard=0.0, aft=5.0)
    assert heights.crossing(deep, loop, 0.02, rising=True) is None


def test_an_outlet_under_water_siphons_though_its_side_is_not_recorded(loop):
    last = loop.links[-1].elements[-1]
    sunk = replace(last, point=Point(last.name, height=-0.1))
    link = replace(loop.links[-1], elements=(*loop.links[-1].elements[:-1], sunk))
    (found,) = geometry.siphons(replace(loop, links=(*loop.links[:-1], link)), 0.2)
    assert found.deepest == pytest.approx(0.1)
    assert found.is_possible
    dry = replace(last, point=Point(last.name, height=0.1))
    link = replace(loop.links[-1], elements=(*loop.links[-1].elements[:-1], dry))
    (found,) = geometry.siphons(replace(loop, links=(*loop.links[:-1], link)), 0.2)
    assert found.is_possible is None
