"""Where a loop runs under given conditions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.physics.water.seawater import Seawater

FLOWING, BRANCH_DRY, NO_OPERATING_POINT, RUNS_BACKWARD, AT_REST, NOT_SETTLED = range(6)
ENDINGS = (
    "flowing",
    "branch dry",
    "no operating point",
    "would run backward",
    "at rest",
    "not settled",
)
COOLING, OFF, TRIPS, NO_WATER, HEATING = range(5)
UNIT_STATES = ("cooling", "off", "trips", "no water", "heating")


@dataclass(frozen=True, slots=True, eq=False)
class UnitPoint:
    """One unit; arrays along the condition axis.

    Parameters
    ----------
    volume_flow, inlet_temperature, outlet_temperature
        Of its water; after a trip the water leaves as it came. [m3/s, degC, degC]
    condensing_temperature, cut_out_margin
        And how far below the cut-out it is; nan where the unit trips or is off. [degC, K]
    heat_rejected, cooling, power
        Zero where it trips or is off; a unit that heats rejects less than nothing. [W]
    state
        Index into UNIT_STATES.
    heating, evaporating_temperature, wall_temperature
        Of a unit that heats: heat given to the cabin, and the coldest wall of its coil on the
        water's side; zero and nan where it does not heat. [W, degC, degC]
    """

    volume_flow: Array
    inlet_temperature: Array
    outlet_temperature: Array
    condensing_temperature: Array
    cut_out_margin: Array
    heat_rejected: Array
    cooling: Array
    power: Array
    state: NDArray[np.int8]
    heating: Array
    evaporating_temperature: Array
    wall_temperature: Array

    @property
    def temperature_rise(self) -> Array:
        """Rise of its water [K]."""
        return self.outlet_temperature - self.inlet_temperature


@dataclass(frozen=True, slots=True, eq=False)
class PumpPoint:
    """One pump, or equal pumps side by side; arrays along the condition axis.

    Parameters
    ----------
    volume_flow, head
        What it delivers. [m3/s, m]
    speed_ratio, share_of_free_flow
        Speed over rated speed, and flow over free flow at that speed. [-]
    power
        Electric power. [W]
    inlet_head
        Total head at its inlet, from the waterline. [m]
    npsh_available
        At its inlet; nan where its height is not recorded. [m]
    """

    volume_flow: Array
    head: Array
    speed_ratio: Array
    share_of_free_flow: Array
    power: Array
    inlet_head: Array
    npsh_available: Array


@dataclass(frozen=True, slots=True, eq=False)
class OperatingPoint:
    """The answer of `operate`: arrays along the condition axis, by name of link, unit and pump.

    Parameters
    ----------
    flow
        By link, in order of `loop.links`. [m3/s]
    node_head, node_temperature
        By junction: total head from the waterline, and temperature. [m, degC]
    full
        By link: whether the leg after its crest runs full.
    ending
        Index into ENDINGS.
    dry
        By link: True where an open link carries no water.
    residual
        Head left out of balance along the worst path. [m]
    """

    loop: Loop
    conditions: Conditions
    water: Seawater
    flow: Array
    link_start_head: Array
    node_head: Mapping[str, Array]
    node_temperature: Mapping[str, Array]
    full: NDArray[np.bool_]
    ending: NDArray[np.int8]
    dry: NDArray[np.bool_]
    residual: Array
    units: Mapping[str, UnitPoint]
    pumps: Mapping[str, PumpPoint]
    outlet_temperature: Mapping[str, Array] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """The number of conditions."""
        return int(self.flow.shape[-1])

    def words(self, index: int = 0) -> str:
        """How condition `index` ends, in words."""
        return ENDINGS[int(self.ending[index])]

    def total_flow(self) -> Array:
        """Return the flow taken in from the sea [m3/s]."""
        from_sea = [index for index, link in enumerate(self.loop.links) if link.from_sea]
        return np.asarray(self.flow[from_sea].sum(axis=0))

    def total_power(self) -> Array:
        """Return what all pumps take [W]."""
        rows = [np.broadcast_to(pump.power, self.size) for pump in self.pumps.values()]
        return np.asarray(np.sum(rows, axis=0))
