"""The strainer as it gets blocked: flow falls, the gauge falls, and the gauge moves first."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from survey_boats import case_with, sound_case, sound_evidence

from seaflow.boat.load import load_case
from seaflow.model.operate import operate
from seaflow.model.pressures import pump_gauge
from seaflow.physics.flow.screens import strainer_coefficient, table_strainer_coefficient
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.running import BLOCKED, SHOWN, limits, strainer_result

CASES = Path(__file__).parents[2] / "cases"
SETTLED = 1e-6  # relative; to which heads are settled when a loop is run
CLEAN_HOLES = 1e-4  # of the flow: what the holes of a clean basket cost, which the table leaves out
BEFORE = 0.05  # share of a rise that nobody notices on a thermometer marked in degrees


def run():
    return sound_evidence().loops[0].run


def test_flow_never_rises_with_dirt_and_the_gauge_falls():
    for point in (run().point, run().matted):
        assert np.all(np.diff(point.total_flow()) <= SETTLED * point.total_flow()[0])
        gauge = pump_gauge(point)
        # where the leg after the crest stops running full, the flow drops and the gauge jumps
        same = np.all(point.full[:, 1:] == point.full[:, :-1], axis=0)
        assert np.count_nonzero(~same) <= 1
        assert np.all(np.diff(gauge)[same] <= 0.0)


def test_matted_dirt_costs_more_than_even_dirt():
    even, matted = run().point.total_flow(), run().matted.total_flow()
    assert np.all(matted <= even * (1.0 + CLEAN_HOLES))
    assert matted[0] == pytest.approx(even[0], rel=CLEAN_HOLES)


def test_the_two_routes_are_the_two_published_laws():
    """The basket of the sound boat, by the functions that the published checks are about."""
    basket = sound_evidence().loops[0].loop.strainers[0]
    by_screen = strainer_coefficient(0.025, 160e-4, 0.45, 0.9, 3.5)
    assert basket.coefficient(0.9) == pytest.approx(by_screen)
    table = table_strainer_coefficient(0.9) * 3.5 / table_strainer_coefficient(0.0)
    assert basket.coefficient(0.9, matted=1.0) == pytest.approx(table)
    half = basket.coefficient(0.9, matted=0.5)
    assert half == pytest.approx(np.sqrt(by_screen * table))
    # a clean basket of few holes costs more by its screen: then that is the worse
    assert np.all(basket.coefficient(BLOCKED, 1.0) >= basket.coefficient(BLOCKED, 0.0))


def test_the_unit_is_at_its_least_flow_where_the_limit_says():
    (item,) = limits(run())
    index = int(np.argmin(np.abs(BLOCKED - item.matted)))
    flow = run().matted.units[item.unit].volume_flow
    assert flow[index] < item.least <= flow[index - 1]
    assert item.even is None  # the screen alone never takes that much
    assert item.gauge_then == pytest.approx(pump_gauge(run().matted)[index])


def test_the_gauge_moves_before_the_rise_does():
    (item,) = (strainer for strainer in survey(sound_case()).strainers)
    clean, half = item.at[0], item.at[SHOWN.index(50)]
    assert half.matted_rise / clean.matted_rise - 1.0 < BEFORE
    assert half.matted_gauge < 0.5 * clean.matted_gauge


def test_a_unit_that_no_longer_cools_is_told_where_the_rise_leaves_it_out():
    (item,) = survey(load_case(str(CASES / "motor-three-units.toml")).case).strainers
    assert item.at[0].stopped == item.at[0].matted_stopped == ()
    falls = [two for one, two in pairwise(item.at) if two.matted_rise < one.matted_rise]
    assert falls and all(row.matted_stopped for row in falls)


def test_the_answer_is_what_the_loop_does_at_that_blockage():
    """One condition run by itself gives what the whole sweep gave."""
    sweep = run().point
    one = operate(sweep.loop, replace(sweep.conditions, strainer_blockage=0.9))
    index = int(np.argmin(np.abs(BLOCKED - 0.9)))
    assert one.total_flow()[0] == pytest.approx(sweep.total_flow()[index], rel=SETTLED)


def test_without_a_pump_only_the_basket_is_told(tmp_path):
    (loop,) = evidence_of(case_with({"pump.0.fitted": "drop"}, tmp_path)).loops
    assert loop.run is None
    basket = loop.loop.strainers[0]
    found = strainer_result(basket, "x", 0.025, None)
    assert found.at == found.units == ()
    assert found.open_area == pytest.approx(160e-4 * 0.45)
    assert found.over_hose == pytest.approx(160e-4 * 0.45 / (np.pi / 4 * 0.025**2))


@pytest.mark.parametrize("even", [None, 0.6])
@pytest.mark.parametrize("matted", [None, 0.4])
def test_how_blocked_a_basket_may_get_is_told_of_each_sort_of_dirt(even, matted):
    """Where a sort of dirt never does it, the last share tried is told; at nought, what it gets."""
    (item,) = limits(run())
    both = {"even": even, "matted": matted}
    item = replace(item, **both, need_even=even, need_matted=matted)
    for (told, *_), name in ((item.of_need, "need"), (item.of_least, "least")):
        until = told["until"]
        for sort, share in both.items():
            assert dict(until.values).get(sort) == share
        if None in both.values():
            assert until["most"] == BLOCKED[-1]
        assert told[name].value == getattr(item, name)
    clean = replace(item, even=0.0, need_even=0.0)
    assert clean.of_need[0].kind == "survey.need_not_met"
    assert clean.of_need[0]["clean"].value == item.clean
    assert clean.of_least[0].kind == "survey.least_not_met"


@pytest.mark.parametrize("gauge", [None, -8e3])
def test_the_gauge_is_told_where_there_is_one(gauge):
    (item,) = limits(run())
    item = replace(item, gauge_then=gauge, need_gauge=gauge, even=0.5, need_even=0.5)
    for _, *more in (item.of_need, item.of_least):
        assert [said["gauge"].value for said in more] == ([] if gauge is None else [gauge])
