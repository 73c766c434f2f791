"""A loop whose units are all off is at rest: it is not judged, and the others are as ever."""

from dataclasses import replace

import pytest
from placing import two_pumps
from sizing import CATAMARAN, MOTOR, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.studies.balance.study import balance
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.energy.fleet import energy_rows
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.improve.fleet import improve_rows
from seaflow.studies.improve.study import improve
from seaflow.studies.page.study import boat_page, owners_boats, owners_setups
from seaflow.studies.place.study import place
from seaflow.studies.size.fleet import size_rows
from seaflow.studies.size.size import size

FEW = (64, 20)  # simulated days, and their seed
HEATS = 'heating = { capacity = "9000 BTU/h", input_power = "0.9 kW" }\ncooling = '
HULLS = ("port hull", "starboard hull")
ASKED = {
    "balance": balance,
    "energy": energy,
    "heating": heating,
    "improve": lambda case: improve(case, sampling=(16, 20)),
    "size": lambda case: size(case, *FEW),
}


def two_loops(tmp_path):
    """The shipped catamaran, whose units heat as well."""
    return load_text(tmp_path, text_of(CATAMARAN).replace("cooling = ", HEATS))


def switched_off(case, *loops):
    """The case with every unit of these loops switched off."""
    off = {unit.name for one in network.loops(case) if one.name in loops for unit in one.units}
    units = tuple(replace(one, switched_on=one.name not in off) for one in case.unit)
    return replace(case, unit=units)


def code_of(ask):
    with pytest.raises(SeaflowError) as refused:
        ask()
    (problem,) = refused.value.problems
    return problem.code


@pytest.mark.parametrize("off", HULLS)
@pytest.mark.parametrize("name", ASKED)
def test_a_loop_at_rest_is_told_and_the_other_judged_as_if_it_ran(tmp_path, name, off):
    case, ask = two_loops(tmp_path), ASKED[name]
    plain, answer = ask(case), ask(switched_off(case, off))
    assert [one.name for one in plain.loops] == list(HULLS) and plain.at_rest == ()
    (loop,) = answer.loops
    assert loop == next(one for one in plain.loops if one.name != off)
    assert answer.grade == (loop.winner.grade if name == "improve" else loop.grade)
    assert [(one.kind, one["loop"]) for one in answer.at_rest] == [("design.at_rest", off)]


@pytest.mark.parametrize("off", HULLS)
def test_no_place_is_sought_for_the_pump_of_a_loop_at_rest(tmp_path, off):
    case = load_text(tmp_path, two_pumps())
    answer = place(switched_off(case, off))
    plain = {one.pump: one for one in place(case).pumps}
    (pump,) = (loop.pumps[0].name for loop in network.loops(case) if loop.name != off)
    assert [one.pump for one in answer.pumps] == [pump]
    assert answer.pumps[0].places == plain[pump].places
    assert [one["loop"] for one in answer.at_rest] == [off]


def test_places_for_no_pump_but_that_of_a_loop_at_rest_are_refused_on_a_line(tmp_path):
    cooling = 'cooling = "9000 BTU/h"'
    text = edited(two_pumps(), (cooling, f"switched_on = false\n{cooling}"))
    case = load_text(tmp_path, text)
    offered = tuple(one for one in case.pump_place if one.pump == "starboard pump")
    with pytest.raises(SeaflowError) as refused:
        place(replace(case, pump_place=offered))
    (problem,) = refused.value.problems
    assert problem.code == "M04" and "switched_on" in text.splitlines()[problem.line - 1]


@pytest.mark.parametrize("off", HULLS)
def test_readings_are_foretold_of_loops_alone_in_which_a_unit_is_on(tmp_path, off):
    case = switched_off(two_loops(tmp_path), off)
    for loop in network.loops(case):
        if loop.name == off:
            assert code_of(lambda loop=loop: setup_of(case, loop)) == "M04"
        else:
            assert setup_of(case, loop).built.network.name == loop.name
    assert [setup.built.network.name for setup in owners_setups(case)] == [
        name for name in HULLS if name != off
    ]


@pytest.mark.parametrize("name", [CATAMARAN, MOTOR])
def test_with_every_unit_off_there_are_no_readings_to_foretell(name):
    case = shipped(name)
    off = switched_off(case, *(loop.name for loop in network.loops(case)))
    for loop in network.loops(off):
        assert code_of(lambda loop=loop: setup_of(off, loop)) == "M04"
    assert code_of(lambda: owners_boats(off)) == code_of(lambda: boat_page(off, FEW)) == "M04"


def test_units_that_heat_in_a_loop_at_rest_alone_are_told_as_that(tmp_path):
    cooling = 'cooling = "9000 BTU/h"'
    text = edited(text_of(CATAMARAN), (cooling, f"{HEATS}{cooling.partition(' = ')[2]}"))
    case = load_text(tmp_path, text)
    assert [one.name for one in heating(switched_off(case, HULLS[0])).loops] == [HULLS[1]]
    assert code_of(lambda: heating(switched_off(case, HULLS[1]))) == "M04"


@pytest.mark.parametrize("off", HULLS)
def test_page_and_summary_hold_the_loop_in_use(tmp_path, off):
    case = switched_off(two_loops(tmp_path), off)
    (name,) = (one for one in HULLS if one != off)
    page = boat_page(case, FEW)
    asked = page.asked
    assert [one.loop for one in asked.curves] == [one.loop for one in asked.materials] == [name]
    assert [one.name for one in page.runs] == [one.loop for one in asked.first_start] == [name]
    assert page.grade == asked.size.loops[0].grade
    for kept in (
        size_rows("boat.toml", case, FEW),
        energy_rows("boat.toml", case),
        improve_rows("boat.toml", case, (16, 20)),
    ):
        in_use, at_rest = kept.rows
        assert (in_use.loop, in_use.problem, kept.grade) == (name, None, in_use.grade)
        assert (at_rest.loop, at_rest.problem.kind, at_rest.grade) == (off, "design.at_rest", "")
        assert (at_rest.file, at_rest.boat) == (in_use.file, in_use.boat)
