"""Pump curve over system curve: lines, crossings and limits against the sizing and the model."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from sizing import BAD, KETCH, MOTOR, NAMES, SLOOP, path_of, shipped, sized

from seaflow.boat.load import load_case
from seaflow.boat.network import loops
from seaflow.boat.parts.own_parts import load_parts
from seaflow.model.build import build_loop
from seaflow.model.operate import operate
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.curves import MOST_DRAWN, boat_curves, loop_curves
from seaflow.studies.size.size import size

BETWEEN = 2e-3  # relative: a line is straight between its points
OWN = Path(__file__).parents[2] / "docs" / "examples" / "own-parts.toml"


@cache
def drawn(name):
    return boat_curves(shipped(name), sized(name))


def each_loop():
    return [(name, number) for name in NAMES for number in range(len(loops(shipped(name))))]


@pytest.mark.parametrize(("name", "number"), each_loop())
def test_the_design_point_lies_on_pump_and_loop(name, number):
    curves, loop = drawn(name)[number], sized(name).loops[number]
    best = curves.pumps[0]
    for item in curves.crossings:
        pump = next(line for line in curves.pumps if line.number == item.number)
        if item.name == "design":
            on_pump = np.interp(item.flow, pump.flow, pump.head)
            clean = next(line for line in curves.loops if line.name == "design")
            assert on_pump == pytest.approx(item.head, rel=BETWEEN)
            assert np.interp(item.flow, clean.flow, clean.head) == pytest.approx(
                item.head, rel=BETWEEN
            )
        if item.number == best.number and curves.places == 1:
            at = next(at for at in loop.pumps[0].at if at.worst_case == item.name)
            assert (item.flow, item.head) == pytest.approx((at.flow, at.head), rel=1e-6)


@pytest.mark.parametrize(("name", "number"), each_loop())
def test_a_dirty_loop_asks_for_more_head_at_any_flow(name, number):
    lines = {line.name: line for line in drawn(name)[number].loops}
    clean = lines.pop("design")
    assert set(lines) == {"strainer blocked", "growth"}
    for line in lines.values():
        flow = np.linspace(clean.flow[len(clean.flow) // 4], line.flow[-1], 50)
        more = np.interp(flow, line.flow, line.head) - np.interp(flow, clean.flow, clean.head)
        assert (more > 0.0).all()


@pytest.mark.parametrize("name", [KETCH, SLOOP])
def test_what_is_asked_is_what_sizing_says_of_a_loop_with_one_unit(name):
    (curves,), (loop,) = drawn(name), sized(name).loops
    asked, (need,) = curves.asked, loop.needs
    assert asked.flow == pytest.approx(need.flow, rel=1e-4)
    assert asked.head == pytest.approx(loop.heads.head, rel=BETWEEN)
    assert asked.least == pytest.approx(need.least, rel=1e-4)
    assert asked.most == pytest.approx(need.most, rel=1e-4)


def test_of_several_units_the_one_served_worst_sets_the_need_and_the_best_the_most():
    case, (loop,) = shipped(MOTOR), sized(MOTOR).loops
    (found,) = loops(case)
    part = loop.pumps[0].part
    built = build_loop(case, found, {place.name: part for place in found.pumps})
    asked = drawn(MOTOR)[0].asked
    now = worst_cases(case)[0].conditions
    now = replace(now, voltage=cable_drop(case, found.pumps[0], part, now))
    speeds = np.linspace(0.3, 1.5, 2401)
    point = operate(built.loop, replace(now, pump_speed=speeds))
    flow = point.pumps["pump"].volume_flow

    def met(row, wanted):
        return all(point.units[name].volume_flow[row] >= least for name, least in wanted.items())

    for from_here, wanted in (
        (asked.flow, {need.name: need.flow for need in loop.needs}),
        (asked.least, {need.name: need.least for need in loop.needs}),
    ):
        over = np.nonzero(flow > from_here * (1.0 + BETWEEN))[0]
        under = np.nonzero(flow < from_here * (1.0 - BETWEEN))[0]  # a step may leave a gap
        assert all(met(row, wanted) for row in over)
        assert not met(under[np.argmax(flow[under])], wanted)
    row = int(np.argmin(np.abs(flow - asked.most)))
    share = [point.units[need.name].volume_flow[row] / need.most for need in loop.needs]
    assert asked.limited_by == "maker"
    assert max(share) == pytest.approx(1.0, rel=BETWEEN)


def test_a_pump_is_enough_exactly_where_its_crossing_is_past_the_need():
    for name in NAMES:
        for curves, loop in zip(drawn(name), sized(name).loops, strict=True):
            for item in curves.crossings:
                if item.name != "design" or curves.asked is None:
                    continue
                at = next(p for i, p in enumerate(loop.pumps, 1) if i == item.number).design
                met = all((unit.margin or 0.0) >= 0.0 for unit in at.units)
                assert met == (item.flow >= curves.asked.flow * (1.0 - 1e-6)), (name, item)


@pytest.mark.parametrize("key", ["flow", "least"])
@pytest.mark.parametrize("which", [0, -1])
def test_nothing_is_asked_of_a_pump_on_a_loop_of_which_one_unit_can_never_have_enough(which, key):
    """A hundredfold need of one of several units; with all as they are the need is asked."""
    case, (loop,) = shipped(MOTOR), sized(MOTOR).loops
    (found,) = loops(case)
    assert loop_curves(case, found, loop).asked is not None
    needs = [*loop.needs]
    needs[which] = replace(needs[which], **{key: 100.0 * needs[which].flow})
    assert loop_curves(case, found, replace(loop, needs=tuple(needs))).asked is None


def test_the_band_is_that_of_the_sample_and_absent_without_one():
    assert drawn(KETCH)[0].flow_band is None
    answer = size(shipped(KETCH), 64)
    (curves,), (loop,) = boat_curves(shipped(KETCH), answer), answer.loops
    bands = {band.name: band for band in loop.certainty.of(loop.pumps[0].part.name).bands}
    assert curves.flow_band == (bands["flow"].low, bands["flow"].high)
    assert curves.head_band == (bands["head"].low, bands["head"].high)


def test_own_sheets_are_drawn_together():
    catalogue = load_parts([str(OWN)]).catalogue
    first = next(sheet for sheet in catalogue.own if sheet.name == "yard-pump-230")
    more = tuple(replace(first, name=f"pump-{number}") for number in range(MOST_DRAWN + 1))
    own = replace(catalogue, own=(*catalogue.own, *more))
    case = load_case(str(path_of(KETCH)), own).case
    answer = size(case, 0)
    (curves,) = boat_curves(case, answer)
    numbers = [line.number for line in curves.pumps]
    assert len(numbers) == MOST_DRAWN
    assert numbers == sorted(numbers)
    assert numbers[0] == 1
    ranked = [item.part.name for item in answer.loops[0].pumps]
    assert [line.name for line in curves.pumps] == [ranked[number - 1] for number in numbers]


def test_low_volts_lower_the_line_of_a_pump_that_follows_them():
    (curves,) = drawn(BAD)
    assert curves.low_volts.head[0] < curves.pumps[0].head[0]
    assert drawn(SLOOP)[0].low_volts is None  # its speed is regulated


def test_a_leg_that_fills_makes_a_step_and_a_vented_one_never_fills(tmp_path):
    (curves,) = drawn(KETCH)
    clean = next(line for line in curves.loops if line.name == "design")
    before = [flow for flow in clean.flow if flow < curves.fills_at]
    assert before
    assert curves.fills_at < curves.crossings[0].flow


def test_a_loop_can_be_asked_alone():
    case, answer = shipped(KETCH), sized(KETCH)
    (found,) = loops(case)
    assert loop_curves(case, found, answer.loops[0]) == drawn(KETCH)[0]


@pytest.mark.parametrize("in_reach", [True, False])
def test_the_pump_to_buy_is_drawn_where_one_can_be_had(in_reach):
    answer = sized(KETCH)
    (loop,) = answer.loops
    asks = replace(loop.asks, in_reach=in_reach)
    (curves,) = boat_curves(shipped(KETCH), replace(answer, loops=(replace(loop, asks=asks),)))
    assert curves.buy == (asks if in_reach else None)
    (curves,) = boat_curves(shipped(KETCH), replace(answer, loops=(replace(loop, asks=None),)))
    assert curves.buy is None
