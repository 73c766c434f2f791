"""A unit that heats: its coil evaporates and takes heat from the water."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, ratio
from seaflow.boat.defaults import default
from seaflow.boat.tables.things import Unit
from seaflow.model import point as words
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil, HeatingCoil
from seaflow.model.point import UnitPoint
from seaflow.physics.heat.exchanger import conductance
from seaflow.physics.heat.heating import (
    Heater,
    coldest_wall,
    evaporating_temperature,
    heating_balance,
)
from seaflow.physics.water.seawater import Seawater, seawater


def heating_coil(
    unit: Unit, rated_flow: float, as_condenser: tuple[float, float]
) -> HeatingCoil | None:
    """Return the coil of a unit that heats as an evaporator.

    `heating_defaults` names what the case leaves open.

    `as_condenser` is its conductance as a condenser and the share of the water film in that: the
    film of a known tube is the same either way, so its share falls with the conductance.
    """
    plate = unit.heating
    if plate is None:
        return None
    power = plate.input_power or plate.capacity * default("heating.power_share").value
    water = default("heating.rating_water").value if plate.water is None else plate.water
    left = default("heating.conductance_share").value
    as_evaporator, water_share = as_condenser[0] * left, as_condenser[1]
    sea = seawater(water, 0.0)
    rate = float(sea.density * sea.heat_capacity) * rated_flow
    heater = Heater(
        rated_heating=plate.capacity,
        rated_power=power,
        rated_evaporating_temperature=float(
            evaporating_temperature(water, plate.capacity - power, rate, as_evaporator)
        ),
        condensing_temperature=default("heating.condensing").value,
        capacity_slope=default("heating.capacity_slope").value,
    )
    return HeatingCoil(heater, as_evaporator, water_share * left if unit.tube else water_share)


def heating_defaults(unit: Unit) -> tuple[str, ...]:
    """Return the names of the defaults that stand in for what a unit's heating plate leaves open.

    They are no assumptions of an answer that is about cooling.
    """
    always = ("heating.conductance_share", "heating.condensing", "heating.capacity_slope")
    if unit.heating is None:
        return ()
    power = () if unit.heating.input_power else ("heating.power_share",)
    water = ("heating.rating_water",) if unit.heating.water is None else ()
    return (*power, *water, *always)


def run_heating(
    coil: Coil,
    now: Conditions,
    water: Seawater,
    inflow: tuple[Array, Array],
    asked: tuple[NDArray[np.bool_], Any, Any],
) -> UnitPoint:
    """Return where a unit heats with this water.

    `asked` is whether it is on, its load, and the speed of its compressor as a share of that on
    the plate. A unit that cannot heat is off. Ice is not modelled: the coldest wall and the water
    leaving may come out below freezing, and the study says so.
    """
    flow, temperature = inflow
    on, load, speed = asked
    heats = coil.heating
    idle = np.zeros(flow.shape)
    if heats is None:
        return _point(flow, temperature, (idle, idle, idle), np.full(flow.shape, words.OFF), idle)
    rate = water.density * water.heat_capacity * flow
    ratio = flow / coil.rated_flow
    scale = (np.asarray(now.coil_scale) + coil.scale) / coil.area
    film = conductance(heats.conductance, ratio, heats.water_share, scale)
    heater = replace(
        heats.heater,
        rated_heating=heats.heater.rated_heating * speed,
        rated_power=heats.heater.rated_power * speed,
    )
    found, drawn, given, power = heating_balance(heater, temperature, rate, film, load)
    dry = on & (flow <= 0)
    runs = on & (np.asarray(load) > 0) & ~dry
    state = np.full(flow.shape, words.OFF, dtype=np.int8)
    state[runs], state[dry] = words.HEATING, words.NO_WATER
    works = tuple(np.where(runs, item, 0.0) for item in (drawn, given, power))
    point = _point(flow, temperature, works, state, rate)
    wall = coldest_wall(point.outlet_temperature, found, heats.water_share, ratio)
    return replace(
        point,
        evaporating_temperature=np.where(runs, found, np.nan),
        wall_temperature=np.where(runs, wall, np.nan),
    )


def _point(
    flow: Array, temperature: Array, works: tuple[Array, ...], state: Any, rate: Array
) -> UnitPoint:
    drawn, given, power = works
    none = np.full(flow.shape, np.nan)
    return UnitPoint(
        volume_flow=flow,
        inlet_temperature=temperature,
        outlet_temperature=temperature - ratio(drawn, rate, 0.0),
        condensing_temperature=none,
        cut_out_margin=none,
        heat_rejected=-drawn,
        cooling=np.zeros(flow.shape),
        power=power,
        state=state.astype(np.int8),
        heating=given,
        evaporating_temperature=none,
        wall_temperature=none,
    )


def room_to_ice(unit: UnitPoint, freezing: float) -> Array:
    """Return how far a coil that heats is from the nearer of its two limits of ice [K]."""
    margin = default("heating.freezing_margin").value
    return np.minimum(unit.outlet_temperature - freezing - margin, unit.wall_temperature - freezing)
