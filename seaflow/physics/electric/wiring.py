"""Cable to the pump: copper, the drop along it, and standard conductor sizes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.measured import measured
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.base.tables import read_table

COPPER_AT_20 = 1e-6 / 58.0  # ohm m
COPPER_PER_KELVIN = 0.00393  # at 20 degC
CIRCULAR_MIL = 0.25 * np.pi * (0.0254e-3) ** 2  # m2
USUAL_DROP = 0.03
LOW_VOLTAGE = 50.0  # V: below it 33 CFR 183.455 asks less of a fuse
FUSE_OVER_CONDUCTOR = 1.5  # times what the conductor carries: the same, read
# Ratings in which fuses and breakers are made, in America and by IEC 60898-1 (A).
STANDARD_FUSES = (
    (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
    (1, 2, 4, 6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100),
)


@elementwise
@sourced("iec60028", where="1/58 ohm mm2/m at 20 degC, 0.00393 per kelvin")
def copper_resistivity(conductor_temperature: Number) -> Number:
    """Resistivity of copper wire.

    conductor_temperature [degC]
    returns [ohm m]: resistivity
    raises RangeError: the temperature lies outside -40 to 150 degC

    >>> round(1e8 * copper_resistivity(20.0), 4)
    1.7241
    """
    require_between(-40.0, 150.0, conductor_temperature=conductor_temperature)
    return COPPER_AT_20 * (1.0 + COPPER_PER_KELVIN * (conductor_temperature - 20.0))


@elementwise
@sourced("iec60028", where="Ohm's law over the wire out and back")
def voltage_drop(
    current: Number,
    cable_length: Number,
    conductor_area: Number,
    conductor_temperature: Number = 20.0,
) -> Number:
    """Voltage lost in a cable, out and back.

    current [A]: current
    cable_length [m]: length of the cable one way; the wire back is counted here
    conductor_area [m2], conductor_temperature [degC]
    returns [V]: voltage drop
    raises RangeError: current or length are negative, or the area is not above zero

    >>> round(voltage_drop(5.0, 6.0, 2.5e-6), 3)
    0.414
    """
    require_not_negative(current=current, cable_length=cable_length)
    require_positive(conductor_area=conductor_area)
    resistivity = copper_resistivity(conductor_temperature)
    return 2.0 * cable_length * current * resistivity / conductor_area


@elementwise
@sourced("iec60028", where="Ohm's law solved for the area")
def area_for_drop(
    current: Number,
    cable_length: Number,
    voltage: Number,
    drop_share: Number = USUAL_DROP,
    conductor_temperature: Number = 20.0,
) -> Number:
    """Copper area that keeps the voltage drop to a share of the supply.

    current [A]: current
    cable_length [m]: length of the cable one way
    voltage [V]: volts at the supply
    drop_share [-]: voltage drop over supply volts
    conductor_temperature [degC]
    returns [m2]: copper area of one conductor
    raises RangeError: current or length are negative, the volts are not above zero, or the share
        lies outside 0.001 to 0.5

    >>> round(1e6 * area_for_drop(5.0, 6.0, 12.0), 2)
    2.87
    """
    require_not_negative(current=current, cable_length=cable_length)
    require_positive(voltage=voltage)
    require_between(0.001, 0.5, drop_share=drop_share)
    resistivity = copper_resistivity(conductor_temperature)
    return 2.0 * cable_length * current * resistivity / (drop_share * voltage)


@elementwise
@sourced("astm_b258", where="diameter 0.127 mm times 92^((36 - gauge) / 39)")
def awg_area(gauge: Number) -> Number:
    """Copper area of an American wire gauge.

    gauge [-]: gauge number; 0 for 1/0, -1 for 2/0
    returns [m2]: copper area
    raises RangeError: the gauge lies outside -3 (4/0) to 40

    >>> round(1e6 * awg_area(12), 3)
    3.309
    """
    require_between(-3.0, 40.0, gauge=gauge)
    diameter = 0.127e-3 * 92.0 ** ((36.0 - gauge) / 39.0)
    return 0.25 * np.pi * diameter**2


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """A standard conductor, why it was chosen, and the drop it gives."""

    name: str
    decided_by: str
    area: float = measured("m2")
    voltage_drop: float = measured("V")
    drop_share: float = measured("-")
    ampacity: float = measured("A")


@sourced("trade_wiring", where="larger of the size for drop, for current and the least allowed")
def conductor_size(
    current: float,
    cable_length: float,
    voltage: float,
    drop_share: float = USUAL_DROP,
    conductor_temperature: float = 30.0,
    system: str = "metric",
) -> ConductorSize:
    """Smallest standard conductor for a pump: drop, current and least size all kept.

    current [A]: current
    cable_length [m]: length of the cable one way
    voltage [V]: volts at the supply
    drop_share [-]: voltage drop over supply volts
    conductor_temperature [degC]: temperature of the copper: 30 degC in the open, 60 degC in an
        engine space
    system [text]: list of sizes: "metric", "awg" or "sae"
    returns [text]: size, area, what decided it, and its drop
    raises RangeError: a number is out of range, or no size in the list is large enough
    raises KeyError: there is no such list of sizes

    The currents allowed are the lower columns of older tables; check the current edition of
    ISO 13297 or ABYC E-11, and lower them for bundles.

    >>> conductor_size(5.0, 6.0, 12.0).name
    '4 mm2'
    """
    needed = float(area_for_drop(current, cable_length, voltage, drop_share, conductor_temperature))
    rows = _sizes(system)
    least = _first(rows, lambda row: row["allowed"])
    for_current = _first(rows, lambda row: row["ampacity"] >= current)
    for_drop = _first(rows, lambda row: row["area"] >= needed)
    index, decided = max(
        (least, "least size"),
        (for_current, "current"),
        (for_drop, "voltage drop"),
        key=lambda pair: pair[0],
    )
    if index == len(rows):
        raise RangeError(f"no {system} conductor in the list is large enough; a shorter run is due")
    row = rows[index]
    drop = float(voltage_drop(current, cable_length, row["area"], conductor_temperature))
    return ConductorSize(
        row["name"], decided, row["area"], drop, drop / voltage, float(row["ampacity"])
    )


@sourced("cfr183", where="183.455: a circuit's fuse against its conductor")
def largest_fuse(ampacity: float, voltage: float) -> float:
    """Largest fuse or breaker that published rules let protect a conductor.

    ampacity [A]: what the conductor carries where it runs
    voltage [V]: volts of its circuit
    returns [A]: below 50 V one half more than the conductor carries; from 50 V what it carries, or
        the next standard rating if that is no more than one half above it
    raises RangeError: the ampacity is negative, or the volts are not above zero

    >>> largest_fuse(18.0, 12.0), largest_fuse(18.0, 230.0)
    (27.0, 20.0)
    """
    require_not_negative(ampacity=ampacity)
    require_positive(voltage=voltage)
    most = FUSE_OVER_CONDUCTOR * ampacity
    if voltage < LOW_VOLTAGE:
        return most
    above = (next((one for one in row if one > ampacity), ampacity) for row in STANDARD_FUSES)
    return max([ampacity, *(float(one) for one in above if one <= most)])


def _first(rows: Sequence[dict[str, Any]], fits: Callable[[dict[str, Any]], bool]) -> int:
    return next((index for index, row in enumerate(rows) if fits(row)), len(rows))


def conductor_sizes(system: str) -> list[dict[str, Any]]:
    """Standard conductors, smallest first: name, area, ampacity, and whether a pump may use it.

    system [text]: list of sizes: "metric", "awg" or "sae"
    returns [text]: one row a size
    raises KeyError: there is no such list of sizes

    >>> conductor_sizes("awg")[0]["name"]
    '18 AWG'
    """
    return [dict(row) for row in _sizes(system)]


@cache
def _sizes(system: str) -> tuple[dict[str, Any], ...]:
    table = read_table("conductors.toml")
    if system not in table:
        raise KeyError(f"no list of conductor sizes {system!r}; there are {', '.join(table)}")
    return tuple(dict(row, area=_area(row)) for row in table[system]["size"])


def _area(row: dict[str, Any]) -> float:
    if "square_millimetres" in row:
        return float(row["square_millimetres"]) / 1e6  # exact for 2.5; times 1e-6 is not
    if "circular_mils" in row:
        return float(row["circular_mils"]) * CIRCULAR_MIL
    return float(awg_area(row["gauge"]))
