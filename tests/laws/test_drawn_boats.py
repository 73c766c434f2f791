"""Boats drawn once for a page are, at seas where only some are run, as if all were."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.drawn import _at_seas, _moved, _of_sea
from seaflow.studies.diagnose.infer import simulate
from seaflow.studies.diagnose.predict import margin, trips
from seaflow.studies.diagnose.simulate import usual_seas
from seaflow.studies.diagnose.trip_seas import units_at
from seaflow.studies.diagnose.trip_told import NEAR_TRIP

N_SEAS, N_BOATS = 5, 2048
STRAIGHT = 0.5  # K by which nearly all rooms may be off half way between two seas


@pytest.mark.parametrize("name", ["badly-arranged", "motor-three-units"])
def test_boats_between_two_seas_trip_as_if_all_were_run_there(name):
    case = load_case(f"cases/{name}.toml").case
    (loop,) = network.loops(case)
    seas = tuple(float(sea) for sea in np.linspace(*usual_seas(case), N_SEAS))
    middle = simulate(setup_of(case, loop), _of_sea(seas[2]), N_BOATS, 20)
    run = _at_seas(middle, seas)
    assert all(1 < which.size < N_BOATS / 2 for which, _ in run.between.values())
    every = [_moved(middle, sea - seas[2]) for sea in seas]
    assert np.array_equal(run.course(trips, False), [trips(fleet) for fleet in every])
    told, true = run.course(margin, True), np.stack([margin(fleet) for fleet in every])
    run_there = np.zeros(told.shape, dtype=bool)
    run_there[::2] = True
    for number, (which, _) in run.between.items():
        run_there[number, which] = True
    finite = np.isfinite(true)
    assert np.array_equal(finite, np.isfinite(told))
    off = np.abs(np.where(finite, told, 0.0) - np.where(finite, true, 0.0))
    assert off[run_there].max() < 1e-6
    assert np.quantile(off[~run_there], 0.95) < STRAIGHT
    units = tuple(units_at(seas, run.course, middle.setup.places.units))
    assert [one.unit for one in units] == list(middle.setup.places.units)
    begins = np.asarray(seas)[:, np.newaxis]
    for one in units:
        dry = np.stack([trips(fleet, one.unit) for fleet in every])
        near = np.stack([margin(fleet, one.unit) < NEAR_TRIP for fleet in every])
        told = (begins >= one.trips_from) & (begins < one.trips_until)
        assert np.mean(told == dry) > 0.995
        told = (begins >= one.near_from) & (begins < one.near_until)
        assert np.mean(told == near) > 0.99
        assert 0.01 < near.mean() < 0.99


def test_in_another_sea_a_boat_is_the_one_that_is_drawn_there():
    case = load_case("cases/ketch-one-unit.toml").case
    setup = setup_of(case, network.loops(case)[0])
    cold, warm = (simulate(setup, _of_sea(sea), 512, 20) for sea in (20.0, 30.0))
    moved = _moved(cold, 10.0)
    assert moved.met.sea == pytest.approx(warm.met.sea)
    for unit, point in warm.point.units.items():
        there = moved.point.units[unit].outlet_temperature
        assert there == pytest.approx(point.outlet_temperature, nan_ok=True)
