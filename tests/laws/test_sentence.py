"""Quantities inside sentences: marks come back as numbers, and words are left alone."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.sentence import quantity, rendered
from seaflow.present.data import as_data
from seaflow.present.quantities import SYSTEMS, Show

STUDIES = Path(__file__).parents[2] / "seaflow"
FINITE = st.floats(allow_nan=False, allow_infinity=False)
WORDS = st.text(alphabet=st.characters(exclude_categories=("Co", "Cs")))


def kinds_in_the_sources():
    found = set()
    for path in STUDIES.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if "base.sentence import" in text or "base.facts import" in text:
            found |= set(re.findall(r"\b(?:quantity|amount)\(\s*[\"'](\w+)[\"']", text))
    return found


@given(FINITE, FINITE, WORDS, WORDS, WORDS)
def test_every_mark_comes_back_with_its_number_to_the_last_digit(one, two, before, between, after):
    seen = []

    def show(kind, value):
        seen.append((kind, value))
        return f"<{kind}>"

    text = f"{before}{quantity('flow', one)}{between}{quantity('head', two)}{after}"
    assert rendered(text, show) == f"{before}<flow>{between}<head>{after}"
    assert seen == [("flow", one), ("head", two)]


@given(WORDS)
def test_words_without_a_mark_are_left_alone(words):
    def show(kind, value):
        raise AssertionError(kind)

    assert rendered(words, show) == words


@pytest.mark.parametrize("words", ["{flow|1}", "{x|y}", "50 % of {a|b} {}", "{flow|", "a|b}"])
def test_braces_in_a_name_are_no_mark(words):
    assert Show().sentence(words) == words
    assert as_data({"name": words}) == {"name": words}


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_kind_written_into_a_sentence_can_be_shown(system):
    kinds = kinds_in_the_sources()
    assert {"flow", "head", "rise", "temperature"} <= kinds
    for kind in kinds:
        shown = Show(system).sentence(f"it is {quantity(kind, 0.0123)}.")
        assert re.fullmatch(r"it is -?[\d .]+ \S+\.", shown), shown


def test_a_mark_is_shown_in_the_units_of_the_reader():
    text = f"it gives {quantity('flow', 2.5e-4)}"
    assert Show("metric").sentence(text) == "it gives 15.0 L/min"
    assert Show("us").sentence(text) == "it gives 3.96 gpm"


def test_data_carry_sentences_without_marks():
    text = f"at {quantity('temperature', 30.0)} and {quantity('rise', 6.0)} warmer"
    assert as_data((text,)) == ["at 30.0 °C and 6.0 K warmer"]


def test_numbers_of_numpy_are_marked_as_plain_numbers():
    import numpy as np

    assert quantity("flow", np.float64(0.25)) == quantity("flow", 0.25)
    assert quantity("flow", np.float32(0.25)) == quantity("flow", 0.25)
    assert quantity("flow", 1) == quantity("flow", 1.0)
