"""What place makes of levels and costs, at each edge: order, ties, intakes, notes, on paper."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from made import made
from sizing import KETCH, shipped

from seaflow.base.facts import fact
from seaflow.boat.tables.things import Place
from seaflow.physics.sound.levels import level_sum
from seaflow.studies.design.judge import NO, TIGHT, YES, Ruling
from seaflow.studies.design.supply import SupplyResult
from seaflow.studies.place import boats, rank, routes, study
from seaflow.studies.place.advice import advice_for, steadiness
from seaflow.studies.place.must_hold import Standing
from seaflow.studies.place.rank import (
    PlaceResult,
    Sensitivity,
    difference,
    gaps,
    in_order,
    intakes_in_order,
    is_left_open,
    letter_at,
    sensitivity,
)
from seaflow.studies.place.reach import Reach, furthest
from seaflow.studies.place.routes import is_same_spot, route_length
from seaflow.studies.place.sound import SoundAt, _sound_at
from seaflow.studies.place.water import Water, _thin

WIDTH = 3.0  # dB
COSTS = {"head": 2.0, "energy_per_day": 1e6, "voltage": 230.0}


def heard(level, berth="cabin", half_width=5.0, structure=-80.0):
    return SoundAt(berth, level, half_width, level, structure)


def at(name, level=30.0, grade=YES, hose=2.0, access="good", remarks=0, intake="", **more):
    """A place where so much is heard, of a grade, with so many metres of hose."""
    held = () if grade == YES else (Ruling(grade, fact("design.misses_rise")),)
    water = made(
        Water, hose=hose, flow=1e-4, rulings=more.pop("rulings", held), remarks=(), **COSTS
    )
    water = replace(water, **more.pop("water", {}))
    standing = made(Standing, when=fact("start.upright"), depth_at_heel=0.3)
    standing = replace(standing, **more.pop("standing", {}))
    told = {
        "sound": () if level is None else (heard(level),),
        "water": water,
        "standing": standing,
        "access": access,
        "cures": (),
        "warnings": tuple(fact(f"place.warning_{number}") for number in range(remarks)),
        "pump_place": name,
        "intake_place": intake,
        "speed_ratio": 1.0,
        "stands_now": False,
        "find_out": (),
    }
    return made(PlaceResult, name=name, compartment="bilge", **told | more)


def names(found):
    return [one.name for one in found]


# ---------------------------------------------------------------------------------------- the order


def test_places_come_by_grade_then_by_sound_and_within_what_is_told_apart_by_cost():
    rows = [
        at("poor", 29.0, access="poor"),
        at("remarked", 28.0, remarks=1),
        at("long", 30.9, hose=4.0),
        at("short", 30.5, hose=3.0),
        at("loud", 31.0, hose=0.5),
        at("tight", 10.0, TIGHT),
        at("out", 5.0, NO),
    ]
    found = in_order(rows, WIDTH)
    assert names(found) == ["short", "long", "remarked", "poor", "loud", "tight", "out"]
    assert [one.rank for one in found] == [1, 2, 3, 4, 5, 6, None]
    same = {one.name: set(one.same_as) for one in found}
    assert same["short"] == {"long", "remarked", "poor", "loud"}
    assert same["remarked"] == {"short", "long", "poor"}  # 3.0 dB are told apart
    assert same["out"] == same["tight"] == set()
    assert names(in_order(rows[::-1], WIDTH)) == names(found)


def test_levels_count_in_twentieths_of_a_decibel():
    assert difference(at("a", 30.0), at("b", 30.024)) == 0.0
    assert difference(at("a", 30.0), at("b", 30.026)) == 0.05
    assert difference(at("b", 31.0), at("a", 30.0)) == -1.0
    assert difference(at("a", None), at("b", None)) == 0.0
    assert [letter_at(number) for number in (0, 25, 26, 51, 52)] == ["A", "Z", "A1", "Z1", "A2"]


def test_a_gap_is_told_with_the_quietest_of_its_group():
    order = in_order([at("a", 28.0, hose=3.0), at("b", 30.0, hose=1.0), at("c", 32.0)], WIDTH)
    assert names(order) == ["b", "a", "c"]
    tied, behind = gaps(order, WIDTH)
    assert (tied.kind, tied["place"], tied["other"]) == ("place.tied", "b", "a")
    assert tied["less"].value == 2.0
    assert behind.kind == "place.quieter" and behind["less"].value == 4.0
    order = in_order([at("a", 28.0, hose=3.0), at("b", 30.0, hose=1.0), at("c", 32.9)], WIDTH)
    order = (order[1], order[0], order[2])  # the quietest first: the next group stands behind it
    _, behind = gaps(order, WIDTH)
    assert (behind.kind, behind["behind"]) == ("place.tied_behind", "a")
    assert gaps(in_order([at("a"), at("b", None, NO)], WIDTH), WIDTH) == ()


def test_a_place_is_left_open_if_its_own_path_could_turn_it():
    def by(air, structure):
        one = replace(heard(air), structure=structure)
        return at("x", sound=(one.with_structure(0.0),))

    assert is_left_open(by(0.0, 25.0), at("b", 34.9))
    assert not is_left_open(by(0.0, 25.0), at("b", 35.1))
    assert not is_left_open(at("a", None), at("b")) and not is_left_open(at("a"), at("b", None))


def test_what_the_water_does_is_told_by_its_gravest():
    none = at("a")
    assert none.hydraulic_fault is None and none.holds and none.grade == YES
    start, flow = Ruling(NO, fact("start.too_high")), Ruling(NO, fact("design.unit_dry"))
    assert at("a", rulings=(flow, start)).hydraulic_fault.kind == "place.will_not_start"
    starved = {"starved": True}
    assert at("a", rulings=(flow,), water=starved).hydraulic_fault.kind == "place.starved"
    assert at("a", rulings=(flow,)).hydraulic_fault.kind == "place.too_little_water"
    petrol = at("a", standing={"other": (fact("place.petrol"),)}, rulings=(flow,))
    assert petrol.grade == NO and [one.kind for one in petrol.reasons] == [
        *("design.unit_dry", "place.petrol")
    ]
    assert at("a", TIGHT and 30.0, TIGHT).doubts and not at("a").doubts
    assert replace(none, water=None).grade == NO
    two = replace(none, sound=(heard(30.0, "a"), heard(31.0, "b"), heard(31.0, "c")))
    assert (two.loudest.berth, two.level) == ("c", 31.0)
    assert replace(none, sound=()).level is None


def test_the_depth_that_stays_is_told_under_or_over_the_water():
    under = at("a").standing.stays
    assert (under.kind, under["depth"].value) == ("place.under_water", 0.3)
    over = at("a", standing={"depth_at_heel": -0.2}).standing.stays
    assert (over.kind, over["depth"].value) == ("place.over_water", 0.2)
    assert at("a", standing={"depth_at_heel": 0.0}).standing.stays.kind == "place.over_water"


def test_intakes_are_ranked_by_whether_a_pump_place_holds_with_them():
    shared, own = fact("place.petrol"), fact("place.above_electrics")

    def out(name, *reasons):
        return at(name, 20.0, intake="aft", standing={"other": reasons})

    rows = (
        out("p1", own, shared),
        out("p2", shared),
        at("p3", 31.0, intake="fore", standing={"intake_at_heel": 0.4}),
        at("p4", 33.0, NO, intake="fore"),
        at("p5", 34.0, intake=""),
    )
    fore, aft = intakes_in_order(rows)
    assert (fore.name, fore.holding, fore.offered, fore.best) == ("fore", 1, 2, "p3")
    assert (fore.level, fore.flow, fore.depth_at_heel, fore.reason) == (31.0, 1e-4, 0.4, None)
    assert (aft.name, aft.holding, aft.offered, aft.best) == ("aft", 0, 2, "")
    assert (aft.level, aft.flow, aft.reason) == (None, None, shared)
    (alone,) = intakes_in_order((out("p1", own), out("p2", shared)))
    assert alone.reason == own  # none is shared: the first


def test_structure_paths_shifted_up_and_down():
    assert sensitivity((at("a", 30.0, NO),), WIDTH) is None
    assert sensitivity((at("a", None), at("b", None)), WIDTH) is None
    quiet = at("a", sound=(replace(heard(0.0), structure=25.0).with_structure(0.0),))
    order = in_order([quiet, at("b", 31.0), at("c", 40.0)], WIDTH)
    found = sensitivity(order, WIDTH)
    assert (found.quieter, found.louder) == (("a", "b", "c"), ("b", "a", "c"))
    assert (found.alone, found.same_order, found.same_first) == ("b", False, False)
    levels = [float(level_sum(np.asarray([0.0, 25.0 + shift]))) for shift in (-10.0, 10.0)]
    assert found.levels == pytest.approx(levels) and found.shift == 10.0


def sure(quieter, louder, alone, order, first):
    return Sensitivity(
        shift=10.0,
        quieter=quieter,
        louder=louder,
        alone=alone,
        levels=(20.0, 40.0),
        same_order=order,
        same_first=first,
    )


@pytest.mark.parametrize(
    ("found", "kinds"),
    [
        (sure(("a", "b"), ("a", "b"), "a", True, True), ["order_stays", "stays_first_alone"]),
        (
            sure(("a", "b", "c"), ("a", "c", "b"), "b", False, True),
            ["first_stays", "falls_behind_alone"],
        ),
        (
            sure(("a", "b"), ("b", "a"), "b", False, False),
            ["first_is_unsure", "falls_behind_alone"],
        ),
        (sure(("a",), ("a",), "a", True, True), ["order_stays"]),
    ],
)
def test_how_steady_the_ranking_is(found, kinds):
    said = list(steadiness(found, "a"))
    assert [one.kind.removeprefix("place.") for one in said] == kinds
    assert (said[0]["low"].value, said[0]["high"].value, said[0]["shift"].value) == (20, 40, 10)
    if "first_is_unsure" in kinds:
        assert said[0]["others"] == ("b",)
    if "falls_behind_alone" in kinds:
        assert said[1]["other"] == "b"


def test_the_next_best_is_the_quietest_of_the_others_that_hold():
    rows = [at("a", 20.0), at("b", 30.0), at("c", 25.0, TIGHT), at("d", 26.0)]
    said = advice_for(in_order(rows, WIDTH), WIDTH).next_best
    assert (said.kind, said["other"], said["less"].value) == ("place.next_louder", "c", 5.0)
    assert advice_for(in_order(rows[:1], WIDTH), WIDTH).next_best.kind == "place.no_other"
    quiet = [at("a", None, hose=1.0), at("b", None, hose=2.0)]
    said = advice_for(in_order(quiet, WIDTH), WIDTH)
    assert (said.next_best.kind, said.next_best["other"]) == ("place.next", "b")
    assert said.place.kind == "place.here_unheard" and said.loudness == () and said.start is None
    tied = [at("a", 30.0, hose=1.0), at("b", 31.5, hose=2.0), at("c", 29.0, hose=3.0)]
    said = advice_for(in_order(tied, WIDTH), WIDTH).next_best
    assert (said["others"], said["count"], said["most"].value) == (("b", "c"), 2, 1.5)


def test_a_quieter_place_of_a_worse_grade_is_told_with_why():
    best, tight, out = at("a", 30.0), at("b", 20.0, TIGHT), at("c", 20.0, NO)
    said = advice_for(in_order([best, tight], WIDTH), WIDTH).quietest
    assert (said.kind, said["place"], said["less"].value) == ("place.quietest_is_tight", "b", 10.0)
    assert said["reason"] == tight.doubts[0] and said["told"] == "told"
    both = advice_for(in_order([best, tight, out], WIDTH), WIDTH).quietest
    assert both["place"] == "b"  # of two alike the one that holds
    assert advice_for(in_order([best, at("b", 31.0, TIGHT)], WIDTH), WIDTH).quietest is None
    assert advice_for(in_order([best, at("b", 20.0)], WIDTH), WIDTH).quietest is None


# ------------------------------------------------------------------------------------ what it costs


def supply(enough, drop=1.0, thicker=None):
    told = {"conductor_is_enough": enough, "voltage_drop": drop, "drop_share": 0.08}
    told |= {"cable_length": 9.0, "conductor_fitted": 1.5e-6, "conductor_metric": thicker}
    return made(SupplyResult, **told)


def test_a_cable_that_loses_too_much_is_remarked_with_the_one_that_is_due():
    due = SimpleNamespace(area=4e-6)
    (said,) = _thin(supply(False, thicker=due))
    assert (said.kind, said["least"].value) == ("place.cable_too_thin", 4e-6)
    values = [said[key].value for key in ("length", "area", "drop")]
    assert values == [9.0, 1.5e-6, 1.0] and said["share"] == 0.08
    assert [one.kind for one in _thin(supply(False))] == ["place.cable_too_long"]
    for other in (supply(True), supply(None), supply(False, None)):
        assert not list(_thin(other))


def test_the_longest_way_to_a_seacock_is_known_only_if_all_are():
    ways = (Reach("s", "c", 0.4), Reach("s", "d", 0.9), Reach("t", "c", 0.5))
    assert furthest(ways) == 0.9 and furthest(()) is None
    assert furthest((*ways, Reach("t", "d", None))) is None


def test_a_route_goes_along_across_and_up():
    points = [
        Place(aft=1.0, starboard=0.5, height=-0.5),
        Place(aft=3.0, height=-0.1),
        Place(starboard=-0.5, height=-0.4),
        Place(aft=2.5, starboard=-0.5),
    ]
    assert route_length(points, 1.2) == pytest.approx(1.2 * (2.0 + 0.4 + 1.0 + 0.3 + 0.5))
    assert route_length(points[:1], 1.2) == 0.0
    here = Place(aft=1.0, starboard=0.5, height=-0.5)
    assert is_same_spot(here, replace(here, aft=1.049)) and not is_same_spot(
        here, replace(here, aft=1.051)
    )
    assert not is_same_spot(here, replace(here, aft=None)) and not is_same_spot(None, here)


@pytest.mark.parametrize(
    ("bases", "kind"),
    [
        ({routes.GIVEN}, "cable_as_now_everywhere"),
        ({routes.GIVEN, routes.MEASURED}, "cable_as_now"),
        ({routes.UNKNOWN}, "cable_unknown"),
        ({routes.UNKNOWN, routes.MEASURED}, "cable_unknown"),
        ({routes.ROUTED}, "cable_from_panel"),
        ({routes.ROUTED, routes.MEASURED}, ""),
        ({routes.MEASURED}, ""),
    ],
)
def test_what_cables_rest_on(bases, kind):
    rows = tuple(at(basis, water={"cable_basis": basis}) for basis in sorted(bases))
    said = [one.kind.removeprefix("place.") for one in study._cost_notes(rows)]
    assert said == ([kind] if kind else [])
    stands = replace(rows[0], stands_now=True)
    (first, *_) = study._cost_notes((stands, *rows[1:]))
    assert (first.kind, first["place"]) == ("place.stands_here_now", stands.name)


def test_speeds_are_told_where_they_differ_and_somebody_hears_it():
    def speeds(*ratios, level=30.0):
        rows = [at(str(number), level, speed_ratio=one) for number, one in enumerate(ratios)]
        return study.speeds_of(tuple(rows))

    assert speeds(1.0, 0.9981) is None and speeds(1.0, 0.9, level=None) is None
    said = speeds(0.95, 1.0, 0.97)
    told = [(one["place"], one["share"]) for one in said["places"]]
    assert told == [("0", 0.95), ("1", 1.0), ("2", 0.97)]


def test_pumps_together_are_their_powers_added():
    def pump(name, *levels, held=True):
        sound = tuple(
            heard(level, berth, 4.0 + level / 10.0)
            for level, berth in zip(levels, ("fore", "aft"), strict=True)
        )
        first = at("x", sound=sound, grade=YES if held else NO)
        return SimpleNamespace(pump=name, is_met=held, places=(first,))

    fore, aft = study._together([pump("p", 30.0, 20.0), pump("q", 30.0, 35.0)])
    assert (fore.berth, fore.loudest, aft.loudest) == ("fore", "q", "q")
    assert fore.level == pytest.approx(33.0103) and aft.half_width == 7.5
    assert study._together([pump("p", 30.0, 20.0)]) == ()
    assert study._together([pump("p", 30.0, 20.0), pump("q", 30.0, 35.0, held=False)]) == ()


def test_first_on_how_many_boats_drawn():
    rows = (at("a", 30.0), at("b", 33.0), at("c", 20.0, NO))
    levels = np.asarray(
        [[30.0, 33.0, 0.0], [30.0, 27.1, 0.0], [30.0, 26.9, 0.0], [30.0, 20.0, 0.0]]
    )
    (said,) = boats.stays_first(rows, levels, WIDTH)
    assert said["boats"] == 2
    assert boats.stays_first(rows, None, WIDTH) == ()
    assert boats.stays_first((rows[0], rows[2]), levels, WIDTH) == ()
    wide = boats._wider(rows[0], np.asarray([[28.0], [32.0], [28.0], [32.0]]))
    assert wide.sound[0].half_width == pytest.approx(np.hypot(5.0, 1.645 * 2.0))


def test_what_is_mostly_low_is_known_less_well_and_ways_are_weighed_apart():
    low, high = np.full(7, -50.0), np.full(7, -50.0)
    low[0], high[4] = 80.0, 40.0
    boomy, clear = _sound_at("a", low, high), _sound_at("a", high, high)
    assert boomy.half_width > clear.half_width
    assert boomy.structure == pytest.approx(clear.airborne)
    assert boomy.bands[0] == pytest.approx(80.0) and boomy.bands[4] == pytest.approx(40.0)
    assert not boomy.is_structure_borne and _sound_at("a", high, low).is_structure_borne
    assert level_sum(np.asarray([boomy.airborne, boomy.structure])) == pytest.approx(boomy.level)


def test_each_place_of_the_ketch_is_offered_with_each_intake():
    case = shipped(KETCH)
    pump = case.pump[0].name
    assert len(routes.places_offered(case, pump)) == len(case.pump_place)
    assert routes.places_offered(case, "another") == ()
    for one, other in pairwise(routes.places_offered(case, pump)):
        assert one.name != other.name and one.intake is None and one.intake_stays
    assert rank.SHIFT == 10.0
