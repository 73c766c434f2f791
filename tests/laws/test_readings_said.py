"""Readings as people say them: scales, buckets, words, places; and what is not understood."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from seaflow.base.near import called
from seaflow.base.problems import SeaflowError
from seaflow.base.units import Misread, read_quantity, seconds_of, volume_and_time
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.infer import simulate
from seaflow.studies.diagnose.predict import chances_of
from seaflow.studies.diagnose.readings import Readings, instruments, number_read, signs
from seaflow.studies.diagnose.written import number_of, read_rows

KETCH, THREE = "ketch-one-unit", "motor-three-units"
GALLON, IMPERIAL = 231 * 0.0254**3, 4.54609e-3  # m3, both exact by law


@cache
def setup(name=KETCH):
    case = load_case(f"cases/{name}.toml").case
    return setup_of(case, network.loops(case)[0])


def read(rows, name=KETCH, system=""):
    return read_rows(rows, setup(name).places, system)


def problems(rows, name=KETCH):
    with pytest.raises(SeaflowError) as refused:
        read(rows, name)
    return refused.value.problems


@pytest.mark.parametrize(
    ("text", "volume", "seconds"),
    [
        ("10 L in 35 s", 0.010, 35),
        ("10 l in 35", 0.010, 35),
        ("10L/35s", 0.010, 35),
        ("35 s for 10 litres", 0.010, 35),
        ("2 gal in 1:10", 2 * GALLON, 70),
        ("2 US gallons in 1 min 10 s", 2 * GALLON, 70),
        ("a 5-gallon bucket in 90 sec", 5 * GALLON, 90),
        ("5 gallon bucket in 1.5 min", 5 * GALLON, 90),
        ("8 qt in 1min20s", 2 * GALLON, 80),
        ("8 quarts in 1:20", 2 * GALLON, 80),
        ("1/2 gal in 20 s", GALLON / 2, 20),
        ("2 imperial gallons in 35 s", 2 * IMPERIAL, 35),
        ("3 imp gal in 1:05", 3 * IMPERIAL, 65),
        ("38", 0.010, 38),
        ("0.6 min", 0.010, 36),
        ("1:05", 0.010, 65),
        ("1 min 5 s", 0.010, 65),
    ],
)
@pytest.mark.parametrize("kind", ["bucket", "flow"])
def test_a_bucket_of_any_size_and_a_watch_tell_a_flow(kind, text, volume, seconds):
    if kind == "flow" and text in ("0.6 min", "1 min 5 s"):
        return  # no bucket is spoken of
    (number,) = read({kind: text}).numbers
    assert number.kind == "flow"
    assert number.value == pytest.approx(volume / seconds)
    assert number.bucket == pytest.approx(volume)
    assert number_read(number)["seconds"] == pytest.approx(seconds)


def test_a_flow_by_itself_is_told_by_no_bucket():
    for text in ("15 L/min", "4 gpm", "240 gph", "0.9 m3/h"):
        for kind in ("flow", "bucket"):
            assert read({kind: text}).numbers[0].bucket == 0.0


def test_a_time_is_read_as_a_watch_shows_it():
    for text in ("70", "70 s", "70sec", "1:10", "1 min 10 s", "1min10s"):
        assert seconds_of(text) == pytest.approx(70.0)
    for text in ("a while", "1:75", "10 L"):
        with pytest.raises(Misread):
            seconds_of(text)
    assert volume_and_time("15 L/min") is None
    assert read_quantity("2 gal in 1:00", "m3/s") == pytest.approx(read_quantity("2 gpm", "m3/s"))


@pytest.mark.parametrize(
    "text",
    ["92F", "92 F", "92°F", "92 ° F", "92 deg F", "92 degrees F", "92 fahrenheit", "92 degf"],
)
def test_a_temperature_is_read_in_either_scale(text):
    warm = (92.0 - 32.0) / 1.8
    assert read({"sea": text}).of("sea") == pytest.approx(warm)
    celsius = re.sub("(?i)fahrenheit", "celsius", text).replace("92", "33")
    celsius = re.sub("(?i)f$", "C", celsius)
    assert read({"sea": celsius}).of("sea") == pytest.approx(33.0)


@pytest.mark.parametrize(
    ("rows", "system", "sea", "assumed"),
    [
        ({"sea": "33°"}, "", 33.0, True),
        ({"sea": "33 degrees"}, "", 33.0, True),
        ({"sea": "33°"}, "metric", 33.0, False),
        ({"sea": "50°"}, "us", 10.0, False),
        ({"sea": "86°"}, "", 30.0, True),  # no sea is at 86 °C
        ({"sea": "68°", "discharge": "86F"}, "", 20.0, False),
        ({"sea": "20 C", "discharge": "30°"}, "us", 20.0, False),
    ],
)
def test_bare_degrees_take_the_scale_of_the_others_or_the_one_that_can_be(
    rows, system, sea, assumed
):
    found = read(rows, system=system)
    assert found.of("sea") == pytest.approx(sea)
    assert bool(found.assumed) == assumed
    if "discharge" in rows:
        assert found.of("discharge") == pytest.approx(30.0)


def test_a_bare_number_takes_the_unit_of_the_system_asked_for():
    rows = {"sea": "84", "discharge": "saloon unit=101", "volts": "230", "bucket": "38"}
    found = read(rows, system="us")
    assert found.of("sea") == pytest.approx((84.0 - 32.0) / 1.8)
    assert found.of("discharge") == pytest.approx((101.0 - 32.0) / 1.8)
    assert found.of("volts") == 230.0 and found.of("flow") == pytest.approx(0.010 / 38.0)
    assert [one.code for one in problems({"sea": "84", "bucket": "38"})] == ["D03"]


def test_every_word_that_people_say_means_one_of_those_with_odds():
    for kind, sign in signs().items():
        for said, meant in sign.also.items():
            assert meant in sign.healthy and said not in sign.healthy, (kind, said)
            assert said == said.casefold()
            assert read({kind: f" {said.upper()}. "}).signs == ((kind, meant),)


@pytest.mark.parametrize(
    ("said", "meant"),
    [("dribble", "weak"), ("No water", "none"), ("spurting", "pulsing"), ("good", "strong")],
)
def test_a_stream_is_told_in_the_words_of_the_dock(said, meant):
    assert read({"stream": said}).signs == (("stream", meant),)


def test_a_stream_may_be_told_of_one_outlet_where_there_are_several():
    outlets = setup(THREE).places.outlets
    found = read({"stream": [f"{outlets[0]}=weak", f"{outlets[1].upper()}=strong"]}, THREE)
    assert found.signs == ()
    assert found.streams == ((outlets[0], "weak"), (outlets[1], "strong"))
    assert found.count == 2 and not found.is_empty
    assert read({"stream": f"{outlets[0]}=weak; {outlets[1]}=good"}, THREE) == found
    alone = setup().places.outlets[0]
    assert read({"stream": f"{alone}=weak"}) == read({"stream": "weak"})
    (problem,) = problems({"stream": "no such outlet=weak"}, THREE)
    assert problem.code == "D02"
    assert problems({"stream": ["strong", f"{outlets[0]}=weak"]}, THREE)[0].code == "D01"


@pytest.mark.parametrize("typed", ["saloon", "SALOON  unit", "sal", "Saloon u"])
def test_a_place_is_named_by_the_beginning_of_its_name_if_no_other_begins_so(typed):
    (number,) = read({"discharge": f"{typed}=36C"}, THREE).numbers
    assert number.place == "saloon unit"


def test_a_beginning_of_two_places_is_asked_back_with_both():
    (problem,) = problems({"discharge": "s=36C"}, THREE)
    assert problem.code == "D02"
    assert "saloon unit" in problem.write and "starboard outlet" in problem.write
    assert "port outlet" not in problem.write


def test_a_reading_that_is_misspelt_is_offered_the_one_that_is_meant():
    (problem,) = problems({"dischage": "33C"})
    assert problem.code == "D03" and re.findall(r'"(\w+)"', problem.write) == ["discharge"]
    (problem,) = problems({"weather": "fair"})
    assert "discharge" in problem.write and "bubbles" in problem.write


def test_a_word_is_told_by_its_beginning_if_no_other_begins_so():
    assert read({"pump": "hum"}).signs == (("pump", "humming"),)
    assert problems({"when": "after"})[0].code == "D04"


def test_a_whole_name_and_whole_words_come_before_other_beginnings():
    names = ("port", "port cabin", "portside", "Aft  Cabin")
    assert called("Port", names) == ("port",)
    assert called("port", names[1:]) == ("port cabin",)
    assert called("por", names) == names[:3]
    assert called("aft c", names) == ("Aft  Cabin",)
    assert called("", names) == called("cabin", names) == ()


def test_the_stream_of_an_outlet_tells_of_that_outlet_alone():
    flotilla = simulate(setup(THREE), Readings(), 1024, 3)
    outlets = setup(THREE).places.outlets
    worst = chances_of(flotilla, "stream")["strong"]
    of_each = [chances_of(flotilla, "stream", outlet)["strong"] for outlet in outlets]
    assert np.all(worst <= np.min(of_each, axis=0) + 1e-12)
    for chance in of_each:
        assert np.all((chance > 0.0) & (chance < 1.0))


def test_all_that_is_not_understood_is_told_at_once_with_the_forms_that_are():
    rows = {"sea": "hot", "discharge": "33 bar", "bucket": "a while", "stream": "wet"}
    found = problems({**rows, "mode": "drying", "load": "much", "saltiness": "3"})
    assert [one.code for one in found] == ["D03", "D03", "D03", "D04", "D04", "D04", "D03"]
    for one, forms in zip(found, ("27C", "100F", "10 L in 35 s", "none", "heating"), strict=False):
        assert forms in one.write


@pytest.mark.parametrize("text", ["60", "60.5", "100", "1"])
def test_a_load_that_may_lack_its_sign_is_asked_for_with_it(text):
    (problem,) = problems({"load": text})
    assert f"{text} %" in re.findall('"([^"]+)"', problem.write)
    assert read_rows({"load": f"{text} %"}, setup().places).load == float(text) / 100.0


def test_a_load_is_a_share_and_never_more_than_full():
    for text, share in (("0.6", 0.6), ("60%", 0.6), ("1.0", 1.0), ("60 percent", 0.6)):
        assert read_rows({"load": text}, setup().places).load == share
    for text in ("150", "200 %", "0", "-3", "150 percent"):
        assert [one.code for one in problems({"load": text})] == ["D01"]


@pytest.mark.parametrize("kind", [*instruments(), "bucket"])
def test_what_is_offered_for_a_text_not_understood_is_understood(kind):
    place = setup().places.at(instruments()["flow" if kind == "bucket" else kind].where)[0]
    text = f"{place}=a lot" if place else "a lot"
    (problem,) = problems({kind: text})
    offered = re.findall('"([^"]+)"', problem.write)
    assert offered
    for one in offered:
        number = number_of(kind, f"{place}={one}" if place else one, setup().places)
        assert np.isfinite(number.value)
