"""A pump above the water is in order only if it primes itself; its kind is asked in words."""

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat.tables.recorded_machines import DISPLACES, KIND_UNKNOWN, PLAIN, PRIMES, PUMP_KINDS
from seaflow.forms.answers import read_answers
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.survey.walk import lines, walk
from seaflow.studies.survey.findings import survey

BELOW = "pump-not-below-water"
SLOOP = spoken_boat({"boat": "sailing monohull 9 m", "unit": ["12k"]}, gaps=True).loaded.case


def told(folder, **answers):
    path = folder / "answers.toml"
    rows = [f'{key} = "{value}"' for key, value in answers.items()]
    path.write_text("\n".join(['[[pump]]\nname = "pump"', *rows]) + "\n", encoding="utf-8")
    return read_answers((str(path),), SLOOP)


def surveyed(folder, **answers):
    return survey(told(folder, **answers).case)


def found(answer):
    return {item.rule: item for item in answer.findings if item.where == "pump"}


def asked(answer):
    return {item.key: item for item in answer.look_at if item.thing == "pump"}


def of_pump(answer):
    return next(row for row in answer.ledger if row.mark == "P1")


@pytest.mark.parametrize("height", ["0.02 m", "0.15 m", "0.9 m", "15 m"])
def test_above_the_water_an_unknown_pump_is_a_major_question_and_never_in_order(height, tmp_path):
    answer = surveyed(tmp_path, height=height)
    assert asked(answer)["kind"].severity == "major"
    assert BELOW in asked(answer)["kind"].rules
    assert not {*of_pump(answer).in_order, *of_pump(answer).as_told}
    assert BELOW not in found(answer)


@pytest.mark.parametrize("kind", [PLAIN, KIND_UNKNOWN])
def test_above_the_water_a_pump_that_is_not_known_to_prime_is_found(kind, tmp_path):
    answer = surveyed(tmp_path, height="0.15 m", kind=kind)
    finding = found(answer)[BELOW]
    assert finding.severity == "major"
    assert dict(finding.found.values)["height"].value == pytest.approx(0.15)
    unless = [one.kind for one in finding.in_numbers if one.kind == "survey.unless_it_primes"]
    assert len(unless) == (kind == KIND_UNKNOWN)
    assert "kind" not in asked(answer)


@pytest.mark.parametrize("kind", [PRIMES, DISPLACES])
def test_a_pump_that_primes_itself_may_lie_above_the_water_but_not_far(kind, tmp_path):
    near, far = (surveyed(tmp_path, height=one, kind=kind) for one in ("0.15 m", "15 m"))
    assert not found(near)
    assert {BELOW, "pump-lift"} <= {*of_pump(near).in_order}
    assert set(found(far)) == {"pump-lift"}


@pytest.mark.parametrize("kind", PUMP_KINDS)
def test_under_water_the_kind_turns_nothing(kind, tmp_path):
    assert not found(surveyed(tmp_path, height="-0.5 m", kind=kind))


def test_kind_is_asked_with_words_to_choose_from_before_any_height_is_known():
    answer = survey(SLOOP)
    every = [one for stop in walk(answer, SLOOP) for *_, some in stop.asked for one in some]
    asked_of = lines(answer, SLOOP, tuple(every))
    (line,) = [one for one in asked_of if (one.block, one.path) == ("pump", ("kind",))]
    assert line.choices == PUMP_KINDS
    assert not any(word.startswith("demo-") for word in line.choices)


def test_a_pump_named_in_words_of_its_own_is_led_to_its_kind(tmp_path):
    with pytest.raises(SeaflowError) as refused:
        told(tmp_path, fitted="centrifugal, magnetic drive")
    (problem,) = refused.value.problems
    assert problem.code == "S16"
    assert all(f'"{kind}"' in problem.write for kind in PUMP_KINDS)


def test_an_answer_that_is_hard_to_believe_is_asked_back(tmp_path):
    assert {one.code for one in told(tmp_path, height="15 m").questions} <= {"Q01", "Q02"}
    assert len(told(tmp_path, height="15 m").questions) == 1
    assert not told(tmp_path, height="0.15 m").questions


def test_a_pump_whose_sheet_is_known_needs_no_kind(tmp_path):
    answer = surveyed(tmp_path, height="0.15 m", fitted="demo-mag-medium-230")
    assert "kind" not in asked(answer)
