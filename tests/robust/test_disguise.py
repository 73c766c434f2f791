"""The same boat in disguise gets the same answer, to rounding, from every command.

Told with other names, in another order and in other units; with a hose in two of half length; known
or only half known; with its defaults written out.
`tests/proof/disguises.py` asks the same of many more boats.
"""

import random
from pathlib import Path

import pytest
from boats import boats
from click.testing import CliRunner
from disguise import (
    COMMANDS,
    ROUNDING,
    asked,
    can_be_split,
    differences,
    half_known,
    in_two_pieces,
    read,
    same_in_two_pieces,
    same_told_otherwise,
    with_barbs,
    with_defaults,
    without,
)
from hypothesis import HealthCheck, Phase, given, settings

from seaflow.cli.main import main

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))

SHORE = ("--supply", "230 V 50 Hz")
DEFAULTS = ("assumptions", "source", "look_at", "certainty", "likelihood", "dominant")
DEFAULTS += ("materials",)  # asks for what is left open


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """One for all, so that what is asked again about a boat is answered at once."""
    return tmp_path_factory.mktemp("disguise")


@pytest.mark.parametrize("told", [same_told_otherwise, same_in_two_pieces])
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_shipped_boat(folder, path, told):
    assert list(told(folder, read(path), random.Random(4))) == []


@pytest.fixture(scope="module")
def told_in_few_words(folder):
    """A boat of which nearly all is typical, with two units alike that heat too."""
    file = folder / "few-words.toml"
    said = ("--boat", "40 ft ketch", "--unit", "2 x 9000 BTU/h reverse cycle")
    done = CliRunner().invoke(main, ["new", str(file), *said, "--sea", "30 degC", *SHORE])
    assert done.exit_code == 0, done.output
    return read(file)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_boat_told_in_few_words(folder, told_in_few_words, command):
    """What is typical of it is drawn alike, whatever it is called and wherever it stands."""
    assert "typical" in str(told_in_few_words)
    told = same_told_otherwise(folder, told_in_few_words, random.Random(7), (command,))
    assert list(told) == []


def test_a_shipped_boat_of_which_half_is_unsure(folder):
    raw = half_known(read(CASES[0]), random.Random(3))
    told = same_told_otherwise(folder, raw, random.Random(5), ("size", "energy", "place"))
    assert list(told) == []


def test_a_half_known_boat_with_a_hose_in_two_pieces(folder):
    """What is drawn of things behind the joint is what is drawn of them without it."""
    raw = with_barbs(read(CASES[0].with_name("ketch-one-unit.toml")))
    raw["hose"][0]["length"] += " +/- 20 %"
    raw["hose"][-1]["length"] += " typical"
    raw["hose"][-2]["bore"] += " typical"
    assert list(in_two_pieces(folder, raw, 0, ["size", "energy"])) == []
    # each half of what is typical would be as long or as wide as it is by itself
    assert [can_be_split(raw, row) for row in range(len(raw["hose"]))] == [True, True, False, False]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_defaults_written_out_change_no_nominal_result(folder, path):
    raw = with_barbs(read(path))
    for command in ("size", "place", "balance", "energy"):
        pair = [asked(folder, told, command) for told in (raw, with_defaults(raw))]
        if pair[0] is not None:
            pair = [without(item, DEFAULTS) for item in pair]
            assert differences(*pair, ROUNDING) == [], command


def test_a_hose_that_rises_on_its_way_in_two_pieces(folder):
    """The leg after its highest point holds air at low flow; then its far barb is not felt."""
    raw = read(CASES[-1].with_name("motor-three-units.toml"))
    (row,) = (row for row, hose in enumerate(raw["hose"]) if hose["from"] == "guest cabin unit")
    assert raw["hose"][row]["via"]
    assert list(in_two_pieces(folder, raw, row, ["size"])) == []


def test_what_to_change_on_a_hose_in_two_pieces(folder):
    """A joint between two pieces is no port: the tails of a wider hose hang on its ends alone."""
    raw = read(CASES[-1].with_name("ketch-one-unit.toml"))
    rows = [row for row in range(len(raw["hose"])) if can_be_split(raw, row)]
    found = [text for row in rows for text in in_two_pieces(folder, raw, row, ["improve"])]
    assert found == []


@pytest.mark.parametrize("seed", [0, 3])
def test_valves_of_a_boat_whose_pump_is_far_too_small(folder, seed):
    """No setting does, and the search leaps: it must leap alike in whatever order they stand."""
    raw = read(Path(__file__).parents[1] / "helpers" / "hopeless_boat.toml")
    assert list(same_told_otherwise(folder, raw, random.Random(seed), ("balance",))) == []


def test_a_random_boat(folder):
    @settings(
        max_examples=2,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(raw=boats() | boats(with_rooms=True))
    def same(raw):
        rng = random.Random(4)
        assert list(same_told_otherwise(folder, raw, rng)) == []
        assert list(same_in_two_pieces(folder, raw, rng)) == []

    same()
