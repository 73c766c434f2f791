"""What owners tell of boats of which little is known, and what the answer must make of it."""

from __future__ import annotations

from functools import cache

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.forms.typical.boat import spoken_boat
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, setup_of
from seaflow.studies.diagnose.written import number_of, read_rows

FEW = Sampling(2048, 20)
TRAWLER = ("38 ft trawler", ("16000 BTU/h",), "115 V 60 Hz")
YACHT = ("46 ft motor yacht", ("16000 BTU/h", "12000 BTU/h", "8000 BTU/h"), "115 V 60 Hz")


@cache
def setup(boat):
    name, units, supply = boat
    said = {"boat": [name], "unit": list(units), "supply": [supply]}
    case = spoken_boat(said).loaded.case
    return setup_of(case, network.loops(case)[0])


def answer(boat, **rows):
    one = setup(boat)
    return diagnose(one, read_rows(rows, one.places), FEW)


@pytest.mark.parametrize("word", ["weak", "pulsing"])
def test_water_that_is_told_as_poor_never_looks_well_however_usual_that_is(word):
    assert answer(YACHT, sea="82F", tripped="yes", stream=word).verdict.unseen is None
    assert answer(YACHT, sea="82F", tripped="yes", stream="strong").verdict.unseen is not None


def test_a_likely_place_that_is_hard_to_look_at_takes_the_room_of_no_easier_one():
    """Nobody dives for the intake before the basket was lifted."""
    told = {"sea": "82F", "discharge": "105F", "bucket": "2 gal in 75 s", "tripped": "yes"}
    found = [one.leads for one in answer(TRAWLER, **told).looks]
    assert "strainer" in found
    assert "intake_blocked" not in found[: found.index("strainer")]


def test_what_follows_from_a_bucket_is_not_asked_for():
    hot = {"sea": "82F", "discharge": "105F", "tripped": "yes"}
    assert answer(TRAWLER, **hot).next_reading.kind == "stream"
    wanted = answer(TRAWLER, **hot, bucket="2 gal in 75 s").next_reading
    assert wanted is None or wanted.kind != "stream"


@pytest.mark.parametrize("word", ["about ", "approx. ", "approximately ", "~", "ca. ", "around "])
def test_a_word_that_says_how_rough_a_reading_is_changes_nothing(word):
    places = setup(TRAWLER).places
    told = {"sea": "82F", "bucket": "2 gal in 40 s", "discharge": "saloon unit=95F"}
    rough = {kind: f"{word}{text}" for kind, text in told.items() if "=" not in text}
    rough["discharge"] = f"saloon unit={word}95F"
    assert read_rows(rough, places).alike(read_rows(told, places))


@pytest.mark.parametrize(("text", "own", "other"), [("18 F", "degF", "degC"), ("-9C", "C", "F")])
def test_a_temperature_that_cannot_be_is_refused_in_its_own_scale(text, own, other):
    with pytest.raises(SeaflowError) as refused:
        number_of("discharge", text, setup(TRAWLER).places)
    (problem,) = refused.value.problems
    assert own in problem.why and other not in problem.why
    assert "sea" in problem.write  # it may be how much warmer than the sea it is


def test_a_refrigerant_can_be_named_without_a_file():
    with pytest.raises(SeaflowError) as refused:
        number_of("high_side", "300 psi", setup(TRAWLER).places)
    (problem,) = refused.value.problems
    assert problem.code == "D05" and "--unit" in problem.write
