"""Laws of the answer of placing: cable and volts, intakes on each tack, air, ties, doubt."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from answer_data import kinds_of
from hypothesis import given
from hypothesis import strategies as st
from made import made
from placing import kinds, low_volts, two_intakes, two_pumps
from sizing import KETCH, MOTOR, edited, load_text, shipped, shuffled, text_of

from seaflow.base.facts import amount, fact
from seaflow.base.problems import SeaflowError
from seaflow.boat.defaults import default
from seaflow.boat.load import load_case
from seaflow.boat.tables.things import Place
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.judge import NO, TIGHT, YES, Judgement, Ruling
from seaflow.studies.design.limits import limit
from seaflow.studies.place.advice import advice_for, loudness, start
from seaflow.studies.place.other_pump import _would_do
from seaflow.studies.place.rank import SHIFT, gaps, in_order, sensitivity
from seaflow.studies.place.routes import placed, places_offered, stands_now
from seaflow.studies.place.sketch import Box, Run
from seaflow.studies.place.sound import SoundAt, ranking_width
from seaflow.studies.place.study import place
from seaflow.studies.place.water import run_each, waters_of
from seaflow.studies.size.size import size

FLOW_RTOL = 1e-9  # one loop run twice by the same solver
ROUNDING = 1e-9  # dB
HEARING = 0.05  # dB; levels nearer than this count as one in the ranking
WIDTH = ranking_width()
MAY, OTHER = "place.start_may_be_louder", "place.other_pump_would_do"
STARBOARD, PORT = "starboard", "port"


@cache
def results(name):
    return place(shipped(name)).pumps[0].places


def with_level(result, level, name, hose=None, access="good", structure=None):
    """The place with another level at its only berth, by air but for `structure`."""
    heard = result.loudest
    by_structure = -80.0 if structure is None else structure
    sound = (replace(heard, level=level, airborne=level, structure=by_structure),)
    water = result.water if hose is None else replace(result.water, hose=hose)
    return replace(result, sound=sound, name=name, water=water, access=access, rank=None)


# --- where it stands ---


def test_a_pump_stands_where_it_is_unless_a_hose_is_led_or_cut_anew():
    """Each of four things said of a place makes other hoses of its hoses, and the spot itself."""
    case, aft = shipped(KETCH), default_spot()
    here, *others = places_offered(case, "pump")
    assert stands_now(case, here)
    assert not any(stands_now(case, item) for item in others)
    said = (
        {"suction_via": (aft,)},
        {"delivery_via": (aft,)},
        {"suction_length": 2.0},
        {"delivery_length": 2.0},
        {"at": aft},
        {"strainer": aft},
    )
    for words in said:
        assert not stands_now(case, replace(here, place=replace(here.place, **words))), words


def default_spot():
    return Place(aft=6.0, starboard=0.3, height=-0.2)


# --- the cable ---


def volts(folder, length, conductor="2.5 mm2", pump="demo-dc-small-12"):
    """What reaches the pump of the sloop over a cable of a length, and what it does there."""
    text = low_volts(conductor, pump)
    case = load_text(folder, text)
    first = replace(places_offered(case, "pump")[0])
    there = replace(first, place=replace(first.place, cable_length=length))
    part = case.catalogue.pump(pump)
    return run_each([placed(case, there)], "pump", part)[0].result.design


def test_a_longer_cable_never_adds_volts_speed_or_flow(tmp_path):
    found = [volts(tmp_path, length, "1.5 mm2") for length in (0.5, 2.0, 5.0, 10.0, 20.0)]
    for field in ("voltage", "speed_ratio", "flow"):
        values = np.asarray([getattr(item, field) for item in found])
        assert np.all(np.diff(values) < 0.0), field
    assert found[0].flow > 1.05 * found[-1].flow  # and it is no trifle on 12 V


def test_a_thinner_conductor_never_adds_volts(tmp_path):
    found = [volts(tmp_path, 8.0, area).voltage for area in ("6 mm2", "2.5 mm2", "1.5 mm2")]
    assert np.all(np.diff(found) < 0.0)


def test_a_regulated_pump_keeps_its_flow_over_a_longer_cable(tmp_path):
    near, far = (volts(tmp_path, length, pump="demo-dc-variable-12") for length in (1.0, 8.0))
    assert far.voltage < near.voltage
    assert far.flow == pytest.approx(near.flow, rel=FLOW_RTOL)


def test_the_cable_follows_the_place_and_is_part_of_its_price(tmp_path):
    panel = '\n[placing]\npanel = { aft = "3.2 m", starboard = "0.02 m", height = "0.65 m" }\n'
    found = place(load_text(tmp_path, low_volts() + panel)).pumps[0]
    near, far = (
        next(item for item in found.places if item.name == name) for name in ("as now", "aft")
    )
    assert far.water.cable - near.water.cable == pytest.approx(0.5 * 1.3, rel=1e-9)
    assert far.water.voltage < near.water.voltage
    assert far.water.cable_basis == "routed"


def test_a_measured_cable_stands_before_the_panel_and_one_as_given_stays(tmp_path):
    panel = '\n[placing]\npanel = { aft = "3.2 m", starboard = "0.02 m", height = "0.65 m" }\n'
    measured = ('name = "aft"\n', 'name = "aft"\ncable_length = "12 m"\n')
    both = place(load_text(tmp_path, edited(low_volts() + panel, measured))).pumps[0]
    aft = next(item for item in both.places if item.name == "aft").water
    assert (aft.cable, aft.cable_basis) == (12.0, "measured")
    neither = place(load_text(tmp_path, low_volts()))
    for item in neither.pumps[0].places:
        assert (item.water.cable, item.water.cable_basis) == (8.5, "given")
    assert any("as long as now" in item.value for item in neither.assumptions)


def test_where_the_pump_stands_its_cable_is_as_long_as_size_has_it():
    case = shipped(KETCH)
    (pump,), (loop,) = place(case).pumps, size(case, 0).loops
    here = next(item for item in pump.places if item.stands_now)
    assert (here.water.cable, here.water.cable_basis) == (case.pump[0].cable.length, "stays")
    assert here.water.cable == loop.supply.cable_length
    moved = {one.water.cable_basis for one in pump.places if one is not here and one.water}
    assert moved == {"routed"}


def test_a_boat_without_a_cable_says_so(tmp_path):
    cable = 'cable = { length = "8.5 m", conductor = "2.5 mm2" }'
    text = "\n".join(line for line in low_volts().split("\n") if not line.startswith(cable))
    found = place(load_text(tmp_path, text))
    assert all(item.water.cable is None for item in found.pumps[0].places)
    assert all(item.water.voltage == 12.0 for item in found.pumps[0].places)
    assert any("volts of the panel" in item.value for item in found.assumptions)


def test_a_cable_that_loses_too_much_is_remarked(tmp_path):
    long = ('name = "aft"\n', 'name = "aft"\ncable_length = "14 m"\n')
    found = place(load_text(tmp_path, edited(low_volts("1.5 mm2"), long))).pumps[0].places
    aft = next(item for item in found if item.name == "aft")
    (remark,) = (item for item in aft.remarks if item.kind == "place.cable_too_thin")
    assert remark["length"].value == 14.0
    assert remark["area"].value < remark["least"].value


def test_a_panel_half_known_is_refused(tmp_path):
    file = tmp_path / "case.toml"
    panel = '\n[placing]\npanel = { aft = "3.2 m", height = "0.65 m" }\n'
    file.write_text(low_volts() + panel, encoding="utf-8")
    with pytest.raises(SeaflowError) as caught:
        load_case(str(file))
    assert [problem.code for problem in caught.value.problems] == ["S54"]
    assert "panel" in caught.value.problems[0].what


# --- intakes and air ---


@pytest.mark.parametrize(
    ("height", "tacks"),
    [(-0.70, ()), (-0.30, (STARBOARD,)), (-0.05, (STARBOARD,))],
)
def test_one_of_two_intakes_out_of_the_water_is_said_for_its_tack(tmp_path, height, tacks):
    found = place(load_text(tmp_path, two_intakes(height))).pumps[0].places
    for item in found:
        out = intakes_out(item)
        assert tuple(said["where"]["by"][0]["side"] for said in out) == tacks
        for said in out:
            assert item.hydraulic_fault.kind == "place.will_not_start"
            assert said["reason"]["intake"] == "port intake"
        assert item.water.draws_air or not tacks
        assert not (item.holds and tacks)


def intakes_out(item):
    """Every intake that a tack lifts out of the water, with the attitude that lifts it most."""
    tacks = (said for said in item.reasons if said.kind == "start.on_a_tack")
    return [said for said in tacks if said["reason"].kind == "start.intake_out"]


def test_an_intake_that_comes_out_on_both_tacks_is_said_for_the_worse(tmp_path):
    old = 'at = { aft = "5.2 m", starboard = "0.35 m", height = "-0.62 m" }'
    shallow = 'at = { aft = "1.0 m", starboard = "0.02 m", height = "-0.05 m" }'
    heel = 'works_to_heel = "15 deg"'  # 4.2 m from the middle, 2 degrees lift her end by 0.15 m
    text = edited(text_of(KETCH), (old, shallow), (heel, f'{heel}\nworks_to_trim = "2 deg"'))
    found = place(load_text(tmp_path, text)).pumps[0].places
    for item in found:
        (out,) = intakes_out(item)
        heel, trim = out["where"]["by"]
        assert (heel["side"], trim["end"]) == (PORT, "stern")


def test_intakes_offered_are_ranked_and_their_order_in_the_file_does_not_matter(tmp_path):
    more = """
[[intake_place]]
name = "intake as it is"
at = { aft = "5.2 m", starboard = "0.35 m", height = "-0.62 m" }

[[intake_place]]
name = "intake at the turn of the bilge"
at = { aft = "5.2 m", starboard = "1.60 m", height = "-0.30 m" }

[[intake_place]]
name = "intake further forward"
at = { aft = "4.8 m", starboard = "0.30 m", height = "-0.64 m" }
"""
    found = place(load_text(tmp_path, text_of(KETCH) + more)).pumps[0]
    assert [item.name for item in found.intakes] == [
        "intake as it is",
        "intake further forward",
        "intake at the turn of the bilge",
    ]
    first, second, last = found.intakes
    assert first.holding == second.holding > last.holding == 0
    assert first.flow > second.flow
    assert last.reason["reason"].kind == "start.intake_out"
    assert last.depth_at_heel < 0.0 < first.depth_at_heel
    again = place(load_text(tmp_path, shuffled(text_of(KETCH) + more, 5))).pumps[0]
    for old, new in zip(found.intakes, again.intakes, strict=True):
        assert (old.name, old.holding, old.best) == (new.name, new.holding, new.best)
        assert old.reason == new.reason


def test_a_level_does_not_hold_where_the_pump_draws_air_or_is_starved():
    for name in (KETCH, MOTOR):
        for item in results(name):
            bad = item.water.draws_air or item.water.starved
            assert bool(item.louder_by) == bad, item.name
            assert item.grade != YES or not bad


@pytest.mark.parametrize("length", [0.5, 60.0])
def test_a_starved_suction_is_starved_by_the_judgement_of_size(length):
    case = shipped(KETCH)
    first = places_offered(case, "pump")[0]
    here = placed(case, replace(first, place=replace(first.place, suction_length=length)))
    soft = "smooth-bore rubber"  # no hose for suction
    narrow = tuple(
        replace(hose, bore=0.010, kind=soft) if hose.to == "pump" and length > 1.0 else hose
        for hose in here.hose
    )
    part = case.catalogue.pump(case.pump[0].fitted)
    result = run_each([replace(here, hose=narrow)], "pump", part)[0].result
    lowest = min(at.inlet_gauge for at in result.at)
    assert part.required_npsh is None
    assert result.judgement.starved == (lowest < limit("suction_vacuum")) == (length > 1.0)


@pytest.mark.parametrize("part", ["demo-mag-medium-230", "demo-self-priming-230"])
@pytest.mark.parametrize("height", [-0.60, -0.42, -0.10, 0.30])
def test_a_place_is_graded_as_size_grades_the_pump_there(part, height):
    """One judgement: what puts the pump out there, or makes it tight, is the same in both."""
    case = shipped(KETCH)
    first = places_offered(case, "pump")[0]
    spot = replace(first.place.at, height=height)
    here = placed(case, replace(first, place=replace(first.place, at=spot)))
    (ranked,) = run_each([here], "pump", case.catalogue.pump(part))
    water = waters_of(case, [here], [first], [ranked])[0]
    assert (water.grade, water.rulings) == (
        ranked.result.judgement.grade,
        ranked.result.judgement.rulings,
    )
    dry = height > 0.0 and part == "demo-mag-medium-230"
    assert ("start.pump_above_water" in kinds_of(water.reasons)) == dry
    assert water.draws_air >= dry


def test_another_pump_is_named_where_it_alone_would_mend_the_place(tmp_path):
    """One that primes itself where the pump is above the water; none where it draws air."""
    catalogue = shipped(KETCH).catalogue
    for item in results(KETCH):
        named = [one["pump"]["name"] for one in item.warnings if one.kind == OTHER]
        dry = kinds_of(item.reasons) == ("start.pump_above_water",)
        assert len(named) == dry, item.name
        assert all(catalogue.pump(name).self_priming for name in named)
    for item in place(load_text(tmp_path, two_intakes(-0.30))).pumps[0].places:
        assert "other_pump_would_do" not in kinds(item.warnings)


def test_a_pump_that_gives_too_little_everywhere_does_not_put_the_places_out():
    """The place that comes first but for that is named, by the order of the sound."""
    base = results(KETCH)[0]
    short = replace(base.water, rulings=(Ruling(NO, fact("design.all_shut")),), starved=False)
    dry = [replace(base, name=name, water=short) for name in ("first", "second")]
    barred = replace(dry[0], name="barred", standing=replace(base.standing, other=(fact("x"),)))
    for places, first in ((dry, "first"), ([barred, *dry], "first"), (dry[1:], "second")):
        advice = advice_for(tuple(places), WIDTH)
        assert advice.place.kind == "place.none_with_this_pump"
        assert advice.next_best["place"] == first
        assert advice.next_best["least"].value == base.standing.depth_at_heel
    assert advice_for((barred,), WIDTH).next_best.kind == "place.nearest_is_out"


@pytest.mark.parametrize("grade", [YES, TIGHT])
def test_another_pump_would_do_only_if_it_is_a_plain_yes(grade):
    rulings = () if grade == YES else (Ruling(TIGHT, fact("design.all_shut")),)
    part = shipped(KETCH).catalogue.pump("demo-mag-medium-230")
    said = _would_do(made(PumpResult, part=part, judgement=made(Judgement, rulings=rulings)))
    assert said.kind == (OTHER if grade == YES else "place.other_pump_is_tight")
    assert dict(said.values).get("reason") == (None if grade == YES else fact("design.all_shut"))


def test_what_the_water_does_is_told_apart():
    good = results(KETCH)[0]
    short, dry = Ruling(NO, fact("design.all_shut")), Ruling(NO, fact("start.too_high"))
    for starved_, kind in ((True, "place.starved"), (False, "place.too_little_water")):
        water = replace(good.water, rulings=(short,), starved=starved_)
        assert replace(good, water=water).hydraulic_fault.kind == kind
        water = replace(water, rulings=(short, dry))
        assert replace(good, water=water).hydraulic_fault.kind == "place.will_not_start"
    assert good.hydraulic_fault is None


def test_trim_takes_water_from_a_place_far_from_the_middle():
    case = shipped(KETCH)
    for name, trim in (("level", None), ("trimmed", np.radians(2.0))):
        boat = replace(case.boat, works_to_trim=trim)
        found = {item.name: item for item in place(replace(case, boat=boat)).pumps[0].places}
        far, near = found["under the fore berth"].standing, found["bilge, by the strainer"].standing
        if name == "level":
            before = (far.depth_at_heel, near.depth_at_heel)
        else:
            middle = case.boat.waterline_length / 2.0
            for now, old, aft in zip(
                (far, near), before, (2.6, 5.8), strict=True
            ):  # heeled depth times the cosine of trim, less the arm times its sine
                by_hand = old * np.cos(trim) - abs(aft - middle) * np.sin(trim)
                assert now.depth_at_heel == pytest.approx(by_hand, rel=1e-9)
                assert now.when["by"][1]["trim"].value == pytest.approx(trim)
    unknown = replace(case.boat, works_to_trim=np.radians(2.0), waterline_length=None)
    item = place(replace(case, boat=unknown)).pumps[0].places[0]
    assert "length_unknown" in kinds(item.remarks)


# --- what the answer says of doubt ---


@given(
    st.lists(
        st.tuples(st.integers(0, 240), st.integers(1, 60), st.sampled_from(["good", "poor"])),
        min_size=2,
        max_size=6,
    )
)
def test_no_difference_that_cannot_be_told_goes_without_a_word(places):
    base = results(KETCH)[0]
    made = [
        with_level(base, 20.0 + HEARING * steps, f"place {number}", hose / 10.0, access)
        for number, (steps, hose, access) in enumerate(places)
    ]
    ordered = in_order(made, WIDTH)
    assert [item.rank for item in ordered] == list(range(1, len(made) + 1))
    said = gaps(ordered, WIDTH)
    for number, first in enumerate(ordered):
        for second in ordered[number + 1 :]:
            told = second.level - first.level > WIDTH - HEARING / 2
            assert told == (second.name not in first.same_as)
            assert second.level - first.level > -WIDTH + HEARING / 2
    for gap, first, second in zip(said, ordered, ordered[1:], strict=False):
        told = gap.kind in ("place.quieter", "place.quieter_left_open")
        assert told == (second.name not in first.same_as)
        if gap.kind == "place.tied_behind":  # it names one that the second can be told from
            other = next(item for item in ordered if item.name == gap["behind"])
            assert second.name not in other.same_as
        elif not told:  # then cost put them in order
            assert first.access == "good" or second.access == "poor"
    advice = advice_for(ordered, WIDTH)
    tied = ordered[0].same_as
    assert (advice.next_best.kind == "place.no_audible_difference") == bool(tied)
    assert not tied or set(advice.next_best["others"]) == set(tied)
    shortest = min(ordered, key=lambda item: (item.water.hose, item.name))
    gain = shortest.level - ordered[0].level
    if advice.price.kind == "place.price_of_quiet":
        assert gain > WIDTH - HEARING / 2
    elif advice.price.kind == "place.price_of_nothing_heard":
        assert gain < WIDTH


def test_the_price_by_hand():
    """Beside the place with the shortest hoses: what it takes more, or has less, and no more."""
    base = with_level(results(KETCH)[0], 30.0, "near", hose=2.0)
    water = replace(
        base.water, flow=2.5e-4, head=2.0, lowest_inlet=1000.0, power=60.0, energy_per_day=5e6
    )
    near = replace(base, water=replace(water, cable=4.0, voltage=12.0))
    more = {"hose": 3.5, "flow": 2.4e-4, "head": 2.25, "lowest_inlet": -500.0, "power": 64.0}
    more |= {"energy_per_day": 5.5e6, "cable": 7.0, "voltage": 11.5}
    far = replace(with_level(base, 26.0, "far"), water=replace(near.water, **more))
    said = advice_for(in_order([near, far], WIDTH), WIDTH).price
    assert (said.kind, said["other"], said["gain"].value) == ("place.price_of_quiet", "near", 4.0)
    found = {one.kind.removeprefix("place."): dict(one.values) for one in said["more"]}
    by_hand = {
        "more_hose": 1.5,
        "less_flow": 1e-5,
        "more_head": 0.25,
        "more_vacuum": 1500.0,
        "more_energy": 5e5,
        "more_cable": 3.0,
        "less_voltage": 0.5,
    }
    assert found.keys() == by_hand.keys()
    for kind, value in by_hand.items():
        key = "less" if kind.startswith("less") else "more"
        assert found[kind][key].value == pytest.approx(value, rel=1e-9), kind
    loud = with_level(near, 30.0 + 1.01 * near.loudest.half_width, near.name)
    for first, kind in ((loud, "place.shortest_hoses_yet_loud"), (near, "place.shortest_hoses")):
        back = advice_for(in_order([first, with_level(far, 60.0, "far")], WIDTH), WIDTH).price
        assert back.kind == kind  # quiet costs nothing only where it is quiet


# What is told from just over this much on, and not from just under it; our own choice.
WORTH_A_WORD = {
    "hose": ("more_hose", 0.1),  # m
    "cable": ("more_cable", 0.1),
    "flow": ("less_flow", -0.1 / 60e3),  # a tenth of a litre a minute
    "head": ("more_head", 0.05),
    "lowest_inlet": ("more_vacuum", -100.0),  # a hectopascal
    "energy_per_day": ("more_energy", 50.0 * 3600.0),  # fifty watt-hours
    "voltage": ("less_voltage", -0.05),
}


@pytest.mark.parametrize("key", WORTH_A_WORD)
def test_a_little_more_is_not_told_and_a_little_more_than_that_is(key):
    kind, step = WORTH_A_WORD[key]
    base = with_level(results(KETCH)[0], 30.0, "near", hose=2.0)
    near = replace(base, water=replace(base.water, cable=4.0, lowest_inlet=1000.0))
    for times in (0.95, 1.05):
        more = {"hose": 2.01, key: getattr(near.water, key) + times * step}
        far = replace(with_level(near, 26.0, "far"), water=replace(near.water, **more))
        said = advice_for(in_order([near, far], WIDTH), WIDTH).price
        assert {one.kind for one in said["more"]} == ({f"place.{kind}"} if times > 1.0 else set())


def test_why_one_of_two_that_sound_alike_is_chosen():
    base = results(KETCH)[0]
    wet = replace(base.standing, remarks=(*base.standing.remarks, fact("place.no_air")))
    here = with_level(base, 30.0, "here", hose=3.0)
    for other, why in (
        (replace(here, name="other", access="poor"), "easier_to_reach"),
        (replace(here, name="other", standing=wet), "fewer_drawbacks"),
        (with_level(base, 30.0, "other", hose=3.2), "less_hose"),
        (with_level(base, 30.0, "other", hose=3.05), "either_will_do"),
    ):
        said = advice_for(in_order([other, here], WIDTH), WIDTH).next_best
        assert said["why"].kind == f"place.{why}"
        assert said["others"] == ("other",)


def test_where_no_place_will_do_the_nearest_is_told_with_what_counts_first():
    """What the water does stands before what is seen of the place."""
    base = results(KETCH)[0]
    first, last = fact("place.petrol"), fact("place.gets_wet")
    seen = replace(base.standing, other=(first, last))
    out = replace(base, standing=seen, name="out", rank=None)
    said = advice_for((out,), WIDTH)
    assert said.place["count"] == 1
    assert (said.next_best["place"], said.next_best["reason"]) == ("out", first)
    dry = fact("start.pump_above_water", thing="pump", lift=amount("height", 0.3))
    rulings = (Ruling(NO, dry), Ruling(NO, fact("design.not_continuous")))
    water = replace(base.water, rulings=rulings)
    said = advice_for((replace(out, water=water),), WIDTH)
    assert said.next_best["reason"] == dry
    assert said.next_best["fault"].kind == "place.will_not_start"


def test_a_room_holds_what_lies_in_it_and_hides_what_it_overlaps_from_the_side():
    room = Box("room", "berth", (1.0, 3.0), (-1.0, 1.0), (0.0, 2.0))
    assert room.holds((1.0, 1.0, 2.0)) and room.holds((2.0, 0.0, 1.0))
    for spot in ((0.99, 0.0, 1.0), (2.0, 1.01, 1.0), (2.0, 0.0, 2.01), (3.01, 0.0, 1.0)):
        assert not room.holds(spot)
    for aft, height, hidden in (
        ((2.89, 4.0), (0.0, 2.0), True),  # by more than a tenth of a metre each way
        ((2.91, 4.0), (0.0, 2.0), False),
        ((2.0, 4.0), (1.89, 3.0), True),
        ((2.0, 4.0), (1.91, 3.0), False),
        ((3.5, 4.0), (0.0, 2.0), False),
    ):
        other = Box("other", "berth", aft, (5.0, 6.0), height)
        assert room.hides(other) == other.hides(room) == hidden


@pytest.mark.parametrize(
    ("degrees", "goes"),
    [(0.49, "level"), (-0.49, "level"), (0.51, "rises"), (-0.51, "falls"), (60.0, "rises")],
)
def test_a_hose_goes_as_it_slopes(degrees, goes):
    ends = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))
    assert Run("hose", (1, 2), ends, slope=np.radians(degrees)).goes == goes


def test_a_quietest_place_that_is_out_by_less_than_can_be_told_is_not_called_quieter():
    base, out = results(KETCH)[0], next(item for item in results(KETCH) if not item.holds)
    best = with_level(base, 30.0, "here")
    for level, told in ((28.0, "not told"), (20.0, "told")):
        lost = with_level(out, level, "there")
        said = advice_for(in_order([best, lost], WIDTH), WIDTH).quietest
        assert (said["told"], said["less"].value) == (told, 30.0 - level)


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_shifted_structure_paths_move_levels_by_no_more_than_the_shift(name):
    for item in results(name):
        for heard in item.sound:
            up, down = heard.with_structure(SHIFT), heard.with_structure(-SHIFT)
            assert heard.with_structure(0.0).level == pytest.approx(heard.level, abs=1e-6)
            assert down.level <= heard.level <= up.level
            assert up.level - heard.level <= SHIFT + 1e-6
            assert heard.level - down.level <= SHIFT + 1e-6
            assert down.level >= heard.airborne - ROUNDING


def test_the_ranking_that_hangs_on_the_structure_says_so_and_one_that_does_not_says_that():
    base = results(KETCH)[0]
    airy = with_level(base, 34.0, "by air")
    shaken = with_level(base, -80.0, "by structure", structure=30.0)
    shaken = replace(shaken, sound=(shaken.sound[0].with_structure(0.0),))
    hangs = in_order([airy, shaken], WIDTH)
    assert [item.name for item in hangs] == ["by structure", "by air"]
    found = sensitivity(hangs, WIDTH)
    assert not found.same_first
    assert found.louder[0] == "by air"
    unsure, alone = advice_for(hangs, WIDTH, found).how_sure
    assert unsure.kind == "place.first_is_unsure"
    assert unsure["others"] == ("by air",)
    assert (alone.kind, alone["other"]) == ("place.falls_behind_alone", "by air")
    far = in_order([with_level(base, 20.0, "quiet"), with_level(base, 34.0, "loud")], WIDTH)
    found = sensitivity(far, WIDTH)
    assert found.same_order
    assert found.alone == "quiet"
    assert kinds(advice_for(far, WIDTH, found).how_sure) == {"order_stays", "stays_first_alone"}


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_answer_says_what_comes_by_air_and_what_by_structure(name):
    pump = place(shipped(name)).pumps[0]
    heard = pump.places[0].loudest
    (ways,) = (said for said in pump.advice.loudness if said.kind == "place.ways")
    assert ways["structure"]["level"].value == heard.structure
    assert ways["air"]["level"].value == heard.airborne
    assert ways["most"] == ("structure" if heard.structure > heard.airborne else "air")
    assert pump.sensitivity.levels[0] < heard.level < pump.sensitivity.levels[1]


def test_both_guidelines_of_the_night_are_named_and_a_start_is_not_given_a_number():
    heard = results(KETCH)[0].loudest
    levels = (25.0, 43.0, 52.0)
    for level, side, by in zip(levels, ("below", "above", "above"), (5, 13, 22), strict=True):
        said = list(loudness(replace(heard, level=level, half_width=6.0)))[1]
        assert said.kind == f"place.{side}_guideline"
        assert (said["guideline"].value, said["by"].value, said["sure"]) == (30.0, by, by > 6)
    quiet, near, loud = (start(replace(heard, level=level, half_width=6.0)) for level in levels)
    assert {said["guideline"].value for said in (quiet, near, loud)} == {45.0}
    assert (quiet.kind, quiet["by"].value, quiet["sure"]) == (MAY, 20.0, True)
    assert (near.kind, near["by"].value, near["sure"]) == (MAY, 2.0, False)
    assert (loud.kind, loud["by"].value, loud["sure"]) == ("place.start_is_over", 7.0, True)


def test_only_what_a_place_leaves_open_is_assumed(tmp_path):
    given = (
        'name = "bilge, by the strainer"',
        'name = "bilge, by the strainer"\nmount = "soft mount"',
    )
    case = load_text(tmp_path, edited(text_of(KETCH), given))
    for key, open_ in (("mount", 4), ("first_clip", 5)):
        meaning = default(f"placing.{key}").meaning
        noted = [item.subject for item in place(case).assumptions if item.meaning == meaning]
        assert len(noted) == open_
        assert ("bilge, by the strainer" in noted) == (key == "first_clip")


def test_two_pumps_are_placed_each_by_itself_and_heard_together(tmp_path):
    found = place(load_text(tmp_path, two_pumps()))
    assert [item.pump for item in found.pumps] == ["port pump", "starboard pump"]
    assert found.grade == TIGHT
    for number, berth in enumerate(found.together):
        levels = [pump.places[0].sound[number].level for pump in found.pumps]
        by_hand = 10.0 * np.log10(sum(10.0 ** (level / 10.0) for level in levels))
        assert berth.level == pytest.approx(by_hand, abs=1e-6)
        assert berth.berth == found.pumps[0].places[0].sound[number].berth
    assert len(found.together) == 2
    assert place(shipped(KETCH)).together == ()


@pytest.mark.parametrize(
    ("over", "kind", "by", "sure"),
    [
        (-11.2, "place.below_guideline", 11.0, True),
        (-3.0, "place.below_guideline", 3.0, False),
        (0.0, "place.below_guideline", 0.0, False),
        (3.4, "place.above_guideline", 3.0, False),
        (10.6, "place.above_guideline", 11.0, True),
    ],
)
def test_how_far_from_the_guideline_by_hand(over, kind, by, sure):
    """The guideline for bedrooms is 30 dB(A); a level is known to 10 dB either way here."""
    sound = SoundAt("cabin", 30.0 + over, 10.0, 30.0 + over, -80.0)
    (said,) = (one for one in loudness(sound) if one.kind == kind)
    assert dict(said.values)["by"].value == by
    assert dict(said.values)["sure"] is sure


def test_the_place_that_comes_first_is_drawn_with_all_places_by_their_letters():
    case = shipped(KETCH)
    (pump,) = place(case).pumps
    spots = {item.name: item.place.spot for item in places_offered(case, "pump")}
    first, *others = pump.places
    assert pump.sketch.title["place"] == first.name
    assert [mark.at for mark in pump.sketch.marks if mark.name == "pump"] == [spots[first.name]]
    assert [(item.name, item.at) for item in pump.sketch.places] == [
        (item.pump_place, spots[item.name]) for item in pump.places
    ]
    stands = ["taken", *("out" if item.rank is None else "other" for item in others)]
    assert [item.stands for item in pump.sketch.places] == stands


def test_a_place_drawn_for_want_of_a_better_is_not_where_the_pump_goes():
    case, out = shipped(KETCH), {item.pump_place for item in results(KETCH) if not item.holds}
    only = tuple(spot for spot in case.pump_place if spot.name in out)
    assert only
    (pump,) = place(replace(case, pump_place=only)).pumps
    stands = [item.stands for item in pump.sketch.places]
    assert stands == ["drawn", *["out"] * (len(stands) - 1)]
