"""Laws of placing: what moves a pump, a mount, a hose or a leak may do, and what it may not."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from placing import kinds, row_of_rooms
from sizing import KETCH, MOTOR, edited, load_text, shipped, shuffled, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat.tables.rooms import JOINTS, MOUNTS, Joint
from seaflow.boat.tables.things import Place
from seaflow.physics.sound.levels import octave_frequencies
from seaflow.physics.sound.mounts import ISOLATES_ABOVE, natural_frequency
from seaflow.physics.sound.panels import SOUND_SPEED
from seaflow.physics.sound.sources import sound_names, sound_row
from seaflow.studies.design.judge import TIGHT, YES
from seaflow.studies.place.cures import cures
from seaflow.studies.place.pump_sound import footing_of, resonance, sound_of
from seaflow.studies.place.rank import difference, in_order
from seaflow.studies.place.rooms import _leaf, area_of, loss_of, open_share, rooms_of
from seaflow.studies.place.routes import placed, places_offered, route_length
from seaflow.studies.place.sound import heard, ranking_width
from seaflow.studies.place.study import place
from seaflow.studies.place.water import run_each
from seaflow.studies.size.size import size

ROUNDING = 1e-9  # dB: two ways to work out one number
FLOW_RTOL = 1e-9  # one loop run twice by the same solver
BANDS = octave_frequencies()
BILGE, ENGINE = "bilge, by the strainer", "engine space, forward end"


@cache
def answer(name):
    return place(shipped(name))


def result(name, of):
    return next(item for item in answer(name).pumps[0].places if item.name == of)


def pump_place(case, name):
    return next(item for item in case.pump_place if item.name == name)


def ketch_pump():
    case = shipped(KETCH)
    return sound_of(case.catalogue.pump(case.pump[0].fitted), case.supply.frequency, 1.0)


def at_berths(case, where, footing=None, sound=None):
    return heard(rooms_of(case), where, sound or ketch_pump(), footing)


def densities(case, name, power=1e-6):
    """Rooms of a case, and the density of sound in each with a power in the one named."""
    rooms = rooms_of(case)
    powers = np.zeros(rooms.absorption.shape)
    powers[:, rooms.number(name)] = power
    return rooms, rooms.densities(powers)


def order_of(found):
    return [
        (item.name, item.rank, item.same_as, item.reasons, item.level)
        for pump in found.pumps
        for item in pump.places
    ]


# --- the answer ---


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_a_shipped_boat_has_places_and_one_that_holds(name):
    found = answer(name)
    assert found.grade == TIGHT  # with the pump fitted, as `size` calls it
    assert all(len(pump.places) >= 4 for pump in found.pumps)
    assert found.pumps[0].places[0].rank == 1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_order_of_the_file_does_not_matter(tmp_path, seed):
    again = place(load_text(tmp_path, shuffled(text_of(KETCH), seed)))
    for old, new in zip(order_of(answer(KETCH)), order_of(again), strict=True):
        assert old[:4] == new[:4]
        assert old[4] == pytest.approx(new[4], abs=ROUNDING)
    assert again.pumps[0].advice.place == answer(KETCH).pumps[0].advice.place


def test_the_order_of_the_places_does_not_matter():
    given = answer(MOTOR).pumps[0].places
    for seed in range(5):
        mixed = [given[i] for i in np.random.default_rng(seed).permutation(len(given))]
        assert in_order(mixed, ranking_width()) == given


def test_the_quietest_place_of_the_motor_yacht_is_out_for_a_hydraulic_reason_and_it_is_said():
    pump = answer(MOTOR).pumps[0]
    quietest = min(pump.places, key=lambda item: item.level)
    assert not quietest.holds
    assert quietest.hydraulic_reasons
    assert quietest.level < pump.places[0].level - ranking_width()  # and it can be told
    said = pump.advice.quietest
    assert said["place"] == quietest.name
    assert said["fault"].kind == "place.will_not_start"
    assert said["reason"] == quietest.hydraulic_reasons[0]
    assert said["less"].value == difference(quietest, pump.places[0])


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_no_place_stands_before_another_within_the_uncertainty_without_a_word(name):
    pump = answer(name).pumps[0]
    holding = [item for item in pump.places if item.holds]
    for first, second in pairwise(holding):
        gap = next(gap for gap in pump.gaps if gap["place"] == first.name)
        told = gap.kind in ("place.quieter", "place.quieter_left_open")
        assert told == (second.level - first.level >= ranking_width())
        assert told == (second.name not in first.same_as)
        assert second.level - first.level > -ranking_width()
    assert [item.rank for item in holding] == list(range(1, len(holding) + 1))


def test_every_sound_has_the_uncertainty_of_its_bands():
    for heard_there in result(KETCH, BILGE).sound:
        assert heard_there.band_half_widths == (10.0, 10.0, 6.0, 6.0, 6.0, 6.0, 6.0)
        assert heard_there.half_width in (6.0, 10.0)
        both = 10.0 * np.log10(
            10.0 ** (heard_there.airborne / 10.0) + 10.0 ** (heard_there.structure / 10.0)
        )
        assert heard_there.level == pytest.approx(both, abs=1e-6)


def test_a_case_without_places_is_refused_and_says_what_to_write():
    case = shipped(KETCH)
    for changed in (replace(case, pump_place=()), replace(case, compartment=())):
        with pytest.raises(SeaflowError) as caught:
            place(changed)
        assert caught.value.problems[0].code == "S55"


def test_a_boat_where_nobody_sleeps_is_ranked_by_access_remarks_and_hose():
    case = shipped(KETCH)
    awake = tuple(replace(room, sleeps=False) for room in case.compartment)
    found = place(replace(case, compartment=awake)).pumps[0]
    assert found.places[0].level is None
    assert found.places[0].name == ENGINE  # it is dry there, and as easy to reach
    assert found.advice.place.kind == "place.here_unheard"


# --- the water ---


def test_a_route_by_hand():
    """4 m to 5.5 m aft, 0.4 m to 1.0 m to starboard, down 0.2 m and up 0.3 m; a fifth of slack."""
    points = [
        Place(aft=4.0, starboard=0.4, height=-0.3),
        Place(height=-0.5),
        Place(aft=5.5, starboard=1.0, height=-0.2),
    ]
    by_hand = (1.5 + 0.6 + 0.2 + 0.3) * 1.2
    assert route_length(points, 1.2) == pytest.approx(by_hand, rel=1e-12)


def test_the_flow_at_a_place_is_that_of_the_size_study_there():
    case = shipped(KETCH)
    for candidate in places_offered(case, "pump")[:3]:
        here = placed(case, candidate)
        sized = size(here, 0).loops[0]
        fitted = next(item for item in sized.pumps if item.fitted)
        found = result(KETCH, candidate.name)
        assert found.water.flow == pytest.approx(fitted.design.flow, rel=FLOW_RTOL)
        assert found.water.power == pytest.approx(fitted.running_power, rel=FLOW_RTOL)
        assert set(found.water.reasons) == set(fitted.judgement.reasons)


@pytest.mark.parametrize("key", ["suction_length", "delivery_length"])
@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_a_longer_hose_never_adds_flow(name, key):
    case = shipped(name)
    part = answer(name).pumps[0].part
    first = places_offered(case, case.pump[0].name)[0]
    flows = []
    for length in (0.2, 0.5, 1.0, 3.0, 9.0, 25.0):
        longer = replace(first, place=replace(first.place, **{key: length}))
        (ranked,) = run_each([placed(case, longer)], first.pump, part)
        flows.append(ranked.result.design.flow)
    assert np.all(np.diff(flows) <= FLOW_RTOL * flows[0])
    assert flows[-1] < flows[0]


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_a_narrower_hose_never_adds_flow(name):
    case = shipped(name)
    part = answer(name).pumps[0].part
    first = places_offered(case, case.pump[0].name)[0]
    here = placed(case, first)
    for row, hose in enumerate(here.hose):
        flows = []
        for share in (1.0, 0.9, 0.75):
            narrow = replace(hose, bore=share * hose.bore)
            hoses = (*here.hose[:row], narrow, *here.hose[row + 1 :])
            (ranked,) = run_each([replace(here, hose=hoses)], first.pump, part)
            flows.append(ranked.result.design.flow)
        assert np.all(np.diff(flows) <= FLOW_RTOL * flows[0]), hose.label


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        (
            'faces = ["saloon"]\naccess = "good"',
            'faces = ["saloon"]\naccess = "none"',
            "out_of_reach",
        ),
        (
            'faces = ["saloon"]\naccess = "good"',
            'faces = ["saloon"]\naccess = "good"\nabove_electrics = true',
            "above_electrics",
        ),
        (
            'faces = ["saloon"]\naccess = "good"',
            'faces = ["saloon"]\naccess = "good"\npetrol = true',
            "petrol",
        ),
        (
            'faces = ["saloon"]\naccess = "good"',
            'faces = ["saloon"]\naccess = "good"\n'
            'strainer = { aft = "7.4 m", starboard = "0.2 m", height = "-0.5 m" }',
            "strainer_too_far",
        ),
        (
            'starboard = "0.20 m", height = "-0.44 m"',
            'starboard = "0.20 m", height = "-0.56 m"',
            "start.air_in_suction",
        ),
        (
            'starboard = "0.20 m", height = "-0.44 m"',
            'starboard = "0.65 m", height = "-0.44 m"',
            "design.shallow_pump",
        ),
        (
            'starboard = "0.20 m", height = "-0.44 m"',
            'starboard = "-1.80 m", height = "-0.44 m"',
            "start.on_a_tack",
        ),
    ],
)
def test_what_must_hold(tmp_path, old, new, kind):
    found = place(load_text(tmp_path, edited(text_of(KETCH), (old, new)))).pumps[0].places
    here = next(item for item in found if item.name == ENGINE)
    said = {"start.air_in_suction": here.doubts, "design.shallow_pump": here.remarks}
    assert kind in kinds(said.get(kind, here.reasons))
    assert here.holds == (kind in said)
    assert (here.rank is None) == (not here.holds)
    others = [item for item in found if item.name != ENGINE]
    for item in others:
        assert item.reasons == result(KETCH, item.name).reasons


def test_an_ignition_protected_pump_may_stand_where_petrol_is(tmp_path):
    petrol = (
        'faces = ["saloon"]\naccess = "good"',
        'faces = ["saloon"]\naccess = "good"\npetrol = true',
    )
    proof = ("[placing]\n", "[placing]\nignition_protected = true\n")
    text = edited(text_of(KETCH), petrol, proof)
    found = place(load_text(tmp_path, text)).pumps[0].places
    assert next(item for item in found if item.name == ENGINE).holds


def test_a_hose_from_where_nobody_knows_is_never_guessed(tmp_path):
    at = 'at = { aft = "5.4 m", starboard = "0.40 m", height = "-0.50 m" }'
    text = edited(text_of(KETCH), (at, 'height = "-0.50 m"'))
    with pytest.raises(SeaflowError) as caught:
        place(load_text(tmp_path, text))
    (problem,) = caught.value.problems
    assert problem.code == "M01"
    assert '"strainer"' in problem.what
    case = load_text(tmp_path, text)
    given = tuple(replace(item, suction_length=2.0) for item in case.pump_place)
    assert place(replace(case, pump_place=given)).grade == TIGHT


def test_a_high_point_before_the_pump_is_tight_and_stands_behind_every_yes(tmp_path):
    old = 'faces = ["saloon"]\naccess = "good"'
    new = old + '\nsuction_via = [{ aft = "7.5 m", starboard = "0.2 m", height = "-0.20 m" }]'
    found = place(load_text(tmp_path, edited(text_of(KETCH), (old, new)))).pumps[0].places
    here = next(item for item in found if item.name == ENGINE)
    assert "start.air_in_suction" in kinds(here.doubts) and here.grade == TIGHT
    assert all(item.rank < here.rank for item in found if item.grade == YES)


def test_an_intake_that_may_move_multiplies_the_places(tmp_path):
    more = """
[[intake_place]]
name = "intake as it is"
at = { aft = "5.2 m", starboard = "0.35 m", height = "-0.62 m" }

[[intake_place]]
name = "intake at the turn of the bilge"
at = { aft = "5.2 m", starboard = "1.60 m", height = "-0.30 m" }
"""
    found = place(load_text(tmp_path, text_of(KETCH) + more)).pumps[0].places
    assert len(found) == 2 * len(answer(KETCH).pumps[0].places)
    dry = [item for item in found if "turn of the bilge" in item.name]
    assert dry
    assert all("start.on_a_tack" in kinds(item.reasons) for item in dry)


# --- the sound ---


def test_the_rooms_close_their_balance():
    """What rooms swallow is what the source gives."""
    rooms, found = densities(shipped(MOTOR), "engine room")
    swallowed = (found * SOUND_SPEED / 4.0 * rooms.absorption).sum(axis=-1)
    assert np.allclose(swallowed, 1e-6, rtol=1e-10, atol=0.0)


@pytest.mark.parametrize("room", ["fore cabin", "aft cabin"])
def test_further_from_the_pillow_is_never_louder_by_air(room):
    case = shipped(KETCH)
    berth = next(item for item in case.compartment if item.name == room)
    ear = berth.pillow
    levels = []
    for away in (0.1, 0.3, 0.5, 0.8, 1.2, 1.6):
        at = Place(aft=ear.aft + away, starboard=ear.starboard, height=ear.height)
        there = replace(pump_place(case, ENGINE), compartment=room, at=at)
        found = {item.berth: item for item in at_berths(case, there)}
        levels.append(found[room].airborne)
    assert np.all(np.diff(levels) <= ROUNDING)
    assert levels[-1] < levels[0]


def test_where_the_pump_stands_in_another_room_does_not_change_its_sound():
    case = shipped(KETCH)
    there = pump_place(case, BILGE)
    moved = replace(there, at=Place(aft=7.2, starboard=-0.5, height=-0.4))
    assert at_berths(case, there) == at_berths(case, moved)


def test_more_mass_at_the_same_stiffness_is_never_louder_below_half_the_coincidence():
    case = shipped(KETCH)
    for row, wall in enumerate(case.partition):
        usual = _leaf(wall.material, wall.thickness, wall.mass)
        levels, lowest = [], usual[1]
        for factor in (1.0, 1.3, 2.0, 4.0):
            heavy = replace(wall, mass=factor * usual[0])
            walls = (*case.partition[:row], heavy, *case.partition[row + 1 :])
            here = replace(case, partition=walls)
            rooms, found = densities(here, wall.between[0])
            levels.append(found[:, rooms.number(wall.between[1])])
        below = lowest / 2.0 > BANDS
        assert np.all(np.diff(np.asarray(levels), axis=0)[:, below] <= 1e-12), wall.between


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_sealing_the_partition_between_pump_and_berth_is_never_louder(name):
    """The direct partition, in whatever network: room absorption does not depend on its leaks."""
    case = shipped(name)
    for row, wall in enumerate(case.partition):
        for source, berth in (wall.between, wall.between[::-1]):
            levels = []
            for opening in (
                "open",
                "louvred door",
                "loose lid or door",
                "well fitting door",
                "sealed",
            ):
                closed = replace(wall, opening=opening, opening_area=None)
                walls = (*case.partition[:row], closed, *case.partition[row + 1 :])
                rooms, found = densities(replace(case, partition=walls), source)
                levels.append(found[:, rooms.number(berth)])
            steps = np.diff(np.asarray(levels), axis=0)
            assert np.all(steps <= 1e-9 * np.asarray(levels[:-1])), (wall.between, berth)


def test_a_row_of_rooms_is_never_louder_at_its_end_for_a_leak_that_is_sealed(tmp_path):
    case = load_text(tmp_path, row_of_rooms())
    before = at_berths(case, case.pump_place[0])[0].airborne
    for row in range(len(case.partition)):
        shut = replace(case.partition[row], opening="sealed", opening_area=None)
        walls = (*case.partition[:row], shut, *case.partition[row + 1 :])
        assert at_berths(replace(case, partition=walls), case.pump_place[0])[0].airborne < before


def test_a_softer_mount_is_never_louder_while_it_isolates():
    case = shipped(KETCH)
    sound = ketch_pump()
    for where in case.pump_place:
        levels = []
        for mount in MOUNTS:
            deflection = sound_row("mounts", mount)["static_deflection"]
            isolates = deflection == 0.0 or (
                sound.shaft_frequency >= ISOLATES_ABOVE * natural_frequency(deflection)
            )
            if isolates:
                footing = replace(footing_of(where), mount=mount)
                levels.append([item.structure for item in at_berths(case, where, footing)])
                assert resonance(sound, mount) is None
        assert len(levels) >= 4
        assert np.all(np.diff(np.asarray(levels), axis=0) <= ROUNDING), where.name


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_a_joint_that_takes_off_more_is_never_louder(name):
    case = shipped(name)
    sound = sound_of(answer(name).pumps[0].part, case.supply.frequency, 1.0)
    for where in case.pump_place:
        for berth in (room.name for room in case.compartment if room.is_berth):
            if berth in (where.compartment, *where.faces):
                continue
            levels = []
            for joint in JOINTS:  # from the same board to a separate structure
                led = replace(where, joined=(Joint(compartment=berth, by=joint),))
                found = {item.berth: item for item in at_berths(case, led, sound=sound)}
                levels.append(found[berth].structure)
            assert np.all(np.diff(levels) < 0.0), (where.name, berth)


def test_a_slow_pump_on_a_stiff_mount_is_warned_of():
    slow = replace(ketch_pump(), shaft_frequency=20.0)
    assert resonance(slow, "thin rubber washers").kind == "place.mount_too_stiff"
    assert resonance(slow, "very soft mount") is None
    assert resonance(slow, "screwed down") is None


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_no_cure_makes_it_louder_and_all_together_gain_most(name):
    for item in answer(name).pumps[0].places:
        gains = {cure.kind: cure.gain for cure in item.cures if cure.gain is not None}
        assert all(gain >= -ROUNDING for gain in gains.values()), item.name
        assert gains["all"] >= max(gains.values()) - ROUNDING


def test_a_pump_whose_speed_can_be_set_gains_by_turning_slower():
    case = shipped(KETCH)
    where = pump_place(case, BILGE)
    part = case.catalogue.pump("demo-dc-variable-12")
    full, slow = (sound_of(part, None, speed) for speed in (1.0, 0.7))
    found = cures(rooms_of(case), where, full, (slow, 0.7))
    speed = next(cure for cure in found if cure.kind == "speed")
    fall = -50.0 * np.log10(0.7)  # dB, of all that it gives off
    loud, soft = (at_berths(case, where, None, sound) for sound in (full, slow))
    for before, after in zip(loud, soft, strict=True):
        assert before.airborne - after.airborne == pytest.approx(fall, abs=1e-6)
    # Shaken more slowly, the same mount isolates less, and that eats a part of it.
    assert 0.0 < speed.gain < fall


def test_a_thicker_board_of_the_same_stuff_is_heavier_and_stiffer():
    mass, dip, _ = _leaf("plywood 12 mm", 0.018, None)
    assert (mass, dip) == pytest.approx((12.0, 1667.0 * 12.0 / 18.0))


def test_a_door_and_a_leak_let_more_through_than_a_whole_bulkhead():
    case = shipped(KETCH)
    rooms = {room.name: room for room in case.compartment}
    for wall in case.partition:
        bare = replace(wall, opening="sealed", opening_area=None, door_area=None)
        area = area_of(wall, rooms)
        assert np.all(loss_of(bare, area) >= loss_of(wall, area) - ROUNDING)


def test_an_opening_is_no_wider_than_its_partition():
    wall = shipped(KETCH).partition[0]
    for given, share in ((0.5, 0.25), (2.0, 1.0), (50.0, 1.0)):
        assert open_share(replace(wall, opening_area=given), 2.0) == share


def test_a_loose_door_is_open_by_the_gap_round_it():
    """5 mm round 0.6 by 1.6 m, by hand; a lid a quarter of the size has half the gap."""
    wall = replace(shipped(KETCH).partition[0], opening="loose lid or door", opening_area=None)
    door, lid = replace(wall, door_area=0.96), replace(wall, door_area=0.24)
    assert open_share(door, 0.96) == pytest.approx(0.005 * 2.0 * (0.6 + 1.6) / 0.96)
    assert open_share(door, 0.96) == pytest.approx(0.023, abs=5e-4)
    assert open_share(lid, 0.96) == pytest.approx(0.5 * open_share(door, 0.96))
    # where its size is not recorded it is an ordinary one, if the partition has room for it
    bare = replace(wall, door_area=None)
    assert open_share(bare, 2.0) == pytest.approx(open_share(door, 2.0))
    assert open_share(bare, 0.24) == pytest.approx(open_share(lid, 0.24))


def test_every_furnishing_is_made_of_surfaces():
    for name in sound_names("furnishings"):
        row = sound_row("furnishings", name)
        assert sum(row["shares"].values()) == pytest.approx(1.0)
        assert set(row["shares"]) <= set(sound_names("surfaces"))
        assert row["source"]
