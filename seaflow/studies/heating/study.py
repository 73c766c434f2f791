"""Heating with the sea as the source, for every loop: from a case to an answer."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.heating import heating_defaults
from seaflow.model.operate import operate
from seaflow.model.point import HEATING, UNIT_STATES, OperatingPoint
from seaflow.physics.heat.heating import carnot_heating
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.heating.cold import ColdestSea, coldest_sea, least_flow


@dataclass(frozen=True, slots=True)
class UnitHeating:
    """One unit that heats, at one corner; margins are over the freezing point."""

    name: str
    state: str
    flow: float = measured("m3/s")
    heating: float = measured("W")
    power: float = measured("W")
    heat_drawn: float = measured("W")
    outlet_temperature: float = measured("degC")
    outlet_margin: float = measured("K")
    evaporating_temperature: float | None = measured("degC", None)
    wall_temperature: float | None = measured("degC", None)
    coefficient: float | None = measured("-", None)
    share_of_carnot: float | None = measured("-", None)


@dataclass(frozen=True, slots=True)
class HeatingAt:
    """One corner at the coldest sea for heating, and the coldest sea it would stand itself."""

    corner: str
    words: str
    ending: str
    flow: float = measured("m3/s")
    units: tuple[UnitHeating, ...] = ()
    coldest: ColdestSea | None = None
    safe: bool = False


@dataclass(frozen=True, slots=True)
class LoopHeating:
    """The answer for one loop; `least_flows` by unit, None where no flow is enough.

    `validity` says where the answer leaves the range of a source.
    """

    name: str
    pump: str
    title: str
    chosen: Fact
    invented: bool
    at: tuple[HeatingAt, ...]
    least_flows: dict[str, float | None] = measured("m3/s")
    validity: tuple[Fact, ...] = ()

    @property
    def clean(self) -> HeatingAt:
        """Where it runs with everything clean."""
        return self.at[0]

    @property
    def is_met(self) -> bool:
        """True if no corner comes near ice."""
        return all(at.safe for at in self.at)


@dataclass(frozen=True, slots=True)
class Heating:
    """The answer for the whole boat."""

    boat: str
    hull: str
    sea_temperature: float = measured("degC")
    salinity: float = measured("g/kg")
    freezing_temperature: float = measured("degC")
    margin: float = measured("K")
    loops: tuple[LoopHeating, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if every loop that heats does."""
        return all(loop.is_met for loop in self.loops)


def heating(case: Case, pump: str | None = None) -> Heating:
    """Return flow, temperatures and the coldest sea of every loop with a unit that heats.

    Raises
    ------
    SeaflowError
        If no unit heats, the pump is not known, or the supply cannot drive it.
    """
    heaters = {unit.name for unit in case.unit if unit.heating is not None}
    if not heaters:
        raise SeaflowError([_nothing_heats(case)])
    sea, notes = _sea(case)
    notes += [assumed("heating.freezing_margin", "limit")]
    notes += [assumed(name, unit.name) for unit in case.unit for name in heating_defaults(unit)]
    loops = tuple(
        _loop(case, found, pump, sea)
        for found in network.loops(case)
        if any(unit.name in heaters for unit in found.units)
    )
    return Heating(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=sea,
        salinity=case.sea.salinity,
        freezing_temperature=float(freezing_temperature(case.sea.salinity)),
        margin=default("heating.freezing_margin").value,
        loops=loops,
        assumptions=tuple(notes),
        cautions=cautions("heating"),
    )


def _sea(case: Case) -> tuple[float, list[Assumption]]:
    if case.sea.heating_from is not None:
        return case.sea.heating_from, []
    return default("heating.sea").value, [assumed("heating.sea", "the sea")]


def _nothing_heats(case: Case) -> Problem:
    name = case.unit[0].name if case.unit else "unit"
    return Problem(
        "M02",
        "no unit of this case says that it heats",
        why="Heating takes its heat from the sea, and only the plate tells how much.",
        write=f'Add to the unit "{name}": heating = {{ capacity = "17000 BTU/h" }}.',
        file=case.text.file,
    )


def _loop(case: Case, found: Network, pump: str | None, sea: float) -> LoopHeating:
    built, part, chosen = picked_loop(case, found, pump)
    now = replace(full_supply(case, found, part), sea_temperature=sea, mode="heating")
    ran = _corners(case, built, part, now)
    return LoopHeating(
        name=found.name,
        pump=part.name,
        title=part.title,
        chosen=chosen,
        invented=part.invented,
        at=tuple(at for at, _ in ran),
        least_flows={
            coil.unit: least_flow(coil, now)
            for coil in built.loop.coils
            if coil.heating is not None and coil.switched_on
        },
        validity=validity_notes(built, *(point for _, point in ran)),
    )


def _corners(
    case: Case, built: Built, part: PumpPart, now: Conditions
) -> list[tuple[HeatingAt, OperatingPoint]]:
    """Return the corners of the cooling design but in the cold: supply, dirt and growth."""
    place = built.network.pumps[0]
    found = []
    for worst in worst_cases(case):
        if worst.asks == "most":
            continue
        there = replace(
            worst.conditions,
            sea_temperature=now.sea_temperature,
            mode="heating",
            voltage=cable_drop(case, place, part, worst.conditions),
        )
        point = operate(built.loop, there)
        units = tuple(_unit(built, point, coil.unit) for coil in built.loop.coils if coil.heating)
        coldest = coldest_sea(built, there)
        at = HeatingAt(
            corner=worst.name,
            words=str(worst.where["what"]),
            ending=point.words(),
            flow=float(point.total_flow()[0]),
            units=units,
            coldest=coldest,
            safe=coldest.temperature is not None
            and coldest.temperature <= float(np.asarray(now.sea_temperature)),
        )
        found.append((at, point))
    return found


def _unit(built: Built, point: OperatingPoint, name: str) -> UnitHeating:
    unit = point.units[name]
    freezing = float(freezing_temperature(float(np.asarray(point.conditions.salinity))))
    outlet = float(unit.outlet_temperature[0])
    record = UnitHeating(
        name=name,
        state=UNIT_STATES[int(unit.state[0])],
        flow=float(unit.volume_flow[0]),
        heating=float(unit.heating[0]),
        power=float(unit.power[0]),
        heat_drawn=-float(unit.heat_rejected[0]),
        outlet_temperature=outlet,
        outlet_margin=outlet - freezing,
    )
    if int(unit.state[0]) != HEATING:
        return record
    coil = next(coil for coil in built.loop.coils if coil.unit == name)
    assert coil.heating is not None
    evaporating = float(unit.evaporating_temperature[0])
    coefficient = record.heating / record.power
    bound = carnot_heating(evaporating, coil.heating.heater.condensing_temperature)
    return replace(
        record,
        evaporating_temperature=evaporating,
        wall_temperature=float(unit.wall_temperature[0]),
        coefficient=coefficient,
        share_of_carnot=coefficient / float(bound),
    )
