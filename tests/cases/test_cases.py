"""Every shipped boat loads from anywhere, can be built, and runs to an ending that has a name."""

import shutil
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from by_model import build_loops

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, ENDINGS, FLOWING, NOT_SETTLED

FOLDER = Path(__file__).parents[2] / "cases"
NAMES = sorted(path.name for path in FOLDER.glob("*.toml"))
BAD = "badly-arranged.toml"
GOOD = [name for name in NAMES if name != BAD]
LEAST_RISE, MOST_RISE = 4.0, 8.0  # K: what designers aim at, 5 to 7 K, with 1 K to either side


@cache
def loaded(name):
    return load_case(str(FOLDER / name))


def matching(supply):
    """The pumps of the table that run on a supply."""
    wanted = (supply.current, supply.voltage, supply.frequency)
    return [
        pump
        for pump in Catalogue().pumps()
        if (pump.current, pump.voltage, pump.frequency) == wanted
    ]


def run(case, pumps, **conditions):
    """The operating point of every loop at the warmest sea, pumps by name of place."""
    now = Conditions(sea_temperature=case.sea.warmest, salinity=case.sea.salinity, **conditions)
    return [operate(built.loop, now) for built in build_loops(case, pumps)]


def fitted(case):
    return {place.name: Catalogue().pump(place.fitted) for place in case.pump}


def everywhere(case, pump):
    return {place.name: pump for place in case.pump}


def test_there_are_cases_and_each_says_that_it_is_invented():
    assert BAD in NAMES
    assert len(GOOD) >= 4
    for name in NAMES:
        head = (FOLDER / name).read_text(encoding="utf-8").split("schema = ")[0]
        assert "INVENTED" in head, name


@pytest.mark.parametrize("name", NAMES)
def test_loads_from_a_copy_elsewhere(name, tmp_path, monkeypatch):
    shutil.copy(FOLDER / name, tmp_path / "boat.toml")
    monkeypatch.chdir(tmp_path)
    case = load_case("boat.toml").case
    assert case.boat.name == loaded(name).case.boat.name
    assert build_loops(case, fitted(case))


@pytest.mark.parametrize("name", GOOD)
def test_good_cases_have_no_warnings(name):
    assert loaded(name).warnings == ()


def test_the_bad_case_is_remarked_on_where_it_is_bad():
    warnings = loaded(BAD).warnings
    assert [problem.code for problem in warnings] == ["S25"]
    text = (FOLDER / BAD).read_text(encoding="utf-8").splitlines()
    assert "narrower than the pump's port" in text[warnings[0].line - 1]


@pytest.mark.parametrize("name", NAMES)
def test_every_matching_pump_runs_to_a_stated_ending(name):
    case = loaded(name).case
    pumps = matching(case.supply)
    assert pumps
    for pump in pumps:
        for point in run(case, everywhere(case, pump)):
            assert point.words() in ENDINGS
            assert point.ending[0] != NOT_SETTLED
            assert np.all(point.flow >= 0)


@pytest.mark.parametrize("name", GOOD)
def test_the_fitted_pump_suits_a_good_case(name):
    case = loaded(name).case
    for point in run(case, fitted(case)):
        assert point.ending[0] == FLOWING
        for unit in point.units.values():
            assert unit.state[0] == COOLING
            assert LEAST_RISE < unit.temperature_rise[0] < MOST_RISE


@pytest.mark.parametrize("name", GOOD)
def test_a_good_case_flows_on_either_tack(name):
    case = loaded(name).case
    heel = np.array([-case.boat.works_to_heel, 0.0, case.boat.works_to_heel])
    for point in run(case, fitted(case), heel=heel):
        assert np.all(point.ending == FLOWING)


def test_the_bad_case_does_not_guess_what_it_does_not_record():
    case = loaded(BAD).case
    with pytest.raises(SeaflowError) as caught:
        run(case, fitted(case), heel=0.1)
    assert [problem.code for problem in caught.value.problems] == ["M01"]
    assert "saloon unit" in caught.value.problems[0].what


def test_the_bad_case_runs_too_warm_with_its_pump_and_warms_the_second_unit_twice():
    case = loaded(BAD).case
    (point,) = run(case, fitted(case))
    assert point.ending[0] == FLOWING
    first, second = point.units["saloon unit"], point.units["fore cabin unit"]
    assert first.temperature_rise[0] > MOST_RISE
    assert second.inlet_temperature[0] == first.outlet_temperature[0]


def test_loops_that_share_nothing_stay_apart():
    case = loaded("catamaran-two-loops.toml").case
    built = build_loops(case, fitted(case))
    assert [item.loop.name for item in built] == ["port hull", "starboard hull"]
    assert not set(built[0].network.things) & set(built[1].network.things)
