"""Where each pump would run, at the design point and at the corners, and which to take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built, with_pump
from seaflow.model.conditions import Conditions, take
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OFF, UNIT_STATES, OperatingPoint
from seaflow.model.pressures import pump_gauge
from seaflow.studies.design.judge import Judgement, judge
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt, UnitAt
from seaflow.studies.design.speed import SpeedSetting, speed_for_need
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.worst_cases import Corner, corners, stacked

SUPPLY_TOLERANCE = 0.15  # of the nominal voltage within which a pump is considered for a supply


@dataclass(frozen=True, slots=True)
class PumpResult:
    """One pump in one loop: where it runs, whether it will do, and why or why not."""

    part: PumpPart
    place: str
    fitted: bool
    at: tuple[PumpAt, ...]
    judgement: Judgement
    setting: SpeedSetting | None = None

    @property
    def design(self) -> PumpAt:
        """Where it runs at the design corner."""
        return self.at[0]

    @property
    def running_power(self) -> float:
        """Its power at the design corner [W]; where speed can be set, at the least that does."""
        return self.setting.power if self.setting is not None else self.design.power


def candidates(case: Case, place: Pump) -> tuple[PumpPart, ...]:
    """Return the pumps to consider for a place, as far as they fit the supply.

    Those the case names; else a person's own pumps if there are any; else the invented ones.
    """
    named = _named(case, place)
    supply = case.supply
    table = case.catalogue.pumps_for(supply.current, supply.voltage, SUPPLY_TOLERANCE)
    own = [part for part in table if not part.invented]
    found = named if case.design.pumps else [*(own or table), *named]
    fitting = {part.name: part for part in found if _fits(case, part)}
    return tuple(fitting.values())


def left_out(case: Case, place: Pump) -> tuple[str, ...]:
    """Return a sentence for each pump that the case names and its supply cannot drive."""
    supply = f"{case.supply.voltage:g} V {case.supply.current.upper()}"
    return tuple(
        f"{part.name} is made for {part.voltage:g} V {part.current.upper()} and the supply is "
        f"{supply}: it is left out."
        for part in _named(case, place)
        if not _fits(case, part)
    )


def _named(case: Case, place: Pump) -> list[PumpPart]:
    """Return the pumps that the case asks to consider, and the one fitted."""
    names = [*case.design.pumps, *([place.fitted] if place.fitted else [])]
    return [case.catalogue.pump(name) for name in names]


def _fits(case: Case, part: PumpPart) -> bool:
    near = abs(part.voltage / case.supply.voltage - 1.0) <= SUPPLY_TOLERANCE
    return part.current == case.supply.current and near


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """A candidate with the loop it was run in and its operating points at the corners."""

    result: PumpResult
    built: Built
    point: OperatingPoint

    @property
    def design(self) -> Conditions:
        """The design corner, with the volts that reach this pump."""
        return take(self.point.conditions, slice(0, 1))  # type: ignore[no-any-return]


def rank_pumps(case: Case, stand_in: Built, needs: Mapping[str, UnitNeed]) -> tuple[Ranked, ...]:
    """Return every candidate with where it runs, best first.

    `stand_in` is the loop with any pump. Several pump places in one loop all get the same pump.
    """
    results = []
    place = stand_in.network.pumps[0]
    for part in candidates(case, place):
        built = with_pump(case, stand_in, part)
        found = corners(case)
        volts = [cable_drop(case, place, part, corner.conditions) for corner in found]
        point = operate(built.loop, stacked(found, volts))
        at = tuple(_pump_at(built, point, needs, corner, i) for i, corner in enumerate(found))
        result = PumpResult(
            part=part,
            place=place.name,
            fitted=place.fitted is not None
            and case.catalogue.find("pumps", place.fitted)[0] == part.name,
            at=at,
            judgement=judge(case, built, part, place, at, needs),
            setting=speed_for_need(
                built, part, replace(found[0].conditions, voltage=volts[0]), needs
            ),
        )
        results.append(Ranked(result, built, point))
    return in_order(results)


def in_order(results: Iterable[Ranked]) -> tuple[Ranked, ...]:
    """Return candidates best first: those that do, by remarks and then power."""
    return tuple(sorted(results, key=lambda item: _order(item.result)))


def _order(result: PumpResult) -> tuple[object, ...]:
    judgement = result.judgement
    return (
        not judgement.recommended,
        len(judgement.remarks) if judgement.recommended else judgement.shortfall,
        result.running_power,
        result.part.name,
    )


def _pump_at(
    built: Built,
    point: OperatingPoint,
    needs: Mapping[str, UnitNeed],
    corner: Corner,
    index: int,
) -> PumpAt:
    all_pumps = [item for item in point.pumps.values()]
    flow = sum(float(item.volume_flow[index]) for item in all_pumps)
    first = all_pumps[0]
    npsh = float(first.npsh_available[index])
    gauge = pump_gauge(point)
    return PumpAt(
        corner=corner.name,
        words=corner.words,
        asks=corner.asks,
        ending=point.words(index),
        flow=flow,
        head=float(first.head[index]),
        share_of_free_flow=float(first.share_of_free_flow[index]),
        speed_ratio=float(first.speed_ratio[index]),
        power=sum(float(item.power[index]) for item in all_pumps),
        voltage=float(np.asarray(point.conditions.voltage)[index]),
        npsh_available=None if np.isnan(npsh) else npsh,
        inlet_gauge=None if gauge is None else float(gauge[index]),
        units=tuple(_units_at(built, point, needs, corner, index)),
    )


def _units_at(
    built: Built,
    point: OperatingPoint,
    needs: Mapping[str, UnitNeed],
    corner: Corner,
    index: int,
) -> Iterator[UnitAt]:
    for coil in built.loop.coils:
        unit, need = point.units[coil.unit], needs[coil.unit]
        flow = float(unit.volume_flow[index])
        state = int(unit.state[index])
        wanted = need.flow if corner.asks == "aim" else need.floor
        velocity = coil.velocity(flow)
        cooling = state == COOLING
        yield UnitAt(
            name=coil.unit,
            state=UNIT_STATES[state],
            flow=flow,
            margin=flow / wanted - 1.0 if wanted > 0 and state != OFF else None,
            temperature_rise=float(unit.temperature_rise[index]),
            outlet_temperature=float(unit.outlet_temperature[index]),
            condensing_temperature=float(unit.condensing_temperature[index]) if cooling else None,
            cut_out_margin=float(unit.cut_out_margin[index]) if cooling else None,
            coil_velocity=None if velocity is None else float(velocity),
        )
