"""The condenser as a heat exchanger with one condensing side."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced

# Film coefficient over flow in turbulent tubes, the exponent of Dittus and Boelter.
_FILM_EXPONENT = 0.8


@elementwise
@sourced("own", where="mass flow times heat capacity")
def capacity_rate(volume_flow: Number, density: Number, heat_capacity: Number) -> Number:
    """Heat that a flow of water takes for each kelvin of rise.

    volume_flow [m3/s]: volume flow of the water
    density [kg/m3]: density of the water
    heat_capacity [J/(kg K)]: heat capacity of the water
    returns [W/K]: capacity rate
    raises RangeError: the flow is negative or a property not above zero

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

    heat_rejected [W]: heat given to the water
    capacity_rate [W/K]
    returns [K]: rise of the water
    raises RangeError: the heat is negative or the capacity rate not above zero

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

    ntu [-]
    returns [-]: effectiveness, the rise over the inlet difference
    raises RangeError: `ntu` is negative or not finite

    >>> round(effectiveness(1.0), 4)
    0.6321
    """
    require_not_negative(ntu=ntu)
    return -np.expm1(-ntu)


@elementwise
@sourced("incropera", where="effectiveness with a capacity ratio of zero, solved for the units")
def ntu_from_effectiveness(effectiveness: Number) -> Number:
    """Number of transfer units that gives an effectiveness.

    effectiveness [-]: effectiveness, the rise over the inlet difference
    returns [-]: number of transfer units
    raises RangeError: `effectiveness` is negative, one or more

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

    heat_rejected [W]: heat given to the water
    condensing_temperature [degC]: condensing temperature at that point
    water_temperature [degC], capacity_rate [W/K]
    returns [W/K]: conductance (UA) at that water flow
    raises RangeError: heat or capacity rate is not above zero, or the water would have to leave at
        or above the condensing temperature

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

    rated_conductance [W/K]: conductance at the rated flow, clean
    flow_ratio [-]
    water_share [-]: share of the water film in the rated resistance, above 0 to 1
    added_resistance [K/W]
    returns [W/K]: conductance (UA); zero where no water flows
    raises RangeError: the rated conductance or the share is not above zero, the share exceeds one,
        or flow ratio or added resistance is negative

    The resistances 1/UA = (1/UA0) (share ratio^-0.8 + 1 - share) + added are multiplied out, so
    that still water needs no division. The exponent holds in turbulent flow; below it the real
    film is weaker than this.

    >>> round(conductance(700.0, 0.5, 0.5, 0.0), 1)
    510.7
    """
    require_positive(rated_conductance=rated_conductance, water_share=water_share)
    require_between(0.0, 1.0, water_share=water_share)
    require_not_negative(flow_ratio=flow_ratio, added_resistance=added_resistance)
    film = np.power(flow_ratio, _FILM_EXPONENT)
    rest = 1.0 - water_share + added_resistance * rated_conductance
    return rated_conductance * film / (water_share + rest * film)
