"""What a plan may have wrong, and what a conductor carries that nobody recorded: on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from sizing import KETCH, MOTOR, shipped

from seaflow.boat import network
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.physics.electric.wiring import conductor_sizes
from seaflow.studies.design.certainty.spreads import spread, triangular
from seaflow.studies.design.limits import limit
from seaflow.studies.diagnose.doubts import LongTailed, doubts_of, pump_is_told
from seaflow.studies.size import pump_materials


def built_of(name):
    case = shipped(name)
    found = network.loops(case)[0]
    part = next(
        one
        for one in case.catalogue.pumps()
        if one.runs_on(case.supply.current, case.supply.voltage) and one.minimum_voltage
    )
    return case, build_loop(case, found, {place.name: part for place in found.pumps})


def doubt(case, built, name):
    return next(item for item in doubts_of(case, built) if item.spread.name == name)


def test_a_pump_stands_still_below_what_its_boat_draws_of_its_least_volts():
    case, built = built_of(MOTOR)
    (pump,) = built.loop.pumps
    least = pump.drive.minimum_voltage
    item = doubt(case, built, "least_volts")
    values = np.asarray([0.8, 0.8, 1.0, 1.0])
    volts = least * np.asarray([0.79, 0.81, 0.99, 1.0])
    loop, now = item.apply(built.loop, Conditions(sea_temperature=28.0, voltage=volts), values)
    assert np.asarray(now.pump_running).tolist() == [False, True, False, True]
    # the model's own switch lies below all that is drawn
    assert loop.pumps[0].drive.minimum_voltage == pytest.approx(spread("least_volts").low * least)
    assert spread("least_volts").low < 1.0
    stopped = Conditions(
        sea_temperature=28.0, voltage=volts, pump_running=np.asarray([True, False, True, True])
    )
    _, still = item.apply(built.loop, stopped, values)
    assert np.asarray(still.pump_running).tolist() == [False, False, False, True]
    unread = item.apply(built.loop, Conditions(sea_temperature=28.0), values)
    assert unread[0] is built.loop and np.asarray(unread[1].pump_running).all()


def test_a_leg_clears_and_a_cabin_takes_as_drawn():
    case, built = built_of(MOTOR)
    values = np.asarray([0.7, 1.3])
    loop, now = doubt(case, built, "falling_leg").apply(
        built.loop, Conditions(sea_temperature=28.0), values
    )
    assert loop is built.loop and now.clearing.tolist() == [0.7, 1.3]
    items = [item for item in doubts_of(case, built) if item.spread.name == "cabin_heat"]
    assert len(items) == len(case.unit) and len({item.label for item in items}) == len(items)
    for item, unit in zip(items, built.network.units_by_size, strict=True):
        loop, _ = item.apply(built.loop, now, values)
        for coil in built.loop.coils:
            after = next(one for one in loop.coils if one.unit == coil.unit).machine
            moved = values if coil.unit == unit.name else np.ones(2)
            heat = coil.machine.rated_capacity * np.ones(2)
            assert np.broadcast_to(after.rated_capacity, 2).tolist() == pytest.approx(
                (heat * moved).tolist()
            )
        assert unit.name in item.label
    alone = [item for item in doubts_of(*built_of(KETCH)) if item.spread.name == "cabin_heat"]
    assert [item.label for item in alone] == [spread("cabin_heat").meaning]


def test_a_plan_that_is_wrong_lies_anywhere_between_far_ends():
    spreads = (item.spread for item in doubts_of(*built_of(MOTOR)))
    base = next(one for one in spreads if isinstance(one, LongTailed))
    share = np.linspace(0.0, 1.0, 5001)
    sure, lost = replace(base, wrong=0.0), replace(base, wrong=1.0)
    plain = np.exp(triangular(share, np.log(base.low), 0.0, np.log(base.high)))
    assert sure.at(share)[1:-1] == pytest.approx(plain[1:-1], rel=2e-3)
    far = np.exp(
        triangular(
            share, np.log(min(base.low, base.far_low)), 0.0, np.log(max(base.high, base.far_high))
        )
    )
    assert lost.at(share)[20:-20] == pytest.approx(far[20:-20], rel=2e-3)  # tails by steps
    # of a mixture the share that lies beyond the near ends is that of the wrong plans there
    mixed = replace(base, wrong=0.3).at((np.arange(20000) + 0.5) / 20000.0)
    assert np.all(np.diff(mixed) >= 0.0)
    beyond = np.mean((far < base.low) | (far > base.high))
    assert np.mean((mixed < base.low) | (mixed > base.high)) == pytest.approx(
        0.3 * beyond, abs=2e-3
    )


def test_what_she_meets_is_no_doubt_and_a_pump_nobody_named_is_any():
    case, built = built_of(MOTOR)
    names = {item.spread.name for item in doubts_of(case, built)}
    assert not names & {"season", "voltage"} and {"pump_head", "pump_flow"} <= names
    assert pump_is_told(case, built)
    vague = replace(case, typical={("sea", "warmest"): 0.1})
    names = [place.fitted for place in built.network.pumps]
    same = {place.name: SimpleNamespace(name=place.fitted) for place in built.network.pumps}
    assert all(names) and pump_is_told(vague, replace(built, pumps=same))
    other = {name: SimpleNamespace(name="another") for name in same}
    assert not pump_is_told(vague, replace(built, pumps=other))


@pytest.mark.parametrize(
    ("hot", "share"), [(False, 1.0), (True, None), (None, None), ("no cable", None)]
)
def test_a_conductor_that_is_due_carries_less_wherever_it_may_be_hot(monkeypatch, hot, share):
    monkeypatch.setattr(pump_materials, "conductor_of", lambda *_: None)
    row = conductor_sizes("metric")[3]
    supply = SimpleNamespace(conductor_metric=SimpleNamespace(name=row["name"]))
    place = SimpleNamespace(cable=None if hot == "no cable" else SimpleNamespace(hot_space=hot))
    carries = float(row["ampacity"]) * (limit("hot_conductor") if share is None else share)
    for fitted in (False, True):
        assert pump_materials._carries(None, place, supply, fitted) == pytest.approx(carries)
    assert (
        pump_materials._carries(None, place, SimpleNamespace(conductor_metric=None), False) is None
    )
    wire = SimpleNamespace(carries_there=9.0, carries_hot=7.0)
    monkeypatch.setattr(pump_materials, "conductor_of", lambda *_: wire)
    assert pump_materials._carries(None, place, supply, True) == 9.0
    assert pump_materials._carries(None, place, supply, False) == pytest.approx(carries)
    wire.carries_there = None
    assert pump_materials._carries(None, place, supply, True) == 7.0
