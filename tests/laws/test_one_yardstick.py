"""Commands never contradict each other: random boats, the same start, the same grade.

The boats are shipped ones with heights, hoses and pumps drawn anew; seeds are fixed.
"""

import json
import random
from dataclasses import replace
from functools import cache

import pytest
from click.testing import CliRunner
from sizing import BAD, CATAMARAN, KETCH, SLOOP, edited, shipped, text_of, written

from seaflow.boat import network
from seaflow.cli.common import EXITS
from seaflow.cli.main import main
from seaflow.model.first_start import NO as NO_START
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.judge import GRADES, NO
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.improve.study import improve
from seaflow.studies.place.routes import placed, places_offered
from seaflow.studies.place.study import place
from seaflow.studies.size.size import size
from seaflow.studies.survey.findings import survey

SAMPLES = (32, 20)
BOATS = [(name, seed) for name in (KETCH, SLOOP, CATAMARAN, BAD) for seed in range(6)]
# Of a start, by what it says: kinds of facts of energy, heating and baseline.
SAID = {
    "starts": "start.as_it_is",
    "primes itself": "start.primes",
    "after bleeding": "start.bleed",
    "not known": "start.not_known",
    "no": "start.will_not",
}


def moved(thing, by):
    """A thing higher by some metres."""
    if thing.at is not None:
        return replace(thing, at=replace(thing.at, height=thing.at.height + by))
    return thing if thing.height is None else replace(thing, height=thing.height + by)


@cache
def boat(name, seed):
    """A shipped boat, varied."""
    case, rng = shipped(name), random.Random(f"{name} {seed}")
    rise = rng.choice((-0.2, 0.0, 0.0, 0.15, 0.45, 0.8))
    narrow = rng.choice((0.75, 1.0, 1.0, 1.25))
    longer = rng.choice((1.0, 1.0, 2.0, 4.0))
    catalogue = [part.name for part in case.catalogue.pumps() if fits_as(case, part)]
    fitted = rng.choice((None, *catalogue))
    return replace(
        case,
        pump=tuple(
            replace(moved(pump, rise), fitted=pump.fitted if fitted is None else fitted)
            for pump in case.pump
        ),
        strainer=tuple(moved(item, rng.choice((0.0, 0.0, 0.5))) for item in case.strainer),
        outlet=tuple(moved(item, rng.choice((0.0, 0.3, 1.5))) for item in case.outlet),
        hose=tuple(
            replace(hose, bore=hose.bore * narrow, length=hose.length * longer)
            for hose in case.hose
        ),
    )


def fits_as(case, part):
    return part.current == case.supply.current and part.voltage == case.supply.voltage


@cache
def sized_boat(name, seed):
    return size(boat(name, seed), *SAMPLES)


def fitted_of(loop):
    return next((item for item in loop.pumps if item.fitted), None)


def starts_of(name, seed):
    """Of every loop the start of its fitted pump, as size has it."""
    found = ((loop.name, fitted_of(loop)) for loop in sized_boat(name, seed).loops)
    return {loop: item.start for loop, item in found if item is not None}


@pytest.mark.parametrize(("name", "seed"), BOATS)
def test_the_first_start_is_the_same_for_size_energy_heating_and_baseline(name, seed):
    case, starts = boat(name, seed), starts_of(name, seed)
    for loop in energy(case).loops:
        assert loop.start == starts[loop.name]
        assert loop.starts[0].kind == SAID[loop.start.outcome]
        if loop.start.outcome == NO_START:
            assert loop.grade == NO
    if any(unit.heating for unit in case.unit):
        for loop in heating(case).loops:
            assert loop.start.outcome == starts[loop.name].outcome
            if loop.start.outcome == NO_START:
                assert loop.grade == NO
    for loop, start in starts.items():
        setup = setup_of(case, _network(case, loop), "cooling")
        sheet = baseline(setup, Readings())
        assert sheet.first_fill[0].kind == SAID[start.outcome]
        bled = [fact["thing"] for fact in sheet.first_fill if fact.kind == "baseline.bleed"]
        assert bled == list(start.bleed_at)


def _network(case, name):
    return next(found for found in network.loops(case) if found.name == name)


@pytest.mark.parametrize(("name", "seed"), BOATS[::2])
def test_improve_grades_the_boat_as_it_is_as_size_does_and_takes_no_worse(name, seed):
    sizes = {loop.name: fitted_of(loop) for loop in sized_boat(name, seed).loops}
    answer = improve(boat(name, seed), sampling=SAMPLES)
    for loop in answer.loops:
        mine = sizes[loop.name].judgement
        assert (loop.now.grade, loop.now.reasons) == (mine.grade, mine.reasons)
        best = min(GRADES.index(item.grade) for item in (*loop.front, loop.now))
        assert GRADES.index(loop.winner.grade) == best
        # size and improve try the same pumps: where size has a yes, so has improve
        tried = {item.part.name: item for item in sized_loop(name, seed, loop.name).pumps}
        assert GRADES.index(loop.winner.grade) <= GRADES.index(tried[loop.now.pump].judgement.grade)


def sized_loop(name, seed, loop):
    return next(item for item in sized_boat(name, seed).loops if item.name == loop)


@pytest.mark.parametrize("seed", range(6))
def test_place_calls_no_place_fine_in_which_size_says_no(seed):
    case = boat(KETCH, seed)
    for pump in place(case).pumps:
        offered = {item.name: item for item in places_offered(case, pump.pump)}
        for result in pump.places[:2]:
            here = size(placed(case, offered[result.name]), 0)
            tried = {item.part.name: item for loop in here.loops for item in loop.pumps}
            if tried[pump.part.name].judgement.grade == NO:
                assert result.grade == NO


@pytest.mark.parametrize(("name", "seed"), BOATS)
def test_the_survey_passes_no_boat_that_does_not_start(name, seed):
    starts = starts_of(name, seed)
    if any(start.outcome == NO_START for start in starts.values()):
        assert not survey(boat(name, seed)).is_fit


@pytest.mark.parametrize("rise", ["-0.42", "0.10"])
@pytest.mark.parametrize("command", ["size", "improve", "energy", "heating", "place"])
def test_exit_codes_follow_the_grade(tmp_path, command, rise):
    old = 'height = "-0.42 m" }\nfitted'
    file = written(tmp_path, edited(text_of(KETCH), (old, old.replace("-0.42", rise))))
    samples = ["--samples", "32"] if command in ("size", "improve") else []
    run = CliRunner().invoke(main, [command, str(file), "--json", *samples])
    assert run.exit_code == EXITS[json.loads(run.output)["grade"]]


def test_the_boats_show_every_grade_and_every_start():
    """Else nothing above could fail."""
    found = [fitted_of(loop) for boat_ in BOATS for loop in sized_boat(*boat_).loops]
    fitted = [item for item in found if item is not None]
    assert {item.judgement.grade for item in fitted} == set(GRADES)
    assert {item.start.outcome for item in fitted} >= set(SAID) - {"not known"}
