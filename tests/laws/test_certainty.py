"""Laws of sampling: draws, spreads, seeds, likelihoods and sensitivity shares."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from seaflow.base.facts import fact
from seaflow.base.ranges import RangeError
from seaflow.base.spread import read_with_spread
from seaflow.base.tables import read_table
from seaflow.base.units import Misread
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.parts.part import pump_part_of
from seaflow.boat.parts.sheets import CurvePoint, PumpSheet
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import HoseRun
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, sobol_points
from seaflow.studies.design.certainty.inputs import Input, inputs_of
from seaflow.studies.design.certainty.sample import (
    Band,
    Dominant,
    PumpCertainty,
    Sample,
    dominants,
    explained_share,
    quantiles,
    sample,
    standard_error,
)
from seaflow.studies.design.certainty.spreads import GIVEN, given, season, spread, triangular
from seaflow.studies.design.likelihood import _decides, _least_margin
from seaflow.studies.design.limits import limit
from seaflow.studies.size.size import size

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


# What is done with a measurement, and the words without which it may not be told.
HAZARDS = {
    "hose off": "seacock shut",
    "hose end": "seacock shut",
    "fit a": "seacock",
    "empty the suction": "seacock shut",
    "bowl": "seacock shut",
    "delivery shut": "never shut the delivery of a diaphragm or impeller pump",
    "voltmeter": "qualified",
    "watts of": "qualified",
    "condensing pressure": "licensed",
    "draw water": "run dry",
}


@pytest.mark.parametrize("name", list(read_table("spreads.toml")))
def test_a_measurement_is_told_with_its_hazard(name):
    told = spread(name).measure
    assert all(words in told for done, words in HAZARDS.items() if done in told)


@pytest.mark.parametrize("done", HAZARDS)
def test_each_hazard_is_one_of_a_measurement(done):
    assert any(done in row["measure"] for row in read_table("spreads.toml").values())


@pytest.mark.parametrize("name", ["coil_generic", "coil_exponent"])
def test_what_a_maker_tells_is_looked_up_before_a_gauge_is_fitted(name):
    measure = read_table("spreads.toml")[name]["measure"]
    assert 0 <= measure.find("manual") < measure.find("seacock shut") < measure.find("gauge")


@pytest.mark.parametrize("key", ["head", "pressure"])
def test_a_typical_loss_of_a_coil_is_looked_up_before_a_gauge_is_fitted(key):
    how = read_table("find_out.toml")[f"unit.water_loss.{key}"]["how"]
    assert 0 <= how.find("manual") < how.find("seacock shut") < how.find("gauge")


def test_points_are_drawn_by_the_power_of_two_for_which_they_fill_the_space_evenly():
    """As many of the first powers of two lie in each half, quarter, eighth ... of every input."""
    n = DEFAULT_SAMPLES
    assert n.bit_count() == 1
    slices = np.floor(sobol_points(8, n, 3) * n).astype(int)
    assert all(np.array_equal(np.sort(row), np.arange(n)) for row in slices)


def test_triangular_matches_numpy_draws():
    plain = np.random.default_rng(1).triangular(1.0, 1.5, 4.0, 400_000)
    ours = triangular(np.asarray([0.05, 0.5, 0.95]), 1.0, 1.5, 4.0)
    assert ours == pytest.approx(np.quantile(plain, [0.05, 0.5, 0.95]), abs=0.01)


def test_given_half_width_replaces_the_default():
    found = given(spread("coil_given"), 0.2, 2.0)
    assert (found.low, found.high) == pytest.approx((0.9, 1.1))
    assert found.source == GIVEN


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
    text = text.replace('growth = "0.5 mm"', 'growth = "0 mm"')  # it widens the band as well
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
    few, many = (
        max(pump.error for pump in size(case, n, 3).loops[0].certainty.pumps) for n in (128, 8192)
    )
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


def test_explained_share_of_few_draws_is_right_on_average():
    """y = a + b of uniform a, b: half each, also where bins of four explain much by chance."""
    stream = np.random.default_rng(5)
    shares = stream.uniform(size=(1500, 2, 64))
    found = [explained_share(one[0], one.sum(axis=0)) for one in shares]
    assert np.mean(found) == pytest.approx(0.5, abs=0.01)  # standard error 0.003


def test_what_an_input_moves_is_told_by_its_lowest_and_highest_third():
    """The flow is the share itself here, and the pump is enough in its upper half."""
    row = (np.arange(300) + 0.5) / 300.0
    drawn = Sample(
        inputs=(Input("x", spread("lengths"), lambda loop, now, values: (loop, now)),),
        shares=row[np.newaxis],
        point=SimpleNamespace(total_flow=lambda: row),
        built=None,
    )
    (found,) = dominants(drawn, row, (row > 0.5).astype(float))
    assert (found.flow_low, found.flow_high) == pytest.approx((1.0 / 6.0, 5.0 / 6.0))
    assert (found.enough_low, found.enough_high, found.swing) == (0.0, 1.0, 1.0)
    assert found.explains > 0.99


def input_that_moves(label, low, high):
    return Dominant(label, "", f"measure {label}", 0.5, enough_low=low, enough_high=high)


def pump_that_keeps(name, share, power=10.0):
    return PumpCertainty(
        name, 64, keeps_rise=share, bands=(Band("power", "W", power, power, power),)
    )


def test_what_decides_is_the_input_with_the_widest_swing_if_it_is_wide_enough():
    pumps, moved = [pump_that_keeps("a", 0.7)], limit("likely_moved")
    weak, strong = input_that_moves("weak", 0.7, 0.8), input_that_moves("strong", 0.9, 0.5)
    assert _decides([], pumps) == fact("design.no_measurement_decides")
    assert _decides([weak], pumps) == fact("design.no_measurement_decides")
    said = _decides([weak, strong], pumps)
    assert (said.kind, said["input"]) == ("design.measure_first", "strong")
    assert (said["pump"], said["low"], said["high"]) == ("a", 0.9, 0.5)
    for over, kind in ((-1e-6, "no_measurement_decides"), (1e-6, "measure_first")):
        edge = input_that_moves("edge", 0.5, 0.5 + moved + over)
        assert _decides([edge], pumps).kind == f"design.{kind}"


def test_a_surer_pump_is_named_beside_the_measurement_the_one_with_least_power():
    strong = input_that_moves("strong", 0.9, 0.5)
    others = [
        pump_that_keeps("little surer", 0.7 + limit("likely_moved") - 1e-6, 1.0),
        pump_that_keeps("strong", 1.0, 90.0),
        pump_that_keeps("frugal", 0.9, 40.0),
    ]
    said = _decides([strong], [pump_that_keeps("a", 0.7), *others])
    assert (said.kind, said["other"], said["share"]) == ("design.measure_or_take", "frugal", 0.9)
    assert said["first"] == _decides([strong], [pump_that_keeps("a", 0.7), others[0]])


def test_the_answer_that_inputs_move_is_the_flow_of_the_worst_unit_over_its_need():
    def unit(*flows):
        return SimpleNamespace(volume_flow=np.asarray(flows))

    point = SimpleNamespace(units={"a": unit(2.0, 6.0), "b": unit(3.0, 3.0), "c": unit(0.1, 0.1)})
    needs = {"a": SimpleNamespace(flow=2.0), "b": SimpleNamespace(flow=1.5)}
    needs["c"] = SimpleNamespace(flow=0.0)
    assert _least_margin(point, needs).tolist() == [1.0, 2.0]


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
    assert found.source == fact("design.season_of_months")


# What a sheet gives as plus or minus, and the input of the sampling that it moves.
SHEETS = """
[[pump]]
name = "demo-mag-medium-230"
source = "a sheet"
supply = "ac"
voltage = "230 V"
frequency = "50 Hz"
points = [
    {{ flow = "0 L/min", head = "4.6 m" }},
    {{ flow = "15 L/min{flow}", head = "3.5 m{head}" }},
    {{ flow = "32 L/min", head = "0 m" }},
]
power = "70 W"

[[strainer]]
name = "demo-strainer-25"
source = "a sheet"
port = "25 mm"
clean_drop = {{ at = "30 L/min", pressure = "9 kPa{drop}" }}

[[hose]]
name = "smooth-bore wire-reinforced rubber"
source = "a sheet"
roughness = "0.5 mm{roughness}"

[[unit]]
name = "my unit"
source = "a sheet"
cooling = "16000 BTU/h{cooling}"

[[coil]]
name = "my coil"
source = "a sheet"
water_loss = [{{ at = "15 L/min", pressure = "13 kPa{loss}" }}]
"""
MEANINGS = {
    "flow": "free flow of the pump",
    "head": "head of the pump",
    "drop": "clean strainer",
    "roughness": "roughness of the hoses",
    "cooling": "heat rejected, from the plate",
    "loss": "coil loss, given by the maker",
}


def sampled_with_sheets(folder, **half_widths):
    """The ketch by own sheets of every kind, with these half widths behind their values."""
    sheets, boat = folder / "sheets.toml", folder / "boat.toml"
    sheets.write_text(SHEETS.format(**(dict.fromkeys(MEANINGS, "") | half_widths)))
    text = (CASES[0].parent / "ketch-one-unit.toml").read_text(encoding="utf-8")
    text = text.replace('cooling = "16000 BTU/h"', 'model = "my unit"\ncoil = "my coil"')
    text = text.replace('water_loss = [{ at = "15 L/min", head = "1.3 m" }]\n', "")
    boat.write_text(text, encoding="utf-8")
    case = load_case(str(boat), load_parts([str(sheets)]).catalogue).case
    return sampled(case)


def sampled(case):
    found = network.loops(case)[0]
    part = case.catalogue.pump("demo-mag-medium-230")
    built = build_loop(case, found, {place.name: part for place in found.pumps})
    now = Conditions(sea_temperature=28.0, voltage=230.0, frequency=50.0)
    return sample(case, built, now, 512, 1)


def width(drawn, figure):
    """The width of the band of the flow, or of the rise."""
    unit = drawn.point.units["saloon unit"]
    low, _, high = quantiles(getattr(unit, figure))
    return high - low


@pytest.mark.parametrize("name", MEANINGS)
def test_wider_half_width_in_a_sheet_widens_the_band(name, tmp_path):
    figure = "temperature_rise" if name == "cooling" else "volume_flow"
    narrow = sampled_with_sheets(tmp_path, **{name: " +/- 1 %"})
    wide = sampled_with_sheets(tmp_path, **{name: " +/- 60 %"})
    assert width(wide, figure) > width(narrow, figure)
    for drawn, share in ((narrow, 0.01), (wide, 0.6)):
        (item,) = (item for item in drawn.inputs if item.label == MEANINGS[name])
        assert (item.spread.low, item.spread.high) == pytest.approx((1.0 - share, 1.0 + share))
        assert item.spread.source == GIVEN


def test_sheets_without_half_widths_leave_the_usual_spreads(tmp_path):
    drawn = sampled_with_sheets(tmp_path)
    assert not [item.label for item in drawn.inputs if item.spread.source == GIVEN]


def test_the_least_sure_point_of_a_curve_counts():
    points = (CurvePoint(flow=0.0, head=4.0), CurvePoint(flow=4e-4, head=2.0))
    spreads = {
        ("points", 0, "head"): 0.2,
        ("points", 1, "head"): 0.3,
        ("points", 0, "flow"): 1e-5,  # of no flow, which is no share
        ("power_points", 0, "flow"): 1e-4,
    }
    sheet = PumpSheet(
        name="a pump", source="a sheet", supply="dc", voltage=12.0, points=points, spreads=spreads
    )
    part = pump_part_of(sheet)
    assert part.head_spread == pytest.approx(0.15)
    assert part.flow_spread is None


@pytest.mark.parametrize("key", ["bore", "length", "roughness"])
def test_a_hose_moves_by_its_own_half_width(key, tmp_path):
    """One hose of the case says how sure it is; the others keep the usual spread."""
    text = (CASES[0].parent / "ketch-one-unit.toml").read_text(encoding="utf-8")
    path = tmp_path / "boat.toml"
    value = {"bore": "19 mm", "length": "2.4 m", "roughness": "0.01 mm"}[key]
    head, middle, tail = text.partition('from = "pump"')
    tail = re.sub(f"^{key} = .*\n", "", tail, count=1, flags=re.M)
    path.write_text(f'{head}{middle}\n{key} = "{value} +/- 20 %"{tail}', encoding="utf-8")
    drawn = sampled(load_case(str(path)).case)
    usual = spread({"bore": "bores", "length": "lengths"}.get(key, key))
    found = {item.label: item.spread for item in drawn.inputs if usual.meaning in item.label}
    assert found[usual.meaning] == usual
    own = found[f"{usual.meaning}, as given"]
    assert (own.low, own.high) == pytest.approx((0.8, 1.2))


def test_hoses_of_unlike_half_widths_move_each_by_its_own(tmp_path):
    text = (CASES[0].parent / "ketch-one-unit.toml").read_text(encoding="utf-8")
    path = tmp_path / "boat.toml"
    text = text.replace('"0.5 m"', '"0.5 m +/- 40 %"').replace('"2.4 m"', '"2.4 m +/- 5 %"')
    path.write_text(text, encoding="utf-8")
    case = load_case(str(path)).case
    found = network.loops(case)[0]
    part = case.catalogue.pump("demo-mag-medium-230")
    built = build_loop(case, found, {place.name: part for place in found.pumps})
    (item,) = (item for item in inputs_of(case, built) if item.label.endswith(", as given"))
    ends = np.asarray([0.0, 1.0])
    loop, _ = item.apply(built.loop, Conditions(sea_temperature=28.0), item.spread.at(ends))
    moved = {hose.name: np.asarray(hose.length) for hose in loop.elements(HoseRun)}
    assert moved["hose cooling intake to strainer"] == pytest.approx([0.3, 0.7])
    assert moved["hose pump to saloon unit"] == pytest.approx([2.28, 2.52])
    assert moved["hose strainer to pump"].size == 1
