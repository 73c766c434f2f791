"""Survey, size and place agree on boats with one thing wrong: none passes what one calls grave."""

import tomllib
from functools import cache
from pathlib import Path

import pytest
from survey_boats import FILE, case_of, case_with, patched

from seaflow.studies.design.judge import NO, YES
from seaflow.studies.place.routes import placed, places_offered
from seaflow.studies.place.study import place
from seaflow.studies.size.size import size
from seaflow.studies.survey.findings import survey

HERE = Path(__file__).parent
GRAVE = ("critical", "major")
# Rules on the start and on the water that a pump gets; others judge hulls, hoses and wires.
OF_WATER = {
    *("pump-not-below-water", "pump-trimmed", "pump-lift", "suction-crest", "suction-crest-heeled"),
    *("starting-head", "intake-emerges", "intake-trimmed", "strainer-above-water"),
    *("suction-vacuum", "strainer-blockage", "flow-below-need"),
}


def told(name):
    return tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))


def boats():
    for group in told("survey_measures")["measure"]:
        for flip in group["flips"]:
            yield group["boat"], {flip["path"]: flip["to"]}
    for edge in told("survey_edges")["edge"]:
        if edge["rule"] in OF_WATER:
            yield "sound_boat", edge["broken"]


def grave(case):
    found = survey(case).findings
    return {item.rule for item in found if item.severity in GRAVE and item.rule in OF_WATER}


@pytest.mark.parametrize(("boat", "patch"), list(boats()), ids=str)
def test_no_pump_is_fine_where_the_survey_finds_no_start_or_no_water(boat, patch, tmp_path):
    case = case_of(patched(patch, FILE.with_name(f"{boat}.toml")), tmp_path)
    found = grave(case)
    (fitted,) = (item for loop in size(case, 0).loops for item in loop.pumps if item.fitted)
    if found:
        assert fitted.judgement.grade != YES
    said = {item.said.kind for item in fitted.judgement.rulings if item.grade == NO}
    if any(kind.startswith("start.") for kind in said):
        assert found


@cache
def offered(heel, folder):
    case = case_with({"boat.works_to_heel": heel}, folder)
    (pump,) = place(case).pumps
    ways = {item.name: item for item in places_offered(case, pump.pump)}
    return [(item.grade, placed(case, ways[item.name])) for item in pump.places]


@pytest.mark.parametrize("heel", ["5 deg", "15 deg", "28 deg"])
def test_no_place_is_fine_where_the_survey_finds_no_start_or_no_water(heel, tmp_path):
    grades = set()
    for grade, case in offered(heel, tmp_path):
        grades.add(grade)
        if grade == YES:
            assert not grave(case)
    assert len(grades) > 1  # else nothing above could fail
