"""The refrigeration machine of one unit: its rating and its laws. Depends on: base."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import (
    RangeError,
    require_between,
    require_positive,
)
from seaflow.base.sources import sourced

# Below this lift the coefficient of performance is held: expansion valves need a pressure
# difference, and Carnot's law would promise cooling for nothing. Our own bound.
LEAST_LIFT = 8.0

Coefficients = tuple[Number, ...]  # ten of them


@dataclass(frozen=True, slots=True)
class Polynomials:
    """Capacity [W] and power [W] of a compressor over suction and discharge dew point [degC]."""

    capacity: Coefficients
    power: Coefficients

    def __post_init__(self) -> None:
        if len(self.capacity) != 10 or len(self.power) != 10:
            raise RangeError("a compressor polynomial has ten coefficients")


@dataclass(frozen=True, slots=True)
class Machine:
    """The refrigeration machine of one unit; numbers may be arrays over conditions.

    `rated_power` is the whole input at the rating point and `power_to_refrigerant` the share of
    it that ends in the condenser. `capacity_slope` is the relative change of capacity per kelvin
    of condensing temperature, below zero. With `polynomials`, capacity and power come from these
    and the rating point is not used.
    """

    rated_capacity: Number
    rated_power: Number
    rated_condensing_temperature: Number
    evaporating_temperature: Number = 7.0
    power_to_refrigerant: Number = 1.0
    capacity_slope: Number = -0.011
    polynomials: Polynomials | None = None

    def __post_init__(self) -> None:
        require_positive(rated_capacity=self.rated_capacity, rated_power=self.rated_power)
        require_between(0.0, 1.0, power_to_refrigerant=self.power_to_refrigerant)
        require_between(-0.05, 0.0, capacity_slope=self.capacity_slope)
        if np.any(np.asarray(self.rated_lift) < LEAST_LIFT):
            raise RangeError(
                f"the rated condensing temperature must lie at least {LEAST_LIFT:g} K above "
                "the evaporating temperature"
            )

    @property
    def rated_lift(self) -> Number:
        """Condensing less evaporating temperature at the rating point [K]."""
        return self.rated_condensing_temperature - self.evaporating_temperature

    @property
    def rated_factor(self) -> Number:
        """Heat rejected over capacity at the rating point [-]."""
        return 1.0 + self.power_to_refrigerant * self.rated_power / self.rated_capacity


@sourced("own", where="capacity and power go with the speed of the compressor")
def scaled(machine: Machine, speed_ratio: Number) -> Machine:
    """Machine with capacity and power multiplied, as by another speed of its compressor.

    Parameters
    ----------
    machine : Machine
        The refrigeration machine. [object]
    speed_ratio : number or array
        Factor on capacity and power, such as speed over rated speed. [-]

    Returns
    -------
    Machine
        The machine at that speed. [object]

    Raises
    ------
    RangeError
        If the factor is not above zero.

    Examples
    --------
    >>> scaled(Machine(4689.0, 1340.0, 40.0), 0.5).rated_power
    670.0
    """
    require_positive(speed_ratio=speed_ratio)
    factor = speed_ratio
    polynomials = machine.polynomials
    if polynomials is not None:
        polynomials = Polynomials(
            tuple(value * factor for value in polynomials.capacity),
            tuple(value * factor for value in polynomials.power),
        )
    return replace(
        machine,
        rated_capacity=machine.rated_capacity * factor,
        rated_power=machine.rated_power * factor,
        polynomials=polynomials,
    )


@elementwise
@sourced("own", where="Carnot's law with a constant second-law efficiency")
def coefficient_of_performance(
    rated_coefficient: Number, rated_lift: Number, lift: Number
) -> Number:
    """Coefficient of performance at another lift and the same evaporating temperature.

    Parameters
    ----------
    rated_coefficient : number or array
        Capacity over power at the rating point. [-]
    rated_lift : number or array
        Condensing less evaporating temperature at the rating point. [K]
    lift : number or array
        Condensing less evaporating temperature. [K]

    Returns
    -------
    number or array
        Capacity over power. [-]

    Raises
    ------
    RangeError
        If the rated coefficient or the rated lift is not above zero.

    Notes
    -----
    Below a lift of 8 K the value at 8 K is kept.

    Examples
    --------
    >>> round(coefficient_of_performance(3.5, 33.0, 43.0), 3)
    2.686
    """
    require_positive(rated_coefficient=rated_coefficient, rated_lift=rated_lift)
    return rated_coefficient * rated_lift / np.maximum(lift, LEAST_LIFT)


@elementwise
@sourced("ahri540", where="equation of ten coefficients, as copied in open heat pump models")
def polynomial(
    coefficients: Coefficients, evaporating_temperature: Number, condensing_temperature: Number
) -> Number:
    """Value of a ten-coefficient compressor polynomial.

    Parameters
    ----------
    coefficients : tuple of ten floats
        C1 to C10 as printed by the maker for degrees Celsius and watts. [-]
    evaporating_temperature : number or array
        Suction dew point S. [degC]
    condensing_temperature : number or array
        Discharge dew point D. [degC]

    Returns
    -------
    number or array
        Capacity or power. [W]

    Raises
    ------
    RangeError
        If there are not ten coefficients.

    Notes
    -----
    C1 + C2 S + C3 D + C4 S^2 + C5 S D + C6 D^2 + C7 S^3 + C8 D S^2 + C9 S D^2 + C10 D^3.

    Examples
    --------
    >>> polynomial((1, 0, 0, 0, 0, 0, 0, 0, 1, 0), 2.0, 3.0)
    19.0
    """
    if len(coefficients) != 10:
        raise RangeError("a compressor polynomial has ten coefficients")
    c1, c2, c3, c4, c5, c6, c7, c8, c9, c10 = (np.asarray(value) for value in coefficients)
    s, d = evaporating_temperature, condensing_temperature
    suction = c1 + s * (c2 + s * (c4 + s * c7))
    return suction + d * (c3 + s * (c5 + s * c8) + d * (c6 + s * c9 + d * c10))
