"""What was written down before a boat was surveyed is what is found, all of it and no more."""

import tomllib
from functools import cache
from pathlib import Path

import pytest

from seaflow.boat.load import load_case
from seaflow.studies.survey.findings import FIT, survey
from seaflow.studies.survey.severity import SEVERITIES

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
BOATS = tomllib.loads((HERE / "foretold.toml").read_text(encoding="utf-8"))["boat"]


@cache
def surveyed(file):
    return survey(load_case(str(ROOT / file)).case)


@pytest.mark.parametrize("boat", BOATS, ids=lambda boat: boat["name"])
def test_what_was_foretold_is_found_and_no_more(boat):
    found = sorted((one.severity, one.rule, one.where) for one in surveyed(boat["file"]).findings)
    told = sorted((one["grade"], one["rule"], one["thing"]) for one in boat["finds"])
    assert found == told


@pytest.mark.parametrize("boat", BOATS, ids=lambda boat: boat["name"])
def test_what_nobody_looked_at_stays_open(boat):
    answer = surveyed(boat["file"])
    open_ = {f"{one.thing}: {one.key}" for one in answer.open_at(SEVERITIES[0])}
    assert set(boat["open"]) <= open_
    assert bool(boat["open"]) is bool(open_)


def test_every_foretold_finding_has_its_reason():
    assert all(one["why"] for boat in BOATS for one in boat["finds"])


@pytest.mark.parametrize("boat", BOATS, ids=lambda boat: boat["name"])
def test_the_same_boat_with_nothing_recorded_is_never_clean(boat, tmp_path):
    """Every fact that somebody saw is taken away; bores, lengths and heights stay."""
    text = (ROOT / boat["file"]).read_text(encoding="utf-8").split("\n[seen]")[0]
    kept = [line for line in text.splitlines() if not line.startswith("seen = ")]
    path = tmp_path / "boat.toml"
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    answer = survey(load_case(str(path)).case)
    assert answer.fitness != FIT
    assert answer.points_seen < answer.points
    assert answer.open_at(SEVERITIES[0])
