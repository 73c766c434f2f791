"""Rules of the survey on what lies behind the pump: trunks, clamps, valves, hulls, on paper."""

from types import SimpleNamespace

import numpy as np
import pytest

from seaflow.studies.design.limits import limit
from seaflow.studies.survey import delivery
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.severity import NEXT, NOW


def word(found):
    """Kept, the key that is asked for, or what was found."""
    if isinstance(found, Kept):
        return "kept"
    return f"ask {found.key}" if isinstance(found, Unknown) else found.found.kind.partition(".")[2]


NO_PUMP = Unknown("pump", "pump", "fitted")


def test_a_trunk_is_as_large_as_its_branches_or_its_water_is_slow():
    loop = SimpleNamespace(no_pump=NO_PUMP)
    branches = [0.016, 0.016]
    same = (2.0 * 0.016**2) ** 0.5
    assert word(delivery._wide(loop, "m", (same, branches), None)) == "kept"
    assert word(delivery._wide(loop, "m", (0.9996 * same, branches), None)) == "kept"
    assert word(delivery._wide(loop, "m", (0.99 * same, branches), None)) == "ask fitted"
    slow = limit("trunk_velocity") * np.pi * 0.019**2 / 4.0
    assert word(delivery._wide(loop, "m", (0.019, branches), 0.999 * slow)) == "kept"
    found = delivery._wide(loop, "m", (0.019, branches), 1.001 * slow)
    assert isinstance(found, Breach) and found.found["branches"] == 2
    assert found.found["share"] == pytest.approx(0.019**2 / (2.0 * 0.016**2))
    assert found.in_numbers[0]["velocity"].value == pytest.approx(1.001 * limit("trunk_velocity"))


def test_what_runs_through_a_junction_is_that_of_its_links():
    links = [
        SimpleNamespace(start=start, end=end)
        for start, end in (("sea", "m"), ("m", "t"), ("m", "t"), ("t", "out"))
    ]
    flows = np.asarray([[5.0, 9.0], [2.0, 9.0], [-3.0, 9.0], [5.0, 9.0]])
    point = SimpleNamespace(flow=flows, total_flow=lambda: flows[0])
    loop = SimpleNamespace(run=SimpleNamespace(point=point), loop=SimpleNamespace(links=links))
    assert delivery._through(loop, "m", leaving=True) == 5.0
    assert delivery._through(loop, "t", leaving=False) == 5.0
    assert delivery._through(loop, "m", leaving=False) == 5.0
    assert delivery._through(loop, "nowhere", leaving=True) == 5.0
    loop.run = None
    assert delivery._through(loop, "m", leaving=True) is None


@pytest.mark.parametrize(
    ("clamps", "short", "floods", "told", "near"),
    [
        (None, False, True, "ask clamps_at_each_end", None),
        (2, False, True, "kept", None),
        (3, False, None, "kept", None),
        (1, False, True, "one_clamp", None),
        (1, False, None, "one_clamp", None),
        (1, True, True, "kept", None),
        (1, False, False, "kept", None),
        (0, True, True, "no_clamp", NOW),
        (0, False, None, "no_clamp", NOW),
        (0, False, False, "no_clamp", NEXT),
    ],
)
def test_clamps_by_what_comes_in_if_the_hose_comes_off(clamps, short, floods, told, near):
    seen = SimpleNamespace(clamps_at_each_end=clamps, short_barb=short)
    hose = SimpleNamespace(label="h", seen=seen)
    evidence = SimpleNamespace(hoses=[hose], floods=lambda one: floods)
    (found,) = delivery.clamps_too_few(evidence)
    assert word(found) == told and getattr(found, "near", None) == near
    hose.seen = None
    (found,) = delivery.clamps_too_few(evidence)
    assert word(found) == "ask clamps_at_each_end"


class Thing(SimpleNamespace):
    """A record that a table of things can be of."""

    __hash__ = object.__hash__


def loop_of(*sides, units=(), tees=()):
    things = {
        f"thing {number}": Thing(name=f"thing {number}", table="tee", side=side)
        for number, side in enumerate(sides)
    }
    things |= {name: Thing(name=name, table="flush_tee", side=0.0) for name in tees}
    return SimpleNamespace(name="l", network=SimpleNamespace(things=things, units=units))


@pytest.mark.parametrize(
    ("hull", "sides", "told"),
    [
        ("sailing multihull", (-0.6, 0.6), "crosses_hulls"),
        ("sailing multihull", (-0.5, 0.6), "kept"),
        ("sailing multihull", (-0.6, 0.5), "kept"),
        ("sailing multihull", (-0.6, -2.0), "kept"),
        ("sailing multihull", (-0.6, None), "ask starboard"),
        ("sailing multihull", (-0.6, None, 0.6), "crosses_hulls"),
        ("sailing multihull", (None,), "ask starboard"),
        ("sailing monohull", (-0.6, 0.6), "kept"),
        ("motor monohull", (None,), "kept"),
    ],
)
def test_a_loop_crosses_hulls_only_if_it_lies_in_both(monkeypatch, hull, sides, told):
    monkeypatch.setattr(delivery, "distance", lambda thing, key: thing.side)
    case = SimpleNamespace(boat=SimpleNamespace(hull=hull))
    evidence = SimpleNamespace(case=case, loops=[loop_of(*sides)])
    assert [word(one) for one in delivery.multihull_crossing(evidence)] == [told]


def test_flushing_units_and_how_many():
    def flushing(can, *tees):
        boat = SimpleNamespace(can_be_flushed=can)
        (found,) = delivery.no_flushing(SimpleNamespace(boat=boat, loops=[loop_of(0.0, tees=tees)]))
        return word(found)

    assert flushing(None) == "ask can_be_flushed" and flushing(True) == "kept"
    assert flushing(False) == "no_flushing"
    assert flushing(False, "tee") == flushing(None, "tee") == "kept"
    for count, told in ((4, "kept"), (5, "many_units")):
        (found,) = delivery.many_units(SimpleNamespace(loops=[loop_of(units=("u",) * count)]))
        assert word(found) == told
    assert found.found["units"] == 5
    for level, told in ((None, "ask height"), (0.0, "kept"), (-0.1, "unit_below_water")):
        case = SimpleNamespace(unit=[SimpleNamespace(name="u", level=level)])
        (found,) = delivery.unit_below_water(SimpleNamespace(case=case))
        assert word(found) == told
    assert found.found["depth"].value == 0.1


def test_which_fittings_are_valves_of_a_branch():
    for name, valve in (
        ("ball valve", True),
        ("check valve", False),
        ("non-return valve", False),
        ("sharp elbow 90 barbed", False),
    ):
        assert delivery._is_valve(name) == valve
        hose = SimpleNamespace(balancing_valve=None, fittings=("hose barb", name))
        assert delivery._has_valve(hose) == valve
    assert delivery._has_valve(SimpleNamespace(balancing_valve="v", fittings=()))
