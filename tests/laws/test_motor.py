"""Motors: what each kind follows, where it drops out, and what current it draws."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table
from seaflow.physics.electric import motor

TYPES = tuple(read_table("motors.toml"))
EXACT = 1e-12


@pytest.mark.parametrize("motor_type", TYPES)
def test_rated_supply_gives_rated_speed(motor_type: str) -> None:
    assert motor.speed_ratio(motor_type, 1.0, 1.0) == pytest.approx(1.0, rel=EXACT)


@pytest.mark.parametrize("motor_type", TYPES)
def test_speed_never_falls_when_volts_rise(motor_type: str) -> None:
    volts = np.linspace(0.0, 1.3, 261)
    speed = motor.speed_ratio(motor_type, volts, 1.0)
    assert np.all(np.diff(speed) >= -EXACT)
    assert speed[0] == 0.0
    assert np.all((speed >= 0.0) & (speed <= 1.31))


@pytest.mark.parametrize("motor_type", TYPES)
def test_scalar_equals_array(motor_type: str) -> None:
    volts, hertz = np.linspace(0.5, 1.2, 8), np.linspace(0.8, 1.2, 8)
    together = motor.speed_ratio(motor_type, volts, hertz)
    alone = [
        motor.speed_ratio(motor_type, float(v), float(f)) for v, f in zip(volts, hertz, strict=True)
    ]
    np.testing.assert_array_equal(together, alone)
    assert all(isinstance(one, float) for one in alone)


def test_what_each_kind_follows() -> None:
    volts, hertz = np.array([0.9, 1.1]), np.array([5 / 6, 1.2])
    np.testing.assert_array_equal(motor.speed_ratio("unregulated dc", volts, hertz), volts)
    np.testing.assert_array_equal(motor.speed_ratio("regulated dc", volts, hertz), 1.0)
    np.testing.assert_array_equal(motor.speed_ratio("synchronous ac", volts, hertz), hertz)
    slower = motor.speed_ratio("induction ac", volts, 1.0)
    assert slower[0] < 1.0 < slower[1]


def test_induction_motor_on_50_hertz_turns_near_five_sixths() -> None:
    speed = motor.speed_ratio("induction ac", 5 / 6, 5 / 6)
    assert speed == pytest.approx(5 / 6, abs=0.02)  # the slip itself is 0.05
    assert motor.speed_ratio("induction ac", 1.0, 5 / 6) > speed  # full volts slip less


def test_slip_grows_as_volts_squared_fall() -> None:
    rated = motor.motor_data("induction ac")["rated_slip"]
    for volts in (0.8, 0.9, 1.0, 1.1):
        speed = motor.speed_ratio("induction ac", volts, 1.0) * (1.0 - rated)
        assert 1.0 - speed == pytest.approx(rated / volts**2, rel=1e-9)


def test_drop_out() -> None:
    for motor_type in TYPES:
        least = motor.motor_data(motor_type)["minimum_voltage_ratio"]
        assert motor.speed_ratio(motor_type, least, 1.0) > 0.0
        assert motor.speed_ratio(motor_type, least - 0.01, 1.0) == 0.0
    assert motor.speed_ratio("regulated dc", 0.9, 1.0, 0.95) == 0.0
    np.testing.assert_array_equal(
        motor.speed_ratio("regulated dc", [0.8, 0.9], 1.0, 0.75), [1.0, 1.0]
    )


def test_current_balances_power() -> None:
    for motor_type in TYPES:
        row = motor.motor_data(motor_type)
        current = motor.supply_current(motor_type, 110.0, 115.0)
        assert current * 115.0 * row["power_factor"] == pytest.approx(110.0)
    assert motor.supply_current("regulated dc", 24.0, 12.0, 0.6) == pytest.approx(2.0)
    low = motor.supply_current("induction ac", 110.0, 115.0, 0.7, 0.9)
    assert low > motor.supply_current("induction ac", 110.0, 115.0, 0.7)
    np.testing.assert_array_equal(
        motor.supply_current("induction ac", 110.0, 115.0, 0.7, [0.0]), [0.0]
    )


def test_starting_current_is_a_band_above_running() -> None:
    for motor_type in TYPES:
        low, high = motor.starting_current(motor_type, 2.0)
        assert 2.0 <= low <= high <= 12.0


def test_unknown_type_names_the_near_match() -> None:
    with pytest.raises(KeyError, match="did you mean induction ac"):
        motor.speed_ratio("induction", 1.0, 1.0)


def test_refusals() -> None:
    with pytest.raises(RangeError):
        motor.speed_ratio("induction ac", -0.1, 1.0)
    with pytest.raises(RangeError):
        motor.speed_ratio("induction ac", 1.0, 50.0)  # hertz where a ratio is due
    with pytest.raises(RangeError):
        motor.speed_ratio("induction ac", 1.0, 1.0, -0.5)
    with pytest.raises(RangeError):
        motor.supply_current("induction ac", -1.0, 115.0)
    with pytest.raises(RangeError):
        motor.supply_current("induction ac", 1.0, 0.0)
    with pytest.raises(RangeError):
        motor.supply_current("induction ac", 1.0, 115.0, 1.2)
    with pytest.raises(RangeError):
        motor.starting_current("induction ac", -1.0)
