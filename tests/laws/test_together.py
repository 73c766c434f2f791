"""Laws of settings run side by side: each runs as it would alone, whatever stands beside it."""

from dataclasses import replace

import numpy as np
import pytest
from layouts import KINDS, random_conditions, random_loop

from seaflow.model.elements import HoseRun, Pumping
from seaflow.model.operate import operate
from seaflow.model.together import operate_all, together
from seaflow.physics.pumping.pump import Drive, curve_from_ends, curve_from_points

SAME = 1e-8  # relative: one answer by two orders of arithmetic, heads settled to 1e-9 m
NOTHING = 1e-11  # m3/s
CURVES = (
    curve_from_ends(5.0, 9e-4),
    curve_from_ends(3.0, 6e-4, 2.2),
    curve_from_points([0.0, 2e-4, 5e-4, 8e-4], [6.0, 5.5, 3.0, 0.0]),
    curve_from_points([0.0, 3e-4, 4e-4, 7e-4, 9e-4], [4.0, 3.8, 3.3, 1.5, 0.0]),
)
DRIVES = (
    Drive(motor="unregulated dc", voltage=24.0, power=((0.0, 80.0),)),
    Drive(motor="regulated dc", voltage=12.0, power=((0.0, 30.0), (3e-4, 50.0), (9e-4, 75.0))),
    Drive(motor="induction ac", voltage=24.0, frequency=60.0, power=((2e-4, 110.0),)),
)


def with_pump(loop, curve, drive, length=1.0):
    """Return a loop with this pump at all its places, and hoses so many times as long."""
    turned = loop.each(Pumping, lambda pump: replace(pump, curve=curve, drive=drive))
    return turned.each(HoseRun, lambda hose: replace(hose, length=hose.length * length))


def settings_of(seed, kind):
    """Return loops with pumps of every kind, of different numbers and of conditions each."""
    rng = np.random.default_rng(seed)
    loop = random_loop(rng, kind)
    for curve in CURVES:
        for drive in DRIVES:
            size = int(rng.integers(1, 5))
            now = replace(random_conditions(rng, loop, size), frequency=50.0)
            yield with_pump(loop, curve, drive, rng.uniform(0.5, 2.0)), now


def assert_same(one, other):
    """Assert that two operating points are one."""
    assert other.loop is one.loop and other.conditions is one.conditions
    np.testing.assert_array_equal(other.ending, one.ending)
    np.testing.assert_array_equal(other.full, one.full)
    np.testing.assert_allclose(other.flow, one.flow, rtol=SAME, atol=NOTHING)
    for name, pump in one.pumps.items():
        for key in ("head", "power", "speed_ratio", "share_of_free_flow"):
            mine, theirs = getattr(other.pumps[name], key), getattr(pump, key)
            np.testing.assert_allclose(mine, theirs, rtol=SAME, atol=SAME, err_msg=key)
    for name, unit in one.units.items():
        np.testing.assert_array_equal(other.units[name].state, unit.state)
        np.testing.assert_allclose(
            other.units[name].outlet_temperature, unit.outlet_temperature, rtol=1e-6
        )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", [3, 14])
def test_each_setting_runs_as_it_does_alone(seed, kind):
    settings = list(settings_of(seed, kind))
    assert len(together(settings)) == 1
    for setting, found in zip(settings, operate_all(settings), strict=True):
        assert_same(operate(*setting), found)


def test_loops_of_another_shape_run_by_themselves_and_keep_their_places():
    several = [list(settings_of(seed, kind))[:3] for seed, kind in enumerate(KINDS)]
    mixed = [setting for row in zip(*several, strict=True) for setting in row]
    assert len(together(mixed)) == len(KINDS)
    for setting, found in zip(mixed, operate_all(mixed), strict=True):
        assert_same(operate(*setting), found)


def test_nothing_asked_is_nothing_answered():
    assert operate_all([]) == []


def test_what_settings_share_stays_one_number():
    loop, now = next(settings_of(5, "row"))
    (found,) = together([(loop, now), (loop, replace(now, salinity=7.0))])
    assert found.now.frequency == now.frequency
    assert found.loop.links[0].elements[0] is loop.links[0].elements[0]
    sizes = [np.size(now.sea_temperature)] * 2
    assert [part.stop - part.start for part in found.parts] == sizes
    beside = np.full(sizes[1], 7.0)
    np.testing.assert_array_equal(found.now.salinity, np.concatenate([now.salinity, beside]))
