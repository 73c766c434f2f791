"""Laws of sampling: draws, spreads, seeds, likelihoods and sensitivity shares."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, read_with_spread
from seaflow.boat.load import load_case
from seaflow.studies.certainty.bands import standard_error
from seaflow.studies.certainty.dominate import explained_share
from seaflow.studies.certainty.draws import sobol_points
from seaflow.studies.certainty.spreads import given, season, spread, triangular
from seaflow.studies.sizing.size import size

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))


def test_points_fall_once_in_every_slice():
    """Of 2**k points every input has one in each of 2**k slices: scrambling keeps that."""
    shares = sobol_points(20, 64, seed=1)
    slices = np.sort(np.floor(shares * 64).astype(int), axis=1)
    assert np.array_equal(slices, np.tile(np.arange(64), (20, 1)))


def test_pairs_of_inputs_are_even_too():
    """Sixteen points of the first two inputs fill a four by four board: a (0, 4, 2) net."""
    shares = sobol_points(2, 16, seed=9)
    squares = set(zip(*np.floor(shares * 4).astype(int).tolist(), strict=True))
    assert len(squares) == 16


def test_same_seed_same_points_and_other_seed_other_points():
    assert np.array_equal(sobol_points(4, 100, 5), sobol_points(4, 100, 5))
    assert not np.array_equal(sobol_points(4, 100, 5), sobol_points(4, 100, 6))


def test_more_points_go_on_from_fewer():
    assert np.array_equal(sobol_points(3, 500, 2)[:, :200], sobol_points(3, 200, 2))


def test_points_lie_inside():
    shares = sobol_points(10, 1000, 4)
    assert shares.min() > 0.0
    assert shares.max() < 1.0


def test_refuses_more_inputs_than_the_table_has():
    with pytest.raises(RangeError):
        sobol_points(65, 8, 1)


@pytest.mark.parametrize("name", list(read_table("spreads.toml")))
def test_spread_ends_and_middle(name):
    found = spread(name)
    low, middle, high = found.at(np.asarray([0.0, 0.5, 1.0]))
    assert low <= middle <= high
    if found.shape in ("factor", "offset"):
        assert low == pytest.approx(found.low)
        assert high == pytest.approx(found.high)
    assert found.source
    assert found.measure


def test_triangular_matches_numpy_draws():
    plain = np.random.default_rng(1).triangular(1.0, 1.5, 4.0, 400_000)
    ours = triangular(np.asarray([0.05, 0.5, 0.95]), 1.0, 1.5, 4.0)
    assert ours == pytest.approx(np.quantile(plain, [0.05, 0.5, 0.95]), abs=0.01)


def test_given_half_width_replaces_the_default():
    found = given(spread("coil_given"), 0.2, 2.0)
    assert (found.low, found.high) == pytest.approx((0.9, 1.1))
    assert "given" in found.source


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("2.4 m +/- 0.3 m", "m", (2.4, 0.3)),
        ("2.4 m ± 10 %", "m", (2.4, 0.24)),
        ("30 degC +/- 2 K", "degC", (30.0, 2.0)),
        ("15 L/min +/- 1 L/min", "m3/s", (2.5e-4, 1e-3 / 60)),
        ("2.4 m", "m", (2.4, None)),
    ],
)
def test_reads_plus_or_minus(text, unit, expected):
    value, half = read_with_spread(text, unit)
    assert value == pytest.approx(expected[0])
    assert half == (None if expected[1] is None else pytest.approx(expected[1]))


def test_refuses_a_half_width_of_another_kind():
    with pytest.raises(Misread):
        read_with_spread("2.4 m +/- 3 kPa", "m")


def test_wider_spread_in_the_case_widens_the_band(tmp_path):
    text = (CASES[0].parent / "ketch-one-unit.toml").read_text(encoding="utf-8")
    assert 'head = "1.3 m"' in text
    wide, narrow = tmp_path / "wide.toml", tmp_path / "narrow.toml"
    wide.write_text(text.replace('head = "1.3 m"', 'head = "1.3 m +/- 40 %"'), encoding="utf-8")
    narrow.write_text(text.replace('head = "1.3 m"', 'head = "1.3 m +/- 1 %"'), encoding="utf-8")
    widths = []
    for file in (wide, narrow):
        found = size(load_case(str(file)).case, 512, 1).loops[0]
        flow = found.certainty.of(found.chosen.part.name).bands[0]
        widths.append(flow.high - flow.low)
    assert widths[0] > 1.5 * widths[1]


@pytest.mark.parametrize("file", CASES, ids=lambda path: path.stem)
def test_every_case_has_band_likelihoods_and_dominant_inputs(file):
    answer = size(load_case(str(file)).case, 512, 20)
    for loop in answer.loops:
        found = loop.certainty
        assert len(found.pumps) == len(loop.pumps)
        assert len(found.dominant) == 3
        for pump in found.pumps:
            assert 0.0 <= pump.keeps_rise <= pump.keeps_running <= 1.0
            assert pump.error < 0.05
            for band in pump.bands:
                assert band.low <= band.middle <= band.high
        explained = [item.explains for item in found.dominant]
        assert explained == sorted(explained, reverse=True)
        assert sum(explained) <= 1.1  # first-order shares add up to at most one, within noise


def test_answer_is_the_same_twice_and_sampling_error_shrinks():
    case = load_case(str(CASES[0].parent / "ketch-one-unit.toml")).case
    first, second = size(case, 512, 3), size(case, 512, 3)
    assert first.loops[0].certainty == second.loops[0].certainty
    few = size(case, 128, 3).loops[0].certainty.pumps[0].error
    many = size(case, 8192, 3).loops[0].certainty.pumps[0].error
    assert many < few


def test_sampling_error_is_small_against_the_band():
    """Middle flow over eight seeds: its spread is under 5 % of the band at the default size."""
    case = load_case(str(CASES[0].parent / "ketch-one-unit.toml")).case
    middles, band = [], None
    for seed in range(8):
        found = size(case, 1024, 1000 + seed).loops[0]
        band = found.certainty.of("demo-mag-medium-230").bands[0]
        middles.append(band.middle)
    assert np.std(middles) < 0.05 * (band.high - band.low)


def test_no_samples_says_nothing_of_likelihood():
    case = load_case(str(CASES[0].parent / "ketch-one-unit.toml")).case
    assert size(case, 0, 1).loops[0].certainty is None


def test_warmer_season_is_never_more_likely_to_run():
    case = load_case(str(CASES[0].parent / "badly-arranged.toml")).case
    warm = replace(case, sea=replace(case.sea, warmest=38.0, typical=37.0))
    first = {pump.pump: pump.keeps_running for pump in size(case, 256, 2).loops[0].certainty.pumps}
    then = {pump.pump: pump.keeps_running for pump in size(warm, 256, 2).loops[0].certainty.pumps}
    assert all(then[name] <= first[name] + 1e-9 for name in first)


def test_explained_share_of_a_known_sum():
    """y = 2 a + b of uniform a, b: shares 0.8 and 0.2 (variances 4/12 and 1/12)."""
    shares = sobol_points(3, 8192, 1)
    answer = 2.0 * shares[0] + shares[1]
    found = [explained_share(row, answer) for row in shares]
    assert found == pytest.approx([0.8, 0.2, 0.0], abs=0.02)


def test_standard_error_is_that_of_random_draws():
    assert standard_error(np.ones(64, dtype=bool)) == 0.0
    half = np.arange(100) % 2 == 0
    assert standard_error(half) == pytest.approx(0.05)  # sqrt(0.5 * 0.5 / 100)


def test_season_from_months_leaves_out_the_cold_ones():
    case = load_case(str(CASES[0].parent / "ketch-one-unit.toml")).case
    months = (8.0, 8.0, 10.0, 13.0, 17.0, 22.0, 26.0, 27.0, 24.0, 20.0, 15.0, 10.0)
    found = season(replace(case, sea=replace(case.sea, months=months, coldest=14.0)))
    assert min(found.temperatures) == 15.0
    assert max(found.temperatures) == 30.0
    assert "months" in found.source
