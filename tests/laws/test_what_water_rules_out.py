"""Looks, notes and leaks on a boat of three units, of whose water something was read."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from answer_data import kinds_of

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, setup_of
from seaflow.studies.diagnose.infer import simulate
from seaflow.studies.diagnose.look import stops_pump, water_comes_now
from seaflow.studies.diagnose.predict import predicted, usual_flow
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.verdict import ACT, BUCKET_OR_LEAK, STOP, WATCH

FEW = Sampling(1024, 20)
UNIT, OUTLET, OTHER = "wheelhouse unit", "port outlet", "starboard outlet"
DISAGREE = ("diagnose.one_disagrees", "diagnose.two_disagree")


@cache
def setup():
    case = load_case("cases/motor-three-units.toml").case
    return setup_of(case, network.loops(case)[0])


@cache
def healthy():
    sea = Readings(numbers=(Number("sea", "", 27.0),))
    return simulate(setup(), sea, 1024, 20)


def usual(share: float, rise: float | None = None):
    """Numbers of a boat whose wheelhouse unit has this share of the water of the healthy ones."""
    boats = healthy()
    seen = predicted(boats, "discharge", UNIT)[boats.hypotheses.healthy]
    warm = Number("discharge", UNIT, float(np.median(seen)) if rise is None else 27.0 + rise)
    return Number("sea", "", 27.0), warm, Number("flow", OUTLET, share * usual_flow(boats, OUTLET))


def notes(readings: Readings) -> set[str]:
    return set(kinds_of(diagnose(setup(), readings, FEW).notes)) & set(DISAGREE)


def test_where_water_comes_nobody_looks_whether_the_pump_is_on():
    answer = diagnose(setup(), Readings(numbers=usual(0.6, 9.0)).with_trips({UNIT: "yes"}), FEW)
    stopped = {fault.name for fault in setup().faults if stops_pump(fault)}
    assert len(stopped) == 5 and answer.looks
    assert not {one.leads for one in answer.looks} & stopped
    weak = Readings(signs=(("stream", "weak"),))
    assert water_comes_now(weak) and not water_comes_now(Readings())
    assert not water_comes_now(replace(weak, signs=(*weak.signs, ("pump", "silent"))))
    assert not water_comes_now(replace(weak, streams=((OUTLET, "none"),)))


@pytest.mark.parametrize(
    "streams", [((OUTLET, "none"), (OTHER, "strong")), ((OUTLET, "weak"), (OTHER, "strong"))]
)
def test_what_one_branch_explains_gets_no_note(streams):
    assert not notes(Readings(streams=streams))


def test_a_trip_of_a_starved_unit_gets_no_note():
    assert not notes(Readings(numbers=usual(0.55, 10.0)).with_trips({UNIT: "yes"}))


def test_a_temperature_at_a_dry_outlet_gets_a_note():
    sea, warm, _ = usual(1.0, 12.0)
    assert notes(Readings(numbers=(sea, warm), streams=((OUTLET, "none"), (OTHER, "strong"))))


def test_a_leak_is_named_of_one_bucket_only_if_load_or_bilge_was_told():
    half = Readings(numbers=usual(0.55))
    alone = diagnose(setup(), half, FEW)
    assert (alone.verdict.word, alone.verdict.why.kind) == (WATCH, BUCKET_OR_LEAK)
    assert alone.next_reading.kind == "bilge"
    hard = diagnose(setup(), replace(half, signs=(("load", "full"),)), FEW).verdict
    assert (hard.word, hard.why.kind) == (ACT, "diagnose.leak")
    dry = diagnose(setup(), replace(half, signs=(("bilge", "dry"),)), FEW).verdict
    assert dry.why.kind not in (BUCKET_OR_LEAK, "diagnose.leak")
    wet = diagnose(setup(), replace(half, signs=(("bilge", "salt water"),)), FEW).verdict
    assert wet.word == STOP


def test_part_load_that_was_told_explains_a_unit_that_cycles_before_the_compressor_does():
    easy = replace(Readings(numbers=usual(0.9, 1.0)), signs=(("load", "part"),))
    odds = {cause.name: cause.chance for cause in diagnose(setup(), easy, FEW).causes}
    assert odds["part_load"] > 2.0 * odds.get("not_pumping", 0.0)
