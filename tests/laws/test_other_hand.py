"""Boats of another hand: whether claims hold on them, bands cover them, and a coil is found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from described import doubts
from diagnosis_proof import BUCKET, GAUGE, Scored, bins, commonest, ranked
from numpy.random import RandomState
from other_hand import fleet, healthy_days, healthy_fleet, readings_of, setup_with
from other_loop import Ships, sail

from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.agreement import UNLIKE
from seaflow.studies.diagnose.answer import USUAL, causes, diagnose
from seaflow.studies.diagnose.infer import infer
from seaflow.studies.diagnose.own_boat import coils_apart, learn
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.written import read_rows

FEW = 4096
BOATS, SEED = 30, 5
ALONE, ALL = 0.78, 0.86  # nine of ten of 200 boats, less what another hand's spreads take off one
BAND_KINDS = {
    "baseline.discharge": "discharge",
    "baseline.flow": "flow",
    "baseline.amps": "amps",
    "baseline.suction": "suction",
    "baseline.delivery": "delivery",
    "baseline.watts": "watts",
    "baseline.condensing": "condensing",
}


def test_claims_hold_on_boats_of_another_hand():
    """A quick form of tests/proof/other_hand.py."""
    setup, scored, common = setup_with(1), [], []
    boats = fleet(setup, BOATS, SEED)
    for boat in range(BOATS):
        readings = readings_of(boats, boat, BUCKET, RandomState(boat))
        true = frozenset(boats.causes(boat))
        scored.append(Scored(ranked(infer(setup, readings, FEW, 20)), true))
        common.append(bool(true & set(commonest(setup)[:3])))
    assert all(agrees for *_, agrees in bins(scored))
    assert np.mean([item.hit(3) for item in scored]) > np.mean(common)


@pytest.mark.parametrize("units", [1, 3])
def test_nine_of_ten_readings_of_healthy_boats_fall_into_their_bands(units):
    setup = setup_with(units)
    told = Readings((Number("sea", "", 25.0), Number("volts", "", setup.case.supply.voltage)))
    boats, stream, found = healthy_fleet(setup, 200, 25.0, SEED), RandomState(SEED), []
    for line in baseline(setup, told).expected:
        if line.what.kind in BAND_KINDS:
            read = boats.as_read(BAND_KINDS[line.what.kind], line.place, stream)
            found.append(float(np.mean((read >= line.low) & (read <= line.high))))
            assert found[-1] > ALONE, line
    assert len(found) >= 7
    assert ALL < np.mean(found) < 0.99


@pytest.mark.parametrize(("times", "kinds"), [(1.5, ["design.coil_takes_more"]), (1.0, [])])
def test_a_coil_of_half_as_much_again_is_found_after_five_days(times, kinds):
    setup = setup_with(1)
    own = learn(setup, healthy_days(setup, 5, times, SEED), SEED)
    assert [said.kind for said in coils_apart(own)] == kinds
    (coil,) = [item for item in own.learnt if item.name == "coil_given"]
    assert coil.after[0] < times < coil.after[2]


def test_a_case_and_then_stored_days_only_sharpen_the_odds():
    """A quick form of tests/proof/described.py."""
    found = doubts(8, SEED, GAUGE, (2048, 3))
    opened, right = found.mean(axis=1).T
    assert opened[0] > opened[1] > opened[2], opened
    assert right[0] < min(right[1:]), right


def test_readings_of_no_boat_are_repeated_first_and_no_cause_is_certain():
    setup = setup_with(1)
    rows = {"sea": "27 degC", "discharge": "55 degC", "bucket": "38"}
    found = diagnose(setup, read_rows(rows, setup.places), Sampling(FEW, 20))
    assert found.astray > UNLIKE
    assert found.verdict.why.kind == "diagnose.no_boat_reads_so"
    assert max(cause.chance for cause in found.causes) < 0.6
    rows |= {"discharge": "32.8 degC"}
    plain = diagnose(setup, read_rows(rows, setup.places), Sampling(FEW, 20))
    assert plain.astray < 0.02
    assert plain.verdict.why.kind != "diagnose.no_boat_reads_so"


def test_two_seeds_agree():
    setup = setup_with(1)
    boats = fleet(setup, 3, SEED)
    for boat in range(3):
        readings = readings_of(boats, boat, GAUGE, RandomState(boat))
        both = [
            infer(setup, readings, USUAL.n_samples, seed) for seed in (USUAL.seed, USUAL.seed + 500)
        ]
        first, second = (
            {cause.name: cause.chance for cause in causes(found, readings)} for found in both
        )
        for name in {*first, *second}:
            assert abs(first.get(name, 0.03) - second.get(name, 0.03)) < 0.05, name


def test_seeds_agree_on_three_units():
    """A set of readings with gauges, on which few boats agree; pairs of four seeds."""
    setup = setup_with(3)
    readings = readings_of(fleet(setup, 8, SEED), 1, GAUGE, RandomState(1))
    runs = [dict(ranked(infer(setup, readings, seed=seed))) for seed in (20, 520, 1020, 1520)]
    assert len({max(one, key=one.get) for one in runs}) == 1
    for name in (name for name in runs[0] if max(one[name] for one in runs) >= 0.1):
        apart = np.sqrt(2.0) * np.std([one[name] for one in runs], ddof=1)
        assert apart < 0.04, name


def test_the_other_hands_loop_agrees_with_the_model_on_a_clean_boat():
    """By other formulas: the bars are what textbooks differ in."""
    for units in (1, 2):
        setup = setup_with(units)
        now = sail(Ships(setup, 1), np.array([27.0]))
        point = operate(
            setup.built.loop,
            Conditions(
                sea_temperature=27.0,
                voltage=setup.case.supply.voltage,
                frequency=setup.case.supply.frequency,
            ),
        )
        (flow,) = now.flow.values()
        assert flow == pytest.approx(point.total_flow(), rel=0.06)
        for unit, warm in now.leaves.items():
            assert warm == pytest.approx(point.units[unit].outlet_temperature, abs=1.0)


def test_a_leg_that_never_fills_lifts_all_the_way_and_one_that_always_does_gives_it_back():
    setup = setup_with(3)
    boats = healthy_fleet(setup, 3, 25.0, SEED)
    loop, now = setup.built.loop, boats.flotilla.boats.now
    flows = boats.run(loop, replace(now, clearing=np.array([0.0, 1.0, 1e6]))).point.total_flow()
    assert flows[0] >= flows[1] * (1.0 - 1e-9) and flows[1] >= flows[2] * (1.0 - 1e-9)
    assert flows[0] > 1.02 * flows[2]


def test_low_volts_need_not_stop_a_pump_at_the_least_of_its_sheet():
    """Between the stall of any motor and the least of a sheet some boats run, others stand."""
    setup = setup_with(1)
    told = Readings((Number("sea", "", 27.0), Number("volts", "", 165.0)))
    flotilla = infer(setup, told, FEW, 20).flotilla
    healthy = flotilla.hypotheses.healthy
    runs = predicted(flotilla, "flow", setup.places.outlets[0])[healthy] > 0.0
    assert 0.1 < runs.mean() < 0.9
