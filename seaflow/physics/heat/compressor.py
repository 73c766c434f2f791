"""A refrigeration machine at work, and its balance with the water.

Depends on: base, exchanger, machine.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import require_between, require_not_negative
from seaflow.base.sources import sourced
from seaflow.physics.heat._balance import WIDEST, closed_form, false_position
from seaflow.physics.heat.exchanger import effectiveness
from seaflow.physics.heat.machine import LEAST_LIFT, Machine, Polynomials, polynomial

__all__ = [
    "Machine",
    "Polynomials",
    "balance",
    "capacity",
    "heat_rejected",
    "power",
]


@elementwise
@sourced("own", where="straight line through the rating point, or the polynomial")
def capacity(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Cooling capacity at a condensing temperature.

    Parameters
    ----------
    machine : Machine
        The refrigeration machine. [object]
    condensing_temperature : number or array
        Condensing temperature. [degC]
    load : number or array
        Share of its full output at which the machine runs, 0 to 1. [-]

    Returns
    -------
    number or array
        Heat taken from the cabins; never below zero. [W]

    Raises
    ------
    RangeError
        If `load` lies outside 0 to 1.

    Examples
    --------
    >>> machine = Machine(4689.0, 1340.0, 40.0, capacity_slope=-0.01)
    >>> round(capacity(machine, 50.0), 1)
    4220.1
    """
    require_between(0.0, 1.0, load=load)
    if machine.polynomials is not None:
        full = polynomial(
            machine.polynomials.capacity, machine.evaporating_temperature, condensing_temperature
        )
    else:
        excess = condensing_temperature - machine.rated_condensing_temperature
        full = machine.rated_capacity * (1.0 + machine.capacity_slope * excess)
    return load * np.maximum(full, 0.0)


@elementwise
@sourced("own", where="capacity over the coefficient of performance, or the polynomial")
def power(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Input power at a condensing temperature.

    Parameters
    ----------
    machine : Machine
        The refrigeration machine. [object]
    condensing_temperature : number or array
        Condensing temperature. [degC]
    load : number or array
        Share of its full output at which the machine runs, 0 to 1. [-]

    Returns
    -------
    number or array
        Whole input power. [W]

    Raises
    ------
    RangeError
        If `load` lies outside 0 to 1.

    Examples
    --------
    >>> machine = Machine(4689.0, 1340.0, 40.0, capacity_slope=-0.01)
    >>> round(power(machine, 50.0), 1)
    1571.5
    """
    if machine.polynomials is not None:
        require_between(0.0, 1.0, load=load)
        full = polynomial(
            machine.polynomials.power, machine.evaporating_temperature, condensing_temperature
        )
        return load * np.maximum(full, 0.0)
    lift = np.maximum(condensing_temperature - machine.evaporating_temperature, LEAST_LIFT)
    share = machine.rated_power / machine.rated_capacity * lift / machine.rated_lift
    return capacity(machine, condensing_temperature, load) * share


@elementwise
@sourced("own", where="first law: capacity and the share of the power that reaches the refrigerant")
def heat_rejected(machine: Machine, condensing_temperature: Number, load: Number = 1.0) -> Number:
    """Heat given to the water at a condensing temperature.

    Parameters
    ----------
    machine : Machine
        The refrigeration machine. [object]
    condensing_temperature : number or array
        Condensing temperature. [degC]
    load : number or array
        Share of its full output at which the machine runs, 0 to 1. [-]

    Returns
    -------
    number or array
        Heat given to the water. [W]

    Raises
    ------
    RangeError
        If `load` lies outside 0 to 1.

    Examples
    --------
    >>> machine = Machine(4689.0, 1340.0, 40.0, capacity_slope=-0.01)
    >>> round(heat_rejected(machine, 50.0), 1)
    5791.6
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

    Parameters
    ----------
    machine : Machine
        The refrigeration machine. [object]
    water_temperature : number or array
        Temperature of the water entering. [degC]
    capacity_rate : number or array
        Mass flow of the water times its heat capacity. [W/K]
    conductance : number or array
        Conductance (UA) of the condenser at that flow. [W/K]
    load : number or array
        Share of its full output at which the machine runs, 0 to 1. [-]

    Returns
    -------
    tuple of numbers or arrays
        Condensing temperature, heat rejected, capacity and power. [degC, W, W, W]

    Raises
    ------
    RangeError
        If the capacity rate or the conductance is negative, or `load` lies outside 0 to 1.

    Notes
    -----
    Without water (or without any balance up to 120 K above the inlet) a running machine has the
    condensing temperature infinity and gives nothing: it would trip. A machine at rest takes the
    temperature of the water.

    Examples
    --------
    >>> machine = Machine(4689.0, 1340.0, 40.0, capacity_slope=-0.01)
    >>> [round(value, 1) for value in balance(machine, 30.0, 1022.0, 700.0)]
    [41.8, 5991.8, 4603.5, 1388.2]
    """
    require_not_negative(capacity_rate=capacity_rate, conductance=conductance)
    require_between(0.0, 1.0, load=load)
    running = np.asarray(capacity_rate) > 0.0
    transfer_units = conductance / np.where(running, capacity_rate, 1.0)
    uptake = np.where(running, capacity_rate * effectiveness(transfer_units), 0.0)
    if machine.polynomials is None:
        found = closed_form(machine, water_temperature, uptake, load)
    else:
        found = false_position(
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
