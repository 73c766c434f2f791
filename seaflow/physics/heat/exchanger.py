"""The condenser as a heat exchanger with one condensing side. Depends on: base."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import (
    RangeError,
    require_between,
    require_not_negative,
    require_positive,
)
from seaflow.base.sources import sourced

# Film coefficient over flow in turbulent tubes, the exponent of Dittus and Boelter.
_FILM_EXPONENT = 0.8


@elementwise
@sourced("own", where="mass flow times heat capacity")
def capacity_rate(volume_flow: Number, density: Number, heat_capacity: Number) -> Number:
    """Heat that a flow of water takes for each kelvin of rise.

    Parameters
    ----------
    volume_flow : number or array
        Volume flow of the water. [m3/s]
    density : number or array
        Density of the water. [kg/m3]
    heat_capacity : number or array
        Heat capacity of the water. [J/(kg K)]

    Returns
    -------
    number or array
        Capacity rate. [W/K]

    Raises
    ------
    RangeError
        If the flow is negative or a property not above zero.

    Examples
    --------
    >>> round(capacity_rate(2.5e-4, 1021.7, 4001.0), 1)
    1022.0
    """
    require_not_negative(volume_flow=volume_flow)
    require_positive(density=density, heat_capacity=heat_capacity)
    return volume_flow * density * heat_capacity


@elementwise
@sourced("own", where="first law")
def temperature_rise(heat_rejected: Number, capacity_rate: Number) -> Number:
    """Rise of the water across a unit.

    Parameters
    ----------
    heat_rejected : number or array
        Heat given to the water. [W]
    capacity_rate : number or array
        Mass flow of the water times its heat capacity. [W/K]

    Returns
    -------
    number or array
        Rise of the water. [K]

    Raises
    ------
    RangeError
        If the heat is negative or the capacity rate not above zero.

    Examples
    --------
    >>> round(temperature_rise(5861.0, 1022.1), 3)
    5.734
    """
    require_not_negative(heat_rejected=heat_rejected)
    require_positive(capacity_rate=capacity_rate)
    return heat_rejected / capacity_rate


@elementwise
@sourced("incropera", where="effectiveness of any exchanger with a capacity ratio of zero")
def effectiveness(ntu: Number) -> Number:
    """Share of the largest possible heat that reaches the water from a condensing refrigerant.

    Parameters
    ----------
    ntu : number or array
        Number of transfer units, conductance over capacity rate. [-]

    Returns
    -------
    number or array
        Effectiveness, the rise over the inlet difference. [-]

    Raises
    ------
    RangeError
        If `ntu` is negative or not finite.

    Examples
    --------
    >>> round(effectiveness(1.0), 4)
    0.6321
    """
    require_not_negative(ntu=ntu)
    return -np.expm1(-ntu)


@elementwise
@sourced("incropera", where="effectiveness with a capacity ratio of zero, solved for the units")
def ntu_from_effectiveness(effectiveness: Number) -> Number:
    """Number of transfer units that gives an effectiveness.

    Parameters
    ----------
    effectiveness : number or array
        Effectiveness, the rise over the inlet difference. [-]

    Returns
    -------
    number or array
        Number of transfer units. [-]

    Raises
    ------
    RangeError
        If `effectiveness` is negative, one or more.

    Examples
    --------
    >>> round(ntu_from_effectiveness(0.5), 4)
    0.6931
    """
    require_not_negative(effectiveness=effectiveness)
    if np.any(np.asarray(effectiveness) >= 1.0):
        raise RangeError("effectiveness must be below one: no coil warms water to condensing")
    return -np.log1p(-effectiveness)


@elementwise
@sourced("incropera", where="heat of an exchanger as effectiveness, capacity rate and difference")
def rated_conductance(
    heat_rejected: Number,
    condensing_temperature: Number,
    water_temperature: Number,
    capacity_rate: Number,
) -> Number:
    """Conductance of a condenser from one stated condensing point.

    Parameters
    ----------
    heat_rejected : number or array
        Heat given to the water. [W]
    condensing_temperature : number or array
        Condensing temperature at that point. [degC]
    water_temperature : number or array
        Temperature of the water entering. [degC]
    capacity_rate : number or array
        Mass flow of the water times its heat capacity. [W/K]

    Returns
    -------
    number or array
        Conductance (UA) at that water flow. [W/K]

    Raises
    ------
    RangeError
        If heat or capacity rate is not above zero, or the water would have to leave at or above
        the condensing temperature.

    Examples
    --------
    >>> round(rated_conductance(5861.0, 41.56, 30.0, 1022.1), 1)
    700.4
    """
    require_positive(heat_rejected=heat_rejected, capacity_rate=capacity_rate)
    leaving = np.asarray(water_temperature + heat_rejected / capacity_rate)
    if np.any(leaving >= condensing_temperature):
        raise RangeError(
            f"water leaving at {leaving.max():.1f} degC cannot be as warm as the refrigerant that "
            "heats it: check the heat, the flow and the condensing temperature"
        )
    share = (leaving - water_temperature) / (condensing_temperature - water_temperature)
    return -np.log1p(-share) * capacity_rate


@elementwise
@sourced("own", where="series resistances; water film with flow^0.8 as in Dittus and Boelter")
def conductance(
    rated_conductance: Number,
    flow_ratio: Number,
    water_share: Number,
    added_resistance: Number,
) -> Number:
    """Conductance of a condenser at another flow and with scale.

    Parameters
    ----------
    rated_conductance : number or array
        Conductance at the rated flow, clean. [W/K]
    flow_ratio : number or array
        Water flow over rated water flow. [-]
    water_share : number or array
        Share of the water film in the rated resistance, above 0 to 1. [-]
    added_resistance : number or array
        Resistance of scale over the whole surface. [K/W]

    Returns
    -------
    number or array
        Conductance (UA); zero where no water flows. [W/K]

    Raises
    ------
    RangeError
        If the rated conductance or the share is not above zero, the share exceeds one, or flow
        ratio or added resistance is negative.

    Notes
    -----
    The resistances 1/UA = (1/UA0) (share ratio^-0.8 + 1 - share) + added are multiplied out, so
    that still water needs no division. The exponent holds in turbulent flow; below it the real
    film is weaker than this.

    Examples
    --------
    >>> round(conductance(700.0, 0.5, 0.5, 0.0), 1)
    510.7
    """
    require_positive(rated_conductance=rated_conductance, water_share=water_share)
    require_between(0.0, 1.0, water_share=water_share)
    require_not_negative(flow_ratio=flow_ratio, added_resistance=added_resistance)
    film = np.power(flow_ratio, _FILM_EXPONENT)
    rest = 1.0 - water_share + added_resistance * rated_conductance
    return rated_conductance * film / (water_share + rest * film)
