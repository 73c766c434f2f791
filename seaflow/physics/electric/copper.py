"""Copper wire: resistance, voltage drop, and the area that keeps the drop small.

Depends on: base.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

COPPER_AT_20 = 1e-6 / 58.0  # ohm m
COPPER_PER_KELVIN = 0.00393  # at 20 degC
CIRCULAR_MIL = 0.25 * np.pi * (0.0254e-3) ** 2  # m2
OHM_CIRCULAR_MIL_PER_FOOT = 10.75
USUAL_DROP = 0.03
_FOOT = 0.3048


@elementwise
@sourced("iec60028", where="1/58 ohm mm2/m at 20 degC, 0.00393 per kelvin")
def copper_resistivity(conductor_temperature: Number) -> Number:
    """Resistivity of copper wire.

    Parameters
    ----------
    conductor_temperature : number or array
        Temperature of the copper. [degC]

    Returns
    -------
    number or array
        Resistivity. [ohm m]

    Raises
    ------
    RangeError
        If the temperature lies outside -40 to 150 degC.

    Examples
    --------
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

    Parameters
    ----------
    current : number or array
        Current. [A]
    cable_length : number or array
        Length of the cable one way; the wire back is counted here. [m]
    conductor_area : number or array
        Copper area of one conductor. [m2]
    conductor_temperature : number or array
        Temperature of the copper. [degC]

    Returns
    -------
    number or array
        Voltage drop. [V]

    Raises
    ------
    RangeError
        If current or length are negative, or the area is not above zero.

    Examples
    --------
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

    Parameters
    ----------
    current : number or array
        Current. [A]
    cable_length : number or array
        Length of the cable one way. [m]
    voltage : number or array
        Volts at the supply. [V]
    drop_share : number or array
        Voltage drop over supply volts. [-]
    conductor_temperature : number or array
        Temperature of the copper. [degC]

    Returns
    -------
    number or array
        Copper area of one conductor. [m2]

    Raises
    ------
    RangeError
        If current or length are negative, the volts are not above zero, or the share lies
        outside 0.001 to 0.5.

    Examples
    --------
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

    Parameters
    ----------
    gauge : number or array
        Gauge number; 0 for 1/0, -1 for 2/0. [-]

    Returns
    -------
    number or array
        Copper area. [m2]

    Raises
    ------
    RangeError
        If the gauge lies outside -3 (4/0) to 40.

    Examples
    --------
    >>> round(1e6 * awg_area(12), 3)
    3.309
    """
    require_between(-3.0, 40.0, gauge=gauge)
    diameter = 0.127e-3 * 92.0 ** ((36.0 - gauge) / 39.0)
    return 0.25 * np.pi * diameter**2
