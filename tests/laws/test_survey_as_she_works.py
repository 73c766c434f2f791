"""What the survey says of heel, of what is not recorded, and of a strainer in numbers."""

import dataclasses
import math
import re

import pytest
from answer_data import kinds_of
from survey_boats import case_with, sound_case, sound_evidence

from seaflow.model.heights import STEEPEST, STEPS
from seaflow.present.survey.text import survey_text
from seaflow.present.survey_units import SurveyShow
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.running import limits

LEVEL_LINE = {  # 3 % of slope upright, all of it across the boat
    "through_hull.0.at": {"aft": "6 m", "starboard": "0.2 m", "height": "-0.62 m"},
    "strainer.0.at": {"aft": "6 m", "starboard": "0.5 m", "height": "-0.61 m"},
    "pump.0.at": {"aft": "6 m", "starboard": "0.9 m", "height": "-0.597 m"},
}


def rules_of(answer):
    return {item.rule for item in answer.findings}


def test_a_suction_line_that_turns_over_as_a_whole_is_found(tmp_path):
    answer = survey(case_with(LEVEL_LINE, tmp_path))
    found = next(item for item in answer.findings if item.rule == "suction-crest-heeled")
    turned = {(leg["start"], leg["end"]): leg["heel"].value for leg in found.in_numbers}
    at = turned["cooling intake", "strainer"]
    assert at == pytest.approx(math.atan(0.01 / 0.3), abs=STEEPEST / (STEPS - 1))


def test_a_hose_to_an_outlet_that_goes_under_as_she_works_is_asked_like_one_below(tmp_path):
    motor = {"boat.hull": "motor monohull", "outlet.0.at.height": "0.25 m"}
    hose = sound_case().hose[-1]
    modest = evidence_of(case_with(motor | {"boat.works_to_heel": "5 deg"}, tmp_path))
    assert modest.floods(hose) is False  # 0.25 cos 7 - 1.75 sin 7 = 0.03 m
    steep = evidence_of(case_with(motor | {"boat.works_to_heel": "20 deg"}, tmp_path))
    assert steep.floods(hose) is True


def test_without_a_working_heel_no_height_is_told(tmp_path):
    answer = survey(case_with({"boat.works_to_heel": "drop"}, tmp_path))
    for item in answer.places:
        assert item.height is not None
        assert item.starboard_down is None
        assert item.port_down is None
    assert all(not item.is_known for item in answer.trimmed)
    assert answer.attitude.kind == "survey.no_heel"
    assert words.PLACES_WITHOUT_HEEL in survey_text(answer, "metric")


def test_an_opening_off_the_middle_goes_down_on_its_own_side_by_hand(tmp_path):
    """1.2 m to starboard, 0.3 m up, 15 degrees: 0.3 cos 15 less or more 1.2 sin 15."""
    at = {"aft": "6 m", "starboard": "1.2 m", "height": "0.3 m"}
    patch = {"boat.works_to_heel": "15 deg", "skin_fitting.0.at": at}
    answer = survey(case_with(patch, tmp_path))
    name = sound_case().skin_fitting[0].name
    (found,) = (item for item in answer.places if item.name == name)
    up, across = 0.3 * math.cos(math.radians(15.0)), 1.2 * math.sin(math.radians(15.0))
    assert found.starboard_down == pytest.approx(up - across, rel=1e-9)
    assert found.port_down == pytest.approx(up + across, rel=1e-9)


def test_the_heel_stands_in_the_heading():
    assert words.PLACES.format(heel="15") in survey_text(survey(sound_case()), "metric")


def test_a_unit_without_a_height_leaves_the_crest_open(tmp_path):
    answer = survey(case_with({"unit.0.at": "drop"}, tmp_path))
    assert [item.told.kind for item in answer.starting_heads] == ["survey.crest_not_recorded"]
    assert ("saloon unit", "height") in {(item.thing, item.key) for item in answer.look_at}


def test_the_strainer_is_told_by_need_and_by_least_flow():
    run = sound_evidence().loops[0].run
    (item,) = limits(run)
    assert item.need == run.needs["saloon unit"].flow
    assert item.least == run.needs["saloon unit"].least
    assert item.need > item.least
    assert item.clean >= item.need
    index = round(100 * item.need_even)
    flow = run.point.units["saloon unit"].volume_flow
    assert flow[index] < item.need
    assert flow[index - 1] >= 0.99 * item.need
    assert item.of_need[0].kind == "survey.need_kept"
    assert item.of_least[0].kind == "survey.least_kept"
    assert item.of_least[-1]["gauge"].value == item.gauge_then


def test_too_little_with_a_clean_basket_is_said_and_found(tmp_path):
    answer = survey(case_with({"hose.2.length": "90 m"}, tmp_path))
    found = next(item for item in answer.findings if item.rule == "flow-below-need")
    assert found.severity == "major"
    (unit,) = answer.strainers[0].units
    assert unit.of_need[0].kind == "survey.need_not_met"
    assert unit.of_need[0]["clean"].value < unit.of_need[0]["need"].value


def test_the_note_to_watch_the_gauge_stands_only_where_it_falls():
    (strainer,) = survey(sound_case()).strainers
    still = tuple(
        dataclasses.replace(row, inlet_gauge=0.0, matted_gauge=0.0) for row in strainer.at
    )
    assert not dataclasses.replace(strainer, at=still).gauge_tells
    falling = tuple(
        dataclasses.replace(row, inlet_gauge=-8e3 * row.blocked, temperature_rise=5.0)
        for row in strainer.at
    )
    assert dataclasses.replace(strainer, at=falling).gauge_tells


@pytest.mark.parametrize(
    ("rule", "patch"),
    [
        ("suction-crest", {"strainer.0.at.height": "-0.30 m"}),
        ("strainer-above-water", {"strainer.0.at.height": "0.10 m"}),
        ("gate-valve", {"seacock.0.type": "gate valve"}),
        ("pump-not-below-water", {"pump.0.at.height": "0.20 m"}),
    ],
)
def test_findings_on_the_suction_side_are_told_in_numbers(rule, patch, tmp_path):
    answer = survey(case_with(patch, tmp_path))
    found = next(item for item in answer.findings if item.rule == rule)
    by_model = {"draws_air", "draws_no_air", "runs", "valve_head"}
    assert {kind.removeprefix("survey.") for kind in kinds_of(found.in_numbers)} & by_model


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("0.15 m under water", "6 in under water"),
        ("0.1 to 0.2 m above", "4 to 8 in above"),
        ("lift no more than 1 m?", "lift no more than 3.3 ft?"),
        ("1.5 to 3 mm wide", "0.06 to 0.12 in wide"),
        ("slower than 1.2 m/s", "slower than 3.9 ft/s"),
        ("20 mm per metre", "0.24 in per foot"),
        ("500 lbf for 30 s, 6 months", "500 lbf for 30 s, 6 months"),
    ],
)
def test_figures_in_texts_are_turned_into_us_units(text, shown):
    assert SurveyShow("us").text(text) == shown
    assert SurveyShow("metric").text(text) == text


def test_small_depths_are_told_in_inches():
    show = SurveyShow("us")
    assert show("height", -0.12) == "-4.7 in"
    assert show("height", 1.2) == "3.9 ft"


def test_no_outlet_is_told_to_go_where_heel_would_put_it_under(tmp_path):
    """0.2 m up and 1.75 m off it is 0.19 m under at 12 degrees; 0.4 m up it is 0.03 m clear."""
    dry = {"boat.hull": "motor monohull", "boat.works_to_heel": "12 deg", "seacock.1.type": "none"}
    high = dry | {"outlet.0.at.height": "0.45 m", "boat.waterline_length": "drop"}
    assert "outlet-height" not in rules_of(survey(case_with(high, tmp_path)))
    inboard = high | {"outlet.0.at.starboard": "0.2 m"}  # 0.2 cos 12 - 0.2 sin 12 = 0.15 m
    assert "outlet-height" in rules_of(survey(case_with(inboard, tmp_path)))
    shut = high | {"seacock.1.type": "flanged full-bore ball seacock"}
    assert "outlet-height" in rules_of(survey(case_with(shut, tmp_path)))


AS_IT_RUNS = {"draws_air", "draws_no_air", "runs", "valve_head", "gauge_at_inlet"}


def test_nothing_is_said_as_it_runs_of_a_loop_in_which_nothing_runs(tmp_path):
    still = {
        "unit.0.at.height": "9 m",
        "strainer.0.at.height": "0.1 m",
        "seacock.0.type": "gate valve",
    }
    answer = survey(case_with(still, tmp_path))
    found = {kind for item in answer.findings for kind in kinds_of(item.in_numbers)}
    assert {"gate-valve", "strainer-above-water"} <= rules_of(answer)
    assert not found & {f"survey.{kind}" for kind in AS_IT_RUNS}


@pytest.mark.parametrize("height", ["0.7 m", "-0.3 m"])
def test_what_is_above_the_water_is_not_told_to_be_under(height, tmp_path):
    patch = {
        "through_hull.0.at.height": height,
        "through_hull.0.also_feeds": [{"name": "tap", "bore": "10 mm"}],
        "through_hull.0.dry_by_design": True,
        "seacock.0.type": "none",
    }
    text = survey_text(survey(case_with(patch, tmp_path)), "metric")
    findings = text.partition(f"\n{words.WATERLINES}\n")[0]
    assert not re.search(r"-\d[\d.]* (m|ft|in) (under|deep|of|above|below|out)", findings)


def test_survey_and_size_take_the_same_first_start(tmp_path):
    """What keeps a pump from starting upright is a major finding, and the sizing's own words."""
    for patch in (
        {"hose.1.via": [{"height": "0.05 m"}]},
        {"pump.0.at.height": "0.2 m", "strainer.0.at.height": "-0.3 m"},
        {"unit.0.at.height": "8 m"},
        {"pump.0.fitted": "demo-self-priming-230", "pump.0.at.height": "4 m"},
    ):
        case = case_with(patch, tmp_path)
        (loop,) = evidence_of(case).loops
        assert loop.start.outcome == "no"
        rules = {"suction-crest", "pump-not-below-water", "starting-head", "pump-lift"}
        found = [item for item in survey(case).findings if item.rule in rules]
        assert "major" in {item.severity for item in found}
    (loop,) = sound_evidence().loops
    assert (loop.start.outcome, loop.start.hindrances, loop.start.on_a_tack) == ("starts", (), ())
