"""Where a loop runs in the cold in each worst case: what units give, and how near ice they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.point import HEATING, UNIT_STATES, OperatingPoint
from seaflow.model.together import operate_all
from seaflow.physics.heat.heating import carnot_heating
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.worst_cases import WorstCase, worst_cases
from seaflow.studies.heating.cold import ColdestSea, coldest_seas, freezing_of


@dataclass(frozen=True, slots=True)
class UnitHeating:
    """One unit that heats, in one worst case; margins are over the freezing point."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingAt:
    """One worst case at the coldest sea for heating, and the coldest sea it would stand itself."""

    name: str
    where: Fact
    ending: str
    coldest: ColdestSea
    flow: float = measured("m3/s")
    units: tuple[UnitHeating, ...]
    safe: bool


Cold = tuple[Case, Built, Conditions]  # a boat with her loop, in the coldest sea for heating
Ran = list[tuple[WorstCase, HeatingAt, OperatingPoint]]


def run_in_the_cold(boats: Sequence[Cold], part: PumpPart) -> list[Ran]:
    """Return the worst cases of the cooling design but in the cold: supply, dirt and growth.

    Those of all boats run at once.
    """
    asked = [
        (number, worst, (built.loop, _colder(case, built, part, now, worst)))
        for number, (case, built, now) in enumerate(boats)
        for worst in worst_cases(case)
        if worst.asks != "most"
    ]
    settings = [setting for _, _, setting in asked]
    found: list[Ran] = [[] for _ in boats]
    for (number, worst, _), point, coldest in zip(
        asked, operate_all(settings), coldest_seas(settings), strict=True
    ):
        at = _heating_at(boats[number], worst, point, coldest)
        found[number].append((worst, at, point))
    return found


def _colder(
    case: Case, built: Built, part: PumpPart, now: Conditions, worst: WorstCase
) -> Conditions:
    return replace(
        worst.conditions,
        sea_temperature=now.sea_temperature,
        mode="heating",
        voltage=cable_drop(case, built.network.pumps[0], part, worst.conditions),
    )


def _heating_at(
    boat: Cold, worst: WorstCase, point: OperatingPoint, coldest: ColdestSea
) -> HeatingAt:
    _, built, now = boat
    what = worst.where["what"]
    assert isinstance(what, Fact)
    return HeatingAt(
        name=worst.name,
        where=what,
        ending=point.words(),
        coldest=coldest,
        flow=float(point.total_flow()[0]),
        units=tuple(_unit(built, point, coil.unit) for coil in built.loop.coils if coil.heating),
        safe=coldest.temperature is not None
        and coldest.temperature <= float(np.asarray(now.sea_temperature)),
    )


def _unit(built: Built, point: OperatingPoint, name: str) -> UnitHeating:
    unit = point.units[name]
    outlet = float(unit.outlet_temperature[0])
    record = UnitHeating(
        name=name,
        state=UNIT_STATES[int(unit.state[0])],
        flow=float(unit.volume_flow[0]),
        heating=float(unit.heating[0]),
        power=float(unit.power[0]),
        heat_drawn=-float(unit.heat_rejected[0]),
        outlet_temperature=outlet,
        outlet_margin=outlet - freezing_of(point.conditions),
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
