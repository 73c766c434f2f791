"""What a draw of one value moves: straight from its low end over itself to its high end."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seaflow.boat.load import load_case
from seaflow.boat.network import loops
from seaflow.boat.paths import with_values
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.studies.design.certainty import by_path
from seaflow.studies.design.certainty.by_path import DrawnMove, drawn_paths, move_of

HALF_KNOWN = Path(__file__).parents[1] / "helpers" / "half_known_catamaran.toml"
HERE = np.linspace(10.0, 30.0, 101)
STILL = DrawnMove(
    reach=2.0,
    loop={},
    sea=(HERE, HERE, HERE),
    volts=(HERE, HERE, HERE),
    salinity=(35.0, 35.0, 35.0),
    growth=(1e-3, 1e-3, 1e-3),
    blocked=(0.0, 0.0, 0.0),
    left=(0.97, 0.97, 0.97),
)
MOVED = {
    "sea": (HERE - 1.0, HERE, HERE + 3.0),
    "volts": (HERE, HERE, HERE + 1.0),
    "salinity": (30.0, 35.0, 36.0),
    "growth": (0.5e-3, 1e-3, 2e-3),
    "blocked": (0.2, 0.4, 0.8),
    "left": (0.5, 1.0, 1.1),
}
OFF = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])  # of a reach of 2: both ends, and halfway
LOOP = Loop("none", ())
NOW = Conditions(
    sea_temperature=20.0, salinity=35.0, voltage=12.0, growth=1e-3, strainer_blockage=0.6
)


def moved(now=NOW, **what):
    return replace(STILL, **what).apply(LOOP, now, OFF)[1]


@pytest.mark.parametrize("name", MOVED)
def test_whatever_is_moved_is_noticed_and_moves_that_alone(name):
    assert not STILL.moves
    assert replace(STILL, **{name: MOVED[name]}).moves
    low_alone = (MOVED[name][0], MOVED[name][1], MOVED[name][1])
    high_alone = (MOVED[name][1], MOVED[name][1], MOVED[name][2])
    assert replace(STILL, **{name: low_alone}).moves is (name != "volts")
    assert replace(STILL, **{name: high_alone}).moves


def test_each_goes_from_end_to_end_and_nowhere_in_the_middle():
    sea = moved(sea=MOVED["sea"]).sea_temperature
    assert sea == pytest.approx(20.0 + np.array([-1.0, -0.5, 0.0, 1.5, 3.0]))
    assert moved(volts=MOVED["volts"]).voltage == pytest.approx([12.0, 12.0, 12.0, 12.5, 13.0])
    assert moved(left=MOVED["left"]).voltage == pytest.approx([6.0, 9.0, 12.0, 12.6, 13.2])
    salt = moved(salinity=MOVED["salinity"]).salinity
    assert salt == pytest.approx([30.0, 32.5, 35.0, 35.5, 36.0])
    growth = moved(growth=MOVED["growth"]).growth
    assert growth == pytest.approx(1e-3 * np.array([0.5, 0.75, 1.0, 1.5, 2.0]))
    blocked = moved(blocked=MOVED["blocked"]).strainer_blockage
    assert blocked == pytest.approx([0.3, 0.45, 0.6, 0.9, 0.99])  # never shut altogether


def test_where_no_volts_are_known_none_come_of_a_draw():
    now = moved(replace(NOW, voltage=None), left=MOVED["left"], volts=MOVED["volts"])
    assert now.voltage is None


def test_what_is_nought_in_itself_stays_so():
    none = (0.0, 0.0, 0.5)
    assert moved(replace(NOW, growth=0.0), growth=none).growth == pytest.approx(np.zeros(5))
    assert moved(blocked=none).strainer_blockage == pytest.approx(np.full(5, 0.6))


def changes_of(case):
    """The boat with each of her values at another that may be drawn, or that divides her water."""
    yield case
    for unit in case.unit:
        yield with_values(case, {("unit", unit.row, "cooling"): 1.1 * unit.cooling})
    for path in drawn_paths(case):
        value = by_path.value_at(case, path)
        if value > 0.0:  # as what must be above nought stays
            yield with_values(case, {path: 1.1 * value})


def test_what_a_value_moves_is_the_same_whatever_other_boats_were_asked_before():
    """What boats have alike is worked out once, and nothing of another boat is taken for it."""
    half_known = load_case(str(HALF_KNOWN)).case
    part = half_known.catalogue.any_pump()
    parts = {pump.name: part for pump in half_known.pump}

    def moves(case):
        (found,) = loops(case)
        every = [move_of(case, found, parts, path) for path in drawn_paths(half_known)]
        return [None if one is None else (one.loop, one.reach, one.left) for one in every]

    after_others = [moves(case) for case in changes_of(half_known)]
    assert any(row != after_others[0] for row in after_others)
    for case, known in zip(changes_of(half_known), after_others, strict=True):
        by_path._moved_loop.cache_clear()
        by_path._kept.cache_clear()
        assert moves(case) == known
