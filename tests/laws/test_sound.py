"""Laws of sound: energy closes, order is no matter, and no cure ever makes it louder."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seaflow.base.ranges import RangeError
from seaflow.base.sources import outside
from seaflow.base.tables import read_table
from seaflow.physics.sound import (
    levels,
    mounts,
    panels,
    partitions,
    radiation,
    rooms,
    sources,
)

BANDS = levels.octave_frequencies()
PICOWATT = 1e-12  # W
BALANCE_RTOL = 1e-12  # of the power fed in
ROUNDING = 1e-9  # dB, or a share: two ways to work out one number
HAND_RTOL = 1e-12  # the same arithmetic with fractions
SEEDS = st.integers(0, 10**6)


def house(seed, n_rooms=None):
    """Absorption areas, coupling and powers of a boat of rooms that never was."""
    rng = np.random.default_rng(seed)
    count = n_rooms or int(rng.integers(2, 7))
    absorption = rng.uniform(0.05, 6.0, count)
    table = np.triu(10 ** rng.uniform(-5, 0.3, (count, count)), 1)
    table *= np.triu(rng.random((count, count)) < 0.7, 1)
    powers = rng.uniform(0.0, 1e-5, count) * (rng.random(count) < 0.6)
    powers[0] = 1e-6
    return absorption, table + table.T, powers


# --- the network ---


def test_three_rooms_by_hand():
    """Engine space 0, saloon 1 and cabin 2 in a row; 1 uW in the engine space.

    Absorption 2, 3 and 4 m2; 0.5 m2 of coupling from 0 to 1, 0.25 m2 from 1 to 2. With x the
    sound that meets a square metre of wall in each room, in uW/m2, the balances are
        2.5  x0 - 0.5  x1            = 1
       -0.5  x0 + 3.75 x1 - 0.25 x2  = 0
                 - 0.25 x1 + 4.25 x2 = 0
    From the last, x1 = 17 x2; from the middle, x0 = 2 (3.75 * 17 - 0.25) x2 = 127 x2;
    from the first, (317.5 - 8.5) x2 = 1, so x2 = 1/309, x1 = 17/309 and x0 = 127/309.
    Swallowed: (2 * 127 + 3 * 17 + 4 * 1)/309 = 309/309 uW, as it must be.
    """
    table = rooms.coupling_matrix([0.5, 0.25], [[0, 1], [1, 2]], 3)
    found = rooms.energy_densities([2.0, 3.0, 4.0], table, [1e-6, 0.0, 0.0])
    by_hand = np.array([127, 17, 1]) / 309 * 1e-6 * 4 / panels.SOUND_SPEED
    assert np.allclose(found, by_hand, rtol=HAND_RTOL, atol=0)
    # Level = 10 lg(4 x / 1 pW): 62.158, 53.425 and 41.121 dB.
    in_decibels = [10 * math.log10(4 * share / 309 * 1e6) for share in (127, 17, 1)]
    assert np.allclose(rooms.diffuse_level(found), in_decibels, rtol=0, atol=ROUNDING)


@given(SEEDS)
def test_energy_balance_closes(seed):
    absorption, table, powers = house(seed)
    met = rooms.energy_densities(absorption, table, powers) * panels.SOUND_SPEED / 4
    assert abs(np.sum(absorption * met) - powers.sum()) <= BALANCE_RTOL * powers.sum()
    traded = table * (met[:, None] - met[None, :])
    left = powers - absorption * met - traded.sum(axis=1)
    assert np.all(np.abs(left) <= BALANCE_RTOL * powers.sum())


@given(SEEDS)
def test_source_and_ear_may_change_places(seed):
    absorption, table, _ = house(seed)
    one = np.eye(absorption.size) * 1e-6
    answers = rooms.energy_densities(absorption, table, one)
    assert np.allclose(answers, answers.T, rtol=ROUNDING, atol=0)


@given(SEEDS)
def test_order_of_rooms_does_not_matter(seed):
    absorption, table, powers = house(seed)
    order = np.random.default_rng(seed + 1).permutation(absorption.size)
    plain = rooms.energy_densities(absorption, table, powers)
    mixed = rooms.energy_densities(absorption[order], table[np.ix_(order, order)], powers[order])
    assert np.allclose(mixed, plain[order], rtol=ROUNDING, atol=0)


def test_order_of_partitions_does_not_matter_and_parallel_ones_add():
    pairs, areas = [[0, 1], [1, 2], [0, 1]], [0.1, 0.2, 0.3]
    plain = rooms.coupling_matrix(areas, pairs, 3)
    turned = rooms.coupling_matrix(areas[::-1], [pair[::-1] for pair in pairs[::-1]], 3)
    assert np.allclose(plain, turned, rtol=1e-15)
    assert np.isclose(plain[0, 1], 0.4) and plain[0, 2] == 0.0


@given(SEEDS, st.integers(0, 5), st.floats(0.01, 5.0))
def test_more_absorption_is_never_louder_anywhere(seed, place, added):
    absorption, table, powers = house(seed)
    before = rooms.energy_densities(absorption, table, powers)
    absorption[place % absorption.size] += added
    after = rooms.energy_densities(absorption, table, powers)
    assert np.all(after <= before * (1 + ROUNDING))


@given(SEEDS, st.floats(0.0, 0.99))
def test_sealing_any_partition_on_a_row_of_rooms_is_never_louder_behind_it(seed, kept):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 6))
    areas = 10 ** rng.uniform(-5, 0.3, count - 1)
    pairs = np.array([[place, place + 1] for place in range(count - 1)])
    absorption = rng.uniform(0.05, 6.0, count)
    powers = np.eye(count)[0] * 1e-6
    open_ = rooms.coupling_matrix(areas, pairs, count)
    sealed = int(rng.integers(0, count - 1))
    areas[sealed] *= kept
    closed = rooms.coupling_matrix(areas, pairs, count)
    before = rooms.energy_densities(absorption, open_, powers)
    after = rooms.energy_densities(absorption, closed, powers)
    assert np.all(after[sealed + 1 :] <= before[sealed + 1 :] * (1 + ROUNDING) + 1e-24)


@given(SEEDS, st.floats(0.0, 0.99))
def test_sealing_between_source_and_berth_is_never_louder_whatever_other_ways_there_are(seed, kept):
    absorption, table, _ = house(seed)
    powers = np.eye(absorption.size)[0] * 1e-6
    before = rooms.energy_densities(absorption, table, powers)
    table[0, 1] = table[1, 0] = table[0, 1] * kept
    after = rooms.energy_densities(absorption, table, powers)
    assert after[1] <= before[1] * (1 + ROUNDING) + 1e-24


def test_sealing_a_side_room_off_can_be_louder_and_the_model_says_so():
    """A door to a soft, far room swallows sound; shut, the berth hears more. True, and no fault."""
    before = rooms.energy_densities(
        [1.0, 1.0, 9.0], rooms.coupling_matrix([0.2, 1.0], [[0, 1], [0, 2]], 3), [1e-6, 0, 0]
    )
    after = rooms.energy_densities(
        [1.0, 1.0, 9.0], rooms.coupling_matrix([0.2, 0.1], [[0, 1], [0, 2]], 3), [1e-6, 0, 0]
    )
    assert after[1] > before[1]


@given(SEEDS)
def test_no_room_is_louder_than_the_one_with_the_source(seed):
    absorption, table, _ = house(seed)
    found = rooms.energy_densities(absorption, table, np.eye(absorption.size)[0] * 1e-6)
    assert np.all(found >= 0) and np.all(found <= found[0] * (1 + ROUNDING))


def test_one_room_is_the_handbooks_formula():
    """Lw + 10 lg(Q/(4 pi r^2) + 4/R) with the room constant R = S a/(1 - a)."""
    for area, share in ((22.0, 0.15), (6.0, 0.5), (60.0, 0.02)):
        density = rooms.energy_densities([area * share], [[0.0]], [1e-6])[0]
        for distance in (0.2, 1.0, 4.0):
            for facing in (1.0, 2.0, 4.0, 8.0):
                ours = rooms.level_near_source(60.0, facing, distance, density, area)
                direct = facing / (4 * math.pi * distance**2)
                constant = area * share / (1 - share)
                formula = 60.0 + 10 * math.log10(direct + 4 / constant)
                assert np.isclose(ours, formula, rtol=0, atol=ROUNDING)


@given(SEEDS, st.floats(0.1, 8.0), st.floats(1.0, 3.0))
def test_further_away_is_never_louder(seed, near, factor):
    absorption, table, _ = house(seed)
    density = rooms.energy_densities(absorption, table, np.eye(absorption.size)[0] * 1e-6)[0]
    area = (absorption + table.sum(axis=1))[0] * 1.5
    close, far = rooms.level_near_source(60.0, 2.0, np.array([near, near * factor]), density, area)
    assert far <= close + ROUNDING
    assert np.isfinite(far)


@given(SEEDS, st.floats(0.01, 3.0))
def test_more_absorption_is_never_louder_near_the_source(seed, added):
    absorption, table, powers = house(seed)
    area = absorption[0] + added + table.sum(axis=1)[0] + 1.0
    power_level = 10 * np.log10(powers[0] / PICOWATT)
    heard = []
    for more in (0.0, added):
        swallowed = absorption + more * (np.arange(absorption.size) == 0)
        density = rooms.energy_densities(swallowed, table, powers)[0]
        heard.append(rooms.level_near_source(power_level, 2.0, 1.0, density, area))
    assert heard[1] <= heard[0] + ROUNDING


def test_bands_and_cases_are_solved_at_once():
    absorption, table, powers = house(3, 4)
    factor = np.array([[1.0, 2.0, 0.5], [1.5, 0.1, 3.0]])[..., None]
    stacked = rooms.energy_densities(absorption * factor, table * factor[..., None], powers)
    assert stacked.shape == (2, 3, 4)
    for place in np.ndindex(2, 3):
        scale = factor[place][0]
        alone = rooms.energy_densities(absorption * scale, table * scale, powers)
        assert np.allclose(stacked[place], alone, rtol=ROUNDING, atol=0)


def test_a_room_between_is_an_enclosure():
    """A locker of 2 m2 round the pump, in a large cabin, gains what enclosure_gain says."""
    inside, wall, loss, share = 2.0, 2.0, 24.0, 0.3
    through = partitions.coupling_area(loss, wall)
    cabin = 4e6  # so large that nothing comes back
    table = rooms.coupling_matrix([through], [[0, 1]], 2)
    closed = rooms.energy_densities([inside * share, cabin], table, [1e-6, 0.0])[1]
    bare = rooms.energy_densities([cabin], [[0.0]], [1e-6])[0]
    gained = rooms.diffuse_level(bare) - rooms.diffuse_level(closed)
    nothing_back = 1e-6  # dB
    assert np.isclose(gained, partitions.enclosure_gain(loss, share), rtol=0, atol=nothing_back)


# --- panels and partitions ---


@given(st.floats(2.0, 40.0), st.floats(1.0, 4.0), st.floats(30.0, 2e4), st.floats(0.01, 0.2))
def test_more_mass_at_the_same_stiffness_is_never_louder(mass, factor, stiffness, damping):
    dip = panels.coincidence_frequency(mass, stiffness)
    heavier = panels.coincidence_frequency(mass * factor, stiffness)
    light = panels.octave_panel_loss(BANDS, mass, dip, damping)
    heavy = panels.octave_panel_loss(BANDS, mass * factor, heavier, damping)
    assert heavier >= dip
    below = dip / 2 > BANDS
    assert np.all(heavy[below] >= light[below] - ROUNDING)
    assert np.all(heavy >= light - ROUNDING)  # in this method everywhere, not only there


def test_panel_loss_has_no_jump():
    for join in (0.5, 1.0):
        for damping in (0.01, 0.05, 0.5):
            edge = np.array([1 - 1e-9, 1 + 1e-9]) * join * 1667.0
            below, above = panels.panel_loss(edge, 8.0, 1667.0, damping)
            assert abs(above - below) < 1e-6


@given(st.floats(0.0, 60.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 10.0))
def test_sealing_a_leak_never_lets_more_through(loss, wide, kept, louvre):
    before = partitions.loss_with_leak(loss, wide, louvre)
    assert partitions.loss_with_leak(loss, wide * kept, louvre) >= before - ROUNDING
    assert before <= loss + ROUNDING


def test_a_leak_is_a_part_that_stops_nothing():
    whole = partitions.composite_loss([30.0, 0.0], [1.9, 0.1])
    assert np.isclose(partitions.loss_with_leak(30.0, 0.05), whole, rtol=0, atol=ROUNDING)


@given(st.floats(1.0, 30.0), st.floats(1.0, 30.0), st.floats(1.0, 3.0), st.floats(0.01, 0.2))
def test_more_mass_in_a_double_leaf_is_never_louder(first, second, factor, gap):
    def loss(mass):
        return partitions.double_leaf_loss(
            BANDS,
            mass,
            second,
            panels.mass_law_loss(BANDS, mass),
            panels.mass_law_loss(BANDS, second),
            gap,
        )

    assert np.all(loss(first * factor) >= loss(first) - ROUNDING)
    assert np.all(loss(first) >= panels.mass_law_loss(BANDS, first + second) - ROUNDING)
    assert np.all(loss(first) >= panels.mass_law_loss(BANDS, first) - ROUNDING)


def test_a_lined_locker_gains_more_and_an_open_one_nothing():
    shares = np.linspace(0.0, 1.0, 50)
    assert np.all(np.diff(partitions.enclosure_gain(20.0, shares)) > 0)
    assert partitions.enclosure_gain(20.0, 0.0) == 0.0
    quiet_wall = 0.5  # dB: the handbooks' short form leaves out what comes back
    short_form = 20.0 + 10 * np.log10(0.3)
    assert abs(partitions.enclosure_gain(20.0, 0.3) - short_form) < quiet_wall


def test_stiffness_and_coincidence_are_each_others_inverse():
    stiffness = panels.stiffness_of(8.0, 1667.0)
    assert np.isclose(panels.coincidence_frequency(8.0, stiffness), 1667.0, rtol=1e-12)


# --- mounts and boards ---


@settings(max_examples=300)
@given(
    st.floats(20.0, 4000.0),
    st.floats(0.05, 1 / 1.4143),
    st.floats(0.1, 1.0),
    st.floats(0.0, 0.5),
    st.floats(0.0, 0.02),
)
def test_softer_is_never_louder_above_1_41_times_the_natural_frequency(
    frequency, ratio, softer, damping, mobility
):
    stiff = frequency * ratio
    soft = stiff * softer
    before = mounts.mounted_force_ratio(frequency, stiff, damping, 3.0, mobility)
    after = mounts.mounted_force_ratio(frequency, soft, damping, 3.0, mobility)
    assert after <= before * (1 + ROUNDING)
    assert before <= mounts.rigid_force_ratio(frequency, 3.0, mobility) * (1 + ROUNDING)


def test_near_resonance_a_mount_makes_it_worse():
    on_rock = {"damping_ratio": 0.1, "mounted_mass": 3.0, "base_mobility": 0.0}
    assert mounts.mounted_force_ratio(10.0, 10.0, **on_rock) > 5.0
    below = np.linspace(0.01, 1.414, 200)
    assert np.all(mounts.mounted_force_ratio(10.0 * below, 10.0, **on_rock) >= 1.0)


def test_more_deflection_is_a_lower_frequency():
    assert np.all(np.diff(mounts.natural_frequency(np.linspace(1e-4, 0.03, 50))) < 0)


def test_every_path_adds():
    assert mounts.joined_force_ratio([0.05, 0.0]) == 0.05
    assert mounts.joined_force_ratio([0.05, 0.01]) > 0.05


def test_board_power_follows_force_squared_and_falls_with_mass_and_damping():
    dip, factor = 1667.0, radiation.radiation_factor(BANDS, 1667.0, 0.8, 0.6)
    one = radiation.radiated_power(0.1, BANDS, 8.0, dip, 0.05, factor)
    assert np.allclose(radiation.radiated_power(0.2, BANDS, 8.0, dip, 0.05, factor), 4 * one)
    assert np.all(radiation.radiated_power(0.1, BANDS, 9.0, dip, 0.05, factor) < one)
    assert np.all(radiation.radiated_power(0.1, BANDS, 8.0, dip, 0.10, factor) < one)
    assert np.all(one > radiation.near_field_power(0.1, 8.0))


def test_radiation_factor_tends_to_one_and_stays_below_its_ceiling():
    far_above = 1e-3  # of the coincidence over the frequency, half of which is left
    assert np.isclose(radiation.radiation_factor(2e6, 1667.0, 0.8, 0.6), 1.0, rtol=far_above)
    frequency = np.geomspace(10.0, 2e4, 2000)
    for size in ((0.1, 0.1), (0.3, 0.2), (0.8, 0.6), (3.0, 2.0)):
        for dip in (400.0, 1667.0, 5000.0):
            factor = radiation.radiation_factor(frequency, dip, *size)
            assert np.all((factor > 0) & (factor <= 2.0))


# --- levels and sources ---


def test_levels_and_powers_are_each_others_inverse():
    values = np.linspace(-20.0, 120.0, 50)
    back = 10 * np.log10(levels.power_from_level(values) / PICOWATT)
    assert np.allclose(back, values, rtol=0, atol=ROUNDING)
    assert levels.power_from_level(-np.inf) == 0.0
    assert np.isclose(levels.level_sum([50.0, -np.inf]), 50.0)


@given(st.lists(st.floats(-20.0, 100.0), min_size=1, max_size=8), SEEDS)
def test_sum_of_levels(values, seed):
    total = levels.level_sum(values)
    assert max(values) - ROUNDING <= total <= max(values) + 10 * np.log10(len(values)) + ROUNDING
    order = np.random.default_rng(seed).permutation(len(values))
    assert np.isclose(levels.level_sum(np.array(values)[order]), total, rtol=0, atol=ROUNDING)


def test_tones_fall_into_their_octaves():
    tones = np.array([10.0, 48.0, 63.0, 88.0, 90.0, 100.0, 120.0, 1000.0, 9000.0])
    places = levels.band_index(tones)
    assert list(places) == [0, 0, 0, 0, 1, 1, 1, 4, 6]
    assert [levels.BAND_NAMES[int(place)] for place in levels.band_index(BANDS)] == list(
        levels.BAND_NAMES
    )


@given(st.floats(20.0, 80.0), st.floats(0.0, 1.0), st.sampled_from([50.0, 60.0]))
def test_spectrum_keeps_its_a_weighted_level(a_level, share, line):
    shape = sources.sound_row("sources", "magnet-drive centrifugal")["band_shape"]
    spectrum = sources.band_levels(a_level, shape, share, sources.hum_frequency(line))
    assert np.isclose(levels.a_weighted_level(spectrum), a_level, rtol=0, atol=ROUNDING)


def test_slower_is_quieter_by_what_the_trade_reckons():
    # The trade reckons 8 to 10 dB less at 60 to 70 % of the speed, in whole decibels.
    assert np.all(np.diff(sources.speed_change(np.linspace(0.3, 1.2, 50))) > 0)
    assert sources.speed_change(1.0) == 0.0
    assert -10.0 <= sources.speed_change(0.65) <= -8.0


# --- the tables ---


@pytest.mark.parametrize("kind", sources.sound_names("sources"))
def test_screwing_a_pump_down_adds_what_the_trade_says(kind):
    """On a framed board of 12 mm plywood, 0.8 by 0.6 m, heard at 1 m; soft mounted is the start."""
    row = sources.sound_row("sources", kind)
    board = sources.sound_row("panels", "plywood 12 mm")
    mass, dip, built_in = board["surface_mass"], board["dip_frequency"], 0.05
    a_level = float(np.mean(row["a_level_at_1_m"]))
    mobility = mounts.plate_mobility(mass, panels.stiffness_of(mass, dip))
    rigid = mounts.rigid_force_ratio(BANDS, row["mass"], mobility)
    force = radiation.force_from_level(np.array(row["force_over_sound"]) + a_level)
    factor = radiation.radiation_factor(BANDS, dip, 0.8, 0.6)

    def heard(ratio):
        power = radiation.radiated_power(force * ratio, BANDS, mass, dip, built_in, factor)
        one_metre = 10 * np.log10(power / PICOWATT) - rooms.source_power_level(0.0, 1.0)
        return levels.level_sum([levels.a_weighted_level(one_metre), a_level])

    lowest, highest = row["hard_mount_adds"]
    assert lowest <= heard(rigid) - a_level <= highest
    mount = sources.sound_row("mounts", "soft mount")
    natural = mounts.natural_frequency(mount["static_deflection"])
    forcing = np.maximum(BANDS, row["shaft_frequency"])
    forcing[0] = row["shaft_frequency"]
    soft = mounts.mounted_force_ratio(
        forcing, natural, mount["damping_ratio"], row["mass"], mobility
    )
    joined = mounts.joined_force_ratio(np.stack([soft, mount["bypass"] * rigid], axis=-1))
    little = 1.5  # dB that a soft mount may leave: the level stated is a soft-mounted pump's
    assert heard(joined) - a_level <= little


def test_every_row_of_the_tables_has_a_source_and_the_right_shape():
    wanted = {
        "sources": ("a_level_at_1_m", "band_shape", "force_over_sound", "mass"),
        "panels": ("thickness", "surface_mass", "dip_frequency", "loss_factor"),
        "openings": ("loss", "leak_share"),
        "surfaces": ("absorption_shares",),
        "mounts": ("static_deflection", "damping_ratio", "bypass"),
        "paths": (),
        "yardsticks": ("a_level", "binding"),
    }
    for table, keys in wanted.items():
        for name in sources.sound_names(table):
            row = sources.sound_row(table, name)
            assert row["source"] and row["seen"] in ("read", "second-hand", "memory"), name
            assert all(key in row for key in keys), name
            for key in ("band_shape", "force_over_sound", "absorption_shares"):
                assert key not in row or len(row[key]) == len(BANDS), name
    uncertainty = read_table("sound/uncertainty.toml")
    assert len(uncertainty["bands"]["half_width"]) == len(BANDS)
    assert all(row["reason"] for row in uncertainty.values())


def test_softer_mounts_of_the_table_let_less_past():
    rows = [sources.sound_row("mounts", name) for name in sources.sound_names("mounts")]
    assert np.all(np.diff([row["static_deflection"] for row in rows]) > 0)
    assert np.all(np.diff([row["bypass"] for row in rows]) < 0)


def test_every_pump_that_ships_has_a_kind_of_sound():
    kinds = sources.sound_names("sources")
    for row in read_table("parts/pumps.toml").values():
        assert row["type"] in kinds


def test_plywood_keeps_to_its_printed_constant():
    for name in sources.sound_names("panels"):
        if name.startswith("plywood"):
            row = sources.sound_row("panels", name)
            whole_hertz = 0.5
            assert abs(row["dip_frequency"] - 20.0 / row["thickness"]) <= whole_hertz


# --- one answer for scalars and arrays, and refusals ---

CALLS = [
    (panels.panel_loss, (500.0, 8.0, 1667.0, 0.03)),
    (panels.octave_panel_loss, (500.0, 8.0, 1667.0, 0.03)),
    (panels.mass_law_loss, (500.0, 8.0)),
    (panels.normal_incidence_loss, (500.0, 8.0)),
    (panels.coincidence_frequency, (8.0, 1012.0)),
    (partitions.loss_with_leak, (25.0, 0.02, 0.0)),
    (partitions.coupling_area, (25.0, 1.2)),
    (partitions.double_leaf_loss, (500.0, 8.0, 3.0, 25.0, 17.0, 0.05)),
    (partitions.enclosure_gain, (25.0, 0.3)),
    (rooms.source_power_level, (45.0, 1.0, 2.0)),
    (rooms.level_near_source, (60.0, 2.0, 1.0, 4e-9, 22.0)),
    (mounts.mounted_force_ratio, (100.0, 9.1, 0.1, 3.0, 1.4e-3)),
    (mounts.rigid_force_ratio, (100.0, 3.0, 1.4e-3)),
    (radiation.radiation_factor, (125.9, 1667.0, 0.8, 0.6)),
    (radiation.radiated_power, (0.01, 125.9, 8.0, 1667.0, 0.05, 0.06)),
    (sources.speed_change, (0.65, 50.0)),
]


@pytest.mark.parametrize(("function", "inputs"), CALLS)
def test_scalar_is_array(function, inputs):
    scalar = function(*inputs)
    assert isinstance(scalar, float)
    stacked = function(*(np.full((2, 3), value) for value in inputs))
    assert stacked.shape == (2, 3)
    assert np.allclose(stacked, scalar, rtol=1e-12)


NAN = float("nan")
REFUSED = [
    (panels.mass_law_loss, (0.0, 8.0)),
    (panels.mass_law_loss, (500.0, -1.0)),
    (panels.normal_incidence_loss, (500.0, 0.0)),
    (panels.panel_loss, (500.0, 8.0, 0.0, 0.03)),
    (panels.panel_loss, (500.0, 8.0, 1667.0, 0.0)),
    (panels.panel_loss, (500.0, 8.0, 1667.0, 1.5)),
    (panels.octave_panel_loss, (0.0, 8.0, 1667.0, 0.03)),
    (panels.coincidence_frequency, (8.0, 0.0)),
    (panels.stiffness_of, (8.0, -5.0)),
    (partitions.composite_loss, ([30.0, -1.0], [1.0, 1.0])),
    (partitions.composite_loss, ([30.0, 20.0], [0.0, 0.0])),
    (partitions.loss_with_leak, (30.0, 1.1)),
    (partitions.coupling_area, (-3.0, 1.0)),
    (partitions.double_leaf_loss, (500.0, 8.0, 3.0, 25.0, 17.0, -0.1)),
    (partitions.enclosure_gain, (25.0, 1.2)),
    (rooms.absorption_area, ([10.0], [1.2])),
    (rooms.source_power_level, (NAN, 1.0)),
    (rooms.coupling_matrix, ([0.1], [[0, 0]], 2)),
    (rooms.coupling_matrix, ([0.1], [[0, 2]], 2)),
    (rooms.coupling_matrix, ([-0.1], [[0, 1]], 2)),
    (rooms.energy_densities, ([1.0, 0.0], [[0.0, 0.1], [0.1, 0.0]], [1.0, 0.0])),
    (rooms.energy_densities, ([1.0, 1.0], [[0.0, 0.1], [0.2, 0.0]], [1.0, 0.0])),
    (rooms.energy_densities, ([1.0, 1.0], [[0.1, 0.1], [0.1, 0.0]], [1.0, 0.0])),
    (rooms.energy_densities, ([1.0], [[0.0]], [-1.0])),
    (rooms.level_near_source, (60.0, 2.0, 1.0, 1e-9, 2.0)),
    (rooms.diffuse_level, (-1.0,)),
    (mounts.natural_frequency, (0.0,)),
    (mounts.plate_mobility, (0.0, 1000.0)),
    (mounts.mounted_force_ratio, (100.0, 0.0, 0.1, 3.0, 0.0)),
    (mounts.mounted_force_ratio, (100.0, 9.1, -0.1, 3.0, 0.0)),
    (mounts.rigid_force_ratio, (100.0, 0.0, 0.0)),
    (mounts.joined_force_ratio, ([-0.1],)),
    (radiation.force_from_level, (NAN,)),
    (radiation.radiation_factor, (100.0, 1667.0, 0.0, 0.6)),
    (radiation.near_field_power, (1.0, 0.0)),
    (radiation.radiated_power, (0.01, 125.9, 8.0, 1667.0, 0.0, 0.06)),
    (levels.a_weighting, (0.0,)),
    (levels.band_index, (-1.0,)),
    (levels.level_sum, ([50.0, NAN],)),
    (levels.power_from_level, (float("inf"),)),
    (sources.hum_frequency, (0.0,)),
    (sources.speed_change, (0.0,)),
    (sources.band_levels, (45.0, [0.0, 0.0], 0.1, 100.0)),
    (sources.band_levels, (45.0, [0.0] * 7, 1.1, 100.0)),
]


@pytest.mark.parametrize(("function", "inputs"), REFUSED)
def test_what_cannot_be_is_refused(function, inputs):
    with pytest.raises(RangeError):
        function(*inputs)


def test_unknown_rows_name_the_near_one():
    with pytest.raises(KeyError, match="did you mean plywood 12 mm"):
        sources.sound_row("panels", "plywood 12mm")


def test_leaving_a_sources_range_is_said():
    assert outside(panels.panel_loss, loss_factor=0.5)
    assert not outside(panels.panel_loss, loss_factor=0.03)
