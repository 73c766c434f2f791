"""Laws of the verdict over many simulated boats: what may never stand together, and what must."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from answer_data import MOST_WORDS, kinds_of
from diagnosis_proof import BUCKET, THERMOMETER, _drawn, readings_at, setups, truths
from numpy.random import RandomState

from seaflow.base.facts import Fact, fact
from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.diagnose_card import LOOK, diagnose_card
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, posterior_of, setup_of
from seaflow.studies.diagnose.faults import faults
from seaflow.studies.diagnose.hypotheses import healthy_boats
from seaflow.studies.diagnose.look import AFTER_LOAD, LOAD, ODDS, in_words
from seaflow.studies.diagnose.predict import chances_of, margin, predicted, trips, water_shares
from seaflow.studies.diagnose.readings import Number, Readings, signs
from seaflow.studies.diagnose.simulate import Met, clean_shares, run, supply_range
from seaflow.studies.diagnose.usual import LOW_VOLTS, low_volts
from seaflow.studies.diagnose.verdict import ACT, NORMAL, STOP, WATCH, verdict_of
from seaflow.studies.diagnose.written import read_rows

FEW = Sampling(1024, 20)
MANY = 6  # boats of each loop, each read in four ways
SIGNS = "two signs"
AS_ODD = fact("diagnose.odd_sign", title="noise", place="", word="loud")
HARMLESS = ("nothing is harmed", "breaks nothing", "nothing is broken", "nothing wrong")
KETCH, THREE = "ketch-one-unit", "motor-three-units"


@cache
def setup(name=KETCH):
    case = load_case(f"cases/{name}.toml").case
    return setup_of(case, network.loops(case)[0])


def read(rows, name=KETCH):
    return read_rows(rows, setup(name).places)


def found_by(flotilla, truth, boat, which):
    """What an owner reads: by a thermometer, with a bucket, or one or two signs alone."""
    stream = RandomState(7000 + boat)
    if which in (THERMOMETER, BUCKET):
        return readings_at(truth, boat, which, stream)
    kinds = ("stream",) if which == "stream" else stream.choice(list(signs()), 2, replace=False)
    return Readings(
        signs=tuple((kind, _drawn(chances_of(flotilla, kind), boat, stream)) for kind in kinds)
    )


@cache
def answered():
    """Readings of many boats, what was true of each, and the answer."""
    found = []
    for number, one in enumerate(setups()):
        truth = truths(one, MANY, 300 + number)
        shares = water_shares(truth.flotilla)
        for boat in range(MANY):
            for which in (THERMOMETER, BUCKET, "stream", SIGNS):
                readings = found_by(truth.flotilla, truth, boat, which)
                try:
                    answer = diagnose(one, readings, FEW)
                except SeaflowError:
                    continue  # two signs that exclude each other
                found.append((which, readings, float(shares[boat]), answer))
    return found


def test_enough_boats_are_answered():
    assert len(answered()) > 0.8 * 4 * MANY * len(setups())
    assert {answer.verdict.word.kind for *_, answer in answered()} >= {
        *("diagnose.normal", "diagnose.watch", "diagnose.act_soon", "diagnose.stop_now")
    }


def test_a_third_of_the_usual_water_or_less_is_acted_on_soon_at_least():
    """As far as what was read tells of it: a thermometer, a bucket or the stream do."""
    little = [
        (readings, answer)
        for which, readings, share, answer in answered()
        if share <= 1.0 / 3.0 and which != SIGNS and readings.signs != (("stream", "strong"),)
    ]
    assert len(little) > 30
    missed = [readings for readings, answer in little if answer.verdict.word not in (ACT, STOP)]
    assert len(missed) <= 0.02 * len(little), missed


def test_nothing_is_to_run_on_and_has_room_and_a_trip_is_never_called_harmless():
    for _, readings, _, answer in answered():
        verdict, tripped = answer.verdict, ("tripped", "yes") in readings.signs
        if verdict.word == STOP:
            assert not verdict.to_cut_out and not verdict.to_ice
            assert answer.stop_if is None
        if tripped:
            assert verdict.word == STOP and not verdict.to_cut_out
            assert verdict.why.kind != "diagnose.all_stands"
        if tripped or verdict.word == STOP:
            said = " ".join(" ".join(one.says) for one in diagnose_card(answer, Show()).blocks)
            said += " ".join([*(one.act for one in answer.looks), *(c.do for c in answer.causes)])
            assert not any(words in said.lower() for words in HARMLESS)
        assert verdict.is_met == (verdict.word not in (ACT, STOP))


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ({"stream": "none", "pump": "silent", "tripped": "yes"}, "no_water"),
        ({"stream": "none", "pump": "silent", "bilge": "salt water"}, "salt_water"),
        ({"stream": "none", "bilge": "salt water"}, "salt_water"),
        ({"stream": "none", "pump": "silent", "breaker": "trips"}, "no_water"),
    ],
)
def test_a_pump_that_stands_hides_no_other_sign_that_stops_all(rows, why):
    verdict = diagnose(setup(), read(rows), FEW).verdict
    assert (verdict.word, verdict.why.kind) == (STOP, f"diagnose.{why}")


def test_a_leak_is_named_only_where_a_flow_was_read_that_speaks_for_it():
    named = [
        readings
        for _, readings, _, answer in answered()
        if answer.verdict.why.kind.endswith("leak")
    ]
    assert all(any(item.kind == "flow" for item in readings.numbers) for readings in named)
    for rows in ({"breaker": "trips"}, {"stream": "weak"}, {"bilge": "dry", "bubbles": "yes"}):
        assert diagnose(setup(), read(rows), FEW).verdict.why.kind != "diagnose.leak"
    short = {"sea": "27C", "discharge": "32.8C", "bucket": "10 L in 75 s", "load": "full"}
    assert diagnose(setup(), read(short)).verdict.why.kind == "diagnose.leak"
    told = read({**short, "load": "50 %"})  # so little heat needs no more water
    assert diagnose(setup(), told).verdict.why.kind != "diagnose.leak"


def scaled_to(room, sea):
    """A boat with nothing but scale, so thick that her unit is this near its cut-out [K]."""
    one = setup()
    number, n = one.index("coil_scaled"), 200
    nobody = healthy_boats(len(one.faults), n)
    severity = np.outer(np.arange(len(one.faults)) == number, np.linspace(0.0, 2e-3, n))
    boats = replace(nobody, first=np.full(n, number), severity=severity)
    shares = clean_shares(one, np.full((len(one.inputs) + 1, n), 0.5))
    flat = np.zeros(n)
    flotilla = run(one, boats, Met(flat + sea, flat + 230.0, flat), shares, Readings())
    return flotilla, int(np.argmin(np.abs(margin(flotilla) - room)))


@pytest.mark.parametrize("sea", [30.0, 31.0])
def test_a_scaled_coil_near_its_cut_out_is_told_as_what_water_cannot_tell(sea):
    flotilla, boat = scaled_to(6.0, sea)
    one = setup()
    unit, outlet = one.places.units[0], one.places.outlets[0]
    seen = {
        kind: Number(kind, place, float(predicted(flotilla, kind, place)[boat]))
        for kind, place in (("discharge", unit), ("flow", outlet), ("condensing", unit))
    }
    water = Readings((Number("sea", "", sea), seen["discharge"], seen["flow"]))
    by_water = diagnose(one, water).verdict
    assert by_water.word == NORMAL
    assert isinstance(by_water.unseen, Fact)
    assert by_water.unseen["room"].value < 10.0
    assert "diagnose.by_condensing" in kinds_of(by_water.unseen["by"])
    gauged = diagnose(one, replace(water, numbers=(*water.numbers, seen["condensing"]))).verdict
    assert gauged.word == ACT
    assert gauged.unseen is None


def test_a_dry_outlet_of_several_stops_and_is_named():
    outlets = setup(THREE).places.outlets
    said = read({"stream": [f"{outlets[0]}=none", f"{outlets[1]}=strong"]}, THREE)
    verdict = diagnose(setup(THREE), said, FEW).verdict
    assert verdict.word == STOP
    assert verdict.why["places"] == (outlets[0],)
    every = read({"stream": [f"{name}=none" for name in outlets]}, THREE)
    assert diagnose(setup(THREE), every, FEW).verdict.why.kind == "diagnose.no_water"


@pytest.mark.parametrize(("discharge", "first"), [("31C", "nothing"), ("30.5C", "part_load")])
def test_a_rise_of_seven_tenths_at_the_usual_flow_is_most_likely_part_load(discharge, first):
    """Healthy boats with another cabin and fan come down to that; below them it leads."""
    rows = {"sea": "27C", "discharge": discharge, "bucket": "10 L in 37 s"}
    found = diagnose(setup(), read(rows))
    odds = {cause.name: cause.chance for cause in found.causes}
    assert found.causes[0].name in (first, "part_load")
    assert found.verdict.word != NORMAL  # or it could be stored as what this boat should read
    assert odds["part_load"] > odds.get("low_refrigerant", 0.0) + odds.get("not_pumping", 0.0)
    assert found.looks[0].place == "the set point"
    assert found.next_reading.kind == "load"
    full = diagnose(setup(), read({**rows, "load": "full"}))
    assert full.causes[0].name != "part_load" and full.looks[0].leads != "part_load"
    known = diagnose(setup(), read({**rows, "load": "70 %"}))
    assert known.causes[0].name == "nothing"
    assert known.verdict.word == NORMAL


def test_the_load_is_asked_for_before_a_machine_is_accused():
    for _, readings, _, answer in answered():
        leads = [one.leads for one in answer.looks]
        told = any(kind == "load" for kind, _ in readings.signs)
        if told or not set(leads) & {*AFTER_LOAD, "part_load"}:
            continue
        assert answer.next_reading.kind == "load"
        machines = [leads.index(name) for name in AFTER_LOAD if name in leads]
        if "part_load" in leads and machines:
            assert leads.index("part_load") < min(machines)


@pytest.mark.parametrize(("volts", "doubted"), [("150 V", False), ("120 V", True), ("95 V", True)])
def test_volts_below_the_least_of_the_sheet_are_possible_while_water_comes(volts, doubted):
    """The sheet of this pump says 195 V; at 127 V none turns, so then the meter is doubted."""
    for more in ({"stream": "weak"}, {"bucket": "10 L in 55 s"}):
        found = diagnose(setup(), read({"volts": volts, **more}), FEW)
        assert ("diagnose.volts_doubted" in kinds_of(found.notes)) == doubted
        assert found.verdict.word != NORMAL
        if not doubted:
            assert found.looks[0].leads == "low_volts"
    for dry in ({}, {"stream": "none"}):
        if volts == "150 V":
            continue
        with pytest.raises(SeaflowError):
            read({"volts": volts, **dry})


@pytest.mark.parametrize(("tripping", "word"), [(0.61, STOP), (0.59, ACT), (0.51, ACT)])
def test_all_is_stopped_where_a_trip_is_likely_and_acted_on_where_it_is_an_even_chance(
    tripping, word
):
    readings = read({"sea": "28C", "discharge": "38C"})
    found = posterior_of(setup(), readings, FEW)
    dry = trips(found.flotilla)
    weight = np.where(dry, tripping / dry.sum(), (1.0 - tripping) / (~dry).sum())
    verdict = verdict_of(replace(found, weight=weight), readings)
    assert (verdict.word, verdict.why.kind) == (word, "diagnose.most_are_dry")


@pytest.mark.parametrize(
    ("name", "volts", "why"),
    [
        ("battery-sloop-variable", "10.5 V", "flat_bank"),
        ("battery-sloop-variable", "11.4 V", "as_healthy"),
        (KETCH, "190 V", "unlike_healthy"),
    ],
)
def test_a_flat_bank_is_acted_on_and_charged_and_mains_is_watched(name, volts, why):
    one = setup(name)
    answer = diagnose(one, read({"sea": "27C", "stream": "strong", "volts": volts}, name))
    assert answer.verdict.why.kind == f"diagnose.{why}"
    assert (answer.verdict.word == ACT) == (why == "flat_bank")
    if why == "flat_bank":
        assert answer.looks[0].leads == "low_volts" and "engine" in answer.looks[0].act


ANY_115 = {"unit": ["16000 BTU/h"], "supply": "115 V 60 Hz"}
ANY_12 = {"unit": ["5000 BTU/h"], "supply": "12 V DC"}


@pytest.mark.parametrize(
    ("boat", "rows", "least"),
    [
        (ANY_115, {"volts": "99 V", "discharge": "34C"}, WATCH),
        (ANY_115, {"volts": "99 V", "discharge": "47C"}, ACT),
        (ANY_115, {"volts": "99 V", "tripped": "yes"}, STOP),
        (ANY_12, {"volts": "10.4 V", "discharge": "32C"}, ACT),
        (ANY_12, {"volts": "10.4 V"}, ACT),
    ],
)
def test_volts_below_the_least_of_the_supply_are_always_told_with_what_they_do(boat, rows, least):
    """A tenth less than nominal is the least of a sound supply (common practice)."""
    case = spoken_boat(boat).loaded.case
    one = setup_of(case, network.loops(case)[0])
    readings = read_rows({"sea": "28C", "stream": "strong", **rows}, one.places)
    answer = diagnose(one, readings, FEW)
    assert answer.verdict.word == least
    said = [*answer.verdict.reasons, *answer.notes]
    assert sum(told.kind in LOW_VOLTS for told in said) == 1
    if answer.verdict.reasons[0].kind in LOW_VOLTS:
        told = diagnose_card(answer, Show())
        assert not any("away" in says for one in told.blocks for says in one.says)


@pytest.mark.parametrize(
    ("rows", "explained"),
    [
        ({"discharge": "30C", "load": "part"}, True),
        ({"discharge": "30C", "load": "part", "bucket": "38"}, True),
        ({"discharge": "30C", "bucket": "38"}, False),
        ({"discharge": "30C", "load": "full"}, False),
        ({"discharge": "28.1C", "load": "part"}, False),  # no compressor pumps
        ({"discharge": "40C", "load": "part"}, False),
        ({"discharge": "30C", "load": "part", "bucket": "150"}, False),
    ],
)
def test_a_small_rise_is_usual_only_where_part_load_was_told_and_explains_it(rows, explained):
    answer = diagnose(setup(), read({"sea": "28C", **rows}), Sampling(4096, 20))
    assert (answer.verdict.word == NORMAL) == explained
    assert (answer.verdict.why.kind == "diagnose.as_at_part_load") == explained
    assert not explained or answer.heat is None or answer.heat.agrees


@pytest.mark.parametrize(
    ("name", "discharge"),
    [("badly-arranged", ("29.2C", "33C")), (THREE, ("26.1C", "26C", "26.4C"))],
)
def test_one_night_is_that_of_all_units(name, discharge):
    """Units that all warm the water alike little are at part load before a thermometer misreads."""
    pairs = zip(setup(name).places.units, discharge, strict=True)
    rows = {"sea": "24C", "discharge": [f"{unit}={value}" for unit, value in pairs]}
    found = {
        load: diagnose(setup(name), read({**rows, **told}, name), Sampling(4096, 20))
        for load, told in {"": {}, "part": {"load": "part"}, "full": {"load": "full"}}.items()
    }
    assert found["part"].verdict.why.kind == "diagnose.as_at_part_load"
    assert {found[load].causes[0].name for load in ("", "part")} == {"part_load"}
    assert found["full"].verdict.word != NORMAL


def test_heat_that_does_not_agree_is_kept_on_the_card_before_what_else_is_odd():
    """The reading that is to be taken again decides; the other odd ones can be left out."""
    answer = diagnose(setup(), read({"sea": "28C", "discharge": "30C", "bucket": "38"}), FEW)
    assert answer.heat is not None and not answer.heat.agrees
    odd = replace(answer.verdict, why=fact("diagnose.unlike_healthy", readings=(AS_ODD,) * 3))
    blocks = diagnose_card(replace(answer, verdict=odd), Show()).blocks
    notes = next(one for one in blocks if one.label == "Note")
    assert notes.says[0] == Show().sentence(answer.heat.says)


def test_volts_above_the_least_of_the_supply_are_no_low_volts():
    """But for the last digit of a hand meter."""
    low = supply_range(setup())[0] - 0.05
    for volts, is_low in ((low - 0.01, True), (low + 0.01, False)):
        readings = Readings((Number("volts", "", volts), Number("sea", "", 27.0)))
        assert (low_volts(posterior_of(setup(), readings, FEW), readings) is not None) == is_low


def test_odds_in_words_agree_with_the_per_cent_beside_them():
    for least, word in ODDS:
        assert in_words(least) == in_words(least - 0.004) == word or least == 0.0
        assert in_words(least + 0.004) == word
    for _, _, _, answer in answered()[:40]:
        for one in (*answer.looks, *answer.causes):
            assert one.odds == in_words(round(one.chance, 2))


def test_the_verdict_of_a_posterior_needs_no_answer_around_it():
    readings = read({"sea": "27C", "discharge": "43C"})
    assert verdict_of(posterior_of(setup(), readings, FEW), readings).word == ACT


def test_a_doubtful_reading_is_taken_again_before_anything_is_opened():
    rows = {"sea": "27C", "discharge": "32C", "bucket": "40", "volts": "11.2 V", "amps": "3.1 A"}
    name = "battery-sloop-variable"
    card = diagnose_card(diagnose(setup(name), read(rows, name), Sampling(4096, 20)), Show())
    assert [block.label for block in card.blocks].count("First") == 1


def first_words(answer, system):
    """The words of the card down to what to stop at, without its cautions."""
    card, found = diagnose_card(answer, Show(system)), []
    for block in card.blocks:
        if block.label in ("Odds", "Next", "Note", "How sure"):
            break
        if block.label == "Careful":
            continue
        said = " ".join(block.says)
        for look in answer.looks:
            for caution in look.cautions[:1]:
                said = said.replace(caution.brief, "")
        found += [block.label, *said.split()]
    return found


def test_what_is_seen_at_a_place_that_is_told_is_not_the_next_reading_too():
    """But the load: until it is told, all that is read besides may mean another thing."""
    kinds = {fault.name: {kind for kind, _ in fault.answered} for fault in faults()}
    found = [
        (one.leads, answer.next_reading)
        for *_, answer in answered()
        for one in answer.looks[: len(LOOK)]
        if answer.verdict.word in (ACT, STOP) and answer.next_reading is not None
    ]
    assert sum(bool(kinds[name] - {LOAD}) for name, _ in found) > 40
    for name, wanted in found:
        assert wanted.kind not in kinds[name] - {LOAD}, (name, wanted.title)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_answer_stands_in_its_first_sixty_words(system):
    told = [first_words(answer, system) for *_, answer in answered()]
    longest = max(told, key=len)
    assert len(longest) <= MOST_WORDS, " ".join(longest)


def test_cautions_on_the_card_are_of_the_two_places_named_and_of_no_others():
    general = {item.brief for item in cautions("diagnose") if item.brief}
    for _, _, _, answer in answered():
        card = diagnose_card(answer, Show())
        (careful,) = (" ".join(block.says) for block in card.blocks if block.label == "Careful")
        labels = [block.label for block in card.blocks]
        looks = answer.looks[: labels.count("Look here") + labels.count("Then here")]
        wanted = {item.brief for one in looks for item in one.cautions[1:]} | general
        for brief in wanted:
            assert brief in careful
            careful = careful.replace(brief, "")
        assert not careful.strip()
