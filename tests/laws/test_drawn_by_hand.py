"""What draws make of a value, and what a sample says: quantiles, bands, moves, on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import made
from sizing import KETCH, MOTOR, shipped

from seaflow.model.conditions import Conditions
from seaflow.model.point import COOLING, OFF, TRIPS
from seaflow.studies.design.certainty import by_path
from seaflow.studies.design.certainty.by_path import DrawnMove, drawn_paths, drawn_values, reach_of
from seaflow.studies.design.certainty.sample import (
    Dominant,
    bands,
    dominants,
    moved_by,
    permitted_rise,
    quantiles,
    slow_enough,
    standard_error,
    verdicts,
    weighted_quantiles,
)
from seaflow.studies.diagnose import drawn
from seaflow.studies.diagnose.drawn import BENT

BORE, LENGTH, HEIGHT = ("hose", 0, "bore"), ("hose", 0, "length"), ("unit", 0, "at", "height")


# ------------------------------------------------------------------------------ what a sample says


def test_quantiles_are_of_what_is_finite():
    values = np.asarray([np.nan, *np.linspace(0.0, 100.0, 101), np.inf])
    assert quantiles(values) == pytest.approx((5.0, 50.0, 95.0))
    assert np.isnan(quantiles(np.full(3, np.nan))).all()
    (one, two) = bands(("flow", "m3/s", values), ("head", "m", values[1:-1][[0] * 103]))
    assert (one.name, one.unit, one.low, one.middle, one.high) == ("flow", "m3/s", 5.0, 50.0, 95.0)
    assert (two.name, two.unit, two.low, two.high) == ("head", "m", 0.0, 0.0)
    plain = bands(("a", "m", values[1:-1]), ("b", "K", 2.0 * values[1:-1]))
    assert [band.high for band in plain] == pytest.approx([95.0, 190.0])


def test_a_weighted_quantile_is_where_the_weight_reaches_it():
    values = np.asarray([3.0, 1.0, 2.0, np.nan, 9.0])
    weight = np.asarray([0.5, 0.2, 0.3, 4.0, 0.0])
    assert weighted_quantiles(values, weight, (0.1, 0.2, 0.21, 0.5, 0.51, 1.0)) == [
        *(1.0, 1.0, 2.0, 2.0, 3.0, 3.0)
    ]


def test_the_error_of_a_share_is_that_of_random_draws():
    assert standard_error(np.asarray([True] * 20 + [False] * 80)) == pytest.approx(0.04)
    assert standard_error(np.ones(5, dtype=bool)) == 0.0


def unit(states, rises=5.0, flows=2e-4):
    return SimpleNamespace(
        state=np.asarray(states),
        temperature_rise=np.broadcast_to(rises, 4),
        volume_flow=np.broadcast_to(flows, 4),
    )


def test_a_day_holds_if_all_units_that_are_on_run_and_keep_their_rise():
    case = shipped(MOTOR)
    first, second, _ = case.unit
    units = (replace(first, permitted_rise=4.0), replace(second, permitted_rise=None))
    case = replace(case, unit=units)
    assert permitted_rise(case, first.name) == 4.0
    assert permitted_rise(case, second.name) == case.design.permitted_rise
    coils = [
        SimpleNamespace(unit=first.name, flow_limits=(1e-4, None)),
        SimpleNamespace(unit=second.name, flow_limits=(None, None)),
    ]
    built = SimpleNamespace(loop=SimpleNamespace(coils=coils))
    point = SimpleNamespace(
        size=4,
        units={
            first.name: unit([COOLING] * 4, [4.0, 4.01, 3.0, 3.0], [1e-4, 2e-4, 0.99e-4, 2e-4]),
            second.name: unit([COOLING, COOLING, COOLING, TRIPS], 1.0),
        },
    )
    found = verdicts(case, built, point)
    assert found.keeps_rise.tolist() == [True, False, False, False]
    assert found.keeps_running.tolist() == [True, True, False, False]
    point.units[second.name] = unit([OFF] * 4, 99.0)
    found = verdicts(case, built, point)
    assert found.keeps_running.tolist() == [True, True, False, True]


def test_a_coil_is_slow_enough_up_to_what_its_alloy_stands():
    case = shipped(MOTOR)
    first, second, _ = case.unit
    alloy = "90-10 copper-nickel"
    case = replace(case, unit=(replace(first, alloy=alloy), replace(second, alloy=None)))
    most = case.catalogue.fastest_water(alloy)[1]
    flows = SimpleNamespace(volume_flow=np.asarray([0.99, 1.0, 1.01]) * most)

    def coil(name, known=True):
        return SimpleNamespace(unit=name, velocity=lambda flow: flow if known else None)

    assert slow_enough(case, coil(first.name), flows).tolist() == [True, True, False]
    assert slow_enough(case, coil(first.name, False), flows) is None
    assert slow_enough(case, coil(second.name), flows) is None


def test_what_an_input_moves_is_told_by_its_lowest_and_highest_third():
    row = (np.arange(300) + 0.5) / 300.0
    answer = np.where(row < 0.3, 0.0, np.where(row > 0.7, 1.0, 0.5))
    low, high = moved_by(row, answer)
    assert (low, high) == (pytest.approx(0.05, abs=2e-3), pytest.approx(0.95, abs=2e-3))
    inputs = [
        SimpleNamespace(label=name, spread=SimpleNamespace(source="s", measure=name.upper()))
        for name in ("noise", "rises")
    ]
    flow = 100.0 * row
    drawn = SimpleNamespace(
        inputs=inputs,
        shares=np.stack([np.random.default_rng(3).permutation(row), row]),
        point=SimpleNamespace(total_flow=lambda: flow),
    )
    first, second = dominants(drawn, answer, answer)
    assert (first.label, first.measure, second.label) == ("rises", "RISES", "noise")
    assert first.explains > 0.9 and second.explains < 0.2
    assert (first.flow_low, first.flow_high) == (
        pytest.approx(100 / 6, abs=0.5),
        pytest.approx(500 / 6, abs=0.5),
    )
    assert first.swing == pytest.approx(high - low)
    falls = made(Dominant, enough_low=0.9, enough_high=0.2)
    assert falls.swing == pytest.approx(0.7)


# ----------------------------------------------------------------------------------- what is drawn


def typical(**spreads):
    """The ketch with half widths, known or typical, of a few of her values."""
    case = shipped(KETCH)
    rows = {path: half for path, half, _ in spreads.values()}
    known = {path: half for path, half, mark in spreads.values() if mark}
    return replace(case, spreads=rows, typical=known)


def test_a_typical_value_is_drawn_a_little_beyond_nine_in_ten_and_never_to_nothing():
    bore = shipped(KETCH).hose[0].bore
    assert reach_of(typical(a=(BORE, 0.1 * bore, False)), BORE) == pytest.approx(0.1 * bore)
    assert reach_of(typical(a=(BORE, 0.1 * bore, True)), BORE) == pytest.approx(0.1 * bore / 0.9)
    assert reach_of(typical(a=(BORE, 0.9 * bore, True)), BORE) == pytest.approx(0.95 * bore)
    assert reach_of(typical(a=(BORE, 0.97 * bore, True)), BORE) == pytest.approx(0.97 * bore)
    assert reach_of(typical(a=(HEIGHT, 9.0, True)), HEIGHT) == pytest.approx(10.0)


def test_half_widths_of_hoses_are_drawn_together_unless_they_are_typical():
    known = typical(a=(BORE, 1e-3, False), b=(HEIGHT, 0.1, False))
    assert drawn_paths(known) == (HEIGHT,)
    rows = {"a": (BORE, 1e-3, True), "b": (HEIGHT, 0.1, True)}
    found = drawn_paths(typical(**rows))
    assert set(found) == {BORE, HEIGHT}
    assert drawn_paths(typical(**dict(reversed(rows.items())))) == found
    nowhere = ("unit", 0, "permitted_rise")
    case = typical(a=(nowhere, 1.0, True))
    given = case.unit[0].permitted_rise is not None
    assert drawn_paths(case) == ((nowhere,) if given else ())
    assert by_path.enters_a_loop(BORE) and not by_path.enters_a_loop(("duty", 0, "load"))


def test_bores_of_hoses_go_together_and_lengths_do_not():
    case, other = shipped(KETCH), ("hose", 1, "bore")
    one, two = (by_path.shares_of(case, path, 4000, 5) for path in (BORE, other))
    assert np.sort(one).tolist() == pytest.approx(((np.arange(4000) + 0.5) / 4000).tolist())
    # what is common is spread as (1/12), what is a hose's own as 0.16 of that
    assert np.corrcoef(one, two)[0, 1] == pytest.approx(1.0 / 1.16, abs=0.02)
    lengths = LENGTH, ("hose", 1, "length")
    apart = [by_path.shares_of(case, path, 4000, 5) for path in lengths]
    assert abs(np.corrcoef(*apart)[0, 1]) < 0.05


def test_rooms_are_those_of_a_boat_longer_as_a_whole():
    room = ("compartment", 0, "aft", 0)
    path, low = ("compartment", 0, "aft", 1), HEIGHT
    case = typical(a=(room, 0.1, True), b=(path, 0.4, True), c=(low, 0.1, True))
    case = replace(case, compartment=case.compartment[:1])  # no known wall holds it back
    found = drawn_values(case, 64, 5)
    ends = case.compartment[0].aft
    ratio = found[path] / ends[1]
    assert found[room] == pytest.approx(ends[0] * ratio)
    furthest = max(abs(end) for end in ends)
    reach = max(reach_of(case, one) for one in (room, path)) / furthest
    assert np.ptp(ratio) == pytest.approx(2.0 * reach, rel=0.05)
    assert ratio.mean() == pytest.approx(1.0, abs=0.01)
    height = case.unit[0].at.height
    assert np.abs(found[low] - height).max() <= reach_of(case, low) + 1e-12
    boat = by_path.drawn_case(case, found, 3)
    assert boat.unit[0].at.height == pytest.approx(float(found[low][3]))
    assert boat.compartment[0].aft == pytest.approx((found[room][3], found[path][3]))


FLAT = (1.0, 1.0, 1.0)
STEPS = np.linspace(0.0, 1.0, 101)
SEA = tuple(20.0 + 10.0 * STEPS + shift for shift in (0.0, 0.0, 0.0))


def move(**more):
    volts = tuple(np.full(101, 12.0) for _ in range(3))
    told = {"reach": 2.0, "loop": {}, "sea": SEA, "volts": volts, "salinity": FLAT}
    return DrawnMove(**told | {"growth": FLAT, "blocked": FLAT, "left": FLAT} | more)


def test_a_move_is_a_difference_or_a_factor_from_end_to_end():
    at = np.asarray([-1.0, -0.5, 0.0, 0.5, 1.0])
    numbers = (2.0, 4.0, 5.0)
    assert by_path._off(numbers, at).tolist() == pytest.approx([-2.0, -1.0, 0.0, 0.5, 1.0])
    assert by_path._ratio(numbers, at).tolist() == pytest.approx([0.5, 0.75, 1.0, 1.125, 1.25])
    assert by_path._ratio((-1.0, 0.0, 1.0), at).tolist() == [1.0] * 5
    assert by_path._moved(10.0, numbers, at).tolist() == pytest.approx(
        [5.0, 7.5, 10.0, 11.25, 12.5]
    )
    assert by_path._moved(10.0, numbers, at, True).tolist() == pytest.approx([8, 9, 10, 10.5, 11])
    below = (-2.0, 0.5, 1.0)
    assert by_path._moved(0.5, below, at).tolist() == pytest.approx([-2.0, -0.75, 0.5, 0.75, 1.0])
    assert by_path._moved(None, numbers, at) is None


def test_what_a_loop_meets_moves_with_a_draw():
    now = Conditions(
        sea_temperature=np.asarray([20.0, 30.0, 25.0]),
        voltage=np.full(3, 12.0),
        salinity=35.0,
        growth=np.full(3, 1e-3),
        strainer_blockage=np.asarray([0.5, 0.9, 0.5]),
    )
    off = np.asarray([-2.0, 2.0, 1.0])
    sea = (SEA[0] - 1.0, SEA[1], SEA[2] + 3.0)
    found = move(sea=sea).apply("loop", now, off)[1]
    assert found.sea_temperature.tolist() == pytest.approx([19.0, 33.0, 26.5])
    volts = tuple(np.full(101, one) for one in (11.0, 12.0, 12.5))
    found = move(volts=volts, left=(0.9, 1.0, 1.1)).apply("loop", now, off)[1]
    assert found.voltage.tolist() == pytest.approx([11.0 * 0.9, 12.5 * 1.1, 12.25 * 1.05])
    dirt = {"growth": (0.0, 2.0, 3.0), "blocked": (0.2, 0.4, 0.8)}
    found = move(salinity=(30.0, 35.0, 38.0), **dirt).apply("loop", now, off)[1]
    assert found.salinity.tolist() == pytest.approx([30.0, 38.0, 36.5])
    assert found.growth.tolist() == pytest.approx([0.0, 1.5e-3, 1.25e-3])
    assert found.strainer_blockage.tolist() == pytest.approx([0.25, 0.99, 0.75])
    none = replace(now, voltage=None)
    assert move(volts=volts).apply("loop", none, off)[1].voltage is None


def test_whether_a_draw_moves_anything():
    assert not move().moves
    for name in ("salinity", "growth", "blocked", "left"):
        for end in (0, 2):
            numbers = tuple(0.9 if place == end else 1.0 for place in range(3))
            assert move(**{name: numbers}).moves
    for end in (0, 2):
        sea = tuple(one + (place == end) for place, one in enumerate(SEA))
        assert move(sea=sea).moves
        volts = tuple(np.full(101, 12.0 + (place == end)) for place in range(3))
        assert move(volts=volts).moves
    assert move(loop={"x": 1}).moves


# ------------------------------------------------------------------------------ seas of a page


@pytest.mark.parametrize(
    ("off", "trips", "seas"),
    [
        (0.0, 0, 2),
        (0.9 * BENT, 0, 2),
        (-1.1 * BENT, 0, 3),
        (1.1 * BENT, 0, 3),
        (0.9 * BENT, 40, 2),
        (np.nan, 0, 2),
    ],
)
def test_three_seas_are_kept_where_a_line_between_two_is_too_far_off(monkeypatch, off, trips, seas):
    """A hundred boats, of which some trip in the warmest sea; those tell nothing."""
    rises = {0: 9.0, 2: 10.5 + off, 4: 12.0}
    setup = SimpleNamespace(places=SimpleNamespace(outlets=("one",)))
    fleets = {sea: SimpleNamespace(setup=setup, sea=sea) for sea in rises}
    some = np.arange(100) < trips
    monkeypatch.setattr(drawn, "trips", lambda fleet: some & (fleet.sea == 4))
    bent = {0: 0.0, 2: 9.0, 4: 0.0}

    def rise(fleet, *_):
        return rises[fleet.sea] + np.where(some, bent[fleet.sea], 0.0)

    monkeypatch.setattr(drawn, "_rise", rise)
    assert len(drawn._kept(fleets)) == seas
