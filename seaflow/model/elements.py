"""The elements of a run, each of which knows what it costs under given conditions."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Number, any_of
from seaflow.model.conditions import Conditions
from seaflow.model.losses import Losses, Pipe, Power, fitting, shared_fitting
from seaflow.physics.flow.fittings import ball_valve_coefficient, barb_coefficient, velocity
from seaflow.physics.flow.screens import strainer_coefficient, table_strainer_coefficient
from seaflow.physics.heat.compressor import Machine
from seaflow.physics.heat.heating import Heater
from seaflow.physics.hull.heel import scoop_head
from seaflow.physics.pumping.pump import Drive, PumpCurve

LEAST_BORE_LEFT = 0.2  # of a hose bore that growth leaves; more is a blocked hose, not a model
ROUGHEST = 0.1  # growth over the bore it leaves; friction of a rougher pipe is not known
LEAST_OPENING = 0.02  # of a valve; below this it counts as shut
MOST_BLOCKED = 0.999  # of a grille; a bag over it leaves a trickle


@dataclass(frozen=True, slots=True, eq=False)
class Point:
    """A point of a run with a height; None where the case does not record it. Metres."""

    label: str
    height: Number | None
    aft: Number | None = None
    starboard: Number | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Element:
    """One piece of a run: `item` is its line in the list of heads, `bore` its clear bore."""

    name: str
    item: str
    bore: Number
    point: Point | None = None

    def losses(self, now: Conditions) -> Losses:
        """Return what it costs under the conditions `now`."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fixed(Element):
    """A fitting with a loss coefficient on its bore."""

    loss_coefficient: Number

    def losses(self, now: Conditions) -> Losses:
        """Return the loss of the fitting."""
        return fitting(self.loss_coefficient, self.bore)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Entry(Fixed):
    """Where the water enters the hull; `recovery` is what a scoop makes of the speed head.

    A scoop that gives head is a loss below zero. `lost_head` is what another user of the intake
    takes away [m].
    """

    recovery: Number = 0.0
    other_flow: Number = 0.0
    lost_head: Number = 0.0

    def losses(self, now: Conditions) -> Losses:
        """Return the entry loss less what a scoop gives; a blocked grille has less area."""
        left = 1.0 - np.minimum(now.intake_blockage, MOST_BLOCKED)
        own = shared_fitting(self.loss_coefficient / left**2, self.bore, self.other_flow)
        given = scoop_head(now.boat_speed, self.recovery)
        return replace(own, constant=own.constant + self.lost_head - given)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cock(Fixed):
    """A seacock; `at_outlet` tells which of the two openings of the conditions moves it."""

    at_outlet: bool = False
    other_flow: Number = 0.0

    def losses(self, now: Conditions) -> Losses:
        """Return the loss of the seacock as far as it is open."""
        opening = self.opening(now)
        loss = self.loss_coefficient
        if any_of(opening < 1.0):
            part = np.clip(opening, LEAST_OPENING, 1.0)
            loss = loss + (np.asarray(ball_valve_coefficient(part)) - ball_valve_coefficient(1.0))
        return shared_fitting(loss, self.bore, self.other_flow)

    def opening(self, now: Conditions) -> Number:
        """Return the share of full opening under the conditions `now`."""
        return now.outlet_opening if self.at_outlet else now.seacock_opening


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Basket(Element):
    """A strainer; without basket data the invented table of blockage stands in.

    `measured` is a loss coefficient found from a suction reading, with the blockage it stands
    for; it overrules both.
    """

    housing_coefficient: Number
    basket_area: Number | None = None
    open_share: Number | None = None
    measured: tuple[float, float] | None = None

    def losses(self, now: Conditions) -> Losses:
        """Return the loss of the strainer, blocked as far as the conditions say."""
        return fitting(self.coefficient(now.strainer_blockage, now.matted), self.bore)

    def coefficient(self, blockage: Number, matted: Number = 0.0) -> Number:
        """Return the loss coefficient on the port bore at a blockage.

        With basket data `matted` blends, in logarithms, dirt spread evenly over the holes (0, the
        screen correlation) with the worse of that and of dirt in a mat (1, the table).
        """
        if self.measured is not None:
            found, at = self.measured
            grown = max(found / float(np.mean(self.housing_coefficient)), 1.0)
            return self.housing_coefficient * grown ** (np.asarray(blockage) / at)
        clean = table_strainer_coefficient(0.0)
        table = table_strainer_coefficient(blockage) * self.housing_coefficient / clean
        if self.basket_area is None or self.open_share is None:
            return table
        screen = strainer_coefficient(
            self.bore, self.basket_area, self.open_share, blockage, self.housing_coefficient
        )
        if not any_of(matted):
            return screen
        worse: Number = np.maximum(table, screen)
        return screen * (worse / screen) ** np.asarray(matted)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HoseRun(Element):
    """A hose with its barbs and fittings; growth narrows and roughens the hose itself."""

    length: Number
    roughness: Number
    multiplier: Number = 1.0
    fittings_coefficient: Number = 0.0
    barb_bores: tuple[Number, ...] = ()
    via: tuple[Point, ...] = ()
    fittings_factor: Number = 1.0
    trapped_head: Number = 0.0  # of air that stands in it [m]

    def losses(self, now: Conditions) -> Losses:
        """Return friction in what growth leaves of the bore, the fittings, and trapped air."""
        left = np.maximum(self.bore - 2.0 * np.asarray(now.growth), LEAST_BORE_LEFT * self.bore)
        grown = np.minimum(np.asarray(now.growth_roughness) * now.growth, ROUGHEST * left)
        roughness = self.roughness + grown
        pipe = Pipe(left, self.length, roughness, self.multiplier)
        quadratic = fitting(self.fittings_loss(), self.bore).quadratic + self.barbs()
        return Losses(quadratic, (pipe,), constant=self.trapped_head)

    def fittings_loss(self) -> Number:
        """Return the loss coefficient of its bends and fittings, on its bore."""
        return self.fittings_coefficient * self.fittings_factor

    def barbs(self) -> Number:
        """Return what its barbs cost over flow squared [s2/m5]."""
        alike = {id(bore): number for number, bore in enumerate(self.barb_bores)}
        costs = {bore: self.barb(number) for bore, number in alike.items()}
        return sum((costs[id(bore)] for bore in self.barb_bores), start=0.0)

    def barb(self, number: int) -> Number:
        """Return what one of its barbs costs over flow squared [s2/m5]; the last is at its end."""
        one = barb_coefficient(np.minimum(self.barb_bores[number], self.bore), self.bore)
        return fitting(one * self.fittings_factor, self.bore).quadratic


@dataclass(frozen=True, slots=True, eq=False)
class HeatingCoil:
    """What a coil is as an evaporator: the machine that heats, and the conductance clean.

    `water_share` is the share of the water film in that.
    """

    heater: Heater
    conductance: Number
    water_share: Number


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Coil(Element):
    """The condenser coil of a unit: its water side loss and its refrigeration machine.

    `velocity_bore` is the bore of its tubes where the case knows it, `n_tubes` how many share
    the flow, `scale` is a fouling resistance beside that of all coils of the loop [m2 K/W].
    """

    unit: str
    machine: Machine
    conductance: Number
    rated_flow: Number
    water_share: Number
    area: Number
    cut_out_temperature: Number
    critical_temperature: float
    n_tubes: int
    branch_shut: bool = False
    switched_on: bool = True
    loss: Power | None = None
    pipe: Pipe | None = None
    flow_limits: tuple[float | None, float | None] = (None, None)
    velocity_bore: float | None = None
    heating: HeatingCoil | None = None
    scale: Number = 0.0

    def velocity(self, volume_flow: Number) -> Number | None:
        """Return the velocity in its tubes [m/s], or None where their bore is not known."""
        if self.velocity_bore is None:
            return None
        return velocity(np.asarray(volume_flow) / self.n_tubes, self.velocity_bore)

    def losses(self, now: Conditions) -> Losses:
        """Return the loss of the coil, times what scale makes of it."""
        factor = now.coil_loss_factor
        if self.loss is not None:
            power = Power(self.loss.flow, self.loss.head * factor, self.loss.exponent)
            return Losses(powers=(power,))
        assert self.pipe is not None  # the builder gives one or the other
        return Losses(pipes=(replace(self.pipe, multiplier=self.pipe.multiplier * factor),))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Pumping(Element):
    """One pump, or equal pumps side by side."""

    curve: PumpCurve
    drive: Drive
    n_pumps: int = 1
    check_valve: bool = False

    def losses(self, now: Conditions) -> Losses:
        """Return no loss: a pump's own loss is in its curve."""
        return Losses()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PumpsInTurn(Pumping):
    """Several pumps at one place, one for each condition: `which` of the `drives`.

    The curve is that of the pump of each condition.
    """

    drives: tuple[Drive, ...]
    which: NDArray[np.intp]
