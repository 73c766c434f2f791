"""Placing against arithmetic on paper: three rooms in a row, a cable and its volts."""

from dataclasses import replace

import numpy as np
import pytest
from placing import low_volts, one_cabin, row_of_rooms
from sizing import load_text

from seaflow.boat.tables.rooms import Joint
from seaflow.physics.sound import rooms as sound_rooms
from seaflow.physics.sound.levels import a_weighted_level, a_weighting, octave_frequencies
from seaflow.physics.sound.mounts import joint_loss
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.place.pump_sound import board_power, footing_of, sound_of
from seaflow.studies.place.rooms import rooms_of
from seaflow.studies.place.sound import _sound_at, heard, shaken
from seaflow.studies.place.study import place

LAST_DIGIT = 5e-4  # dB, of the three decimals worked out on paper


def test_three_rooms_on_paper():
    """Rooms of 2, 4 and 3 m2 of absorption; 0.5 and 0.25 m2 open between them; 1 uW in the first.

    2.5 x0 - 0.5 x1 = P, -0.5 x0 + 4.75 x1 - 0.25 x2 = 0, -0.25 x1 + 3.25 x2 = 0. The last gives
    x1 = 13 x2, the second x0 = (61.75 - 0.25)/0.5 x2 = 123 x2, the first (307.5 - 6.5) x2 = P.
    Levels are 10 lg(4 x/1 pW): x2 = P/301 gives 41.235, x1 52.374 and x0 62.134 dB.
    """
    table = sound_rooms.coupling_matrix([0.5, 0.25], [[0, 1], [1, 2]], 3)
    levels = sound_rooms.diffuse_level(
        sound_rooms.energy_densities([2.0, 4.0, 3.0], table, [1e-6, 0.0, 0.0])
    )
    assert np.allclose(levels, [62.134, 52.374, 41.235], rtol=0.0, atol=LAST_DIGIT)


def test_three_rooms_of_a_case_by_hand(tmp_path):
    """Locker 0, saloon 1 and cabin 2 in a row, openings of 0.5 and 0.25 m2 between them.

    With A the absorption of each room and x the sound that meets a square metre of its wall:
        (A0 + 0.5) x0 - 0.5 x1 = P,   -0.5 x0 + (A1 + 0.75) x1 - 0.25 x2 = 0,
        -0.25 x1 + (A2 + 0.25) x2 = 0,   level = 10 lg(4 x / 1 pW).
    """
    case = load_text(tmp_path, row_of_rooms())
    sound = sound_of(case.catalogue.pump("demo-mag-medium-230"), 50.0, 1.0)
    power = 1e-12 * 10.0 ** (sound.power_level / 10.0)
    hard = np.asarray(sound_row("surfaces", "hard")["absorption_shares"])
    soft = np.asarray(sound_row("surfaces", "soft")["absorption_shares"])
    carpet = np.asarray(sound_row("surfaces", "carpet or headlining")["absorption_shares"])
    mixed = 0.3 * soft + 0.3 * carpet + 0.4 * hard
    # Boxes of 1 x 1 x 1, 2 x 2 x 2 and 1 x 2 x 2 m: surfaces of 6, 24 and 16 m2.
    a0, a1, a2 = 6.0 * hard, 24.0 * mixed, 16.0 * mixed
    ratio = (a2 + 0.25) / 0.25  # x1 over x2
    chain = ((a1 + 0.75) * ratio - 0.25) / 0.5  # x0 over x2
    x2 = power / ((a0 + 0.5) * chain - 0.5 * ratio)
    by_hand = a_weighted_level(10.0 * np.log10(4.0 * x2 / 1e-12))
    where = case.pump_place[0]
    (found,) = heard(rooms_of(case), where, sound)
    assert found.berth == "cabin"
    assert found.airborne == pytest.approx(float(by_hand), abs=1e-6)


def test_volts_at_a_place_by_hand(tmp_path):
    """Panel 3.6 m aft, 1.0 m to port, 1.0 m up; 12 V; 2.5 mm2 of copper at 30 degC; slack 1.5.

    To the place 5.6 m aft, 0.02 m to starboard, 0.35 m down: (2.0 + 1.02 + 1.35) m x 1.5 = 6.555 m.
    The current is the pump's at the power that ends its curve.
    """
    placing = """
[placing]
panel = { aft = "3.6 m", starboard = "-1.0 m", height = "1.0 m" }
cable_slack = "1.5"
"""
    case = load_text(tmp_path, low_volts() + placing)
    (pump,) = place(case).pumps
    far = next(item for item in pump.places if item.name == "aft").water
    assert far.cable == pytest.approx(6.555, rel=1e-12)
    resistivity = 1.0 / 58e6 * (1.0 + 0.00393 * (30.0 - 20.0))
    current = pump.part.power[-1][1] / 12.0
    drop = 2.0 * 6.555 * current * resistivity / 2.5e-6
    assert far.voltage == pytest.approx(12.0 - drop, rel=1e-6)


def absorption(**shares):
    """Mean absorption of the octave bands, from shares of rows of the table of surfaces."""
    return sum(
        share * np.asarray(sound_row("surfaces", name.replace("_", " "))["absorption_shares"])
        for name, share in shares.items()
    )


def test_a_pump_beside_the_ear_by_hand(tmp_path):
    """A cabin of 3.6 x 2.4 x 1.8 m, so S = 38.88 m2; the ear 0.1 m forward of it and 0.54 m up.

    A pump on a board sends all its sound into half of space: Q = 2, and by the handbooks
    L = Lw + 10 lg(Q/(4 pi r^2) + 4 (1 - a)/(S a)), with a the mean absorption of the cabin.
    """
    case = load_text(tmp_path, one_cabin())
    sound = sound_of(case.catalogue.pump("demo-dc-variable-12"), None, 1.0)
    share = absorption(soft=0.3, carpet_or_headlining=0.3, hard=0.4)
    far = np.hypot(0.1, 0.54)
    near = 2.0 / (4.0 * np.pi * far**2) + 4.0 * (1.0 - share) / (38.88 * share)
    where = case.pump_place[0]
    (found,) = heard(rooms_of(case), where, sound)
    by_hand = a_weighted_level(sound.power_level + 10.0 * np.log10(near))
    assert found.airborne == pytest.approx(float(by_hand), abs=1e-6)


def test_a_metre_from_a_pump_in_the_open_it_is_as_loud_as_its_sheet_says(tmp_path):
    """Makers state the level at 1 m, on one surface: half of a sphere of 4 pi m2."""
    case = load_text(tmp_path, one_cabin())
    sound = sound_of(case.catalogue.pump("demo-dc-variable-12"), None, 1.0)
    at_1_m = a_weighted_level(sound.power_level - 10.0 * np.log10(2.0 * np.pi))
    assert sound.a_level == pytest.approx(float(at_1_m), abs=1e-9)


# Corner and crossing of two boards of 0.8 by 0.6 m, 12 mm plywood (3500 m/s along it: bending
# waves are as fast as sound at 343.2^2/(1.8 x 3500 x 0.012) Hz), joined along 0.6 m, with
# loss factors of 0.03 and 0.10: worked with a pocket calculator.
JOINTS = [
    (1.0 / 3.0, {100.0: (2.6, 5.7), 500.0: (4.5, 8.5), 1000.0: (5.5, 9.8)}),
    (1.0 / 12.0, {100.0: (6.3, 10.8), 500.0: (9.2, 14.0), 1000.0: (10.5, 15.5)}),
]


@pytest.mark.parametrize(("passes", "drops"), JOINTS)
def test_the_drop_across_a_joint_by_hand(passes, drops):
    dip = 343.2**2 / (1.8 * 3500.0 * 0.012)
    for frequency, ends in drops.items():
        for damping, drop in zip((0.03, 0.10), ends, strict=True):
            found = joint_loss(frequency, dip, 0.48, 0.6, damping, passes)
            assert found == pytest.approx(drop, abs=0.06)


@pytest.mark.parametrize(
    ("joint", "corners"), [("same board", 0), ("board bonded to it", 1), ("two joints away", 2)]
)
def test_what_joints_take_off_by_hand(tmp_path, joint, corners):
    """The board of the locker gives W to its room; each joint leaves 10^(-drop/10) of it."""
    case = load_text(tmp_path, row_of_rooms())
    rooms = rooms_of(case)
    sound = sound_of(case.catalogue.pump("demo-mag-medium-230"), 50.0, 1.0)
    where = case.pump_place[0]
    where = replace(where, joined=(Joint(compartment="cabin", by=joint),))
    power = board_power(sound, footing_of(where))
    found = shaken(rooms, where, power)
    bands = np.asarray([63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])[: len(power)]
    # 12 mm plywood of the table: coincidence at 1667 Hz, a loss factor of 6 %.
    speed = 343.0 * np.sqrt(bands / 1667.0)
    coupling = 2.0 * speed * 0.6 / 3.0 / (2.0 * np.pi**2 * bands * 0.48)
    drop = corners * 10.0 * np.log10(1.0 + 0.06 / coupling)
    cabin = found[:, rooms.number("cabin")]
    assert np.allclose(cabin, power * 10.0 ** (-drop / 10.0), rtol=2e-3)
    assert np.allclose(found[:, rooms.number("locker")], power, rtol=1e-12)
    assert not found[:, rooms.number("saloon")].any()


@pytest.mark.parametrize(("below", "half_width"), [(6.8, 6.0), (7.2, 10.0)])
def test_what_is_mostly_low_is_known_less_well_by_hand(below, half_width):
    """125 Hz at 60 dB(A), and five bands above it each so many dB lower; 63 Hz is silent.

    6.8 dB lower, five bands have 5 x 0.209 = 1.04 of the energy of 125 Hz, which so has less than
    half of all; 7.2 dB lower it is 5 x 0.191 = 0.95, and more than half is low.
    """
    weighted = np.asarray([-200.0, 60.0, *([60.0 - below] * 5)])
    bands = weighted - np.asarray(a_weighting(octave_frequencies()))
    assert _sound_at("cabin", bands, np.full(7, -200.0)).half_width == half_width
