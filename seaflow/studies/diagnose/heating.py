"""What faults do to a unit that heats, and how far its coil is from ice."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model.elements import Coil, HeatingCoil
from seaflow.model.point import HEATING, NO_WATER
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.heating.cold import room_to_ice

if TYPE_CHECKING:
    from seaflow.studies.diagnose.simulate import Bank

CABIN = 20.0  # degC of the air that a heating unit draws in; own choice
MOST_POWER = 0.8  # of the heat given: the rest must come from the water


def weakened(heats: HeatingCoil, heat_left: Array, power_left: Array) -> HeatingCoil:
    """Return a heating coil whose machine has only these shares of its heat and power left."""
    heat = heats.heater.rated_heating * heat_left
    power = np.minimum(heats.heater.rated_power * power_left, MOST_POWER * heat)
    return replace(heats, heater=replace(heats.heater, rated_heating=heat, rated_power=power))


def short_of_air(
    heats: HeatingCoil, severity: Array, coil: Coil
) -> tuple[HeatingCoil, NDArray[np.bool_]]:
    """Return a heating coil with this share of its air lost, and where it trips for that.

    The refrigerant then condenses in the cabin as much farther above the air as there is less air
    to take its heat, up to the cut-out; power goes with the lift.
    """
    heater = heats.heater
    above = (heater.condensing_temperature - CABIN) / np.maximum(1.0 - severity, 0.01)
    condensing = np.minimum(CABIN + above, coil.cut_out_temperature)
    trips = CABIN + above > coil.cut_out_temperature
    lift = (condensing - heater.rated_evaporating_temperature) / heater.rated_lift
    power = np.minimum(heater.rated_power * lift, MOST_POWER * heater.rated_heating)
    hot = replace(heater, condensing_temperature=condensing, rated_power=power)
    return replace(heats, heater=hot), np.asarray(trips & (severity > 0))


def to_ice(bank: Bank) -> Array:
    """Return the least room to ice in a coil of each boat [K]; infinity where none heats."""
    freezing = float(freezing_temperature(bank.setup.case.sea.salinity))
    found = np.full(bank.hypotheses.size, np.inf)
    for unit in bank.point.units.values():
        room = np.where(unit.state == HEATING, room_to_ice(unit, freezing), np.inf)
        found = np.minimum(found, np.where(unit.state == NO_WATER, 0.0, room))
    return found
