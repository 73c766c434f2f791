"""Commands never contradict each other: random boats, the same start, the same grade.

The boats are shipped ones with heights, hoses and pumps drawn anew; seeds are fixed.
"""

import json
import random
from dataclasses import replace
from functools import cache

import pytest
from click.testing import CliRunner
from sizing import BAD, CATAMARAN, KETCH, NAMES, SLOOP, edited, shipped, text_of, written

from seaflow.boat import network
from seaflow.cli.common import EXITS
from seaflow.cli.main import main
from seaflow.model.first_start import NO as NO_START
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.judge import GRADES, NO, TIGHT
from seaflow.studies.design.kinds import FORCED, OF_RISE, SHORT_OF_WATER, STARVED
from seaflow.studies.design.start import reason_of
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.improve.study import improve
from seaflow.studies.place.rooms import with_usual_partitions
from seaflow.studies.place.routes import placed, places_offered
from seaflow.studies.place.study import place
from seaflow.studies.size.size import size
from seaflow.studies.survey.findings import survey

SAMPLES = (32, 20)
ROUNDING = 1e-6  # relative: energies of a day found by one, and beside others
BOATS = [(name, seed) for name in (KETCH, SLOOP, CATAMARAN, BAD) for seed in range(6)]
SHIPPED = [(name, None) for name in NAMES]
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
    """A shipped boat, varied; as shipped without a seed."""
    case, rng = shipped(name), random.Random(f"{name} {seed}")
    if seed is None:
        return case
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


@cache
def sized_on_days(name, seed):
    """As the commands are asked that draw the usual days."""
    return size(boat(name, seed))


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
        counted, mine = sizes[loop.name].energy_per_day, sizes[loop.name].judgement
        assert counted in (None, pytest.approx(loop.now.energy_per_day, rel=ROUNDING))
        assert (loop.now.grade, loop.now.reasons) == (mine.grade, mine.reasons)
        if loop.leave is not None:  # left on purpose: only an aim is missed, and by a little
            assert (loop.winner.changes, loop.winner.grade) == ((), TIGHT)
            continue
        best = min(GRADES.index(item.grade) for item in (*loop.front, loop.now))
        assert GRADES.index(loop.winner.grade) == best
        # size and improve try the same pumps: where size has a yes, so has improve
        tried = {item.part.name: item for item in sized_loop(name, seed, loop.name).pumps}
        assert GRADES.index(loop.winner.grade) <= GRADES.index(tried[loop.now.pump].judgement.grade)


def sized_loop(name, seed, loop):
    return next(item for item in sized_boat(name, seed).loops if item.name == loop)


# What the survey must find where size holds this against the pump aboard: its rules, by kind.
FOUND_BY = {
    "start.intake_out": {"intake-emerges", "intake-trimmed"},
    "start.pump_above_water": {"pump-not-below-water", "pump-trimmed"},
    "start.crest_above_water": {"suction-crest", "suction-crest-heeled"},
    "start.air_in_suction": {"suction-crest", "suction-crest-heeled"},
    "start.lift_too_great": {"pump-lift"},
    "start.too_high": {"starting-head"},
    "start.air_in_dips": {"starting-head"},
    "start.air_shut_in": {"starting-head"},
    **{kind: {"suction-vacuum"} for kind in STARVED},
    **{kind: {"flow-below-need"} for kind in SHORT_OF_WATER},
    **{kind: {"coil-velocity"} for kind in FORCED},
}
# What the survey asks for instead, where that is not recorded: a height, the rise permitted.
START_NOT_KNOWN = "design.start_not_known"
NOT_OF_A_BOAT = ("design.all_off", "design.not_continuous")  # switches, and the sheet of a pump


def assert_the_survey_finds(case, judgement):
    found, known = survey(case), {}
    for item in found.findings:
        known.setdefault(item.rule, set()).add(item.severity)
    for ruling in judgement.rulings:
        kind = reason_of(ruling.said).kind
        if kind in NOT_OF_A_BOAT:
            continue
        if kind == START_NOT_KNOWN:
            assert found.look_at
            continue
        if kind in OF_RISE and ("design", "permitted_rise") not in case.text.where:
            asked = {item.key for item in found.look_at}
            assert "permitted_rise" in asked or "flow-below-need" in known
            continue
        there = FOUND_BY[kind] & set(known)
        assert there, (kind, ruling.grade, sorted(known))
        if ruling.grade == NO:
            severities = set().union(*(known[rule] for rule in there))
            assert severities & {"major", "critical"}, (kind, there)
            assert not found.is_fit


@pytest.mark.parametrize(("name", "seed"), [*BOATS, *SHIPPED])
def test_the_survey_finds_what_size_holds_against_start_suction_and_flow(name, seed):
    case = boat(name, seed)
    for loop in sized_on_days(name, seed).loops:
        fitted = fitted_of(loop)
        if fitted is not None:
            assert_the_survey_finds(case, fitted.judgement)


def test_the_survey_finds_what_starves_a_pump_and_what_keeps_it_from_starting_on_a_tack():
    """Boats that the random ones may miss, each with the kind that it must show."""
    case, kinds = shipped(KETCH), set()
    for other in hard_boats(case):
        (loop,) = size(other).loops
        judgement = fitted_of(loop).judgement
        kinds |= {reason_of(item.said).kind for item in judgement.rulings}
        assert_the_survey_finds(other, judgement)
    assert kinds >= {"start.pump_above_water", "start.too_high", "start.lift_too_great"}
    assert kinds & set(STARVED) and kinds & set(FORCED) and kinds & set(SHORT_OF_WATER)


def hard_boats(case):
    """The ketch with a suction like a straw, her pump or unit too high, and one too strong."""
    before, after = case.hose[1], case.hose[2]
    pump = case.pump[0]
    for bore, length in ((0.010, 4.0), (0.008, 8.0), (0.006, 6.0)):
        straw = replace(before, bore=bore, length=length)
        yield replace(case, hose=(case.hose[0], straw, *case.hose[2:]))
    for side in (1.4, 1.6, 2.2):
        yield replace(case, pump=(replace(pump, at=replace(pump.at, starboard=side)),))
    for height in (0.6, 2.0, 4.0):
        lifted = replace(pump, at=replace(pump.at, height=height), fitted="demo-self-priming-230")
        yield replace(case, pump=(lifted,))
    for height in (1.0, 3.5, 5.0, 12.0):
        units = tuple(replace(u, at=replace(u.at, height=height)) for u in case.unit)
        yield replace(case, unit=units)
    strong = replace(pump, fitted="demo-pedestal-230")
    yield replace(
        case, pump=(strong,), hose=(*case.hose[:2], replace(after, bore=0.025), *case.hose[3:])
    )


@pytest.mark.parametrize(("name", "seed"), [*BOATS[1::3], *SHIPPED])
def test_energy_heating_improve_baseline_and_diagnose_hold_the_pump_to_what_size_holds_it_to(
    name, seed
):
    case = boat(name, seed)
    for loop in sized_on_days(name, seed).loops:
        mine = fitted_of(loop)
        if mine is None:
            continue
        (same,) = (item for item in energy(case).loops if item.name == loop.name)
        assert same.judgement == mine.judgement
        assert GRADES.index(same.grade) >= GRADES.index(mine.judgement.grade)
        better = loop.chosen is not mine and loop.chosen.judgement.recommended
        assert (same.rather is not None) == better
        assert same.rather is None or same.rather["pump"]["name"] == loop.chosen.part.name
        setup = setup_of(case, _network(case, loop.name), "cooling")
        assert baseline(setup, Readings()).judgement == mine.judgement
        assert setup.part.name == same.pump == mine.part.name
        if mine.energy_per_day is not None:
            at_best_speed = pytest.approx(mine.energy_per_day, rel=ROUNDING)
            assert same.adjustable or same.day.total == at_best_speed
        if any(unit.heating for unit in case.unit):
            (cold,) = (item for item in heating(case).loops if item.name == loop.name)
            held = {item.said: item.grade for item in mine.judgement.rulings}
            for ruling in cold.judgement.rulings:
                if ruling.said.kind.startswith(("start.", "design.start")):
                    assert held[ruling.said] == ruling.grade


@pytest.mark.parametrize("seed", range(6))
def test_a_place_is_graded_as_size_grades_the_boat_with_the_pump_there(seed):
    case = boat(KETCH, seed)
    for pump in place(case).pumps:
        offered = {item.name: item for item in places_offered(case, pump.pump)}
        result = pump.places[seed % len(pump.places)]
        (loop,) = size(placed(with_usual_partitions(case), offered[result.name])).loops
        (there,) = (item for item in loop.pumps if item.part.name == pump.part.name)
        assert result.water.rulings == there.judgement.rulings
        if there.energy_per_day is not None:
            counted = pytest.approx(there.energy_per_day, rel=ROUNDING)
            assert result.water.energy_per_day == counted
        assert result.grade == NO or not result.standing.other


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
