"""Many boats of one loop, each with its own faults and its own figures, run in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.random import RandomState

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.spreads import season, triangular
from seaflow.studies.design.supply import cable_drop, panel_volts
from seaflow.studies.diagnose.doubts import DIRT, doubts_of
from seaflow.studies.diagnose.effects import EFFECTS, Boats, Struck
from seaflow.studies.diagnose.faults import Fault
from seaflow.studies.diagnose.hypotheses import DIMENSIONS, NONE, Hypotheses, healthy_boats
from seaflow.studies.diagnose.readings import Places, Readings, instruments

SUPPLY = "low_volts"  # the fault of a supply
CONDITIONS = ("warm_sea",)  # faults only as long as the sea was not read
LOADS = ("part_load",)  # and as long as the load was not told as a share
MOST_KEPT = 4  # setups whose inputs are kept
MOST_EVEN = 56  # own figures that are drawn evenly; those of a typical boat beyond them at random
POWER_SPREAD = (0.85, 1.0, 1.15)  # amps of a pump over those of its curve; own choice
BEYOND_SEASON = 3.0  # K that a reading of the sea may be
LEAST_SEA, MOST_SEA = 2.0, 36.0  # degC
FREEZING = -1.5  # degC, below which no sea is met
FAR_SEA = 5.0  # K beyond these, from which on a reading is asked again
EDGE = 0.01  # of the usual volts, by which a density is smoothed
STRAY = 0.01  # density left where volts over the usual ones should not be; own choice


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """One loop with the pump in it, and the faults that are possible on it."""

    case: Case
    built: Built
    place: Pump
    part: PumpPart
    faults: tuple[Fault, ...]
    why: Fact

    @property
    def places(self) -> Places:
        """Where something can be read on this loop."""
        return _places(self)

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The uncertain figures that are the boat's own, its dirt, and what the day brings."""
        return _inputs(self)

    def given(self, readings: Readings) -> Setup:
        """Return the setup with the faults that are still open once these readings are taken.

        A sea that was read is a condition: that it is warm is then known, and breaks nothing. So is
        a load that was told as a share.
        """
        by_sea = CONDITIONS if readings.of("sea") is not None else ()
        known = (*by_sea, *(LOADS if readings.load_read else ()))
        left = tuple(item for item in self.faults if item.name not in known)
        return replace(self, faults=left)

    def index(self, fault: str) -> int:
        """Return the place of a fault in the list, or NONE."""
        names = [item.name for item in self.faults]
        return names.index(fault) if fault in names else NONE


@lru_cache(MOST_KEPT)
def _places(setup: Setup) -> Places:
    loop = setup.built.loop
    outlets = tuple(link.elements[-1].name for link in loop.links if link.to_sea)
    units = tuple(coil.unit for coil in loop.coils)
    plates = {unit.name: unit.refrigerant for unit in setup.case.unit}
    known = {name: plate for name in units if (plate := plates.get(name)) is not None}
    pumps = tuple(pump.name for pump in loop.pumps) if len(loop.pumps) > 1 else ()
    volts, seas = setup.case.supply.voltage, believed_seas(setup.case)
    return Places(units, outlets, known, volts, seas, pumps)


@lru_cache(MOST_KEPT)
def _inputs(setup: Setup) -> tuple[Input, ...]:
    return doubts_of(setup.case, setup.built)


@dataclass(frozen=True, slots=True, eq=False)
class Met:
    """Sea and volts of each boat, and how likely they are under its faults."""

    sea: Array
    volts: Array
    log_weight: Array


@dataclass(frozen=True, slots=True, eq=False)
class Flotilla:
    """Simulated boats: what is wrong with each, how likely it is, and where it runs.

    `shares` has a row for each own figure, and last for the amps of the pump. `drawn_plainly` are
    boats of the same plan whose figures were not drawn towards what was read; None where these are.
    """

    setup: Setup
    hypotheses: Hypotheses
    boats: Boats
    point: OperatingPoint
    met: Met
    shares: Array
    drawn_plainly: Flotilla | None = None

    @property
    def as_they_come(self) -> Flotilla:
        """Boats whose healthy ones tell what is usual."""
        return self.drawn_plainly or self

    @property
    def power_factor(self) -> Array:
        """The amps of each boat's pump over those of its curve."""
        return triangular(self.shares[-1], *POWER_SPREAD)

    @property
    def log_prior(self) -> Array:
        """How likely each boat is before the readings other than sea and volts."""
        return np.asarray(self.hypotheses.log_prior + self.met.log_weight)


def usual_seas(case: Case) -> tuple[float, float]:
    """Return the coldest and the warmest sea that is looked at of a boat that cools [degC]."""
    known = season(case).temperatures
    low = max(min(known) - BEYOND_SEASON, LEAST_SEA)
    return low, max(min(max(known) + BEYOND_SEASON, MOST_SEA), low + 1.0)


def believed_seas(case: Case) -> tuple[float, float]:
    """Return between which ends a sea is believed; beyond, it may be in the other scale [degC]."""
    low, high = usual_seas(case)
    return low - FAR_SEA, high + FAR_SEA


def own_shares(setup: Setup, n_boats: int, seed: int) -> Array:
    """Return shares of the spread of each own figure, and last of the pump's amps."""
    wanted = len(setup.inputs) + 1
    even = sobol_points(min(wanted, MOST_EVEN), n_boats, seed, DIMENSIONS)
    rest = RandomState(seed).random_sample((max(wanted - MOST_EVEN, 0), n_boats))
    return np.concatenate([even, rest])


def run(
    setup: Setup, hypotheses: Hypotheses, met: Met, shares: Array, readings: Readings
) -> Flotilla:
    """Run boats with these faults and own figures; mode and load are those of the readings.

    The load of a unit is also that of its zones that call.
    """
    now = Conditions(
        sea_temperature=met.sea,
        salinity=setup.case.sea.salinity,
        voltage=met.volts,
        frequency=setup.case.supply.frequency,
        mode=readings.mode,
        load={unit.name: readings.load * unit.called for unit in setup.built.network.units},
    )
    loop = setup.built.loop
    for item, row in zip(setup.inputs, shares, strict=False):
        loop, now = item.apply(loop, now, item.spread.at(row))
    boats = struck_by(setup, hypotheses, Boats.sound(loop, now, hypotheses.size))
    point = operate(boats.loop, boats.now)
    return Flotilla(setup, hypotheses, boats, point, met, shares)


def struck_by(setup: Setup, hypotheses: Hypotheses, boats: Boats) -> Boats:
    """Return the boats with their faults."""
    units = [unit.name for unit in setup.built.network.units_by_size]
    tosses = hypotheses.tosses
    picked = hypotheses.units(len(units))
    for number, fault in enumerate(setup.faults):
        severity, is_first = hypotheses.severity[number], hypotheses.first == number
        which = np.where(is_first, picked[0], picked[1])
        heads = np.where(is_first, tosses[0], tosses[1])
        by_unit = {unit: np.where(which == k, severity, 0.0) for k, unit in enumerate(units)}
        boats = EFFECTS[fault.name](boats, Struck(severity, by_unit, heads, setup.built))
        if fault.pulses:
            boats = replace(boats, pulses=boats.pulses | (severity > 0))
    return boats


def met_by(setup: Setup, hypotheses: Hypotheses, readings: Readings, stream: RandomState) -> Met:
    """Return sea and volts of each boat: around what was read, else as season and supply give."""
    shares = stream.random_sample((2, hypotheses.size))
    noise = stream.standard_normal((2, hypotheses.size))
    sea, sea_weight = _sea(setup, hypotheses, readings.of("sea"), (shares[0], noise[0]))
    volts, volts_weight = _volts(setup, hypotheses, readings.of("volts"), (shares[1], noise[1]))
    return Met(sea, volts, sea_weight + volts_weight)


def told_by(setup: Setup, readings: Readings) -> tuple[float, float]:
    """Return the sea [degC] and the volts that were read, or the warmest and the usual ones."""
    sea, volts = readings.of("sea"), readings.of("volts")
    return (
        setup.case.sea.warmest if sea is None else sea,
        float(supply_range(setup)[1]) if volts is None else volts,
    )


def clean_boats(setup: Setup, readings: Readings, shares: Array) -> Flotilla:
    """Return healthy and clean boats with these own figures, all in the sea and at the volts told.

    `shares` has a row for each own figure and a column for each boat.
    """
    n_boats = shares.shape[1]
    sea, volts = (np.full(n_boats, value) for value in told_by(setup, readings))
    met = Met(sea, volts, np.zeros(n_boats))
    healthy = healthy_boats(len(setup.faults), n_boats)
    return run(setup, healthy, met, clean_shares(setup, shares), readings)


def _severity_of(setup: Setup, hypotheses: Hypotheses, name: str) -> Array:
    number = setup.index(name)
    return np.zeros(hypotheses.size) if number == NONE else hypotheses.severity[number]


def _sea(
    setup: Setup, hypotheses: Hypotheses, read: float | None, drawn: tuple[Array, Array]
) -> tuple[Array, Array]:
    known = season(setup.case)
    above = _severity_of(setup, hypotheses, "warm_sea")
    if read is None:
        sea = np.where(above > 0, max(known.temperatures) + above, known.at(drawn[0]))
        return sea, np.zeros(sea.size)
    # a sea that was read is a condition that every boat meets, and no fault
    sea = np.maximum(read + instruments()["sea"].error * drawn[1], FREEZING)
    return sea, np.zeros(sea.size)


def supply_range(setup: Setup) -> tuple[float, float, float]:
    """Return lowest, usual and highest volts at the pump."""
    low, usual, high = panel_volts(setup.case)
    supply = setup.case.supply
    at_panel = Conditions(sea_temperature=setup.case.sea.warmest, voltage=supply.voltage)
    left = cable_drop(setup.case, setup.place, setup.part, at_panel) / supply.voltage
    return low * left, usual * left, high * left


def _volts(
    setup: Setup, hypotheses: Hypotheses, read: float | None, drawn: tuple[Array, Array]
) -> tuple[Array, Array]:
    low, usual, high = supply_range(setup)
    missing = _severity_of(setup, hypotheses, SUPPLY)
    if read is None:
        volts = triangular(drawn[0], low, usual, high) * (1.0 - missing)
        return volts, np.zeros(volts.size)
    volts = np.maximum(read + instruments()["volts"].deviation(read) * drawn[1], 0.01 * usual)
    sound, sagged = supply_densities(setup, volts)
    return volts, np.log(np.where(missing > 0, sagged, sound))


def supply_densities(setup: Setup, volts: Array) -> tuple[Array, Array]:
    """Return how likely volts are at a pump whose supply is sound, and at one where it sags.

    Both are densities for each share of the usual volts.
    """
    low, usual, high = supply_range(setup)
    steps = np.linspace(0.0, 1.0, 201)
    healthy = triangular(steps, low, usual, high) / usual
    weak = next(item for item in setup.faults if item.name == SUPPLY)
    left = 1.0 - (weak.low + (weak.high - weak.low) * steps)
    sagged = np.outer(healthy[::5], left).ravel()  # it sags from whatever it would be
    # a supply that sags still further sags no less likely than at the end of the table
    found = (
        _density(volts / usual, healthy),
        _density(np.maximum(volts / usual, left.min()), sagged),
    )
    return np.maximum(found[0], STRAY), np.maximum(found[1], STRAY)


def _density(at: Array, values: Array) -> Array:
    """Return the density of evenly drawn values, smoothed over two per cent."""
    ordered = np.sort(values)
    shares = np.linspace(0.0, 1.0, ordered.size)
    upper = np.interp(at + EDGE, ordered, shares, left=0.0, right=1.0)
    lower = np.interp(at - EDGE, ordered, shares, left=0.0, right=1.0)
    return np.asarray((upper - lower) / (2.0 * EDGE))


def clean_shares(setup: Setup, shares: Sequence[Array] | Array) -> Array:
    """Return shares with the dirt taken away, as on the day of commissioning."""
    found = np.array(shares)
    for row, item in enumerate(setup.inputs):
        if item.spread.name in DIRT:
            found[row] = 0.0
    return found
