"""A trip told truly of a unit that lacks water speaks for what starves it, and for nothing else."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.point import TRIPS
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.infer import Posterior, infer, simulate
from seaflow.studies.diagnose.predict import chances_of, predicted
from seaflow.studies.diagnose.read_number import log_of_number
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.trip_told import before_trip

DRAWS, SEED, SEA = 2048, 20, 27.0
UNIT, OUTLET = "wheelhouse unit", "port outlet"  # whose water alone leaves there
OF_THE_BRANCH = ("branch_kinked", "branch_shut", "branch_air", "coil_blocked", "coil_scaled")
NOISE = 0.06  # of odds that hang on some fifty boats


@cache
def setup(name="motor-three-units"):
    case = load_case(f"cases/{name}.toml").case
    return setup_of(case, network.loops(case)[0])


def starved(fault):
    """Readings of a boat of which one unit alone lacks water for this fault."""
    boats = simulate(setup(), Readings(numbers=(Number("sea", "", SEA),)), DRAWS, SEED)
    units = [unit.name for unit in setup().built.network.units_by_size]
    alone = boats.hypotheses.first == boats.setup.index(fault)
    alone &= boats.hypotheses.second == -1
    struck = boats.hypotheses.units(len(units))[0] == units.index(UNIT)
    warm = predicted(boats, "discharge", UNIT)
    boat = np.flatnonzero(alone & struck & (warm > SEA + 9.0) & (warm < SEA + 16.0))[0]
    flows = [Number("flow", at, float(predicted(boats, "flow", at)[boat])) for at in outlets()]
    warm = Number("discharge", UNIT, float(warm[boat]))
    return Readings(numbers=(Number("sea", "", SEA), warm, *flows))


def outlets():
    return setup().places.outlets


def of_the_branch(found: Posterior) -> float:
    boats, faults = found.flotilla.hypotheses, found.flotilla.setup.faults
    have = [boats.present(n) for n, one in enumerate(faults) if one.name in OF_THE_BRANCH]
    return float(found.weight[np.any(have, axis=0)].sum())


@pytest.mark.parametrize("fault", ["branch_kinked", "coil_blocked"])
def test_that_a_starved_unit_tripped_takes_nothing_from_its_branch(fault):
    readings = starved(fault)
    before = infer(setup(), readings, DRAWS, SEED)
    after = infer(setup(), readings.with_trips({UNIT: "yes"}), DRAWS, SEED)
    assert of_the_branch(after) > of_the_branch(before) - NOISE
    first = after.flotilla.setup.faults[int(np.argmax(after.present))].name
    assert first in OF_THE_BRANCH


def test_what_strikes_one_unit_trips_no_other():
    boats = simulate(setup(), Readings(), DRAWS, SEED)
    units = [unit.name for unit in setup().built.network.units_by_size]
    charged = boats.hypotheses.first == boats.setup.index("overcharge")
    alone = charged & (boats.hypotheses.second == -1)
    struck = boats.hypotheses.units(len(units))[0]
    for number, unit in enumerate(units):
        told = chances_of(boats, "tripped", unit)["yes"]
        assert told[alone & (struck == number)].min() >= 0.15
        assert np.median(told[alone & (struck != number)]) < 0.02


def test_an_outlet_of_one_unit_is_read_before_a_trip_as_the_unit_is():
    boats = simulate(setup(), Readings(), DRAWS, SEED)
    boat = int(np.flatnonzero(boats.hypotheses.healthy)[0])
    boats.point.units[UNIT].state[boat] = TRIPS
    boats.point.units[UNIT].outlet_temperature[boat] = boats.met.sea[boat]
    boats.point.outlet_temperature[OUTLET][boat] = boats.met.sea[boat]
    warm = Number("discharge", OUTLET, float(before_trip(boats, UNIT)[boat]))
    at_outlet, at_unit = (
        log_of_number(boats, one)[boat] for one in (warm, replace(warm, place=UNIT))
    )
    assert at_outlet == pytest.approx(at_unit, abs=0.05)
    assert at_unit > -3.0
