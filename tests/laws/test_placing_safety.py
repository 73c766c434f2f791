"""Laws of placing: strainer and seacock, petrol, a level suction, positions, hoses, speed, hum."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from placing import kinds, one_cabin, two_intakes
from sizing import KETCH, MOTOR, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.model.elements import Point
from seaflow.physics.sound.levels import a_weighted_level
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.design.limits import limit
from seaflow.studies.place.advice import advice_for
from seaflow.studies.place.must_hold import _is_one_spot
from seaflow.studies.place.pump_sound import sound_of
from seaflow.studies.place.rank import SHIFT, in_order, is_left_open
from seaflow.studies.place.reach import reaches
from seaflow.studies.place.rooms import without_partition
from seaflow.studies.place.routes import hose_metres, placed, places_offered, stands_now
from seaflow.studies.place.sound import ranking_width
from seaflow.studies.place.study import place

BILGE, ENGINE = "bilge, by the strainer", "engine space, forward end"
BERTH = "under the fore berth"
STRAINER = 'at = { aft = "5.4 m", starboard = "0.40 m", height = "-0.50 m" }'
COCK = 'on = "cooling intake"\n'
WIDTH = ranking_width()
HEARING = 0.05  # dB; levels are counted in steps of this
METRES = 1e-9  # m: two ways to add up the same lengths
DECIBELS = 1e-6  # dB


def results(folder, *edits):
    return {
        item.name: item
        for item in place(load_text(folder, edited(text_of(KETCH), *edits))).pumps[0].places
    }


@cache
def ketch():
    return place(shipped(KETCH)).pumps[0]


# --- strainer and seacock ---


def test_the_present_strainer_far_from_its_seacock_puts_every_place_out(tmp_path):
    far = (STRAINER, 'at = { aft = "6.3 m", starboard = "0.40 m", height = "-0.55 m" }')
    for item in results(tmp_path, far).values():
        (said,) = (one for one in item.standing.other if one.kind == "place.strainer_too_far")
        assert (said["strainer"], said["seacock"]) == ("strainer", "intake seacock")
        assert said["away"].value == pytest.approx(np.hypot(1.1, 0.086), abs=0.01)
        assert said["reach"].value == limit("strainer_reach")


def test_an_intake_place_far_off_is_out_and_the_present_one_is_not(tmp_path):
    more = """
[[intake_place]]
name = "as now"
at = { aft = "5.2 m", starboard = "0.35 m", height = "-0.62 m" }
[[intake_place]]
name = "far forward"
at = { aft = "1.9 m", starboard = "0.05 m", height = "-0.62 m" }
"""
    seen = (f'name = "{BILGE}"', f'name = "{BILGE}"\nstrainer_access = "good"')
    text = edited(text_of(KETCH), seen) + more
    for item in place(load_text(tmp_path, text)).pumps[0].places:
        far = item.intake_place == "far forward"  # though it was judged good with the one of now
        assert ("strainer_too_far" in kinds(item.reasons)) == far


def test_a_seacock_with_a_position_of_its_own_is_where_it_says(tmp_path):
    own = (COCK, COCK + 'at = { aft = "5.2 m", starboard = "-1.20 m", height = "-0.50 m" }\n')
    case = load_text(tmp_path, edited(text_of(KETCH), own))
    (found,) = reaches(case, "pump")
    assert found.cock == "intake seacock"
    assert found.away == pytest.approx(np.hypot(0.2, 1.6), abs=METRES)
    assert place(case).grade == "no"


def test_a_strainer_behind_a_tee_is_measured_to_every_intake(tmp_path):
    case = load_text(tmp_path, two_intakes(-0.70))
    assert {item.cock for item in reaches(case, "pump")} == {"intake seacock", "port seacock"}
    for item in place(case).pumps[0].places:
        away = [one["seacock"] for one in item.standing.other if "too_far" in one.kind]
        assert away == ["port seacock"]


def test_a_position_that_is_not_recorded_is_said(tmp_path):
    case = load_text(tmp_path, edited(text_of(KETCH), (STRAINER, 'height = "-0.50 m"')))
    given = tuple(replace(item, suction_length=2.0) for item in case.pump_place)
    for item in place(replace(case, pump_place=given)).pumps[0].places:
        assert item.standing.to_seacock is None
        assert "strainer_reach_unknown" in kinds(item.remarks)


@pytest.mark.parametrize(
    ("access", "holds", "kind"),
    [
        ("none", False, "strainer_out_of_reach"),
        ("poor", True, "strainer_barely_in_reach"),
        ("good", True, "strainer_far_but_seen"),
    ],
)
def test_what_is_recorded_of_the_reach_is_said(tmp_path, access, holds, kind):
    old = 'faces = ["saloon"]\naccess = "good"'
    far = 'strainer = { aft = "6.3 m", starboard = "0.40 m", height = "-0.50 m" }'
    found = results(tmp_path, (old, f'{old}\nstrainer_access = "{access}"\n{far}'))[ENGINE]
    assert found.holds == holds
    assert found.standing.strainer_access == access
    assert kind in kinds((*found.reasons, *found.remarks))


# --- petrol ---

PETROL = ('fuel = "diesel"', 'fuel = "petrol"')


def test_on_a_petrol_boat_a_bilge_or_engine_space_not_recorded_is_asked_for(tmp_path):
    found = results(tmp_path, PETROL)
    for name in (BILGE, ENGINE, "bilge, aft end"):
        assert "petrol_unknown" in kinds(found[name].reasons), name
        assert not found[name].holds
    assert "petrol_unknown" not in kinds(found[BERTH].reasons)


def test_what_is_recorded_of_petrol_or_of_the_pump_answers_it(tmp_path):
    dry = (f'name = "{ENGINE}"', f'name = "{ENGINE}"\npetrol = false')
    assert results(tmp_path, PETROL, dry)[ENGINE].holds
    for old, new in (
        ("[placing]\n", "[placing]\nignition_protected = true\n"),
        (
            "wires_sound = true, in_petrol_space = false, ignition_protected = false",
            "wires_sound = true, in_petrol_space = false, ignition_protected = true",
        ),
    ):
        found = results(tmp_path, PETROL, (old, new))
        assert found[ENGINE].holds
        said = (one for item in found.values() for one in (*item.reasons, *item.remarks))
        assert not any("petrol" in kind for kind in kinds(said))


def next_door(result, kind):
    return [said["room"] for said in result.remarks if said.kind == f"place.{kind}"]


def test_an_opening_to_a_room_with_petrol_is_remarked(tmp_path):
    room = ('use = "engine space"\n', 'use = "engine space"\npetrol = true\n')
    found = results(tmp_path, room)
    locker = "cockpit locker, on the shelf"
    for name in (BILGE, "bilge, aft end", locker):
        assert next_door(found[name], "petrol_next_door") == ["engine space"], name
    assert not next_door(found[BERTH], "petrol_next_door")
    assert not found[ENGINE].holds
    maybe = results(tmp_path, PETROL)[locker]
    assert next_door(maybe, "petrol_maybe_next_door") == ["engine space"]
    holes = 'between = ["engine space", "cockpit locker"]\nmaterial = "plywood 12 mm"\n'
    shut = (holes + 'opening = "cable and hose holes"', holes + 'opening = "sealed"')
    assert not next_door(results(tmp_path, room, shut)[locker], "petrol_next_door")


# --- the suction, positions, partitions ---


@pytest.mark.parametrize(
    ("height", "word"),
    [("-0.4995", "level"), ("-0.50", "level"), ("-0.53", "falls"), ("-0.49", "")],
)
def test_a_suction_nearly_level_is_remarked_and_one_that_falls_more_than_its_bore_is_tight(
    tmp_path, height, word
):
    here = (
        'starboard = "0.20 m", height = "-0.44 m"',
        f'starboard = "0.20 m", height = "{height} m"',
    )
    found = results(tmp_path, here)[ENGINE]
    level = [said for said in found.remarks if said.kind == "place.suction_level"]
    assert [(said["start"], said["end"]) for said in level if said["end"] == "pump"] == (
        [("strainer", "pump")] if word == "level" else []
    )
    assert ("start.air_in_suction" in kinds(found.doubts)) == (word == "falls")


def test_how_far_a_hose_falls_on_a_tack_by_hand(tmp_path):
    """From 0.40 m to 0.20 m to starboard and 0.01 m up; 15 degrees tilt 0.2 m by 0.2 sin 15."""
    here = (
        'starboard = "0.20 m", height = "-0.44 m"',
        'starboard = "0.20 m", height = "-0.49 m"',
    )
    found = results(tmp_path, here)[ENGINE]
    said = [one for one in found.remarks if one.kind == "place.suction_falls_on_a_tack"]
    falls = {(one["start"], one["end"]): one["by"].value for one in said}
    fall = 0.2 * np.sin(np.radians(15.0)) - 0.01 * np.cos(np.radians(15.0))
    assert falls["strainer", "pump"] == pytest.approx(fall, abs=METRES)


@pytest.mark.parametrize(("height", "falls"), [("-0.44", False), ("-0.42", False), ("-0.45", True)])
def test_a_hose_that_rises_on_both_tacks_is_not_said_to_fall(tmp_path, height, falls):
    """0.2 m across tilt by 0.2 tan 15 = 0.054 m at 15 degrees: a rise of 0.06 m outdoes that."""
    here = (
        'starboard = "0.20 m", height = "-0.44 m"',
        f'starboard = "0.20 m", height = "{height} m"',
    )
    found = results(tmp_path, here)[ENGINE]
    said = [one for one in found.remarks if one.kind == "place.suction_falls_on_a_tack"]
    assert ("pump" in {one["end"] for one in said}) == falls


@pytest.mark.parametrize(
    ("aft", "starboard", "one"),
    [(5.0, 0.2, True), (5.0005, 0.2, True), (5.01, 0.2, False), (5.0, None, False)],
)
def test_a_thing_and_the_junction_at_it_are_no_level_hose(aft, starboard, one):
    start = Point("strainer", -0.5, aft=5.0, starboard=0.2)
    assert _is_one_spot(start, Point("junction", -0.5, aft=aft, starboard=starboard)) == one


def test_a_place_outside_its_compartment_is_remarked(tmp_path):
    here = ('aft = "7.8 m", starboard = "0.20 m"', 'aft = "7.4 m", starboard = "0.20 m"')
    found = results(tmp_path, here)
    (said,) = (one for one in found[ENGINE].remarks if one.kind == "place.outside_its_room")
    assert said["room"] == "engine space"
    assert said["by"].value == pytest.approx(0.2, abs=METRES)
    for name in (BILGE, BERTH):
        assert "outside_its_room" not in kinds(found[name].remarks)


def test_rooms_that_touch_without_a_partition_are_named():
    case = shipped(KETCH)
    before = set(without_partition(case))
    for row, wall in enumerate(case.partition):
        fewer = replace(case, partition=case.partition[:row] + case.partition[row + 1 :])
        (found,) = set(without_partition(fewer)) - before
        assert set(found) == set(wall.between)
        assert place(fewer).not_parted == without_partition(fewer)
        break
    boxes = {room.name: room for room in case.compartment}
    apart = replace(boxes["fore cabin"], aft=(0.0, 1.0))
    other = boxes["aft cabin"]
    assert without_partition(replace(case, compartment=(apart, other), partition=())) == ()


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_no_place_is_told_to_be_quieter_because_a_partition_was_left_out(name):
    """Leaving one out can open a way into a soft side room, but for far less than can be told."""
    case = shipped(name)

    def levels(of):
        places = place(of).pumps[0].places
        return {(item.name, heard.berth): heard.level for item in places for heard in item.sound}

    whole = levels(case)
    for row in range(0, len(case.partition), 3):
        fewer = replace(case, partition=case.partition[:row] + case.partition[row + 1 :])
        for key, level in levels(fewer).items():
            assert level > whole[key] - ranking_width() / 6.0, key


# --- hoses ---


def test_where_it_stands_now_the_hoses_are_as_long_as_the_case_says():
    case = shipped(KETCH)
    now = next(item for item in places_offered(case, "pump") if item.name == BILGE)
    assert placed(case, now).hose == case.hose
    assert stands_now(case, now)
    assert not any(
        stands_now(case, item) for item in places_offered(case, "pump") if item.name != BILGE
    )
    found = next(item for item in ketch().places if item.name == BILGE)
    assert found.stands_now
    assert found.water.hose == pytest.approx(0.5 + 0.6 + 2.4, abs=METRES)
    led = replace(now, place=replace(now.place, suction_length=3.0))
    assert not stands_now(case, led)
    assert hose_metres(placed(case, led), "pump") == pytest.approx(0.5 + 3.0 + 2.4, abs=METRES)


@pytest.mark.parametrize(("off", "same"), [(0.048, True), (0.052, False)])
def test_within_five_centimetres_it_stands_where_it_is(off, same):
    case = shipped(KETCH)
    now = next(item for item in places_offered(case, "pump") if item.name == BILGE)
    at = replace(now.place.at, aft=now.place.at.aft + off)
    assert stands_now(case, replace(now, place=replace(now.place, at=at))) == same


def test_hose_metres_count_a_moved_intake_and_all_before_and_behind_a_tee(tmp_path):
    more = """
[[intake_place]]
name = "forward"
at = { aft = "4.7 m", starboard = "0.35 m", height = "-0.62 m" }
"""
    case = load_text(tmp_path, text_of(KETCH) + more)
    now = next(item for item in places_offered(case, "pump") if item.place.name == BILGE)
    there = placed(case, now)
    way = (5.4 - 4.7) + 0.05 + 0.12
    assert hose_metres(there, "pump") == pytest.approx(1.2 * way + 0.6 + 2.4, abs=METRES)
    tee = load_text(tmp_path, two_intakes(-0.70))
    assert hose_metres(tee, "pump") == pytest.approx(
        sum(hose.length for hose in tee.hose if hose.to != "topside outlet"), abs=METRES
    )
    motor = shipped(MOTOR)
    ends = {"manifold", *(unit.name for unit in motor.unit), motor.pump[0].name, "strainer"}
    by_hand = sum(hose.length for hose in motor.hose if hose.to in ends)
    assert hose_metres(motor, motor.pump[0].name) == pytest.approx(by_hand, abs=METRES)


# --- speed, hum, and what is left open ---


def test_further_from_the_ear_is_never_louder_by_air_at_the_same_speed(tmp_path):
    held = place(load_text(tmp_path, one_cabin())).pumps[0]
    near, far = (
        next(item for item in held.places if item.name.startswith(word)) for word in ("near", "far")
    )
    assert far.water.cable < near.water.cable
    assert far.speed_ratio == pytest.approx(near.speed_ratio, abs=1e-9)
    assert far.loudest.airborne < near.loudest.airborne


def test_a_shorter_cable_is_faster_and_louder_by_the_law_of_speeds(tmp_path):
    case = load_text(tmp_path, one_cabin("demo-dc-small-12"))
    part = case.catalogue.pump("demo-dc-small-12")
    slow, fast = (sound_of(part, None, speed) for speed in (0.95, 1.0))
    assert fast.a_level - slow.a_level == pytest.approx(-50.0 * np.log10(0.95), abs=DECIBELS)


def test_the_level_of_the_pump_is_that_at_the_speed_used():
    case = shipped(KETCH)
    faster = replace(case, supply=replace(case.supply, frequency=60.0))
    found = place(faster).pumps[0]
    rated = sound_of(found.part, 60.0, 1.0).a_level
    assert found.speed_ratio != pytest.approx(1.0, abs=0.01)
    gain = 50.0 * np.log10(found.speed_ratio)
    assert found.a_level - rated == pytest.approx(gain, abs=DECIBELS)
    for pump, hum in ((found, 120.0), (ketch(), 100.0)):
        (said,) = (one for one in pump.advice.loudness if one.kind == "place.hum")
        assert said["hum"].value == hum


def test_the_hum_is_in_the_forces_and_leaves_their_a_weighted_sum():
    case = shipped(KETCH)
    part = case.catalogue.pump(case.pump[0].fitted)
    humming, without = sound_of(part, 50.0, 1.0), sound_of(part, None, 1.0)
    row = sound_row("sources", part.type)
    level = 20.0 * np.log10(humming.force / 1e-6)
    plain = np.asarray(row["force_over_sound"]) + humming.a_level
    share = row["hum_share_ac"]
    assert a_weighted_level(level) == pytest.approx(a_weighted_level(plain), abs=DECIBELS)
    others = np.delete(level - plain, 1)
    assert np.allclose(others, 10.0 * np.log10(1.0 - share), rtol=0.0, atol=DECIBELS)
    assert level[1] > plain[1]
    assert humming.tone == 100.0
    assert "100 Hz" in humming.assumptions[0].value
    dc = sound_of(case.catalogue.pump("demo-dc-variable-12"), None, 1.0)
    assert dc.tone is None
    assert "no hum" in dc.assumptions[0].value
    assert without.force.shape == humming.force.shape


def with_level(result, name, by_air, by_structure):
    heard = replace(result.loudest, airborne=by_air, structure=by_structure).with_structure(0.0)
    return replace(result, sound=(heard,), name=name, rank=None)


@pytest.mark.parametrize(("over", "left_open"), [(5.0, True), (9.9, True), (10.1, False)])
def test_a_difference_that_its_own_path_could_reverse_is_said_in_the_first_sentences(
    over, left_open
):
    base = ketch().places[0]
    quiet = with_level(base, "quiet", -80.0, 30.0)
    loud = with_level(base, "loud", -80.0, 30.0 + over)
    ordered = in_order([loud, quiet], WIDTH)
    assert is_left_open(*ordered) == left_open == (over < SHIFT)
    said = advice_for(ordered, WIDTH).next_best
    assert said.kind == ("place.next_left_open" if left_open else "place.next_louder")
    assert (said["other"], said["less"].value) == ("loud", pytest.approx(over, abs=HEARING))
    airy = in_order([with_level(base, "quiet", 30.0, -80.0), loud], WIDTH)
    assert not is_left_open(*airy)


# --- problems ---


def test_places_without_compartments_are_one_problem(tmp_path):
    text = text_of(KETCH)
    start, end = text.index("[[compartment]]"), text.index("[[pump_place]]")
    file = tmp_path / "case.toml"
    file.write_text(text[:start] + text[end:], encoding="utf-8")
    with pytest.raises(SeaflowError) as caught:
        load_case(str(file))
    assert [problem.code for problem in caught.value.problems] == ["S55"]


def test_a_place_nobody_reaches_is_out_simply(tmp_path):
    text = text_of(KETCH).replace('access = "good"', 'access = "none"')
    text = text.replace('access = "poor"', 'access = "none"')
    advice = place(load_text(tmp_path, text)).pumps[0].advice
    assert advice.next_best.kind == "place.nearest_is_out"
    assert advice.next_best["fault"] is None
    assert advice.next_best["reason"].kind == "place.out_of_reach"


def test_the_reach_is_a_limit_of_the_table():
    assert limit("strainer_reach") == 1.0
