"""The run from sea to sea that the page shows: what comes in goes out, as `size` says."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from seaflow.base.constants import GRAVITY
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.physics.water.seawater import seawater
from seaflow.studies.page.run import loop_run
from seaflow.studies.page.study import boat_page, owners_boats
from seaflow.studies.size.size import size

CASES = Path(__file__).parents[2] / "cases"
EXACT = 1e-9  # of the same number by another way through the same model


@pytest.fixture(scope="module", params=["motor-three-units", "badly-arranged"])
def run(request):
    """A boat, its sizing, and the run of its loop."""
    case = load_case(str(CASES / f"{request.param}.toml")).case
    sized = size(case, 0)
    (found,) = network.loops(case)
    return case, sized.loops[0], loop_run(case, found, sized.loops[0].chosen)


def stops(run):
    return [stop for stretch in run.stretches for stop in stretch.stops]


def test_every_thing_is_on_it_once_and_is_counted_as_the_water_comes(run):
    case, _, found = run
    named = [stop.name for stop in stops(found) if stop.kind != "joint"]
    wanted = {item.name for item in (*case.unit, *case.pump, *case.strainer, *case.outlet)}
    assert wanted <= set(named) and len(named) == len(set(named))
    numbers = {stop.name: stop.number for stop in stops(found)}
    assert list(numbers.values()) == list(range(1, len(numbers) + 1))


def test_what_leaves_a_joint_is_what_came(run):
    _, _, found = run
    into, out = {}, {}
    for stretch in found.stretches:
        flow = stretch.stops[-1].flow
        into[stretch.end] = into.get(stretch.end, 0.0) + flow
        out[stretch.start] = out.get(stretch.start, 0.0) + flow
    assert into.keys() == out.keys()
    assert all(into[name] == pytest.approx(out[name], rel=1e-6) for name in into)


def test_units_and_pump_do_what_size_says_of_them(run):
    _, sized, found = run
    at = sized.chosen.design
    by_name = {stop.name: stop for stop in stops(found)}
    for unit in at.units:
        stop = by_name[unit.name]
        assert stop.flow == pytest.approx(unit.flow, rel=EXACT)
        assert stop.temperature_after == pytest.approx(unit.outlet_temperature, rel=EXACT)
    pump = next(stop for stop in stops(found) if stop.kind == "pump")
    assert pump.gauge == pytest.approx(at.inlet_gauge, rel=EXACT)
    assert pump.gauge_after > pump.gauge


def test_at_rest_the_sea_stands_in_what_it_reaches_and_air_above(run):
    case, _, found = run
    density = float(np.ravel(seawater(case.sea.warmest, case.sea.salinity).density)[0])
    for stop in stops(found):
        if stop.stands == "water":
            assert stop.gauge_at_rest == pytest.approx(-density * GRAVITY * stop.height, rel=EXACT)
        if stop.height is not None and stop.height >= 0.0:
            assert stop.stands == "air" and stop.gauge_at_rest is None


def test_a_profile_goes_on_and_its_head_jumps_up_only_at_the_pump(run):
    case, _, found = run
    for profile in found.profiles:
        along = [spot.along for spot in profile.spots]
        assert along == sorted(along) and along[0] == 0.0
        known = [spot for spot in profile.spots if spot.head is not None]
        for before, spot in pairwise(known):
            rises = spot.head > before.head + 1e-9
            assert rises == (spot.kind == "pump" and spot.side == "after")
    heel = case.boat.works_to_heel
    for spot in found.profiles[0].spots:
        if spot.starboard_down is not None:  # the sea is a plane: it turns about the centreline
            level = 0.5 * (spot.starboard_down + spot.port_down)
            assert level == pytest.approx(spot.height * (1.0 - np.cos(heel)), abs=EXACT)


def test_the_sheets_are_of_the_pump_put_first_and_a_part_that_cannot_be_told_says_why():
    case = load_case(str(CASES / "catamaran-two-loops.toml")).case
    page = boat_page(case, (64, 20))
    chosen = [loop.chosen.part.name for loop in page.asked.size.loops]
    assert [run.pump for run in page.runs] == chosen
    assert [sheet.pump for sheet in page.asked.first_start] == chosen
    assert [loop.pump for loop in page.asked.energy.loops] == chosen
    assert page.asked.place is None
    assert [problem.code for problem in page.lacking("place")] == ["S55"]


def test_the_owners_part_is_of_the_pump_fitted_now_and_names_it(run, monkeypatch):
    case, _, _ = run
    monkeypatch.setattr("seaflow.studies.page.study.packed_boats", lambda setups, *_: setups)
    (setup,) = owners_boats(case, size(case, 0))
    (fitted,) = [spot.fitted for spot in case.pump]
    assert setup.part.name == fitted
    none = replace(case, pump=tuple(replace(spot, fitted=None) for spot in case.pump))
    sized = size(none, 0)
    (setup,) = owners_boats(none, sized)
    assert setup.part.name == sized.loops[0].chosen.part.name
