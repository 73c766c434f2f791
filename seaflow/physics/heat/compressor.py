"""A refrigeration machine: its rating and its laws, at work, and its balance with the water."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from seaflow.base.arrays import Array, Number, any_of, elementwise
from seaflow.base.ranges import RangeError, require_between, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.heat.exchanger import effectiveness
from seaflow.physics.heat.refrigerant import Cycle, cycle_of

# Below this lift the coefficient of performance is held: expansion valves need a pressure
# difference, and Carnot's law would promise cooling for nothing. Our own bound.
LEAST_LIFT = 8.0

Coefficients = tuple[Number, ...]  # ten of them
# The balance is sought up to this far above the inlet; beyond it no machine stays on.
WIDEST = 120.0
_REACHES = (15.0, 30.0, 60.0, WIDEST)
_ROUNDS = 60
_CLOSE_ENOUGH = 1e-9  # K


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
    it that ends in the condenser. Capacity and power go from the rating point as `cycle` does.
    With `polynomials` they come from these, and the rating point is not used. `no_load_share` is
    the share of the power at full speed that a compressor of variable speed still takes near none.
    """

    rated_capacity: Number
    rated_power: Number
    rated_condensing_temperature: Number
    evaporating_temperature: Number = 7.0
    power_to_refrigerant: Number = 1.0
    no_load_share: Number = 0.0
    cycle: Cycle = field(default_factory=lambda: cycle_of("R-410A"))
    polynomials: Polynomials | None = None

    def __post_init__(self) -> None:
        require_positive(rated_capacity=self.rated_capacity, rated_power=self.rated_power)
        require_between(0.0, 1.0, power_to_refrigerant=self.power_to_refrigerant)
        require_between(0.0, 1.0, no_load_share=self.no_load_share)
        if any_of(self.rated_lift < LEAST_LIFT):
            raise RangeError(
                f"the rated condensing temperature must lie at least {LEAST_LIFT:g} K above "
                "the evaporating temperature"
            )

    @property
    def rated_lift(self) -> Number:
        """Condensing less evaporating temperature at the rating point [K]."""
        return self.rated_condensing_temperature - self.evaporating_temperature

    def power_share(self, load: Number) -> Number:
        """Power at a load over that at full load and the same temperatures; none at rest."""
        part = self.no_load_share + (1.0 - self.no_load_share) * np.asarray(load)
        return np.where(np.asarray(load) > 0.0, part, 0.0)


def _share(machine: Machine, figure: str, condensing_temperature: Number) -> Number:
    """Capacity or power of the cycle of a machine over that at its rating point."""
    rows, column = machine.cycle.condensing, getattr(machine.cycle, figure)
    rated: Number = np.interp(machine.rated_condensing_temperature, rows, column)
    return np.asarray(np.interp(condensing_temperature, rows, column)) / rated


@sourced("own", where="capacity and power go with the speed of the compressor")
def scaled(machine: Machine, speed_ratio: Number) -> Machine:
    """Machine with capacity and power multiplied, as by another speed of its compressor.

    machine [object]: the refrigeration machine
    speed_ratio [-]: factor on capacity and power, such as speed over rated speed
    returns [object]: the machine at that speed
    raises RangeError: the factor is not above zero

    >>> scaled(Machine(4689.0, 1340.0, 40.0), 0.5).rated_power
    670.0
    """
    require_positive(speed_ratio=speed_ratio)
    factor = speed_ratio
    if np.ndim(factor) == 0 and factor == 1.0:
        return machine
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

    rated_coefficient [-]: capacity over power at the rating point
    rated_lift [K], lift [K]
    returns [-]: capacity over power
    raises RangeError: the rated coefficient or the rated lift is not above zero

    Below a lift of 8 K the value at 8 K is kept.

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

    coefficients [-]: C1 to C10 as printed by the maker for degrees Celsius and watts
    evaporating_temperature [degC]: suction dew point S
    condensing_temperature [degC]: discharge dew point D
    returns [W]: capacity or power
    raises RangeError: there are not ten coefficients

    C1 + C2 S + C3 D + C4 S^2 + C5 S D + C6 D^2 + C7 S^3 + C8 D S^2 + C9 S D^2 + C10 D^3.

    >>> polynomial((1, 0, 0, 0, 0, 0, 0, 0, 1, 0), 2.0, 3.0)
    19.0
    """
    if len(coefficients) != 10:
        raise RangeError("a compressor polynomial has ten coefficients")
    c1, c2, c3, c4, c5, c6, c7, c8, c9, c10 = (np.asarray(value) for value in coefficients)
    s, d = evaporating_temperature, condensing_temperature
    suction = c1 + s * (c2 + s * (c4 + s * c7))
    return suction + d * (c3 + s * (c5 + s * c8) + d * (c6 + s * c9 + d * c10))


@elementwise
@sourced("own", where="ratio of a tabulated cycle to the rating point, or the polynomial")
def capacity(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Cooling capacity at a condensing temperature.

    machine [object]: the refrigeration machine
    condensing_temperature [degC]: condensing temperature
    load [-]
    returns [W]: heat taken from the cabins; never below zero
    raises RangeError: `load` lies outside 0 to 1

    Outside the table of the cycle its end is held: below 15 degC an expansion valve lacks the
    pressure to work with, and above the other end no machine stays on.

    >>> machine = Machine(4689.0, 1340.0, 40.0)
    >>> round(capacity(machine, 50.0), 1)
    4110.0
    """
    require_between(0.0, 1.0, load=load)
    if machine.polynomials is not None:
        full = polynomial(
            machine.polynomials.capacity, machine.evaporating_temperature, condensing_temperature
        )
        return load * np.maximum(full, 0.0)
    return load * machine.rated_capacity * _share(machine, "capacity", condensing_temperature)


@elementwise
@sourced("own", where="ratio of a tabulated cycle to the rating point, or the polynomial")
def power(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Input power at a condensing temperature; by the cycle it never falls as that rises.

    machine [object]: the refrigeration machine
    condensing_temperature [degC]: condensing temperature
    load [-]
    returns [W]: whole input power
    raises RangeError: `load` lies outside 0 to 1

    Part load goes on a straight line from the no-load share, as Willans drew for engines.

    >>> machine = Machine(4689.0, 1340.0, 40.0)
    >>> round(power(machine, 50.0), 1)
    1706.5
    """
    require_between(0.0, 1.0, load=load)
    if machine.polynomials is not None:
        full = polynomial(
            machine.polynomials.power, machine.evaporating_temperature, condensing_temperature
        )
        return machine.power_share(load) * np.maximum(full, 0.0)
    share = _share(machine, "power", condensing_temperature)
    return machine.power_share(load) * machine.rated_power * share


@elementwise
@sourced("own", where="first law: capacity and the share of the power that reaches the refrigerant")
def heat_rejected(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Heat given to the water at a condensing temperature.

    machine [object]: the refrigeration machine
    condensing_temperature [degC]: condensing temperature
    load [-]
    returns [W]: heat given to the water
    raises RangeError: `load` lies outside 0 to 1

    >>> machine = Machine(4689.0, 1340.0, 40.0)
    >>> round(heat_rejected(machine, 50.0), 1)
    5816.6
    """
    cooling = capacity(machine, condensing_temperature, load)
    return cooling + machine.power_to_refrigerant * power(machine, condensing_temperature, load)


@elementwise
@sourced("own", where="heat rejected equals heat taken by the water; see the theory page")
def balance(
    machine: Machine,
    water_temperature: Number,
    capacity_rate: Number,
    conductance: Number,
    load: Number = 1.0,
) -> tuple[Number, Number, Number, Number]:
    """Condensing temperature at which the water takes the heat that the machine rejects.

    machine [object]: the refrigeration machine
    water_temperature [degC], capacity_rate [W/K]
    conductance [W/K]: conductance (UA) of the condenser at that flow
    load [-]
    returns [degC, W, W, W]: condensing temperature, heat rejected, capacity and power
    raises RangeError: the capacity rate or the conductance is negative, or `load` lies outside 0 to
        1

    Without water (or without any balance up to 120 K above the inlet) a running machine has the
    condensing temperature infinity and gives nothing: it would trip. A machine at rest takes the
    temperature of the water.

    >>> machine = Machine(4689.0, 1340.0, 40.0)
    >>> [round(value, 1) for value in balance(machine, 30.0, 1022.0, 700.0)]
    [41.8, 5993.4, 4585.3, 1408.1]
    """
    require_not_negative(capacity_rate=capacity_rate, conductance=conductance)
    require_between(0.0, 1.0, load=load)
    running = np.asarray(capacity_rate) > 0.0
    transfer_units = conductance / np.where(running, capacity_rate, 1.0)
    uptake = np.where(running, capacity_rate * effectiveness(transfer_units), 0.0)
    if machine.polynomials is None:
        found = _by_table(machine, water_temperature, uptake, load)
    else:
        found = _false_position(
            lambda tried: (
                heat_rejected(machine, tried, load) - uptake * (tried - water_temperature)
            ),
            water_temperature + np.zeros_like(uptake * load),
        )
    lost = (load > np.zeros_like(uptake)) & ~(found <= water_temperature + WIDEST)
    held = np.where(lost, machine.rated_condensing_temperature, found)
    cooling = np.where(lost, 0.0, capacity(machine, held, load))
    drawn = np.where(lost, 0.0, power(machine, held, load))
    return (
        np.where(lost, np.inf, found),
        cooling + machine.power_to_refrigerant * drawn,
        cooling,
        drawn,
    )


def _by_table(machine: Machine, inlet: Number, uptake: Array, load: Number) -> Array:
    """Find where the heat by the cycle's table meets the uptake: straight between two rows.

    The rows are halved until two neighbours stand on either side, which holds a crossing even
    where the heat of a poor machine rises for a while.
    """
    cycle, rated = machine.cycle, machine.rated_condensing_temperature
    cooled = load * machine.rated_capacity / np.interp(rated, cycle.condensing, cycle.capacity)
    at_rating = np.interp(rated, cycle.condensing, cycle.power)
    per_power = machine.power_to_refrigerant * machine.rated_power / at_rating
    drawn = machine.power_share(load) * per_power

    def heat(row: Any) -> Array:
        return np.asarray(cooled * cycle.capacity[row] + drawn * cycle.power[row])

    def miss(row: Any) -> Array:
        return np.asarray(heat(row) - uptake * (cycle.condensing[row] - inlet))

    low = np.zeros((cooled + drawn + uptake + inlet).shape, dtype=np.intp)
    high = low + (cycle.condensing.size - 1)
    first, last = miss(0), miss(-1)
    while (high - low > 1).any():
        middle = (low + high) // 2
        above = miss(middle) > 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    before, after = miss(low), miss(high)
    step = cycle.condensing[high] - cycle.condensing[low]
    with np.errstate(divide="ignore", invalid="ignore"):
        between = cycle.condensing[low] + step * before / (before - after)
        coldest, hottest = inlet + heat(0) / uptake, inlet + heat(-1) / uptake
    found = np.where(first <= 0.0, coldest, np.where(last > 0.0, hottest, between))
    at_rest = (uptake <= 0.0) & (cooled <= 0.0)
    found = np.where(at_rest, inlet, found)
    return np.asarray(np.where((uptake <= 0.0) & ~at_rest, np.inf, found))


def _false_position(miss: Callable[[Array], Number], inlet: Number) -> Array:
    """Find where `miss` falls through zero above the inlet, by the Illinois rule.

    The bracket grows in steps, so that a polynomial that turns up far outside its range does not
    hide the crossing, and then always holds it. Where there is none the answer is infinity.
    """
    start = np.array(inlet, dtype=float)
    low, miss_low = start, np.asarray(miss(start))
    high = start + _REACHES[0]
    miss_high = np.asarray(miss(high))
    for reach in _REACHES[1:]:
        beyond = miss_high > 0.0
        low, miss_low = np.where(beyond, high, low), np.where(beyond, miss_high, miss_low)
        high = np.where(beyond, start + reach, high)
        miss_high = np.asarray(miss(high))
    none = miss_high > 0.0
    middle, kept = low, np.zeros(low.shape)
    for _ in range(_ROUNDS):
        before = middle
        with np.errstate(divide="ignore", invalid="ignore"):
            straight = low + (high - low) * miss_low / (miss_low - miss_high)
        middle = np.where(np.isfinite(straight), np.clip(straight, low, high), low)
        value = np.asarray(miss(middle))
        above = value > 0.0
        # An end kept twice in a row counts half, or it would be kept for ever.
        miss_high = np.where(above, np.where(kept > 0, 0.5 * miss_high, miss_high), value)
        miss_low = np.where(above, value, np.where(kept < 0, 0.5 * miss_low, miss_low))
        low, high = np.where(above, middle, low), np.where(above, high, middle)
        kept = np.where(above, 1.0, -1.0)
        if np.all((np.abs(middle - before) < _CLOSE_ENOUGH) | (value == 0.0) | none):
            break
    return np.where(none, np.inf, middle)
