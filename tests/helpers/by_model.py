"""What a check asks of several parts of the model at once, as one function that a row can name."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from seaflow.base.arrays import Array, Number
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import HoseRun
from seaflow.model.losses import Losses, Pipe, fitting
from seaflow.model.pressures import loss_of
from seaflow.physics.heat.compressor import Machine, capacity, heat_rejected, power
from seaflow.physics.heat.refrigerant import cycle_of
from seaflow.physics.pumping.pump import curve_from_ends, head
from seaflow.physics.pumping.pump_power import hydraulic_power
from seaflow.physics.water.seawater import seawater


def build_loops(case: Case, pumps: Mapping[str, PumpPart]) -> tuple[Built, ...]:
    """Every loop of the case, with these pumps at its pump places, by name of place."""
    return tuple(build_loop(case, found, pumps) for found in network.loops(case))


def hose_head_loss(
    volume_flow: Number,
    bore: Number,
    length: Number,
    roughness: Number,
    kinematic_viscosity: Number,
) -> Array:
    """Head lost in a straight hose, as the loop counts it."""
    flow, bore = np.broadcast_arrays(np.atleast_1d(volume_flow), bore)
    lost = loss_of(Losses(pipes=(Pipe(bore, length, roughness),)), flow, kinematic_viscosity)
    return lost if np.ndim(volume_flow) or np.size(lost) > 1 else lost[0]


def loss_head(loss_coefficient: float, velocity: float) -> float:
    """Head lost in a fitting, as the loop counts it."""
    bore = 0.025
    flow = np.asarray([0.25 * np.pi * bore**2 * velocity])
    return float(loss_of(fitting(loss_coefficient, bore), flow, 1e-6)[0])


def overgrown_gradient(
    volume_flow: float, bore: float, growth: float, roughness_share: float
) -> float:
    """Head lost in a metre of hose with growth, of seawater at 30 degC and 35 g/kg."""
    hose = HoseRun(name="h", item="h", bore=bore, length=1.0, roughness=1e-5)
    now = Conditions(sea_temperature=30.0, growth=growth, growth_roughness=roughness_share)
    viscosity = seawater(30.0, 35.0).kinematic_viscosity
    return float(loss_of(hose.losses(now), np.asarray([volume_flow]), viscosity)[0])


def head_gradient(
    volume_flow: Number, bore: Number, roughness: Number, kinematic_viscosity: Number
) -> Array:
    """Head lost in a metre of straight hose."""
    return hose_head_loss(volume_flow, bore, 1.0, roughness, kinematic_viscosity)


def heat_rejection_factor(
    rated_factor: float, rated_lift: float, lift: Array, refrigerant: str = "R-22"
) -> Array:
    """Heat rejected over capacity of a machine of this factor at another lift."""
    cycle_of.cache_clear()  # so that the search for libraries sees the table that is read
    machine = Machine(1.0, rated_factor - 1.0, 7.0 + rated_lift, cycle=cycle_of(refrigerant))
    return np.asarray(heat_rejected(machine, 7.0 + lift) / capacity(machine, 7.0 + lift))


def from_rating(refrigerant: str, rated_at: float, condensing: Array) -> tuple[Array, Array]:
    """Power and heat of a machine of 3.44 W cooling for each watt, over those at its rating."""
    machine = Machine(3.44, 1.0, rated_at, cycle=cycle_of(refrigerant))
    return power(machine, condensing), heat_rejected(machine, condensing) / 4.44


def at_another_speed(
    volume_flow: float, head_at_first: float, power_at_first: float, speed_ratio: float
) -> tuple[float, float]:
    """Head and power in the water of a pump at another speed and the same share of free flow."""
    curve = curve_from_ends(head_at_first / (1.0 - 0.5**1.8), 2.0 * volume_flow)
    moved = volume_flow * speed_ratio
    found = float(head(curve, moved, speed_ratio))
    gain = hydraulic_power(moved, found, 1e3) / hydraulic_power(volume_flow, head_at_first, 1e3)
    return found, float(power_at_first * gain)
