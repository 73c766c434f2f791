"""Known, typical, unknown are states of a value: how it is read, drawn, and told."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typical_marks import known, marked, numbers

from seaflow.base.glossary import glossary_entry, names
from seaflow.base.problems import SeaflowError
from seaflow.base.spread import read_with_spread
from seaflow.base.tables import read_table
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.paths import told_at, value_at, with_values
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.present.data import as_data
from seaflow.present.quantities import Show
from seaflow.present.size.card import size_card
from seaflow.studies.design.certainty.by_path import drawn_values, reach_of, shares_of
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.certainty.inputs import inputs_of
from seaflow.studies.design.certainty.sample import drawn_of
from seaflow.studies.design.certainty.spreads import BY_ITSELF, TYPICAL, season
from seaflow.studies.size.size import size

LOOP = ("through_hull", "seacock", "strainer", "pump", "hose", "unit", "outlet", "sea", "supply")
CASES = Path(__file__).parents[2] / "cases"


def ketch(tmp_path, *changes):
    """The ketch with pieces of her file changed, each of which stands there once."""
    text = (CASES / "ketch-one-unit.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file = tmp_path / "ketch.toml"
    file.write_text(text, encoding="utf-8")
    return load_case(str(file)).case


WARMEST = 'warmest = "30 degC"'


@pytest.mark.parametrize(
    ("said", "half_width", "typical"),
    [
        ("30 degC", None, False),
        ("30 degC +/- 1 K", 1.0, False),
        ("30 degC typical +/- 1 K", 1.0, True),
        ("typical 30 degC +/- 1 K", 1.0, True),
        ("Typical 30 degC", 2.0, True),
        ("30 degC typical", 2.0, True),
        ("30 degC typical ± 1.5 K", 1.5, True),
    ],
)
def test_a_value_is_known_or_typical(tmp_path, said, half_width, typical):
    case = ketch(tmp_path, (WARMEST, f'warmest = "{said}"'))
    path = ("sea", "warmest")
    assert case.sea.warmest == 30.0
    assert case.spreads.get(path) == half_width
    assert case.typical == ({path} if typical else frozenset())


def test_a_value_of_a_list_and_one_of_a_table_within_a_table_can_be_typical(tmp_path):
    case = ketch(
        tmp_path,
        (
            WARMEST,
            f"{WARMEST}\nmonths = {['20 degC', '24 degC typical +/- 2 K', *['24 degC'] * 10]}",
        ),
        ('{ at = "15 L/min", head = "1.3 m" }', '{ at = "15 L/min", head = "1.3 m typical" }'),
    )
    lost = ("unit", 0, "water_loss", 0, "head")
    assert case.typical == {("sea", "months", 1), lost}
    assert case.spreads[lost] == pytest.approx(0.32 * 1.3)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('frequency = "50 Hz"', 'frequency = "50 Hz typical"', "K16"),
        ('sound_at_berth = "33 dB"', 'sound_at_berth = "33 dB typical"', "K15"),
        (WARMEST, 'warmest = "30 degC typical +/- 0 K"', "K15"),
        (WARMEST, 'warmest = "30 degC typical typical"', "K06"),
        (WARMEST, 'warmest = "typical"', "K04"),
        ('\nhull = "sailing monohull"', '\nhull = "sailing monohull typical"', "K16"),
        ("runs_unattended = false", 'runs_unattended = "typical"', "K16"),
    ],
)
def test_what_cannot_be_drawn_is_no_typical_value(tmp_path, old, new, code):
    with pytest.raises(SeaflowError) as raised:
        ketch(tmp_path, (old, new))
    assert [problem.code for problem in raised.value.problems] == [code]


def test_a_name_may_be_called_typical(tmp_path):
    assert ketch(tmp_path, ("Demo ketch Morning", "typical Morning")).typical == frozenset()


def test_the_usual_width_of_a_kind_of_value_can_be_read_and_is_sourced():
    for name, row in read_table("typical_widths.toml").items():
        assert name in names()
        unit = glossary_entry(name).unit
        number = "1" if unit == "-" else {"degC": "30 degC"}.get(unit, f"1 {unit}")
        half = read_with_spread(f"{number} +/- {row['half']}", unit)[1]
        assert half is not None and half > 0.0, name
        assert row["source"]


def built_of(case, part=None):
    (found,) = network.loops(case)
    part = part or case.catalogue.pump("demo-mag-medium-230")
    return build_loop(case, found, {place.name: part for place in found.pumps})


def where(case, built, loop=None, now=None):
    """Flow of the loop and rise of its unit, at the warmest sea."""
    sea = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=case.supply.voltage,
        growth=case.design.growth,
    )
    point = operate(loop or built.loop, now or sea)
    unit = next(iter(point.units.values()))
    return np.concatenate([point.total_flow(), unit.temperature_rise, unit.condensing_temperature])


def inputs_by_path(case, built):
    return {one.path: one for one in inputs_of(case, built) if one.path is not None}


@pytest.fixture(scope="module")
def ketch_typical():
    return marked(load_case(str(CASES / "ketch-one-unit.toml")).case)


def test_at_its_ends_a_draw_is_the_boat_built_with_that_value(ketch_typical):
    """Beside the same boat with the number written into her case: the long way round."""
    case = replace(ketch_typical, supply=replace(ketch_typical.supply, lowest_voltage=205.0))
    built = built_of(case)
    inputs = inputs_by_path(case, built)
    assert len(inputs) > 25
    for path, one in inputs.items():
        if path[0] in ("sea", "supply") or "cable" in path:
            continue
        for end in (-1.0, 1.0):
            off = np.array([end * reach_of(case, path)])
            other = with_values(case, {path: value_at(case, path) + float(off[0])})
            now = Conditions(
                sea_temperature=case.sea.warmest,
                salinity=case.sea.salinity,
                voltage=case.supply.voltage,
                growth=case.design.growth,
            )
            found = where(case, built, *one.apply(built.loop, now, off))
            assert found == pytest.approx(where(other, built_of(other)), rel=2e-4), path


def test_all_draws_together_are_nearly_the_boat_built_with_all_of_them(ketch_typical):
    """Between its ends a number goes straight, and two that meet in one multiply: an error of
    under a tenth of what the draws themselves do."""
    case = ketch_typical
    built = built_of(case)
    n_boats = 12
    values = {
        path: row
        for path, row in drawn_values(case, n_boats, seed=3).items()
        if path[0] not in ("sea", "supply") and "cable" not in path
    }
    now = Conditions(sea_temperature=case.sea.warmest, salinity=case.sea.salinity, voltage=230.0)
    loop, inputs = built.loop, inputs_by_path(case, built)
    for path, row in values.items():
        if path in inputs:
            loop, now = inputs[path].apply(loop, now, row - value_at(case, path))
    found = operate(loop, now).total_flow()
    each = []
    for boat in range(n_boats):
        other = with_values(case, {path: float(row[boat]) for path, row in values.items()})
        each.append(operate(built_of(other).loop, replace(now, growth=0.0)).total_flow()[0])
    assert np.max(np.abs(found - each)) < 0.1 * np.std(each)
    assert np.std(each) > 0.01 * np.mean(each)


def test_a_typical_sea_moves_the_whole_season(ketch_typical):
    case = ketch_typical
    one = inputs_by_path(case, built_of(case))[("sea", "warmest")]
    shares = np.array([0.1, 0.5, 0.9, 1.0])
    now = Conditions(sea_temperature=season(case).at(shares), voltage=230.0)
    _, warmer = one.apply(built_of(case).loop, now, np.full(4, 2.0))
    other = replace(case, sea=replace(case.sea, warmest=32.0))
    assert warmer.sea_temperature == pytest.approx(season(other).at(shares), abs=0.02)


def test_what_no_loop_meets_is_no_input(ketch_typical):
    paths = inputs_by_path(ketch_typical, built_of(ketch_typical))
    assert ("hose", 2, "length") in paths
    for path in ketch_typical.typical:
        if path[0] in ("compartment", "partition", "pump_place", "duty", "battery"):
            assert path not in paths


def test_a_known_value_with_a_half_width_is_drawn_too_but_is_not_typical(ketch_typical):
    path = ("through_hull", 0, "bore")
    case = replace(ketch_typical, typical=ketch_typical.typical - {path})
    spreads = {one.path: one.spread.name for one in inputs_of(case, built_of(case))}
    assert spreads[path] == BY_ITSELF
    assert spreads[("hose", 0, "bore")] == TYPICAL


def test_without_typical_values_the_inputs_are_as_they_were():
    case = load_case(str(CASES / "ketch-one-unit.toml")).case
    assert inputs_by_path(case, built_of(case)) == {}


def test_an_input_keeps_its_draws_when_another_becomes_known(ketch_typical):
    built = built_of(ketch_typical)
    inputs, shares = drawn_of(ketch_typical, built, 64, seed=1)
    path = ("hose", 2, "length")
    fewer = known(ketch_typical, path)
    left, less = drawn_of(fewer, built_of(fewer), 64, seed=1)
    rows = {one.label: row for one, row in zip(inputs, shares, strict=True)}
    assert len(left) == len(inputs) - 1
    for one, row in zip(left, less, strict=True):
        assert np.array_equal(row, rows[one.label]), one.label


WIDE, NARROW, IDLE = ("hose", 2, "bore"), ("hose", 0, "length"), ("pump", 0, "at", "starboard")


def with_typical(case, **half_widths):
    found = {path: half for path, half in half_widths.values()}
    return replace(case, spreads=found, typical=frozenset(found))


@pytest.fixture(scope="module")
def three_typical():
    case = load_case(str(CASES / "ketch-one-unit.toml")).case
    return with_typical(case, a=(NARROW, 0.1), b=(IDLE, 0.5), c=(WIDE, 0.004))


def test_what_moves_most_is_to_be_found_out_first(three_typical):
    answer = size(three_typical)
    (loop,) = answer.loops
    found = loop.certainty
    first = found.find_out[0]
    assert first.what == "bore of the hose from pump to saloon unit"
    assert first.path == ("hose", "3", "bore")
    assert first.of_flow > 0.3
    assert all(one.of_flow < first.of_flow for one in found.find_out[1:])
    moves = {one.path: one.moves for one in found.typical}
    idle = ("pump", "1", "at", "starboard")  # upright, nothing of it enters
    assert set(moves) == {("hose", "3", "bore"), ("hose", "1", "length"), idle}
    assert not moves[idle].tells
    assert not moves[("hose", "1", "length")].tells


def test_what_decides_whether_the_pump_is_enough_comes_before_what_moves_the_flow():
    flow, chance = FindOut("flow", "", "", 0.0, 0.9), FindOut("chance", "", "", 0.1, 0.2)
    doubt = FindOut("doubt", "", "", 0.02, 0.95)  # no more than chance makes of nothing
    assert sorted((flow, chance, doubt), key=lambda one: one.rank) == [chance, doubt, flow]


def test_a_boat_of_which_all_is_known_has_nothing_to_find_out():
    answer = size(load_case(str(CASES / "ketch-one-unit.toml")).case)
    (loop,) = answer.loops
    assert loop.certainty.find_out == loop.certainty.typical == ()
    card = size_card(answer, Show())
    assert "Find out" not in [block.label for block in card.blocks]


def test_the_card_names_what_to_find_out_as_a_thing_and_how(three_typical):
    card = size_card(size(three_typical), Show())
    (said,) = [block.says for block in card.blocks if block.label == "Find out"]
    assert said[0].startswith("Bore of the hose from pump to saloon unit: ")
    data = as_data(size(three_typical))["loops"][0]["certainty"]
    assert data["find_out"][0]["path"] == ["hose", "3", "bore"]
    assert {row["what"] for row in data["typical"]} >= {"bore of the hose from pump to saloon unit"}


@pytest.mark.parametrize("path", sorted(CASES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_number_of_a_case_has_words_and_a_way_to_find_it_out(path):
    case = load_case(str(path)).case
    told = [told_at(case, path) for path, _ in numbers(case)]
    assert all(one.what and one.how and "{" not in one.what + one.how for one in told)
    loop = [told_at(case, path).what for path, _ in numbers(case) if path[0] in LOOP]
    assert len(set(loop)) == len(loop)  # inputs are told apart by what they are


def test_of_the_bores_of_hoses_one_is_named_for_they_go_together():
    bores = [FindOut("", "", "", 0.0, 0.5 - 0.1 * n, path=("hose", str(n), "bore")) for n in (1, 2)]
    other = FindOut("", "", "", 0.0, 0.1, path=("hose", "2", "length"))
    idle = FindOut("", "", "", 0.01, 0.01)
    assert next_of((*bores, other, idle)) == (bores[0], other)


def test_bores_of_hoses_are_drawn_together_and_other_values_apart(tmp_path):
    case = ketch(tmp_path)
    bore, other, length = (
        shares_of(case, path, 4000, seed=1)
        for path in (("hose", 1, "bore"), ("hose", 2, "bore"), ("hose", 1, "length"))
    )
    assert np.corrcoef(bore, other)[0, 1] == pytest.approx(0.86, abs=0.02)
    assert abs(np.corrcoef(bore, length)[0, 1]) < 0.05
    for row in (bore, length):
        assert np.array_equal(np.sort(np.floor(row * 4000)), np.arange(4000))  # one in each slice


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("20 degC typical +/- 5 K", "68.0 °F typical +/- 9.0 °F"),
        ("20 degC typical", "68.0 °F typical"),
        ("10 degC; 20 degC", "50.0 °F; 68.0 °F"),
        ("20 degC +/- 10 %", "20 °C +/- 10 %"),
        ("38 g/kg typical +/- 2 g/kg", "38 g/kg typical +/- 2 g/kg"),
    ],
)
def test_a_typed_value_goes_to_the_other_units_with_its_spread_and_each_of_several(text, shown):
    assert Show("us").typed(text) == shown
    assert Show("metric").typed(text) == text.replace("degC", "°C")
