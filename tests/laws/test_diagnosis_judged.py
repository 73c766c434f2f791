"""What a diagnosis makes of odds and readings, at each edge: words, places, refusals, on paper."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import L

from seaflow.base.facts import fact
from seaflow.base.problems import SeaflowError
from seaflow.studies.design.limits import limit
from seaflow.studies.diagnose import look, usual, verdict
from seaflow.studies.diagnose import unseen as hidden
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.impossible import cold_room, refuse_impossible, water_comes
from seaflow.studies.diagnose.look import Look, in_words, looks
from seaflow.studies.diagnose.readings import (
    BUCKET,
    US_BUCKET,
    Number,
    Places,
    Readings,
    instruments,
    number_read,
    sign_read,
    signs,
)
from seaflow.studies.diagnose.usual import coldest, far_too_hot, no_more_load
from seaflow.studies.diagnose.verdict import ACT, NORMAL, STOP, UNREAD, WATCH, Verdict, stop_if

PLACES = Places(("a", "b"), ("port", "starboard"), {"a": "R-410A"}, 230.0, (5.0, 32.0))


def read(*numbers, **more):
    return Readings(tuple(Number(*one) for one in numbers), **more)


def refused(readings, places=PLACES):
    """The code with which readings are refused, nothing where they are not."""
    try:
        refuse_impossible(readings, places)
    except SeaflowError as found:
        return found.problems[0].code
    return ""


# --------------------------------------------------------------------------- what cannot have been


@pytest.mark.parametrize(
    ("volts", "stream", "code"),
    [
        (137.9, "", "D01"),
        (138.1, "", ""),
        (298.9, "", ""),
        (299.1, "", "D01"),
        (299.1, "weak", "D01"),
        (92.1, "weak", ""),
        (92.1, "none", "D01"),
        (91.9, "weak", "D01"),
    ],
)
def test_volts_of_another_supply_are_refused_unless_water_comes(volts, stream, code):
    told = {"signs": (("stream", stream),)} if stream else {}
    assert refused(read(("volts", "", volts), **told)) == code
    assert refused(read(("volts", "", volts), **told), replace(PLACES, volts=None)) == ""


def test_buckets_are_ten_litres_and_two_gallons():
    """231 cubic inches to the US gallon (NIST Handbook 44, appendix C)."""
    assert pytest.approx(10e-3, rel=1e-12) == BUCKET
    assert pytest.approx(2.0 * 231.0 * 0.0254**3, rel=1e-12) == US_BUCKET


def test_water_comes_by_stream_by_one_outlet_or_by_a_bucket():
    assert not water_comes(Readings())
    for words in ((("stream", "weak"),), (("stream", "strong"),)):
        assert water_comes(Readings(signs=words))
    assert not water_comes(Readings(signs=(("stream", "none"), ("pump", "running"))))
    assert water_comes(Readings(streams=(("port", "none"), ("starboard", "weak"))))
    assert not water_comes(Readings(streams=(("port", "none"),)))
    assert water_comes(read(("flow", "port", 0.0), ("flow", "starboard", L)))
    assert not water_comes(read(("flow", "port", 0.0), ("sea", "", 20.0)))


def test_a_discharge_is_on_its_side_of_the_sea_but_for_three_errors_together():
    room = 3.0 * math.hypot(instruments()["discharge"].error, instruments()["sea"].error)
    assert cold_room() == pytest.approx(room)
    for mode, sign in (("cooling", 1.0), ("heating", -1.0)):
        for off, code in ((0.98, ""), (1.02, "D01")):
            readings = read(("sea", "", 20.0), ("discharge", "a", 20.0 - sign * off * room))
            assert refused(replace(readings, mode=mode)) == code
            beside = replace(readings, numbers=(*readings.numbers, Number("discharge", "b", 20.0)))
            assert refused(replace(beside, mode=mode)) == code
        assert refused(replace(read(("discharge", "a", 10.0)), mode=mode)) == ""


def test_nobody_heats_in_a_sea_of_thirty_degrees():
    for sea, code in ((29.9, ""), (30.0, ""), (30.1, "D01")):
        assert refused(replace(read(("sea", "", sea)), mode="heating")) == code
        assert refused(read(("sea", "", sea))) == ""


@pytest.mark.parametrize(
    ("kind", "value", "code"),
    [
        ("sea", 70.0, "D01"),  # 21 degC
        ("sea", 4.0, ""),  # too cold in either scale: left to other questions
        ("sea", 32.0, ""),
        ("sea", 33.0, ""),
        ("sea", -15.0, "D01"),  # 5 F is -15 degC
        ("sea", 41.1, "D01"),  # 5 degC
        ("sea", 40.9, ""),
        ("discharge", 66.9, ""),
        ("discharge", 67.1, "D01"),
        ("discharge", 86.0, "D01"),
        ("condensing", 104.0, ""),
    ],
)
def test_a_temperature_that_is_usual_in_the_other_scale_is_asked_about(kind, value, code):
    assert refused(read((kind, "" if kind == "sea" else "a", value))) == code


def test_the_high_side_is_not_colder_than_the_sea_and_not_read_while_heating():
    room = 3.0 * math.hypot(instruments()["condensing"].error, 1.0)
    for sea, coldest_ in ((20.0, 20.0), (None, -2.0)):
        for off, code in ((0.98, ""), (1.02, "D01")):
            numbers = [("condensing", "a", coldest_ - off * room)]
            numbers += [] if sea is None else [("sea", "", sea)]
            assert refused(read(*numbers)) == code
    assert refused(replace(read(("condensing", "a", 40.0)), mode="heating")) == "D05"
    # R-410A at 20 degC stands at 14.4 bar absolute, 13.4 bar on the gauge (tables of refrigerants)
    for gauge, code in ((13.3e5, ""), (11.0e5, "D01")):
        assert refused(read(("high_side", "a", gauge), ("sea", "", 20.0))) == code


STREAM = {word: (("stream", word),) for word in ("strong", "weak", "none")}


@pytest.mark.parametrize(
    ("readings", "code"),
    [
        (read(("flow", "port", L), ("flow", "starboard", L), signs=STREAM["none"]), "D01"),
        (read(("flow", "port", L), signs=STREAM["none"]), ""),
        (read(("flow", "port", L), ("flow", "starboard", 0.0), signs=STREAM["none"]), ""),
        (read(("flow", "port", 0.0), signs=STREAM["strong"]), "D01"),
        (read(("flow", "port", L), signs=STREAM["strong"]), ""),
        (read(("flow", "port", 0.0), signs=STREAM["weak"]), ""),
        (Readings(signs=(*STREAM["strong"], ("handle", "shut"))), "D01"),
        (Readings(signs=(*STREAM["weak"], ("handle", "shut"))), ""),
        (Readings(signs=(("handle", "shut"),), streams=(("port", "strong"),)), "D01"),
        (Readings(signs=(("handle", "shut"),), streams=(("port", "weak"),)), ""),
        (Readings(signs=(*STREAM["strong"], ("pump", "silent"))), "D01"),
        (Readings(signs=(*STREAM["weak"], ("pump", "silent"))), ""),
        (Readings(signs=(*STREAM["strong"], ("pump", "running"))), ""),
        (Readings(signs=(("pump", "silent"),), streams=(("port", "strong"),)), "D01"),
        (Readings(signs=(("pump", "silent"),), streams=(("port", "none"),)), ""),
        (read(("flow", "port", L), streams=(("port", "none"),)), "D01"),
        (read(("flow", "port", 0.0), streams=(("port", "none"),)), ""),
        (read(("flow", "port", 0.0), streams=(("port", "strong"),)), "D01"),
        (read(("flow", "port", 0.0), streams=(("port", "weak"),)), ""),
        (read(("flow", "port", L), streams=(("port", "strong"),)), ""),
        (read(("flow", "starboard", L), streams=(("port", "none"),)), ""),
    ],
)
def test_stream_flow_and_pump_exclude_each_other(readings, code):
    assert refused(readings) == code
    nowhere = replace(PLACES, outlets=())
    if readings.signs == STREAM["none"]:
        assert refused(readings, nowhere) == ""


# ---------------------------------------------------------------------------------- what was read


def test_readings_of_streams_and_trips():
    outlets = ("port", "starboard")
    dry = Readings(streams=(("port", "none"), ("starboard", "none")))
    assert dry.of_all(outlets).signs == STREAM["none"] and not dry.of_all(outlets).streams
    one = Readings(streams=(("port", "none"), ("starboard", "weak")))
    assert one.of_all(outlets) == one and dry.of_all(()) == dry
    told = replace(dry, signs=STREAM["none"]).of_all(outlets)
    assert told.signs == STREAM["none"]
    trips = Readings().with_trips({"a": "no", "b": "yes"})
    assert (trips.signs, trips.tripped_at) == ((("tripped", "yes"),), "b")
    assert trips.place_of("tripped") == "b" and trips.place_of("stream") == ""
    both = Readings().with_trips({"a": "yes", "b": "yes"})
    assert (both.signs, both.tripped_at) == ((("tripped", "yes"),), "")
    none = Readings().with_trips({"a": "no"})
    assert (none.signs, none.tripped_at) == ((("tripped", "no"),), "a")
    assert Readings().with_trips({"a": "no", "b": "no"}).tripped_at == ""
    assert (trips.spared, both.spared, none.spared) == (("a",), (), ())


def test_readings_alike_are_the_same_to_six_digits_in_any_order():
    one = read(("sea", "", 20.0), ("flow", "port", L), signs=STREAM["weak"])
    assert one.alike(replace(one, numbers=one.numbers[::-1]))
    assert one.alike(read(("sea", "", 20.0 + 1e-7), ("flow", "port", L), signs=STREAM["weak"]))
    others = [
        read(("sea", "", 20.001), ("flow", "port", L), signs=STREAM["weak"]),
        replace(one, signs=STREAM["none"]),
        replace(one, streams=(("port", "weak"),)),
        replace(one, mode="heating"),
        replace(one, load=0.5),
        replace(one, tripped_at="a"),
        read(("sea", "", 20.0), ("flow", "starboard", L), signs=STREAM["weak"]),
    ]
    assert not any(one.alike(other) for other in others)


def test_readings_are_counted_and_asked_by_place():
    every = read(("flow", "port", 1.0), ("flow", "starboard", 2.0), signs=STREAM["weak"])
    every = replace(every, streams=(("port", "weak"),), tried=("cleaned",))
    assert every.count == 5 and not every.is_empty
    assert Readings().is_empty and Readings().count == 0
    for part in ("numbers", "signs", "streams", "tried"):
        assert not replace(Readings(), **{part: getattr(every, part)}).is_empty
    assert every.of("flow") == 1.0 and every.of("flow", "starboard") == 2.0
    assert every.of("sea") is None and every.of("flow", "a") is None
    assert PLACES.at(("unit",)) == ("a", "b") and PLACES.at(("outlet",)) == ("port", "starboard")
    assert PLACES.at(("unit", "outlet")) == ("a", "b", "port", "starboard") and PLACES.at(()) == (
        "",
    )


def test_what_was_read_is_told_with_its_place_and_bucket():
    said = number_read(Number("flow", "port", 0.25e-3, 0.012))
    assert (said["place"], said["bucket"].value, said["seconds"]) == ("port", 0.012, 48.0)
    assert number_read(Number("flow", "port", 0.25e-3))["seconds"] == pytest.approx(40.0)
    assert number_read(Number("flow", "port", 0.0)).kind == "diagnose.number_read"
    said = number_read(Number("discharge", "b", 31.0))
    assert (said.kind, said["place"]) == ("diagnose.number_read", "b")
    assert sign_read("stream", "weak", "port")["title"] == signs()["stream"].title
    error = replace(instruments()["flow"], error=3.0, share=0.04)
    assert error.deviation(100.0) == pytest.approx(5.0)
    one = signs()["stream"]
    asked = replace(one, ask="now?", in_heating="then?")
    assert (asked.asked(False), asked.asked(True)) == ("now?", "then?")
    assert replace(asked, in_heating="").asked(True) == "now?"


# ------------------------------------------------------------------------------------ the verdict


def flotilla(names=("leak", "coil_scaled")):
    index = {name: number for number, name in enumerate(names)}
    design = SimpleNamespace(cut_out_margin=5.0)
    mains = SimpleNamespace(current="ac", voltage=230.0)
    case = SimpleNamespace(design=design, supply=mains)
    setup = SimpleNamespace(index=lambda name: index.get(name, NONE), case=case, places=PLACES)
    now = SimpleNamespace(mode="cooling")
    return SimpleNamespace(setup=setup, boats=SimpleNamespace(now=now))


def posterior(weight=(0.5, 0.5), leak=0.0, names=("leak", "coil_scaled")):
    return SimpleNamespace(
        weight=np.asarray(weight), present=np.asarray([leak, 0.0]), flotilla=flotilla(names)
    )


READ = read(("sea", "", 25.0), ("flow", "port", L))
ODD = (fact("odd.one"), fact("odd.two"), fact("odd.three"))


def by_odd(monkeypatch, shares=(1.0, 1.0), odd=(), near=False, readings=READ, **more):
    monkeypatch.setattr(verdict, "water_shares", lambda _: np.asarray(shares))
    word, why = verdict._by_what_is_odd(posterior(**more), readings, tuple(odd), near)
    return word, why.kind.removeprefix("diagnose."), why


def test_the_word_for_what_is_odd(monkeypatch):
    def told(**more):
        return by_odd(monkeypatch, **more)[:2]

    plain = read(("sea", "", 25.0))
    assert told() == (NORMAL, "as_healthy")
    assert told(readings=read(("flow", "port", L))) == (WATCH, "sea_unread")
    assert told(odd=ODD) == (WATCH, "unlike_healthy")
    assert told(odd=ODD, near=True) == (ACT, "unlike_healthy")
    assert told(near=True) == (NORMAL, "as_healthy")
    # a leak counts from three in ten on; it is named by a flow at a load or a bilge that was told
    hard, dry = (replace(READ, signs=(one,)) for one in (("load", "full"), ("bilge", "dry")))
    for speaks in (hard, dry, replace(READ, load_read=True)):
        assert told(leak=0.3, readings=speaks) == (ACT, "leak")
        assert told(leak=0.29, readings=speaks) == (NORMAL, "as_healthy")
    for silent in (READ, replace(READ, signs=(("load", "part"),))):
        assert told(leak=0.3, readings=silent) == (WATCH, "bucket_or_leak")
    assert told(leak=0.3, near=True) == told(leak=0.3, shares=(0.3, 0.3)) == (ACT, "little_water")
    assert told(leak=0.3, readings=plain) == (ACT, "little_water")
    assert told(leak=0.3, readings=plain, odd=ODD) == (ACT, "unlike_healthy")
    assert told(leak=0.9, names=("other", "coil_scaled")) == (NORMAL, "as_healthy")
    # a third of the water on one boat in five
    for share, weight, word in (
        (0.333, 0.2, ACT),
        (0.333, 0.19, NORMAL),
        (0.334, 0.2, NORMAL),
    ):
        assert told(shares=(share, 1.0), weight=(weight, 1.0 - weight))[0] == word
    # half of the water on the mean, where something is odd
    assert told(shares=(0.5, 0.5), odd=ODD)[0] == ACT
    assert told(shares=(0.5, 0.52), odd=ODD)[0] == WATCH
    assert told(shares=(0.5, 0.5))[0] == NORMAL
    assert by_odd(monkeypatch, odd=ODD)[2]["readings"] == ODD[:2]
    assert by_odd(monkeypatch, odd=ODD, near=True)[2]["readings"] == ODD[:1]
    assert by_odd(monkeypatch, leak=0.35, readings=hard)[2]["chance"] == 0.35
    assert by_odd(monkeypatch, leak=0.35, odd=ODD, readings=plain)[2]["readings"] == ODD[:1]


def word_of(monkeypatch, distance, readings=READ, odd=(), dry=0.0, hot=False):
    monkeypatch.setattr(verdict, "trips", lambda _: np.asarray([True, False]))
    monkeypatch.setattr(verdict, "water_shares", lambda _: np.ones(2))
    monkeypatch.setattr(verdict, "far_too_hot", lambda *_: hot)
    monkeypatch.setattr(verdict, "_odd", lambda *_: iter(odd))
    found = posterior((dry, 1.0 - dry))
    word, why = verdict._word(found, readings, distance)
    return word, why.kind.removeprefix("diagnose.")


def test_the_word_by_room_to_the_cut_out(monkeypatch):
    def told(*given, **more):
        return word_of(monkeypatch, *given, **more)

    assert told(None, Readings()) == (UNREAD, "nothing_read")
    assert told((1.0, 4.9, 9.0)) == (ACT, "near_cut_out")
    warm = {"value": 44.0, "place": "unit", "low": 33.0, "high": 36.0, "title": "discharge"}
    odd = (fact("odd.one"), fact("diagnose.odd_discharge", **warm))
    assert told((1.0, 4.9, 9.0), odd=odd) == (ACT, "near_cut_out_read")
    assert told((1.0, 4.9, 9.0), odd=odd[:1]) == (ACT, "near_cut_out")
    assert told((1.0, 5.0, 9.0)) == (NORMAL, "as_healthy")
    assert told((1.0, 9.9, 12.0), odd=ODD) == (ACT, "unlike_healthy")
    assert told((1.0, 10.0, 12.0), odd=ODD) == (WATCH, "unlike_healthy")
    assert told((1.0, 20.0, 30.0), odd=ODD, hot=True)[0] == ACT
    assert told((0.1, 20.0, 30.0), odd=ODD)[0] == WATCH
    assert told((0.0, 20.0, 30.0), odd=ODD) == (ACT, "unlike_healthy")
    assert told((0.0, 20.0, 30.0))[0] == NORMAL
    assert told((9.0, 20.0, 30.0), dry=0.6) == (STOP, "most_are_dry")
    assert told((9.0, 20.0, 30.0), dry=0.59) == (ACT, "most_are_dry")
    assert told((9.0, 20.0, 30.0), dry=0.51) == (ACT, "most_are_dry")
    assert told((9.0, 20.0, 30.0), dry=0.5)[0] == NORMAL
    assert told((9.0, 20.0, 30.0), read(("sea", "", 20.0))) == (WATCH, "nothing_measured")
    assert told((9.0, 20.0, 30.0), read(("volts", "", 230.0)), odd=ODD)[1] == "unlike_healthy"
    for some in (Readings(signs=STREAM["weak"]), Readings(streams=(("port", "weak"),))):
        assert told((9.0, 20.0, 30.0), some)[1] != "nothing_measured"
    assert told(None, Readings(signs=(("bilge", "dry"),)))[1] == "nothing_measured"


def test_the_word_by_room_to_ice(monkeypatch):
    heats = replace(READ, mode="heating")
    assert word_of(monkeypatch, (-2.0, -0.1, 1.0), heats) == (ACT, "near_ice")
    assert word_of(monkeypatch, (-2.0, 0.0, 1.0), heats)[0] == NORMAL
    assert word_of(monkeypatch, (0.1, 0.99, 3.0), heats, ODD)[0] == ACT
    assert word_of(monkeypatch, (0.1, 1.01, 3.0), heats, ODD)[0] == WATCH
    assert word_of(monkeypatch, (0.0, 1.01, 3.0), heats, ODD)[0] == ACT
    cold = read(("sea", "", 8.0), ("discharge", "a", -1.0), mode="heating")
    assert word_of(monkeypatch, None, cold) == (ACT, "cold_discharge")


def test_signs_that_stop_all_come_in_the_order_of_their_urgency():
    found = posterior()
    order = [sign for sign, _ in verdict.stops()]
    assert order[0] == ("bilge", "salt water")
    for number, sign in enumerate(order):
        word, why = verdict.stop_of(found, Readings(signs=tuple(order[number:][::-1])))
        assert (word, why) == (STOP, dict(verdict.stops())[sign])
    assert verdict.stop_of(found, Readings(signs=(("bilge", "dry"),))) is None
    one = Readings(streams=(("port", "none"), ("starboard", "weak")))
    assert verdict.stop_of(found, one)[1]["places"] == ("port",)
    heats = Readings(signs=(("tripped", "yes"),), mode="heating")
    assert verdict.stop_of(found, heats)[1].kind == "diagnose.tripped_heating"


def test_what_to_stop_at_is_what_was_not_read_already():
    some = Readings(signs=(("tripped", "yes"),))
    for word in (NORMAL, STOP):
        assert stop_if(Verdict(word, ODD[0]), Readings()) is None
    every = stop_if(Verdict(ACT, ODD[0]), Readings())["signs"]
    fewer = stop_if(Verdict(WATCH, ODD[0]), some)["signs"]
    assert len(every) == 4 and set(every) - set(fewer) == {fact("diagnose.if_trips")}
    assert [Verdict(word, ODD[0]).is_met for word in (NORMAL, WATCH, ACT, STOP)] == [
        *(True, True, False, False)
    ]
    assert (
        Verdict(WATCH, verdict.SEA_UNREAD).tells_nothing and not Verdict(ACT, ODD[0]).tells_nothing
    )


def test_a_silent_pump_without_water_stands_or_runs_dry(monkeypatch):
    silent = Readings(signs=(("stream", "none"), ("pump", "silent")))
    monkeypatch.setattr(verdict, "at_rest", lambda _: np.asarray([True, False]))
    for weight, kind in ((0.51, "all_stands"), (0.5, "pump_stands")):
        word, why = verdict.stop_of(posterior((weight, 1.0 - weight)), silent)
        assert (word, why.kind) == (ACT if kind == "all_stands" else STOP, f"diagnose.{kind}")


# --------------------------------------------------------------------------------- hot, and unseen


def test_a_unit_is_hot_beside_healthy_ones(monkeypatch):
    ends = {"discharge": (28.0, 32.0), "condensing": (38.0, 45.0)}
    monkeypatch.setattr(usual, "usual_of", lambda _, number: ends.get(number.kind))
    found = SimpleNamespace(
        flotilla=SimpleNamespace(
            as_they_come=SimpleNamespace(met=SimpleNamespace(sea=np.full(3, 25.0)))
        )
    )
    assert no_more_load(found, Readings(signs=(("tripped", "yes"),)))
    assert not no_more_load(found, Readings(signs=(("tripped", "no"),)))
    for kind, value, hot in (
        ("discharge", 32.0, False),
        ("discharge", 32.1, True),
        ("discharge", 27.0, False),
        ("condensing", 45.1, True),
        ("flow", 1.0, False),
    ):
        assert no_more_load(found, read((kind, "a", value))) == hot
        assert no_more_load(found, read(("discharge", "b", 30.0), (kind, "a", value))) == hot
    heats = read(("discharge", "a", 27.9), mode="heating")
    assert no_more_load(found, heats)
    assert not no_more_load(found, read(("discharge", "a", 40.0), mode="heating"))
    # twice the most rise of healthy boats: 7 K over 25 degC
    for value, hot in ((39.0, False), (39.1, True), (20.0, False)):
        assert far_too_hot(found, read(("discharge", "a", value))) == hot
    ends["discharge"] = (20.0, 24.0)
    assert not far_too_hot(found, read(("discharge", "a", 60.0)))
    assert not far_too_hot(found, read(("condensing", "a", 90.0)))


def test_the_coldest_water_that_leaves_a_heating_unit_is_told_near_ice():
    risk = limit("ice_risk")
    numbers = (("discharge", "a", risk + 1.0), ("discharge", "b", risk))
    assert coldest(read(*numbers, mode="heating")) == risk
    assert coldest(read(*numbers)) is None
    assert coldest(read(numbers[0], mode="heating")) is None
    assert coldest(read(("sea", "", -5.0), mode="heating")) is None


def test_a_trip_is_unexplained_by_water_only_where_water_was_seen_and_nothing_else_is_odd():
    def told(readings, odd=()):
        return hidden.looks_well(posterior(), readings, odd)

    well = read(("flow", "port", L))
    assert told(well).kind == "diagnose.water_looks_well"
    assert told(read(("discharge", "a", 30.0))) and told(Readings(signs=STREAM["strong"]))
    assert told(Readings(streams=(("port", "strong"),)))
    assert told(read(("sea", "", 25.0))) is None
    assert told(read(("flow", "port", L), ("watts", "a", 900.0))) is None
    trip = fact("diagnose.odd_sign", title=signs()["tripped"].title, place="", word="yes")
    assert told(well, (trip,)) and told(well, (trip, ODD[0])) is None
    shown = [said.kind for said in hidden.shown_by(PLACES)]
    assert shown == ["diagnose.by_condensing", "diagnose.by_high_side", "diagnose.by_watts"]
    fewer = [said.kind for said in hidden.shown_by(replace(PLACES, refrigerants={}))]
    assert fewer == ["diagnose.by_condensing", "diagnose.by_watts"]


# --------------------------------------------------------------------------------- where to look


@pytest.mark.parametrize(
    ("chance", "word"),
    [
        *((1.0, "almost_certain"), (0.945, "very_likely"), (0.946, "almost_certain")),
        *((0.8, "very_likely"), (0.79, "likely"), (0.6, "likely"), (0.59, "about_even")),
        *((0.4, "about_even"), (0.39, "possible"), (0.2, "possible"), (0.19, "unlikely")),
        *((0.07, "unlikely"), (0.06, "very_unlikely"), (0.0, "very_unlikely")),
    ],
)
def test_odds_in_words(chance, word):
    assert in_words(chance) == fact(f"diagnose.{word}")


def at(leads, chance=0.5):
    return Look(leads, "", in_words(chance), chance, leads=leads)


def test_the_load_comes_before_the_machine_that_it_looks_like():
    weed, load, gas = at("weed"), at("part_load"), at("low_refrigerant")
    assert look._load_first([weed, gas, load]) == [weed, load, gas]
    assert look._load_first([gas, weed, load]) == [load, gas, weed]
    for order in ([load, gas], [weed, load], [gas, weed], []):
        assert look._load_first(list(order)) == order
    unread, told = Readings(), Readings(load_read=True)
    assert look.wants_load([weed, gas], unread) and look.wants_load([load], unread)
    assert not look.wants_load([weed], unread) and not look.wants_load([gas], told)
    assert not look.wants_load([gas], Readings(signs=(("load", "full"),)))


def fault(name, place, **more):
    told = {"name": name, "look": place, "act": f"act {name}", "cautions": (), "running": False}
    told |= {"effort": 1.0, "signs": None, "machine": False, "answered": (), "tried": ()}
    told |= {"only_when": ()}
    return SimpleNamespace(**told | more)


class Guess:
    """A posterior of boats with one fault each, the last with none; every fault explains."""

    def __init__(self, faults, odds, support=None):
        n = len(faults)
        self.weight = np.asarray([*odds, max(1.0 - sum(odds), 0.0)])
        self.present = np.asarray(odds)
        first = np.asarray([*range(n), NONE])
        hypotheses = SimpleNamespace(present=lambda number: first == number, first=first)
        network = SimpleNamespace(units_by_size=[SimpleNamespace(name=name) for name in "ab"])
        setup = SimpleNamespace(faults=faults, built=SimpleNamespace(network=network))
        self.flotilla = SimpleNamespace(setup=setup, hypotheses=hypotheses)
        self.support = np.asarray([*(support or [1.0] * n), 0.0])

    def mean_support(self):
        return self.support


def names(found):
    return [one.leads for one in found]


def test_places_come_by_odds_over_effort_and_the_likeliest_is_always_shown():
    faults = [
        fault("a", "hull", effort=8.0),
        *(fault(name, name) for name in "bcd"),
        fault("e", "hull"),
    ]
    found = looks(Guess(faults, [0.23, 0.2, 0.15, 0.1, 0.05]), "magnetic", READ)
    assert names(found) == ["b", "c", "d", "a"]  # the likeliest beside the first three
    assert [one.chance for one in found] == pytest.approx([0.2, 0.15, 0.1, 0.28])
    far = looks(Guess(faults, [0.25, 0.2, 0.15, 0.1, 0.05]), "magnetic", READ)
    assert names(far) == ["b", "a", "c"]  # twice as likely as the second, it is told in its stead
    quick = [replace_(one, effort=1.0) for one in faults]
    assert names(looks(Guess(quick, [0.25, 0.2, 0.15, 0.1, 0.05]), "magnetic", READ)) == [
        "a",
        "b",
        "c",
    ]


def replace_(thing, **more):
    return SimpleNamespace(**vars(thing) | more)


def test_where_somebody_looked_and_found_nothing_is_behind_all_the_others():
    seen, cleaned = (("handle", "open"),), ("cleaned strainer",)
    faults = [
        fault("handle", "handle", answered=seen),
        fault("basket", "basket", tried=cleaned),
        *(fault(name, name, effort=60.0) for name in "cd"),
    ]
    guess = Guess(faults, [0.3, 0.2, 0.25, 0.15])
    assert names(looks(guess, "m", READ)) == ["handle", "basket", "c"]
    told = Readings(signs=seen)
    assert names(looks(guess, "m", told)) == ["basket", "c", "d", "handle"]  # the likeliest stays
    assert names(looks(guess, "m", Readings(signs=(("handle", "part"),)))) == names(
        looks(guess, "m", READ)
    )
    assert names(looks(guess, "m", replace(told, tried=cleaned))) == ["c", "d", "handle"]


def test_what_shows_at_a_time_alone_is_behind_all_the_others_until_that_time_is_told():
    faults = [fault("a", "a", only_when=("under way", "on one tack")), fault("b", "b")]
    guess = Guess(faults, [0.5, 0.3])
    assert names(looks(guess, "m", READ)) == ["b", "a"]
    for word, order in (("under way", ["a", "b"]), ("at night", ["b", "a"])):
        assert names(looks(guess, "m", replace(READ, signs=(("when", word),)))) == order


def test_what_is_unlikely_or_explains_nothing_or_needs_what_is_stopped_is_not_looked_for():
    faults = [fault(name, name) for name in "abc"]
    assert names(looks(Guess(faults, [0.5, 0.05, 0.049]), "m", READ)) == ["a", "b"]
    # of the likeliest place a quarter, where that is less
    assert names(looks(Guess(faults, [0.16, 0.041, 0.039]), "m", READ)) == ["a", "b"]
    edge = np.log(1.25)
    some = Guess(faults, [0.3, 0.3, 0.3], [edge + 0.01, edge - 0.01, 1.0])
    assert names(looks(some, "m", READ)) == ["a", "c"]
    assert names(looks(some, "m", Readings())) == ["a", "b", "c"]
    running = [faults[0], fault("b", "b", running=True), faults[2]]
    every = Guess(running, [0.3, 0.3, 0.3])
    assert names(looks(every, "m", READ)) == ["a", "b", "c"]
    assert names(looks(every, "m", READ, stopped=True)) == ["a", "c"]


def test_salt_water_is_looked_for_where_it_comes_in_and_a_trip_not_under_more_load():
    healthy = signs()["bilge"].healthy["salt water"]
    wet = fault("wet", "wet", signs={"bilge": {"salt water": healthy + 0.01}})
    dry = fault("dry", "dry", signs={"bilge": {"salt water": healthy}})
    assert look.lets_water_in(wet) and not look.lets_water_in(dry)
    assert not look.lets_water_in(fault("x", "x"))
    both = Guess([wet, dry], [0.4, 0.4])
    salt = Readings(signs=(("bilge", "salt water"),))
    assert names(looks(both, "m", salt)) == ["wet"]
    assert len(looks(both, "m", Readings(signs=(("bilge", "dry"),)))) == 2
    trip = Readings(signs=(("tripped", "yes"),))
    load = Guess([fault("part_load", "set point"), dry], [0.4, 0.4])
    assert names(looks(load, "m", trip)) == ["dry"]
    # a hot unit is never left without a place
    silent = fault("dead", "dead", signs={"pump": {"silent": 0.5}})
    machine = fault("gas", "gas", machine=True)
    nothing = Guess([silent, machine, dry], [0.3, 0.3, 0.3], [-1.0, -1.0, -1.0])
    assert names(looks(nothing, "m", trip)) == ["dry"]
    assert not looks(nothing, "m", Readings(signs=(("tripped", "no"),)))
    assert look.may_be_hot(fault("q", "q", signs={"pump": {"silent": 0.49}}))


@pytest.mark.parametrize(
    ("first", "second", "unit"), [(0.5, 0.2, "a"), (0.31, 0.2, "a"), (0.3, 0.2, "")]
)
def test_the_unit_that_a_fault_struck_is_named_from_six_in_ten_on(first, second, unit):
    """Boats with it in the one or the other branch, as their first fault or their second."""
    found = Guess([fault("branch_shut", "branch"), fault("other", "other")], [0.0, 0.0])
    hypotheses = SimpleNamespace(
        first=np.asarray([0, 1, 1, NONE]),
        second=np.asarray([NONE, 0, 0, NONE]),
        units=lambda count: np.asarray([[0, 1, 1, 1], [1, 1, 0, 1]]),
    )
    found.flotilla.hypotheses = hypotheses
    found.weight = np.asarray([first, second, 0.0, 1.0 - first - second])
    assert look._unit(found, 0) == unit
    assert look._unit(found, 1) == ""
