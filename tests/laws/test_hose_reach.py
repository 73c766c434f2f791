"""A hose is at least as long as the way between its ends; one recorded shorter is remarked."""

from pathlib import Path

import pytest

from seaflow.boat.checks.measures import least_way
from seaflow.boat.load import load_case
from seaflow.boat.tables.things import Place, Thing

ROOT = Path(__file__).parents[2]
SHORT = (ROOT / "tests" / "messages" / "S69-hose-too-short.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("run", "length"),
    [
        ([(0, 0, 0), (3, 4, 0)], 5.0),
        ([(0, 0, 0), (2, 3, 6)], 7.0),
        ([(0, 0, 0), (3, 0, 0), (3, 4, 0)], 7.0),  # held to the way through the point
        ([(0, 0, 0), (None, None, 2), (3, 0, 0)], 5.0),  # up 2 m and down 2 m on 3 m
        ([(None, None, 0), (1, 1, 2)], 2.0),  # of heights alone their difference
        ([(0, 0, 0), (None, None, None), (0, 0, 1)], 1.0),
    ],
)
def test_the_least_way_is_that_of_rulers_and_right_angles(run, length):
    places = [Place(aft=aft, starboard=across, height=up) for aft, across, up in run]
    assert least_way(places) == pytest.approx(length, abs=1e-12)


def test_the_height_of_a_thing_counts_where_its_place_is_not_recorded():
    assert least_way([Thing(name="a", height=-0.5), Thing(name="b", height=0.7)]) == 1.2


def warned(tmp_path, length, via=""):
    path = tmp_path / "boat.toml"
    written = f"length = {length}\n{via}"
    path.write_text(SHORT.replace('length = "8 in"', written), encoding="utf-8")
    return [one.code for one in load_case(str(path)).warnings if one.code == "S69"]


@pytest.mark.parametrize(
    ("length", "via", "is_short"),
    [
        ('"8 in"', "", True),
        ('"8 ft"', "", False),
        ('"1.7 m"', "", False),  # the ends of 1.90 m are where hands reach, not where hoses end
        ('"2.4 m"', 'via = [{ height = "1.9 m" }]', True),
        ('"4.4 m"', 'via = [{ height = "1.9 m" }]', False),
        ('"1.2 m +/- 0.1 m"', "", True),
        ('"1.2 m +/- 0.6 m"', "", False),
        ('"0.8 m typical"', "", False),
    ],
)
def test_a_hose_that_cannot_reach_is_remarked_and_one_that_may_is_not(
    tmp_path, length, via, is_short
):
    assert bool(warned(tmp_path, length, via)) == is_short


@pytest.mark.parametrize("path", sorted((ROOT / "cases").glob("*.toml")), ids=lambda p: p.stem)
def test_the_hoses_of_the_cases_reach(path):
    assert "S69" not in [one.code for one in load_case(str(path)).warnings]
