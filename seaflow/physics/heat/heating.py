"""A reverse cycle machine that takes its heat from the water.

The coil that condenses when the unit cools evaporates when it heats; the cabin side condenses at
a temperature that is taken as steady.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import KELVIN
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.heat.compressor import LEAST_LIFT, coefficient_of_performance
from seaflow.physics.heat.exchanger import effectiveness


@dataclass(frozen=True, slots=True)
class Heater:
    """A machine that heats; numbers may be arrays over conditions.

    `rated_heating` and `rated_power` hold at `rated_evaporating_temperature`, with the refrigerant
    condensing at `condensing_temperature` in the cabin. `capacity_slope` is the relative change of
    heating capacity per kelvin of evaporating temperature, above zero.
    """

    rated_heating: Number
    rated_power: Number
    rated_evaporating_temperature: Number
    condensing_temperature: Number = 45.0
    capacity_slope: Number = 0.027

    def __post_init__(self) -> None:
        require_positive(rated_heating=self.rated_heating, rated_power=self.rated_power)
        require_between(0.0, 0.05, capacity_slope=self.capacity_slope)
        if np.any(np.asarray(self.rated_heating) <= np.asarray(self.rated_power)):
            raise RangeError("a heater that takes heat from the water gives more than its input")
        if np.any(np.asarray(self.rated_lift) < LEAST_LIFT):
            raise RangeError(
                f"the condensing temperature must lie at least {LEAST_LIFT:g} K above the rated "
                "evaporating temperature"
            )

    @property
    def rated_lift(self) -> Number:
        """Condensing less evaporating temperature at the rating point [K]."""
        return self.condensing_temperature - self.rated_evaporating_temperature

    @property
    def rated_coefficient(self) -> Number:
        """Heat given over power at the rating point [-]."""
        return self.rated_heating / self.rated_power


@elementwise
@sourced("own", where="straight line through the rating point")
def heating_capacity(heater: Heater, evaporating_temperature: Number, load: Number) -> Number:
    """Heat given to the cabin at an evaporating temperature.

    heater [object]: the machine as a heater
    evaporating_temperature [degC]: evaporating temperature
    load [-]
    returns [W]: heat given to the cabin; never below zero
    raises RangeError: `load` lies outside 0 to 1

    The compressor draws in vapour of a volume that hardly changes, and vapour of 1 K lower
    evaporating temperature is about 3 % thinner; the slope is a little less, since the power that
    ends in the cabin falls more slowly.

    >>> round(heating_capacity(Heater(5000.0, 1300.0, 3.0), -2.0, 1.0), 1)
    4325.0
    """
    require_between(0.0, 1.0, load=load)
    below = heater.rated_evaporating_temperature - evaporating_temperature
    return load * np.maximum(heater.rated_heating * (1.0 - heater.capacity_slope * below), 0.0)


@elementwise
@sourced("own", where="heat given over the coefficient of performance at this lift")
def heating_power(heater: Heater, evaporating_temperature: Number, load: Number) -> Number:
    """Input power of a heater at an evaporating temperature.

    heater [object]: the machine as a heater
    evaporating_temperature [degC]: evaporating temperature
    load [-]
    returns [W]: whole input power
    raises RangeError: `load` lies outside 0 to 1

    Carnot's law with a constant second-law efficiency, as for cooling.

    >>> round(heating_power(Heater(5000.0, 1300.0, 3.0), -2.0, 1.0), 1)
    1258.4
    """
    lift = heater.condensing_temperature - evaporating_temperature
    ratio = coefficient_of_performance(heater.rated_coefficient, heater.rated_lift, lift)
    return heating_capacity(heater, evaporating_temperature, load) / ratio


@elementwise
@sourced("own", where="first law: the cabin gets the heat of the water and the power")
def heat_drawn(heater: Heater, evaporating_temperature: Number, load: Number) -> Number:
    """Heat that a heater takes from the water.

    heater [object]: the machine as a heater
    evaporating_temperature [degC]: evaporating temperature
    load [-]
    returns [W]: heat taken from the water
    raises RangeError: `load` lies outside 0 to 1

    >>> round(heat_drawn(Heater(5000.0, 1300.0, 3.0), 3.0, 1.0), 1)
    3700.0
    """
    given = heating_capacity(heater, evaporating_temperature, load)
    return np.maximum(given - heating_power(heater, evaporating_temperature, load), 0.0)


@elementwise
@sourced("own", where="heat drawn equals heat given off by the water; see the theory page")
def heating_balance(
    heater: Heater,
    water_temperature: Number,
    capacity_rate: Number,
    conductance: Number,
    load: Number,
) -> tuple[Number, Number, Number, Number]:
    """Evaporating temperature at which the water gives the heat that the machine draws.

    heater [object]: the machine as a heater
    water_temperature [degC], capacity_rate [W/K]
    conductance [W/K]: conductance (UA) of the coil as an evaporator at that flow
    load [-]
    returns [degC, W, W, W]: evaporating temperature, heat drawn, heat given and power
    raises RangeError: the capacity rate or the conductance is negative, `load` lies outside 0 to 1,
        or the water comes within 8 K of the condensing temperature: nobody heats then

    Heat drawn falls and heat given off by the water rises with the lift, so there is one balance;
    both laws are straight in the lift and their product gives a quadratic. Without water the
    evaporating temperature falls until nothing is drawn.

    >>> found = heating_balance(Heater(5000.0, 1300.0, 3.0), 10.0, 1022.0, 700.0, 1.0)
    >>> [round(value, 1) for value in found]
    [2.8, 3668.7, 4967.7, 1299.0]
    """
    require_not_negative(capacity_rate=capacity_rate, conductance=conductance)
    require_between(0.0, 1.0, load=load)
    from_water = heater.condensing_temperature - water_temperature + np.zeros_like(capacity_rate)
    if np.any(from_water < LEAST_LIFT):
        raise RangeError("water so warm needs no heater: it is as warm as the cabin's coil")
    running = np.asarray(capacity_rate) > 0.0
    transfer_units = conductance / np.where(running, capacity_rate, 1.0)
    uptake = np.where(running, capacity_rate * effectiveness(transfer_units), 0.0)
    given_at_none = 1.0 + heater.capacity_slope * heater.rated_lift
    power_share = 1.0 / (heater.rated_coefficient * heater.rated_lift)
    full = load * heater.rated_heating
    bend = full * heater.capacity_slope * power_share
    slope = full * (given_at_none * power_share + heater.capacity_slope) + uptake
    start = full * given_at_none + uptake * from_water
    root = np.sqrt(np.maximum(slope * slope - 4.0 * bend * start, 0.0))
    idle = slope + root <= 0.0
    lift = np.where(idle, from_water, 2.0 * start / np.where(idle, 1.0, slope + root))
    lift = np.maximum(lift, from_water)
    # a difference taken twice may come out an ulp above the water
    found = np.minimum(heater.condensing_temperature - lift, water_temperature)
    drawn = np.where(running, uptake * (water_temperature - found), 0.0)
    power = np.where(drawn > 0.0, heating_power(heater, found, load), 0.0)
    return found, drawn, drawn + power, power


@elementwise
@sourced("own", where="heat of an exchanger as effectiveness, capacity rate and difference")
def evaporating_temperature(
    water_temperature: Number, heat_taken: Number, capacity_rate: Number, conductance: Number
) -> Number:
    """Evaporating temperature that takes a known heat from the water.

    water_temperature [degC]
    heat_taken [W]: heat taken from the water
    capacity_rate [W/K]
    conductance [W/K]: conductance (UA) of the coil as an evaporator at that flow
    returns [degC]: evaporating temperature
    raises RangeError: heat, capacity rate or conductance is not above zero

    >>> round(evaporating_temperature(10.0, 3700.0, 1022.0, 700.0), 2)
    2.7
    """
    require_positive(heat_taken=heat_taken, capacity_rate=capacity_rate, conductance=conductance)
    share = effectiveness(conductance / capacity_rate)
    return water_temperature - heat_taken / (share * capacity_rate)


@elementwise
@sourced("incropera", where="film and wall in series; the film's share of the difference")
def coldest_wall(
    outlet_temperature: Number,
    evaporating_temperature: Number,
    water_share: Number,
    flow_ratio: Number,
) -> Number:
    """Temperature of the tube wall where the water leaves, the place where ice starts.

    outlet_temperature [degC]
    evaporating_temperature [degC]: evaporating temperature
    water_share [-]: share of the water film in the resistance at the rated flow, above 0 to 1
    flow_ratio [-]
    returns [degC]: temperature of the wall on the water's side
    raises RangeError: the share is not above 0 and up to 1, or the flow ratio is negative

    The film grows with flow^-0.8 as in Dittus and Boelter; in laminar flow the wall is colder.

    >>> round(coldest_wall(6.0, 0.0, 0.5, 1.0), 2)
    3.0
    """
    require_positive(water_share=water_share)
    require_between(0.0, 1.0, water_share=water_share)
    require_not_negative(flow_ratio=flow_ratio)
    rest = (1.0 - water_share) * np.power(flow_ratio, 0.8)
    part = water_share / (water_share + rest)
    return outlet_temperature - part * (outlet_temperature - evaporating_temperature)


@elementwise
@sourced("incropera", where="Carnot's bound, absolute temperatures")
def carnot_heating(evaporating_temperature: Number, condensing_temperature: Number) -> Number:
    """Most heat that any machine can give for its power between two temperatures.

    evaporating_temperature [degC]: evaporating temperature
    condensing_temperature [degC]: condensing temperature
    returns [-]: heat given over power
    raises RangeError: the condensing temperature is not above the evaporating temperature

    >>> round(carnot_heating(0.0, 45.0), 3)
    7.07
    """
    require_positive(lift=np.asarray(condensing_temperature - evaporating_temperature))
    return (condensing_temperature + KELVIN) / (condensing_temperature - evaporating_temperature)
