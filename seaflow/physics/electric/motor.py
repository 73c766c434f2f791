"""Pump motors: speed and current when volts or frequency are not as rated."""

from __future__ import annotations

from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise, ratio
from seaflow.base.near import nearest
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.base.tables import read_table

_LEAST_RATIO = 1e-9


def motor_data(motor_type: str) -> dict[str, Any]:
    """Row of the motor table.

    motor_type [text]: a type of the motor table
    returns [text]: the row
    raises KeyError: there is no such type; the message lists the near match

    >>> motor_data("induction ac")["law"]
    'slip'
    """
    table = read_table("motors.toml")
    if motor_type not in table:
        near = nearest(str(motor_type), table)
        hint = f"; did you mean {near}?" if near else ""
        raise KeyError(f"no motor type {motor_type!r}; there are {', '.join(table)}{hint}")
    row: dict[str, Any] = table[motor_type]
    return row


@elementwise
@sourced("common_practice", where="what each kind of motor follows")
def speed_ratio(
    motor_type: str,
    voltage_ratio: Number = 1.0,
    frequency_ratio: Number = 1.0,
    minimum_voltage_ratio: Number | None = None,
) -> Number:
    """Speed of a pump motor over its rated speed.

    motor_type [text]: a type of the motor table
    voltage_ratio [-]
    frequency_ratio [-]: frequency over rated frequency; no matter to a DC motor
    minimum_voltage_ratio [-]: voltage ratio below which the motor stops; the table's figure for the
        type if left out
    returns [-]: speed over rated speed; 0 below the least volts
    raises RangeError: a ratio is negative or above 3
    raises KeyError: there is no such motor type

    Unregulated DC follows the volts. Regulated DC holds its speed. A synchronous motor follows
    the frequency. An induction motor follows the frequency less its slip; the pump's torque goes
    with frequency squared and the motor's with (volts over frequency) squared, so the slip goes
    with frequency^4 / volts^2, on the straight part of the torque curve. The bridging is ours.

    >>> round(speed_ratio("induction ac", 0.9, 1.0), 3)
    0.988
    """
    row = motor_data(motor_type)
    require_between(0.0, 3.0, voltage_ratio=voltage_ratio, frequency_ratio=frequency_ratio)
    least = row["minimum_voltage_ratio"] if minimum_voltage_ratio is None else minimum_voltage_ratio
    require_not_negative(minimum_voltage_ratio=least)
    volts, hertz = np.broadcast_arrays(voltage_ratio, frequency_ratio)
    speed = _LAWS[row["law"]](volts, hertz, float(row.get("rated_slip", 0.0)))
    return np.where(volts >= least, speed, 0.0)


def _follows_volts(volts: Array, hertz: Array, rated_slip: float) -> Array:
    return volts


def _holds(volts: Array, hertz: Array, rated_slip: float) -> Array:
    return np.ones_like(volts)


def _follows_frequency(volts: Array, hertz: Array, rated_slip: float) -> Array:
    return hertz


def _follows_frequency_less_slip(volts: Array, hertz: Array, rated_slip: float) -> Array:
    slip = rated_slip * hertz**4 / np.maximum(volts, _LEAST_RATIO) ** 2
    speed: Array = np.maximum(hertz - slip, 0.0) / (1.0 - rated_slip)
    return speed


_LAWS = {
    "volts": _follows_volts,
    "held": _holds,
    "frequency": _follows_frequency,
    "slip": _follows_frequency_less_slip,
}


@elementwise
@sourced("trade_low_volts", where="10 % less volts, about 10 % more current at equal load")
def supply_current(
    motor_type: str,
    power: Number,
    voltage: Number,
    power_factor: Number | None = None,
    voltage_ratio: Number = 1.0,
) -> Number:
    """Current a running pump motor draws.

    motor_type [text]: a type of the motor table
    power [W]: electric power drawn in this state
    voltage [V]: rated volts
    power_factor [-]: power over volts times amperes; the table's figure if left out, no matter to
        DC
    voltage_ratio [-]
    returns [A]: current; 0 without volts
    raises RangeError: the power is negative, the volts are not above zero, or the power factor lies
        outside 0.1 to 1
    raises KeyError: there is no such motor type

    An induction motor keeps its power at low volts, so its current rises; an unregulated DC motor
    slows, and the power given must already be the lower one.

    >>> round(supply_current("induction ac", 110.0, 115.0, 0.7, 0.9), 3)
    1.518
    """
    row = motor_data(motor_type)
    require_not_negative(power=power, voltage_ratio=voltage_ratio)
    require_positive(voltage=voltage)
    factor = row["power_factor"] if power_factor is None or row["supply"] == "dc" else power_factor
    require_between(0.1, 1.0, power_factor=factor)
    volts = np.asarray(voltage * voltage_ratio, dtype=float)
    return ratio(power, volts * factor, 0.0)


@elementwise
@sourced("common_practice", where="inrush of small motors, 3 to 6 times the running current")
def starting_current(motor_type: str, running_current: Number) -> tuple[Number, Number]:
    """Band of the current at the moment of starting.

    motor_type [text]: a type of the motor table
    running_current [A]: current at rated volts when running
    returns [A]: least and most
    raises RangeError: the current is negative
    raises KeyError: there is no such motor type

    >>> [round(value, 1) for value in starting_current("induction ac", 1.4)]
    [4.2, 8.4]
    """
    low, high = motor_data(motor_type)["starting_multiple"]
    require_not_negative(running_current=running_current)
    return running_current * low, running_current * high
