"""Placing against arithmetic on paper: three rooms in a row, a cable and its volts."""

import numpy as np
import pytest
from placing import low_volts, row_of_rooms
from sizing import load_text

from seaflow.physics.sound import network as sound_network
from seaflow.physics.sound.levels import a_weighted_level
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.place.house import house_of
from seaflow.studies.place.sound import footing_of, heard
from seaflow.studies.place.source import source_of
from seaflow.studies.place.study import place

LAST_DIGIT = 5e-4  # dB, of the three decimals worked out on paper


def test_three_rooms_on_paper():
    """Rooms of 2, 4 and 3 m2 of absorption; 0.5 and 0.25 m2 open between them; 1 uW in the first.

    2.5 x0 - 0.5 x1 = P, -0.5 x0 + 4.75 x1 - 0.25 x2 = 0, -0.25 x1 + 3.25 x2 = 0. The last gives
    x1 = 13 x2, the second x0 = (61.75 - 0.25)/0.5 x2 = 123 x2, the first (307.5 - 6.5) x2 = P.
    Levels are 10 lg(4 x/1 pW): x2 = P/301 gives 41.235, x1 52.374 and x0 62.134 dB.
    """
    table = sound_network.coupling_matrix([0.5, 0.25], [[0, 1], [1, 2]], 3)
    levels = sound_network.diffuse_level(
        sound_network.energy_densities([2.0, 4.0, 3.0], table, [1e-6, 0.0, 0.0])
    )
    assert np.allclose(levels, [62.134, 52.374, 41.235], rtol=0.0, atol=LAST_DIGIT)


def test_three_rooms_of_a_case_by_hand(tmp_path):
    """Locker 0, saloon 1 and cabin 2 in a row, openings of 0.5 and 0.25 m2 between them.

    With A the absorption of each room and x the sound that meets a square metre of its wall:
        (A0 + 0.5) x0 - 0.5 x1 = P,   -0.5 x0 + (A1 + 0.75) x1 - 0.25 x2 = 0,
        -0.25 x1 + (A2 + 0.25) x2 = 0,   level = 10 lg(4 x / 1 pW).
    """
    case = load_text(tmp_path, row_of_rooms())
    house = house_of(case)
    source = source_of(case.catalogue.pump("demo-mag-medium-230"), 50.0, 1.0)
    power = 1e-12 * 10.0 ** (source.power_level / 10.0)
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
    (found,) = heard(case, house, where, source, footing_of(where))
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
    far = next(item for item in pump.outcomes if item.name == "aft").water
    assert far.cable == pytest.approx(6.555, rel=1e-12)
    resistivity = 1.0 / 58e6 * (1.0 + 0.00393 * (30.0 - 20.0))
    current = pump.part.power[-1][1] / 12.0
    drop = 2.0 * 6.555 * current * resistivity / 2.5e-6
    assert far.voltage == pytest.approx(12.0 - drop, rel=1e-6)
