"""Laws of sentences: facts are filled in as their templates ask, names and texts are left alone."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.facts import AMOUNTS, amount, fact
from seaflow.present.data import as_data
from seaflow.present.quantities import Show
from seaflow.present.sentences import listed
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.design.start import attitude

SOURCES = Path(__file__).parents[2] / "seaflow"
NAMES = st.text(alphabet=st.characters(exclude_categories=("Co", "Cs", "Cc")), min_size=1)


def kinds_in_the_sources():
    text = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES.rglob("*.py"))
    return set(re.findall(r"\bamount\(\s*[\"'](\w+)[\"']", text))


@given(NAMES)
def test_a_name_stands_in_a_sentence_as_it_was_typed(name):
    """Braces, per cent and marks in a name are no template."""
    said = Show().sentence(fact("start.lower", thing=name, distance=amount("height", 0.1)))
    assert said == f"lower {name} by at least 0.10 m"


@pytest.mark.parametrize("words", ["{flow|1}", "{x|y}", "50 % of {a|b} {}", "{flow|", "a|b}"])
def test_a_text_of_data_is_left_alone(words):
    assert Show().sentence(words) == words
    assert as_data({"name": words}) == {"name": words}


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_kind_of_amount_can_be_shown(system):
    kinds = kinds_in_the_sources()
    assert {"flow", "head", "rise", "temperature"} <= kinds <= set(AMOUNTS)
    for kind in AMOUNTS:
        assert re.search(r"\d", Show(system)(kind, 0.0123))


def test_a_fact_as_data_has_its_kind_its_values_in_si_and_its_text():
    move = fact("start.lower", thing="pump", distance=amount("height", 0.25))
    assert as_data(move) == {
        "kind": "start.lower",
        "thing": "pump",
        "distance": {"value": 0.25, "unit": "m"},
        "text": "lower pump by at least 0.25 m",
    }


def test_a_fact_may_stand_inside_another():
    reason = fact("start.vent", thing="unit")
    where = attitude(-0.2617993878, 0.0)
    said = Show().sentence(fact("start.on_a_tack", reason=reason, where=where))
    assert said.startswith("at 15 degrees of heel, port side down: fit a vent at unit")


def test_an_attitude_names_what_turns_and_which_side_and_end_are_down():
    def turned(*how, either_way=False):
        found = attitude(*how, either_way)
        parts = dict(found.values).get("by", ())
        return [
            (part.kind, *(value for name, value in part.values if name in ("side", "end")))
            for part in parts
        ] or [(found.kind,)]

    assert turned(0.0, 0.0) == [("start.upright",)]
    assert turned(0.1, 0.0) == [("start.heel_down", "starboard")]
    assert turned(0.0, -0.1) == [("start.trim_down", "stern")]
    assert turned(-0.1, 0.1) == [("start.heel_down", "port"), ("start.trim_down", "bow")]
    assert turned(0.1, 0.1, either_way=True) == [("start.heel",), ("start.trim",)]


@pytest.mark.parametrize(
    ("names", "said"), [((), ""), (("a",), "a"), (("a", "b"), "a and b"), ("abc", "a, b and c")]
)
def test_names_are_listed_as_a_sentence_does(names, said):
    assert listed(tuple(names)) == said


@pytest.mark.parametrize(("minutes", "told"), [(12.4, "12 min"), (200.0, "3 h"), (9662.0, "days")])
def test_time_is_told_no_finer_than_it_matters(minutes, told):
    said = Show().sentence(fact("survey.fills", volume=amount("volume", 2.0), minutes=minutes))
    assert told in said
    assert "9662" not in said


def test_a_kind_without_a_sentence_is_an_error_and_not_a_blank():
    with pytest.raises(KeyError):
        Show().sentence(fact("start.no_such_kind"))


@pytest.mark.parametrize(
    ("kind", "value", "down", "up"),
    [
        ("height", 0.298, "0.29 m", "0.30 m"),
        ("height", 0.3, "0.30 m", "0.30 m"),
        ("length", 0.95, "0.9 m", "1.0 m"),
        ("velocity", 1.201, "1.20 m/s", "1.21 m/s"),
        ("bore", 0.0186, "18 mm", "19 mm"),
    ],
)
def test_a_bound_is_not_rounded_away(kind, value, down, up):
    assert Show().away(kind, value, False) == down
    assert Show().away(kind, value, True) == up
    assert SurveyShow("us").away("height", 0.0999, False) == "3.9 in"
    assert Show("us").away("bore", 0.0127, False) == Show("us")("bore", 0.0127)


@pytest.mark.parametrize(("ratio", "said"), [(2.96, "2.9"), (3.0, "3.0"), (0.95, "0.9")])
def test_a_ratio_that_is_too_small_is_told_as_too_small(ratio, said):
    assert f" {said} times" in Show().sentence(fact("survey.small_basket", ratio=ratio))


@pytest.mark.parametrize("kind", ["design.seldom_runs", "design.seldom_keeps_rise"])
def test_on_no_day_is_on_none_of_them(kind):
    said = [Show().sentence(fact(kind, share=share)) for share in (0.0, 0.002, 0.43)]
    assert [text.partition(" on ")[2] for text in said] == [
        "none of the simulated days",
        "less than 1% of the simulated days",
        "only 43% of the simulated days",
    ]
