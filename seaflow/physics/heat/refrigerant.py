"""Saturation of refrigerants, and what a compressor of each does over condensing temperature."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.ranges import require_between, require_positive
from seaflow.base.sources import sourced
from seaflow.base.tables import read_table

CRITICAL_MARGIN = 2.0  # K below the critical point beyond which no condensing point is believed
_TABLE = "refrigerants.toml"
_PASCAL_PER_KILOPASCAL = 1e3


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """What the table holds beside saturation and cycle."""

    name: str
    critical_temperature: float
    critical_pressure: float
    safety_class: str


@dataclass(frozen=True, slots=True, eq=False)
class Cycle:
    """Capacity and power over rising condensing temperature [degC], as shares of one point."""

    condensing: Array
    capacity: Array
    power: Array


@dataclass(frozen=True, slots=True)
class _Curve:
    """One side of a saturation table: temperature over the logarithm of pressure."""

    temperature: Array
    log_pressure: Array


@cache
def find(refrigerant: str) -> str:
    """Spelling of a refrigerant's name in the table.

    refrigerant [text]: name in any common spelling, such as "R410A" or "r-410a"
    returns [text]: name in the table
    raises KeyError: no refrigerant has that name; the message lists the nearest

    >>> find("r410a")
    'R-410A'
    """
    listed: dict[str, Any] = read_table(_TABLE)["refrigerant"]
    known = {_plain(item): item for item in listed}
    if _plain(refrigerant) in known:
        return known[_plain(refrigerant)]
    near = [known[item] for item in get_close_matches(_plain(refrigerant), known, n=3)]
    hint = f"did you mean {' or '.join(near)}?" if near else f"known are {', '.join(listed)}"
    raise KeyError(f"no refrigerant is called {refrigerant!r}; {hint}")


def record(refrigerant: str) -> Refrigerant:
    """Critical point and safety class of a refrigerant.

    refrigerant [text]: name such as "R-410A"
    returns [object]: its record
    raises KeyError: no refrigerant has that name

    Safety classes are from memory.

    >>> record("R-32").safety_class
    'A2L'
    """
    name = find(refrigerant)
    row = _row(name)
    return Refrigerant(
        name=name,
        critical_temperature=row["critical_temperature"],
        critical_pressure=row["critical_pressure"] * _PASCAL_PER_KILOPASCAL,
        safety_class=row["safety_class"],
    )


@cache
@sourced("bell2014", where="a cycle of real properties, its efficiencies ours, made with CoolProp")
def cycle_of(refrigerant: str) -> Cycle:
    """Capacity and power of a compressor that sweeps a fixed volume, evaporating at 7 degC.

    refrigerant [text]: name such as "R-410A"
    returns [object]: both over condensing temperature from 15 degC, as shares of those at 45 degC
    raises KeyError: no refrigerant has that name

    Superheat is 8 K and subcooling 5 K. The volumetric efficiency falls by 3 points for each unit
    of the pressure ratio, and the isentropic efficiency in the same ratio: the power is that of
    constant efficiencies.

    >>> round(float(cycle_of("R-410A").power[-3]), 2)
    1.41
    """
    row = _row(find(refrigerant))
    columns = (row[name] for name in ("condensing", "cycle_capacity", "cycle_power"))
    return Cycle(*(np.asarray(column, dtype=float) for column in columns))


@sourced("bell2014", where="critical point of the equation of state of each refrigerant")
def critical_temperature(refrigerant: str) -> float:
    """Temperature above which the refrigerant cannot condense.

    refrigerant [text]: name such as "R-410A"
    returns [degC]: critical temperature
    raises KeyError: no refrigerant has that name

    >>> critical_temperature("R-134a")
    101.06
    """
    return float(_row(find(refrigerant))["critical_temperature"])


@sourced("bell2014", where="first and last row of each saturation table")
def temperature_limits(refrigerant: str, side: str = "mean") -> tuple[float, float]:
    """Lowest and highest saturation temperature of the table.

    refrigerant [text]: name such as "R-410A"
    side [text]: "bubble", "dew" or "mean"
    returns [degC]: lowest and highest temperature
    raises KeyError: the refrigerant or the side is not known

    >>> temperature_limits("R-410A", "dew")
    (-30.0, 70.0)
    """
    curve = _curve(find(refrigerant), side)
    return float(curve.temperature[0]), float(curve.temperature[-1])


@elementwise
@sourced("bell2014", where="saturation tables made with CoolProp 8.0.0, straight on log pressure")
def saturation_pressure(
    condensing_temperature: Number, refrigerant: str, side: str = "mean"
) -> Number:
    """Pressure at which the refrigerant condenses.

    condensing_temperature [degC]: saturation temperature
    refrigerant [text]: name such as "R-410A"
    side [text]: "bubble", "dew", or "mean" of both temperatures at one pressure
    returns [Pa]: absolute saturation pressure
    raises RangeError: a temperature lies outside the table, which ends short of the critical point
    raises KeyError: the refrigerant or the side is not known

    "mean" is our choice for condensers: half way between bubble and dew temperature. For a
    single substance all sides agree.

    >>> round(saturation_pressure(40.0, "R-134a"), -2)
    1016600.0
    """
    curve = _curve(find(refrigerant), side)
    require_between(
        float(curve.temperature[0]),
        float(curve.temperature[-1]),
        condensing_temperature=condensing_temperature,
    )
    logs = np.interp(condensing_temperature, curve.temperature, curve.log_pressure)
    return np.asarray(np.exp(logs))


@elementwise
@sourced("bell2014", where="saturation tables made with CoolProp 8.0.0, straight on log pressure")
def saturation_temperature(
    refrigerant_pressure: Number, refrigerant: str, side: str = "mean"
) -> Number:
    """Temperature at which the refrigerant condenses at a pressure.

    refrigerant_pressure [Pa]
    refrigerant [text]: name such as "R-410A"
    side [text]: "bubble", "dew", or "mean" of both temperatures at one pressure
    returns [degC]: saturation temperature
    raises RangeError: a pressure is not above zero or lies outside the table
    raises KeyError: the refrigerant or the side is not known

    >>> round(saturation_temperature(1016593.0, "R-134a"), 2)
    40.0
    """
    require_positive(refrigerant_pressure=refrigerant_pressure)
    curve = _curve(find(refrigerant), side)
    require_between(
        float(np.exp(curve.log_pressure[0])) * (1.0 - 1e-12),
        float(np.exp(curve.log_pressure[-1])) * (1.0 + 1e-12),
        refrigerant_pressure=refrigerant_pressure,
    )
    logs = np.log(refrigerant_pressure)
    return np.asarray(np.interp(logs, curve.log_pressure, curve.temperature))


def _plain(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter.isalnum())


def _row(name: str) -> dict[str, Any]:
    return dict(read_table(_TABLE)["refrigerant"][name])


@cache
def _curve(name: str, side: str) -> _Curve:
    if side not in ("bubble", "dew", "mean"):
        raise KeyError(f'the side of saturation is "bubble", "dew" or "mean", not {side!r}')
    if side == "mean":
        return _mean(_curve(name, "bubble"), _curve(name, "dew"))
    row = _row(name)
    return _Curve(
        np.asarray(row["temperature"], dtype=float),
        np.log(np.asarray(row[side], dtype=float) * _PASCAL_PER_KILOPASCAL),
    )


def _mean(bubble: _Curve, dew: _Curve) -> _Curve:
    """Average the temperatures at equal pressure: straight between the rows of both together."""
    rows = np.union1d(bubble.log_pressure, dew.log_pressure)
    rows = rows[(rows >= bubble.log_pressure[0]) & (rows <= dew.log_pressure[-1])]
    temperature = 0.5 * (
        np.interp(rows, bubble.log_pressure, bubble.temperature)
        + np.interp(rows, dew.log_pressure, dew.temperature)
    )
    return _Curve(temperature, rows)
