"""Where to look, and in which words: what takes little and harms nobody comes first."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest
from answer_data import kinds_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.card import capital
from seaflow.present.diagnose_card import diagnose_card
from seaflow.present.quantities import Show
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, posterior_of, setup_of
from seaflow.studies.diagnose.faults import NOTHING, faults, possible_faults
from seaflow.studies.diagnose.look import (
    AFTER_LOAD,
    BRANCHES,
    FAR_LIKELIER,
    TOLD,
    lets_water_in,
)
from seaflow.studies.diagnose.next_reading import open_readings
from seaflow.studies.diagnose.simulate import LOADS, SUPPLY, supply_range
from seaflow.studies.diagnose.usual import LOW_VOLTS
from seaflow.studies.diagnose.verdict import ACT, NORMAL, STOP, WATCH
from seaflow.studies.diagnose.written import read_rows

FEW = Sampling(2048, 20)
KETCH, THREE, BATTERY = "ketch-one-unit", "motor-three-units", "battery-sloop-variable"
ANY = ""  # a boat of which only the unit is known
GRAVE = ("open", "overboard", "acid", "licensed", "ashore")


@cache
def setup(name, mode="cooling"):
    case = (
        load_case(f"cases/{name}.toml").case
        if name
        else spoken_boat({"unit": ["9000 BTU/h"]}).loaded.case
    )
    return setup_of(case, network.loops(case)[0], mode)


@cache
def told(name, rows, mode="cooling"):
    listed = {kind: list(of) if isinstance(of, tuple) else of for kind, of in rows}
    readings = read_rows({**listed, "mode": mode}, setup(name, mode).places)
    return diagnose(setup(name, mode), readings, FEW)


def answer(name, mode="cooling", **rows):
    return told(name, tuple(rows.items()), mode)


def by_name(name, mode="cooling"):
    return {fault.name: fault for fault in setup(name, mode).faults}


STORIES = [
    (KETCH, {"sea": "28C", "discharge": "45C", "load": "part"}),
    (KETCH, {"discharge": "36C", "bucket": "10 L in 55 s"}),
    (ANY, {"stream": "none", "handle": "open", "basket": "clean"}),
    (ANY, {"sea": "29C", "discharge": "50C", "bucket": "1 gal in 1:50", "stream": "weak"}),
    (ANY, {"tripped": "yes"}),
    (KETCH, {"sea": "28C", "discharge": "33C", "bucket": "38", "condensing": "57C"}),
    (THREE, {"stream": "weak"}),
    (ANY, {"flow": "7 L/min"}),
]


@pytest.mark.parametrize(("name", "rows"), STORIES)
def test_a_first_place_that_is_not_the_likeliest_is_told_as_quick(name, rows):
    found, faults_of = answer(name, **rows).looks, by_name(name)
    card = diagnose_card(answer(name, **rows), Show())
    order_told = any(block.label == "Look here" for block in card.blocks)
    for row, one in enumerate(found):
        effort = faults_of[one.leads].effort
        likelier = [other for other in found if round(other.chance, 2) > round(one.chance, 2)]
        slower = [other for other in likelier if faults_of[other.leads].effort > effort]
        assert one.quick == bool(row == 0 and slower)
        said = f"{capital(one.place)}, quick to look at"
        shown = [block for block in card.blocks if block.label == "Odds"] if order_told else []
        told = " ".join(word for block in shown for word in block.says)
        assert (said in told) == (one.quick and order_told)


def test_some_first_places_are_quick_and_some_are_likeliest():
    firsts = [found[0].quick for name, rows in STORIES if (found := answer(name, **rows).looks)]
    assert {True, False} == set(firsts)


@pytest.mark.parametrize(("name", "rows"), STORIES)
def test_a_search_goes_by_odds_over_effort_and_keeps_the_likeliest_in_sight(name, rows):
    found, of = answer(name, **rows), by_name(name)
    worth = [one.chance / of[one.leads].effort for one in found.looks]
    most = max(one.chance for one in found.looks)
    inside = [
        most in (one.chance, other.chance)
        or one.leads in LOADS
        or other.leads in AFTER_LOAD
        or here >= there
        for (one, here), (other, there) in pairwise(zip(found.looks, worth, strict=True))
    ]
    assert all(inside)
    # what to do is told of the likeliest, or of two of which the later is nearly as likely
    told = found.looks[:TOLD]
    later = [one for one in found.looks if one.chance > FAR_LIKELIER * told[-1].chance]
    assert all(one in told or one.leads in AFTER_LOAD for one in later)
    # nobody looks at nothing, nor puts more load on a hot unit
    places = (c.chance for c in found.causes if c.name not in (NOTHING, *LOADS))
    assert most >= max(places) - 0.02


@pytest.mark.parametrize("name", [KETCH, ANY])
def test_a_hot_boat_with_little_water_is_looked_at_without_opening_anything_grave(name):
    """A technician's order: handle and basket, then air, then the pump; common practice."""
    found = answer(name, sea="29C", discharge="50C", bucket="1 gal in 1:50", stream="weak")
    of = by_name(name)
    assert {one.leads for one in found.looks[:2]} & {"seacock_part_shut", "strainer"}
    assert not any(of[one.leads].work in GRAVE for one in found.looks[:2])


def test_every_fault_says_what_a_look_takes_and_what_is_grave_takes_most():
    gentle = max(fault.effort for fault in faults() if fault.work not in GRAVE)
    assert gentle < min(fault.effort for fault in faults() if fault.work in GRAVE)
    for fault in faults():
        if fault.work in ("open", "overboard", "acid", "licensed", "lid", "bleed"):
            assert fault.cautions, fault.name


HOT = [
    (KETCH, "cooling", {"sea": "28C", "discharge": "45C", "load": "part"}),
    (KETCH, "cooling", {"discharge": "60C", "bucket": "38"}),
    (KETCH, "cooling", {"sea": "28C", "discharge": "33C", "condensing": "60C"}),
    (KETCH, "cooling", {"sea": "28C", "discharge": "33C", "tripped": "yes", "load": "part"}),
    (ANY, "cooling", {"sea": "28C", "discharge": "55C", "stream": "strong"}),
    (ANY, "heating", {"sea": "10C", "discharge": "4C"}),
]


@pytest.mark.parametrize(("name", "mode", "rows"), HOT)
def test_no_more_load_is_put_on_a_unit_that_is_hot_or_tripped(name, mode, rows):
    found = answer(name, mode, **rows)
    assert found.looks and found.verdict.word in (ACT, STOP)
    assert not {one.leads for one in found.looks} & {*LOADS, "set_point", "not_commanded"}


def test_while_heating_the_words_are_those_of_heating():
    """Down is up: a set point far down stops a unit that heats."""
    cold, warm = by_name(KETCH), by_name(KETCH, "heating")
    for name in ("part_load", "set_point"):
        assert "down" in cold[name].act and "down" not in warm[name].act + warm[name].do
        assert "up" in warm[name].act
    found = answer(ANY, "heating", sea="12C", stream="strong")
    asked = found.next_reading
    assert asked is None or "far down" not in asked.title
    near = answer(ANY, "heating", sea="10C", discharge="4C").verdict
    assert (near.word, near.why.kind) == (ACT, "diagnose.cold_discharge")
    far = answer(ANY, "heating", sea="12C", discharge="8C").verdict
    assert far.why.kind != "diagnose.cold_discharge"


@pytest.mark.parametrize(("name", "by_hand"), [(KETCH, False), (BATTERY, True)])
def test_nobody_is_sent_to_measure_mains(name, by_hand):
    low, dead = (by_name(name)[of] for of in ("low_volts", "not_commanded"))
    for fault in (low, dead):
        assert fault.cautions == (() if by_hand else ("live",))
        assert ("read" in fault.act) <= by_hand
    assert ("Charge" in low.act) == by_hand
    found = answer(name, stream="weak")
    assert found.next_reading.kind not in ("volts", "amps")


def test_a_boat_that_takes_water_is_looked_at_for_that_alone():
    of = {fault.name: fault for fault in faults()}
    for name, rows in (
        (ANY, {"sea": "29C", "discharge": "34C", "stream": "strong"}),
        (KETCH, {"stream": "weak"}),
        (THREE, {}),
    ):
        found = answer(name, **rows, bilge="salt water")
        assert found.looks and all(lets_water_in(of[one.leads]) for one in found.looks)
        assert found.looks[0].leads == "leak"


@pytest.mark.parametrize(
    ("timed", "asked"), [(("starboard outlet", "port outlet"), False), (("port outlet",), True)]
)
def test_the_stream_is_asked_unless_a_bucket_was_timed_at_every_outlet(timed, asked):
    rows = read_rows(
        {"sea": "28C", "bucket": [f"{outlet}=10 L in 40 s" for outlet in timed]},
        setup(THREE).places,
    )
    found = open_readings(posterior_of(setup(THREE), rows, FEW), rows)
    assert ("stream" in {one.kind for one in found}) is asked


def test_the_stream_is_asked_for_first_and_then_the_sound_of_the_pump():
    assert answer(ANY, tripped="yes").next_reading.kind == "stream"
    assert answer(KETCH, sea="28C", discharge="45C").next_reading.kind == "stream"
    dry = {"stream": "none", "tripped": "yes"}
    assert answer(ANY, **dry).next_reading.kind == "pump"


def test_what_cannot_explain_the_reading_is_no_place_to_look():
    found = answer(KETCH, stream="weak", bucket="38")
    assert not found.looks and found.verdict.word == WATCH
    low = answer(ANY, flow="7 L/min")
    assert low.looks and not {one.leads for one in low.looks} & {*LOADS, *AFTER_LOAD}


@pytest.mark.parametrize("name", [KETCH, ANY, BATTERY])
def test_a_breaker_that_trips_is_on_and_is_no_place_to_look(name):
    held, trips = (
        answer(name, stream="none", pump="silent", breaker=b) for b in ("holds", "trips")
    )
    assert "not_commanded" in {one.leads for one in held.looks}
    assert trips.looks and "not_commanded" not in {one.leads for one in trips.looks}


@pytest.mark.parametrize("name", [KETCH, ANY, BATTERY])
@pytest.mark.parametrize(("stream", "bubbles"), [("pulsing", "yes"), ("strong", "no")])
def test_a_pump_that_sounds_of_gravel_is_acted_on(name, stream, bubbles):
    """It runs on air or boiling water and wears (common practice, no source)."""
    rows = {"sea": "25C", "discharge": "29C", "stream": stream, "bubbles": bubbles}
    assert answer(name, **rows, pump="gravel").verdict.word in (ACT, STOP)
    assert answer(name, **rows, pump="normal").verdict.word in (NORMAL, WATCH)


def test_good_water_and_a_trip_say_what_water_cannot_show():
    well = {"sea": "28C", "discharge": "33C", "stream": "strong", "tripped": "yes"}
    for name in (KETCH, ANY):
        unseen = answer(name, **well, load="full").verdict.unseen
        assert unseen.kind == "diagnose.water_looks_well"
        assert "diagnose.by_condensing" in kinds_of(unseen["by"])
    assert answer(KETCH, **{**well, "stream": "weak"}).verdict.unseen is None
    assert answer(KETCH, **well, condensing="52C").verdict.unseen is None
    odds = {one.name: one.chance for one in answer(KETCH, **well, load="full").causes}
    assert max(odds, key=odds.get) == "coil_scaled"


@pytest.mark.parametrize("name", [KETCH, ANY])
def test_seconds_more_or_less_of_a_bucket_do_not_make_a_hot_unit_harmless(name):
    for seconds in (35, 45, 55, 65, 80):
        found = answer(name, discharge="60C", bucket=f"10 L in {seconds} s")
        assert found.verdict.word in (ACT, STOP)
        assert "First" not in [block.label for block in diagnose_card(found, Show()).blocks]


def test_volts_of_no_pump_that_turns_are_read_again():
    verdict = answer(KETCH, sea="28C", volts="110 V", stream="strong", discharge="34C").verdict
    assert (verdict.word, verdict.why.kind) == (WATCH, "diagnose.volts_doubted")
    right = answer(KETCH, sea="28C", volts="230 V", stream="strong", discharge="34C").verdict
    assert right.word == NORMAL


def test_the_branch_that_was_struck_is_named():
    """The wheelhouse unit alone drains to port, by the plan of this boat."""
    dry = {"stream": ("port outlet=none", "starboard outlet=strong")}
    warm = {"stream": ("port outlet=weak", "starboard outlet=strong")}
    for rows in (dry, {**warm, "tripped": "wheelhouse unit=yes"}):
        branch = [one for one in answer(THREE, **rows).looks if one.leads in BRANCHES]
        assert branch and {one.unit for one in branch} == {"wheelhouse unit"}
    with pytest.raises(SeaflowError):
        answer(THREE, tripped=("saloon unit=yes", "saloon unit=no"))


def test_a_trip_while_heating_is_explained_by_the_air_whether_or_not_the_plate_is_known():
    for name in (KETCH, ANY, THREE):
        found = answer(name, "heating", tripped="yes")
        assert found.looks[0].leads == found.causes[0].name == "filter"


def test_the_same_thing_given_twice_must_not_differ():
    with pytest.raises(SeaflowError):
        answer(KETCH, flow=("4 gpm", "3 gpm"))
    place = setup(THREE).places.outlets
    rows = {"flow": (f"{place[0]}=4 gpm", f"{place[1]}=3 gpm")}
    assert len(answer(THREE, **rows).causes) > 1


def test_words_for_a_mode_change_nothing_else():
    case, built = setup(KETCH).case, setup(KETCH).built
    cool, heat = (
        {one.name: one for one in possible_faults(case, built, mode)}
        for mode in ("cooling", "heating")
    )
    for name, one in heat.items():
        assert (one.weight, one.low, one.high, one.work) == (
            *(cool[name].weight, cool[name].low),
            *(cool[name].high, cool[name].work),
        )


WEAK = [
    (KETCH, 0.995, {"sea": "27C", "discharge": "30C"}),
    (KETCH, 0.985, {"sea": "27C", "when": "under way", "bubbles": "no", "amps": "2.0 A"}),
    (KETCH, 0.9, {"when": "under way", "handle": "shut"}),
    (KETCH, 0.8, {"when": "after cleaning", "stream": "none"}),
    (ANY, 0.97, {"sea": "27C", "discharge": "39C", "when": "after launching", "handle": "part"}),
    (ANY, 0.985, {"sea": "27C", "when": "after a while", "tripped": "yes", "basket": "full"}),
    (BATTERY, 0.985, {"sea": "27C", "when": "always", "stream": "none", "tripped": "yes"}),
    (BATTERY, 0.9, {"sea": "27C", "when": "in a warm harbour", "pump": "silent"}),
    (THREE, 0.995, {"when": "after cleaning", "pump": "normal", "handle": "open", "load": "part"}),
]


@pytest.mark.parametrize(("name", "share", "rows"), WEAK)
def test_a_supply_read_low_is_looked_at_before_all_but_salt_water_in_the_bilge(name, share, rows):
    """Sets on which another place came first, mostly by the time at which it happens."""
    volts = f"{share * supply_range(setup(name))[0]:.3f} V"
    found = answer(name, **rows, volts=volts)
    said = [one.kind for one in (*found.verdict.reasons, *found.notes)]
    assert set(said) & set(LOW_VOLTS)
    assert found.looks[0].leads == SUPPLY
    wet = answer(name, **rows, volts=volts, bilge="salt water")
    assert SUPPLY not in {one.leads for one in wet.looks}


@pytest.mark.parametrize("name", [KETCH, BATTERY])
def test_volts_far_below_the_least_are_a_supply_at_fault_whenever_it_happens(name):
    """Half of the boats at least: hardly a healthy supply gives a tenth less than its least."""
    volts = f"{0.9 * supply_range(setup(name))[0]:.3f} V"
    for when in ("under way", "after cleaning", "in a warm harbour"):
        found = answer(name, sea="27C", stream="weak", when=when, volts=volts)
        assert {one.name: one.chance for one in found.causes}[SUPPLY] > 0.5
