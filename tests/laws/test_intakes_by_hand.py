"""Rules of the survey on intakes: scoops, shared openings, what lies near, in numbers on paper."""

from types import SimpleNamespace

import pytest

from seaflow.studies.design.limits import limit
from seaflow.studies.survey import intakes
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.severity import BOAT, LATER, NOW

SIX_KNOTS = (6.0 * 1852.0 / 3600.0) ** 2 / (2.0 * 9.80665)  # m of head


def word(found):
    """Kept, the key that is asked for, or what was found."""
    if isinstance(found, Kept):
        return "kept"
    return f"ask {found.key}" if isinstance(found, Unknown) else found.found.kind.partition(".")[2]


def intake(name="hole", bore=0.025, level=-0.7, feeds=(), entry="scoop", at=(5.0, 1.0, -0.3)):
    users = tuple(SimpleNamespace(name=user, bore=width) for user, width in feeds)
    return SimpleNamespace(
        name=name,
        bore=bore,
        level=level,
        also_feeds=users,
        entry=entry,
        point=at,
        seen=None,
        table="through_hull",
    )


def boat(*holes, recovery=0.0, **more):
    catalogue = SimpleNamespace(find=lambda table, name: (name, {"recovery": recovery}))
    told = {
        "intakes": holes,
        "catalogue": catalogue,
        "skin_fitting": (),
        "boat": SimpleNamespace(hull="motor monohull"),
    }
    known = {"only_engine_shares": None, "all_openings_listed": True}
    known |= {key: more.pop(key) for key in tuple(more) if key in known}
    case = SimpleNamespace(**told | more)
    return SimpleNamespace(
        case=case, boat=SimpleNamespace(**known), loops=(), carrier=lambda name: name
    )


def facing(monkeypatch, way):
    monkeypatch.setattr(intakes, "_faces", lambda found: ((one, way) for one in found.case.intakes))


@pytest.mark.parametrize("recovery", [-0.5, -0.2])
def test_a_scoop_that_faces_aft_takes_its_share_of_the_head_of_speed(monkeypatch, recovery):
    for way, told in ((None, "ask entry"), ("forward", "kept"), ("down", "kept")):
        facing(monkeypatch, way)
        assert [word(one) for one in intakes.scoop_aft(boat(intake()))] == [told]
    facing(monkeypatch, "aft")
    (found,) = intakes.scoop_aft(boat(intake(), recovery=recovery))
    (takes,) = found.in_numbers
    assert takes["knots"] == 6.0
    assert takes["head"].value == pytest.approx(-recovery * SIX_KNOTS)


def test_a_scoop_presses_water_into_an_engine_that_stands(monkeypatch):
    engine = intake(feeds=(("Main Engine", None),))
    for way, told in ((None, "ask entry"), ("aft", "kept"), ("forward", "scoop_feeds_engine")):
        facing(monkeypatch, way)
        assert [word(one) for one in intakes.scoop_on_engine(boat(engine))] == [told]
        assert [word(one) for one in intakes.scoop_on_engine(boat(intake()))] == ["kept"]
    (found,) = intakes.scoop_on_engine(boat(engine))
    assert found.in_numbers[0]["head"].value == pytest.approx(SIX_KNOTS)


def test_a_multihull_has_scoops_that_face_forward(monkeypatch):
    hull = SimpleNamespace(hull="sailing multihull")
    for way, told in (
        ("forward", "kept"),
        ("aft", "kept"),
        (None, "ask entry"),
        ("down", "no_scoop"),
    ):
        facing(monkeypatch, way)
        assert [word(one) for one in intakes.scoop_missing(boat(intake(), boat=hull))] == [told]
        assert [word(one) for one in intakes.scoop_missing(boat(intake()))] == ["kept"]
        engine = intake(feeds=(("engine", None),))
        assert [word(one) for one in intakes.scoop_missing(boat(engine, boat=hull))] == ["kept"]


def shared(bore, *users, hose=0.020):
    hole = intake(bore=bore, feeds=[(f"tap {number}", width) for number, width in enumerate(users)])
    network = SimpleNamespace(leaving=lambda name: [SimpleNamespace(bore=hose)])
    found = boat(hole)
    found.loops = (SimpleNamespace(intakes=[hole], network=network),)
    return [word(one) for one in intakes.shared_area(found)]


def test_a_shared_opening_is_a_tenth_larger_than_all_that_draws_from_it():
    edge = (1.1 * (0.020**2 + 0.010**2)) ** 0.5
    assert shared(1.0001 * edge, 0.010) == ["kept"] and shared(0.9999 * edge, 0.010) == [
        "shared_too_small"
    ]
    assert shared(edge, None) == ["ask also_feeds"] and shared(0.001) == []


def test_a_shared_opening_lies_six_tenths_of_a_metre_deep():
    def told(level):
        (found,) = intakes.shared_depth(boat(intake(level=level, feeds=(("tap", 0.01),))))
        return found

    assert word(told(None)) == "ask height" and word(told(-0.6)) == "kept"
    assert (word(told(-0.59)), told(-0.59).found["depth"].value) == ("shared_shallow", 0.59)
    assert word(told(0.0)) == "shared_shallow"
    assert (word(told(0.1)), told(0.1).found["height"].value) == ("shared_above_water", 0.1)
    assert list(intakes.shared_depth(boat(intake(level=0.5)))) == []


def test_an_engine_that_shares_an_intake():
    engine = intake(feeds=(("tap", 0.01), ("engine", None)))
    assert [word(one) for one in intakes.shared_engine(boat(intake(), engine))] == [
        "kept",
        "engine_shares",
    ]
    (found,) = intakes.shared_engine(boat(engine, only_engine_shares=True))
    assert (word(found), found.near, found.harm) == ("only_engine_shares", NOW, BOAT)


def test_an_intake_is_as_wide_as_the_widest_hose_on_it():
    def told(*bores, on="hole"):
        hole = intake(bore=0.025)
        hoses = [SimpleNamespace(from_=on, bore=bore) for bore in bores]
        found = boat(hole)
        found.loops = (SimpleNamespace(intakes=[hole], network=SimpleNamespace(hoses=hoses)),)
        return [word(one) for one in intakes.through_hull_narrow(found)]

    assert told(0.025) == told(0.019, 0.025) == told() == ["kept"]
    assert told(0.032, 0.019) == ["through_hull_narrow"] and told(0.032, on="other") == ["kept"]


def outlet(apart, aft=0.0):
    return SimpleNamespace(name="out", point=(5.0 + aft, 1.0, -0.3 + apart), table="outlet")


def test_an_outlet_and_a_discharge_lie_off_the_intake_and_not_ahead_of_it():
    near, foul = limit("outlet_distance"), limit("discharge_distance")
    for apart, aft, told in (
        (0.99 * near, 0.0, "outlet_near"),
        (1.01 * near, 0.0, "kept"),
        (1.01 * near, -0.1, "outlet_ahead"),
        (1.01 * near, 0.1, "kept"),
    ):
        found = intakes._outlet_near(intake(), outlet(apart, aft))
        assert word(found) == told
        if told == "outlet_ahead":
            assert found.near == LATER
        if isinstance(found, Breach):
            assert found.found["distance"].value == pytest.approx((apart**2 + aft**2) ** 0.5)
    for apart, aft, told in (
        (0.99 * foul, 0.0, "opening_near"),
        (1.01 * foul, 0.0, "kept"),
        (1.01 * foul, -0.1, "in_stream_of"),
    ):
        assert word(intakes._from_discharge(intake(), outlet(apart, aft))) == told
