"""Whole boats drawn from what is typical: what the pump must keep, in how many of them."""

from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from typical_marks import known, marked

from seaflow.base.facts import fact
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.paths import value_at, with_values
from seaflow.model.build import build_loop
from seaflow.present.card import typical_told
from seaflow.present.faces import faces_of
from seaflow.present.quantities import Show
from seaflow.present.size.tables import reason_lines
from seaflow.studies.balance.study import balance
from seaflow.studies.design.boats import N_BOATS, drawn_boats, held_by, leaves_one_of, n_boats
from seaflow.studies.design.certainty.by_path import drawn_case, drawn_values
from seaflow.studies.design.certainty.sample import Dominant
from seaflow.studies.design.judge import GRADES, NO, Judgement, Ruling
from seaflow.studies.design.likelihood import Certainty
from seaflow.studies.design.which_pump import asked_of
from seaflow.studies.diagnose.simulate import Setup
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.place.rooms import area_of, without_partition
from seaflow.studies.place.study import place
from seaflow.studies.size.size import size

CASES = Path(__file__).parents[2] / "cases"
PUMP = "demo-mag-medium-230"  # does not prime itself
HEIGHT = ("pump", 0, "at", "height")


@pytest.fixture(scope="module")
def shallow():
    """The ketch with one pump to consider, upright, of whose height little is known."""
    case = load_case(str(CASES / "ketch-one-unit.toml")).case
    case = replace(
        case,
        boat=replace(case.boat, works_to_heel=None),
        design=replace(case.design, pumps=(PUMP,), permitted_rise=9.0),
    )
    return replace(case, spreads={HEIGHT: 0.6}, typical=frozenset({HEIGHT}))


def test_values_are_drawn_evenly_between_their_ends(shallow):
    drawn = drawn_values(shallow, 400, seed=1)[HEIGHT]
    assert np.mean(np.abs(drawn + 0.42) <= 0.6) == pytest.approx(0.9, abs=0.005)
    assert np.mean(drawn) == pytest.approx(-0.42, abs=0.01)
    assert np.std(drawn) == pytest.approx(0.6 / 0.9 / np.sqrt(3.0), rel=0.01)


def test_one_boat_is_the_case_with_the_values_drawn(shallow):
    drawn = drawn_values(shallow, 8, seed=1)
    assert value_at(drawn_case(shallow, drawn, 5), HEIGHT) == drawn[HEIGHT][5]
    assert value_at(shallow, HEIGHT) == -0.42


def test_the_pump_is_held_back_where_it_lies_above_the_water(shallow):
    part = shallow.catalogue.pump(PUMP)
    (loop,) = network.loops(shallow)
    boats = drawn_boats(shallow, loop.name, part, seed=20)
    above = boats.values[HEIGHT] > 0.0
    assert 2 <= above.sum() <= N_BOATS // 3
    assert np.all(boats.held_back[above])
    kinds = {one.said.kind for one, up in zip(boats.rulings, above, strict=True) if up}
    assert kinds == {"start.pump_above_water"}


@pytest.mark.parametrize(
    ("height", "reach", "grade"),
    [(-0.42, 0.05, "yes"), (-0.42, 0.6, "tight"), (0.3, 0.6, "no")],
)
def test_a_few_boats_rule_out_the_grades_that_all_of_them_do(shallow, height, reach, grade):
    case = with_values(replace(shallow, spreads={HEIGHT: reach}), {HEIGHT: height})
    part, (loop,) = case.catalogue.pump(PUMP), network.loops(case)
    boats = drawn_boats(case, loop.name, part, seed=20)
    assert held_by(Judgement((), ()), boats).grade == grade
    for number in range(1, len(GRADES) + 1):
        left = leaves_one_of(GRADES[:number], case, loop.name, part, seed=20)
        assert left == (grade in GRADES[:number])


def test_what_too_many_boats_hold_against_a_pump_makes_it_tight_and_is_to_be_found_out(shallow):
    (loop,) = size(shallow).loops
    ruling = loop.chosen.judgement.deciding
    assert (loop.grade, ruling.said.kind) == ("tight", "design.in_such_boats")
    assert loop.certainty.find_out[0].path == ("pump", "1", "at", "height")
    (sure,) = size(known(shallow, HEIGHT)).loops
    assert sure.grade == "yes"


def test_a_yes_that_no_drawn_boat_was_asked_is_told_as_that(shallow):
    case = replace(shallow, design=replace(shallow.design, pumps=()))
    (loop,) = size(case).loops
    tried = [one for one in loop.pumps if one.judgement.drawn_boats]
    assert tried and {one.judgement.drawn_boats for one in tried} == {N_BOATS}

    def told(**judged):
        first, *rest = loop.pumps
        other = replace(rest[0], judgement=replace(Judgement((), ()), **judged))
        lines = reason_lines(replace(loop, pumps=(first, other)), Show())
        return any(f"{N_BOATS} boats" in line for line in lines)

    assert told() and not told(drawn_boats=N_BOATS)
    assert not told(rulings=(Ruling(NO, fact("design.not_continuous")),))


def test_every_command_judges_the_same_boats(shallow):
    (loop,) = size(shallow).loops
    (found,) = network.loops(shallow)
    assert asked_of(shallow, found).result.judgement == loop.chosen.judgement


def test_a_pump_that_primes_itself_comes_before_one_that_may_lie_too_high(shallow):
    free = replace(shallow, design=replace(shallow.design, pumps=(PUMP, "demo-self-priming-230")))
    (loop,) = size(free).loops
    assert loop.chosen.part.self_priming


@pytest.mark.parametrize("command", ["balance", "energy", "place"])
def test_other_answers_name_the_same_to_find_out_next(shallow, command):
    ask = import_module(f"seaflow.studies.{command}.study")
    answer = getattr(ask, command)(shallow)
    faces = faces_of(command, shallow)
    (said,) = [one.says for one in faces.card(answer, Show()).blocks if one.label == "Find out"]
    assert said[0].startswith("Height of the pump above the waterline: ")
    data = faces.data(answer)
    row = data["pumps"][0]["places"][0] if command == "place" else data["loops"][0]
    assert row["find_out"][0]["path"] == ["pump", "1", "at", "height"]
    sure = faces.card(getattr(ask, command)(known(shallow, HEIGHT)), Show())
    assert "Find out" not in [one.label for one in sure.blocks]


def test_a_diagnosis_draws_typical_plans_but_meets_the_sea_it_is_told(shallow):
    case = replace(
        shallow,
        spreads={HEIGHT: 0.6, ("hose", 2, "bore"): 0.003, ("sea", "warmest"): 2.0},
        typical=frozenset({HEIGHT, ("hose", 2, "bore"), ("sea", "warmest")}),
    )
    (found,) = network.loops(case)
    part = case.catalogue.pump(PUMP)
    built = build_loop(case, found, {place.name: part for place in found.pumps})
    setup = Setup(case, built, found.pumps[0], part, (), fact("design.pump_fitted"))
    paths = {one.path for one in setup.inputs} - {None}
    assert paths == {HEIGHT, ("hose", 2, "bore")}


@pytest.fixture(scope="module")
def typical_rooms():
    """The ketch of which rooms and what parts them are only typical."""
    return marked(
        load_case(str(CASES / "ketch-one-unit.toml")).case, "compartment", "partition", "pump_place"
    )


def test_rooms_of_a_drawn_boat_meet_as_they_did(typical_rooms):
    values = drawn_values(typical_rooms, 6, seed=2)
    rooms_now = {room.name: room for room in typical_rooms.compartment}
    was = {frozenset(pair) for pair in without_partition(typical_rooms)}
    for boat in range(6):
        case = drawn_case(typical_rooms, values, boat)
        rooms = {room.name: room for room in case.compartment}
        areas = [area_of(wall, rooms) for wall in case.partition]
        assert min(areas) > 0.0
        assert areas != [area_of(wall, rooms_now) for wall in typical_rooms.partition]
        assert {frozenset(pair) for pair in without_partition(case)} == was


def test_a_wall_that_is_known_stays_and_the_rooms_beside_it_still_meet(typical_rooms):
    """Drawn on one side of a wall alone, two rooms parted, and no sound went through nothing."""
    paths = [path for path in typical_rooms.spreads if path[0] == "compartment"]
    for kept in (paths[::2], paths[1::3]):
        case = known(typical_rooms, *kept)
        values = drawn_values(case, 64, seed=2)
        assert not set(kept) & set(values)
        for boat in range(64):
            rooms = {room.name: room for room in drawn_case(case, values, boat).compartment}
            assert min(area_of(wall, rooms) for wall in case.partition) > 0.0


def test_a_place_on_typical_rooms_is_heard_in_a_wider_band(typical_rooms):
    all_known = known(typical_rooms, *typical_rooms.typical)
    sure, typical = (place(case).pumps[0] for case in (all_known, typical_rooms))
    assert [one.name for one in typical.places] == [one.name for one in sure.places]
    for wide, narrow in zip(typical.places[0].sound, sure.places[0].sound, strict=True):
        assert wide.level == narrow.level
        assert wide.half_width > narrow.half_width
    said = typical.advice.how_sure[0]
    assert said.kind == "place.on_drawn_boats" and 0 <= said["boats"] <= said["of"] == N_BOATS
    assert sure.advice.how_sure[0].kind != said.kind


def test_a_day_on_boats_of_typical_loads_lies_in_a_wider_band(shallow):
    loads = {("duty", row, "load"): 0.5 * duty.load for row, duty in enumerate(shallow.duty)}
    case = replace(shallow, spreads=loads)
    wide, narrow = (energy(one).loops[0] for one in (case, shallow))
    assert wide.band[1] - wide.band[0] > 1.1 * (narrow.band[1] - narrow.band[0])
    assert narrow.band[0] < narrow.day.total < narrow.band[1]


def test_heating_is_held_back_on_the_boats_on_which_the_pump_does_not_start(shallow):
    (loop,) = heating(shallow).loops
    assert loop.judgement.of(("design.in_such_boats",)) is not None
    (sure,) = heating(known(shallow, HEIGHT)).loops
    assert sure.judgement.of(("design.in_such_boats",)) is None


def test_balance_says_on_how_many_days_of_such_boats_no_branch_falls_short(shallow):
    (loop,) = balance(shallow).loops
    assert 0.9 < loop.on_days["share"] <= 1.0
    hungry = replace(shallow, design=replace(shallow.design, permitted_rise=3.0))
    assert balance(hungry).loops[0].on_days["share"] < 0.1
    assert balance(known(shallow, HEIGHT)).loops[0].on_days["share"] > 0.9


def test_fewer_boats_are_drawn_of_one_with_many_units_and_places():
    def drawn(units, places, intakes=0):
        counts = {"unit": units, "pump_place": places, "intake_place": intakes}
        return n_boats(SimpleNamespace(**{name: (None,) * count for name, count in counts.items()}))

    assert drawn(1, 24) == drawn(2, 24) == drawn(3, 12) == drawn(6, 4) == drawn(12, 0) == N_BOATS
    assert drawn(3, 24) == drawn(3, 12, 2) == drawn(15, 0) == 16
    assert drawn(6, 24) == drawn(12, 6) == drawn(16, 0) == 8


def test_what_moves_the_flow_most_is_named_though_no_typical_value_would_tell_much():
    def told(*explains, find_out=()):
        inputs = tuple(
            Dominant(label=f"input {n}", source="", measure="", explains=share)
            for n, share in enumerate(explains)
        )
        season = fact("design.no_measurement_decides")
        many = {"typical": (None, None), "find_out": find_out, "dominant": inputs}
        return typical_told(Certainty(512, 20, season, season, 20.0, 30.0, **many))

    said = told(0.7, 0.1)
    assert said.kind == "design.typical_but_one_leads"
    assert (said["input"], said["share"], said["values"]) == ("input 0", 0.7, 2)
    assert [told(*some).kind for some in ((0.1, 0.05), ())] == ["design.typical_is_enough"] * 2
    assert told(0.7, find_out=(None,)).kind == "design.typical_values"
