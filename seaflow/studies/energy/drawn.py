"""What the duties take on boats drawn from what is uncertain, all at once.

Dirt and season stand as the day has them: clean, in the sea of each duty.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.studies.design.certainty.draws import DEFAULT_SEED, stratified
from seaflow.studies.design.certainty.sample import drawn_of
from seaflow.studies.design.certainty.spreads import given, half_width, spread
from seaflow.studies.design.duties import HouseBank
from seaflow.studies.design.takes import Machines, machines_of

N_DRAWN = 128
_AS_THE_DAY_HAS_IT = (
    *("season", "season_assumed", "blockage", "blockage_law", "growth", "growth_roughness"),
    "coil_scale",
)
_EXACT = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Fleet:
    """Boats with one loop each, along one axis, and how their loads lie off those written."""

    built: Built
    now: Conditions
    machines: Machines
    loads: tuple[Array, ...]  # by duty: what the load is multiplied by


@dataclass(frozen=True, slots=True, eq=False)
class Banks:
    """Batteries of as many boats: what may be drawn [J], and what they are worth otherwise."""

    energy: Array
    charger: Array
    solar: Array
    idle: Array
    inverter: Array  # what its efficiency is multiplied by
    house: Array


def as_it_is(case: Case, built: Built, now: Conditions, duties: Sequence[Duty]) -> Fleet:
    """Return the boat of the case alone."""
    return Fleet(built, now, machines_of(case), tuple(np.ones(1) for _ in duties))


def drawn_fleet(case: Case, built: Built, now: Conditions, duties: Sequence[Duty]) -> Fleet:
    """Return boats drawn from what is uncertain of this one and of how it is used."""
    inputs, shares = drawn_of(case, built, N_DRAWN, DEFAULT_SEED)
    loop = built.loop
    for item, row in zip(inputs, shares, strict=True):
        if item.spread.name not in _AS_THE_DAY_HAS_IT:
            loop, now = item.apply(loop, now, item.spread.at(row))
    for coil in built.loop.coils:
        share = np.asarray(coil.machine.no_load_share)
        if share > 0.0:
            here = next(one for one in loop.coils if one.unit == coil.unit)
            much = np.minimum(share * _factor("no_load_share"), 0.9)
            loop = loop.changed(here, machine=replace(here.machine, no_load_share=much))
    own = machines_of(case)
    fans = {
        unit.name: own.fan[unit.name]
        * (_factor("fan_share") if unit.fan_power is None else _told(case, ("unit", unit.row)))
        for unit in case.unit
    }
    controls = {name: watts * _factor("control_power") for name, watts in own.control.items()}
    loads = tuple(
        _factor("load_asked", case, ("duty", row, "load"), duty.load)
        for row, duty in enumerate(duties)
    )
    machines = replace(own, fan=fans, control=controls)
    return Fleet(replace(built, loop=loop), now, machines, loads)


def _told(case: Case, unit: Path) -> Array:
    """Return the factors of a fan whose power is told, exactly or give or take something."""
    unit_of = next(one for one in case.unit if ("unit", one.row) == unit)
    half = half_width(case, (*unit, "fan_power")) or _EXACT
    told = given(spread("fan_share"), half, unit_of.fan_power)
    return told.at(stratified(N_DRAWN, DEFAULT_SEED, "fan_share"))


def _factor(
    name: str, case: Case | None = None, path: Path = (), value: float | None = None
) -> Array:
    """Return what an uncertain value is multiplied by on each boat."""
    known = None if case is None else half_width(case, path)
    found = given(spread(name), known, value)
    which = path if case is None else case.numbered(path)
    return found.at(stratified(N_DRAWN, DEFAULT_SEED, name + "".join(map(str, which))))


def bank_as_it_is(bank: HouseBank) -> Banks:
    """Return the battery of the case alone."""
    one = np.ones(1)
    return Banks(
        energy=bank.energy * one,
        charger=bank.charger * one,
        solar=bank.solar * bank.sun * one,
        idle=bank.idle * one,
        inverter=one,
        house=bank.house * one,
    )


def drawn_banks(case: Case, bank: HouseBank) -> Banks:
    """Return batteries drawn from what is uncertain of this one."""
    told = case.battery
    open_ = {
        name: told is None or getattr(told, name) is None
        for name in ("capacity", "charger", "inverter_idle", "inverter_efficiency")
    }
    one = np.ones(N_DRAWN)
    much = _factor("battery_energy")
    if not open_["capacity"]:
        much = _factor("battery_capacity", case, ("battery", "capacity"), bank.capacity)
    return Banks(
        energy=bank.energy * much,
        charger=bank.charger * (_factor("charge_rate") if open_["charger"] else one),
        solar=bank.solar * bank.sun * _factor("sun"),
        idle=bank.idle * (_factor("inverter_idle") if open_["inverter_idle"] else one),
        inverter=_factor("inverter_efficiency") if open_["inverter_efficiency"] else one,
        house=bank.house * (one if bank.house_given else _factor("house_load")),
    )
