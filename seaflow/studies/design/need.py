"""How much water each unit needs, and which criterion sets it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from seaflow.base.alike import Alike, alike
from seaflow.base.arrays import Array, Number, Truths
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Unit
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions, take
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, UnitPoint
from seaflow.model.thermal import run_unit
from seaflow.model.together import as_one
from seaflow.physics.water.seawater import Seawater, seawater
from seaflow.studies.design.limits import limit

_Limits = tuple[float | None, float | None]  # the least flow and the most, of a maker

TON = 3516.8528420667  # W, ton of refrigeration
ROUNDS, STEPS = 5, 64  # together a thousand millionth of the flow searched
MOST_SEARCHED = 20.0  # times the rated flow: a criterion not met there is not met by water at all


@dataclass(frozen=True, slots=True)
class Criterion:
    """One reason for a least flow; `flow` is None where no flow satisfies it or none is asked.

    `source` is "case", "practice" (common practice, no source) or "derived".
    """

    what: Fact
    flow: float | None = measured("m3/s")
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitNeed:
    """What one unit needs at the warmest sea, and what it does with that.

    `flow` is what the design aims at; `least` is what must be kept when strainer and hoses are
    dirty, so that the unit does not trip and its maker's least flow holds; `most` is its maker's.
    """

    name: str
    set_by: Fact
    rule_says: Fact
    cooling: float = measured("W")
    heat_rejected: float = measured("W")
    flow: float = measured("m3/s")
    least: float = measured("m3/s")
    most: float | None = measured("m3/s")
    criteria: tuple[Criterion, ...]
    inlet_temperature: float = measured("degC")
    temperature_rise: float = measured("K")
    outlet_temperature: float = measured("degC")
    condensing_temperature: float | None = measured("degC")
    cut_out_margin: float | None = measured("K")
    can_run: bool
    flow_per_ton: float = measured("m3/s")
    rule_flows: tuple[float, float] = measured("m3/s")

    @property
    def running(self) -> bool:
        """True if the unit draws a flow at all."""
        return self.flow > 0

    def wanted(self, asks: str) -> float:
        """Return the flow that a worst case asks for, "need" or else the least [m3/s]."""
        return self.flow if asks == "need" else self.least


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a unit is asked for: the water it gets at the warmest sea, and what that must hold."""

    unit: str
    cooling: float
    sea: float
    salinity: float
    inlet: float
    rise: float
    rise_source: str
    margin: float


_ASIDE = ("bore", "point", "heating")  # of a coil: what it needs is the same wherever it stands
MOST_KEPT = 64  # needs of some boats: those drawn of a case mostly have those of her units


def unit_needs(case: Case, built: Built) -> tuple[UnitNeed, ...]:
    """Return the need of every unit of a loop at the warmest sea."""
    return needs_each([(case, built)])[0]


def needs_each(boats: Sequence[tuple[Case, Built]]) -> list[tuple[UnitNeed, ...]]:
    """Return the needs of the units of several boats, all sought at once."""
    units = [
        tuple((_asked(case, built, coil), alike(coil, _ASIDE)) for coil in built.loop.coils)
        for case, built in boats
    ]
    different = tuple(dict.fromkeys(unit for mine in units for unit in mine))
    known = dict(zip(different, _sought(different), strict=True))
    return [tuple(known[unit] for unit in mine) for mine in units]


@lru_cache(MOST_KEPT)
def _sought(units: tuple[tuple[_Asked, Alike[Coil]], ...]) -> list[UnitNeed]:
    found: dict[int, UnitNeed] = {}
    for rows, coil in as_one([anywhere.record for _, anywhere in units]):
        limits = [units[row][1].record.flow_limits for row in rows]
        found |= zip(rows, _needs([units[row][0] for row in rows], coil, limits), strict=True)
    return [found[row] for row in range(len(units))]


def needs_of(case: Case, built: Built, coil: Coil, size: int) -> list[UnitNeed]:
    """Return the needs of a unit by the numbers of its coil, arrays along an axis of `size`.

    All are sought at once.
    """
    return _needs([_asked(case, built, coil)] * size, coil, [coil.flow_limits] * size)


def _asked(case: Case, built: Built, coil: Coil) -> _Asked:
    unit = next(unit for unit in built.network.units if unit.name == coil.unit)
    return _Asked(
        unit=unit.name,
        cooling=unit.cooling,
        sea=case.sea.warmest,
        salinity=case.sea.salinity,
        inlet=case.sea.warmest + _rise_before(case, unit, built),
        rise=unit.permitted_rise or case.design.permitted_rise,
        rise_source="case" if unit.permitted_rise or _is_given(case) else "practice",
        margin=case.design.cut_out_margin,
    )


def _needs(asked: Sequence[_Asked], coil: Coil, limits: Sequence[_Limits]) -> list[UnitNeed]:
    """Return what is needed of a unit that is asked so, by the rows of its coil and limits."""
    sea, salinity, inlet, rise, margin = (
        _column([getattr(one, name) for one in asked])
        for name in ("sea", "salinity", "inlet", "rise", "margin")
    )
    now = Conditions(sea_temperature=sea, salinity=salinity, running={asked[0].unit: True})
    on, water = replace(coil, switched_on=True), seawater(now.sea_temperature, now.salinity)
    run = _Run(on, now, water, inlet, rise, margin)
    needs = []
    for one, most, least_flows in zip(asked, limits, _least_flows(run, len(asked)), strict=True):
        for_rise, for_condensing = least_flows
        criteria = (
            Criterion(
                fact("design.permitted_rise", rise=amount("rise", one.rise)),
                for_rise,
                one.rise_source,
            ),
            Criterion(
                fact("design.clear_of_cut_out", margin=amount("rise", one.margin)),
                for_condensing,
                "derived",
            ),
            Criterion(fact("design.makers_least"), most[0], "case"),
        )
        can_run = for_rise is not None and for_condensing is not None
        needs.append(_Need(one, most, criteria, can_run))
    return _described(needs, run)


def _column(numbers: Sequence[float]) -> Number:
    """Return numbers as an array, or as one where they are the same."""
    return numbers[0] if len(set(numbers)) == 1 else np.asarray(numbers)


def _rise_before(case: Case, unit: Unit, built: Built) -> float:
    """Return by how much units in series before this one may warm its water [K]."""
    before = upstream(built.network, unit.name)
    return sum(
        other.permitted_rise or case.design.permitted_rise
        for other in built.network.units
        if other.name in before and other.switched_on is not False
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """A coil at the warmest sea, its water and the temperature of that, and what it must hold."""

    coil: Coil
    now: Conditions
    water: Seawater
    inlet: Number
    rise: Number
    margin: Number


@dataclass(frozen=True, slots=True)
class _Need:
    asked: _Asked
    limits: _Limits
    criteria: tuple[Criterion, ...]
    can_run: bool

    @property
    def set_by(self) -> Criterion:
        return max(self.criteria, key=lambda item: item.flow or 0.0)

    @property
    def flow(self) -> float:
        return self.set_by.flow or 0.0

    @property
    def least(self) -> float:
        return min(max(self.criteria[1].flow or 0.0, self.limits[0] or 0.0), self.flow)


def _described(needs: Sequence[_Need], run: _Run) -> list[UnitNeed]:
    at = _at(run, np.asarray([max(need.flow, 1e-9) for need in needs]))
    return [_with_what_it_does(need, at, row) for row, need in enumerate(needs)]


def _with_what_it_does(need: _Need, at: UnitPoint, row: int) -> UnitNeed:
    cooling = int(at.state[row]) == COOLING
    tons = need.asked.cooling / TON
    setting = need.set_by
    return UnitNeed(
        name=need.asked.unit,
        cooling=need.asked.cooling,
        heat_rejected=float(at.heat_rejected[row]),
        flow=need.flow,
        least=need.least,
        most=need.limits[1],
        set_by=setting.what if setting.flow is not None else fact("design.no_flow_is_enough"),
        criteria=need.criteria,
        inlet_temperature=float(at.inlet_temperature[row]),
        temperature_rise=float(at.temperature_rise[row]),
        outlet_temperature=float(at.outlet_temperature[row]),
        condensing_temperature=float(at.condensing_temperature[row]) if cooling else None,
        cut_out_margin=float(at.cut_out_margin[row]) if cooling else None,
        can_run=need.can_run and cooling,
        flow_per_ton=need.flow / tons,
        rule_flows=(limit("rule_least") * tons, limit("rule_aim") * tons),
        rule_says=_beside_the_rules(need.flow / tons),
    )


def _beside_the_rules(per_ton: float) -> Fact:
    if per_ton < limit("rule_fail"):
        return fact("design.below_any_rating", least=amount("flow", limit("rule_fail")))
    if per_ton < limit("rule_least"):
        return fact("design.below_the_rules")
    if per_ton < limit("rule_aim"):
        return fact("design.between_the_rules")
    return fact("design.above_the_rules")


def _is_given(case: Case) -> bool:
    return ("design", "permitted_rise") in case.text.where


def _at(run: _Run, flow: Array) -> UnitPoint:
    inlet = np.broadcast_to(np.asarray(run.inlet, dtype=float), flow.shape)
    return run_unit(run.coil, run.now, run.water, (flow, inlet))


def _holds(run: _Run, at: UnitPoint) -> tuple[Truths, Truths]:
    """Return where the rise is permitted, and where the unit is clear of its cut-out."""
    clear = np.nan_to_num(at.cut_out_margin, nan=-1.0) >= run.margin
    return np.asarray(at.temperature_rise <= run.rise), np.asarray(clear)


def _least_flows(run: _Run, size: int) -> list[tuple[float | None, ...]]:
    """Return by row the least flows from which on each criterion holds; None if none searched does.

    Each round looks at many flows in one call, for both criteria at once, and keeps of each the one
    step in which it starts to hold.
    """
    shape = (2, size)
    low, never = np.zeros(shape), np.zeros(shape, dtype=bool)
    high = MOST_SEARCHED * np.asarray(run.coil.rated_flow, dtype=float) + np.zeros(shape)
    each = run if size == 1 else take(run, np.tile(np.arange(size), STEPS * 2))
    for _ in range(ROUNDS):
        tried = np.linspace(low, high, STEPS + 1)[1:]
        at = _at(each, tried.ravel())
        for number, holds in enumerate(_holds(each, at)):
            fails = ~((at.state == COOLING) & holds).reshape(tried.shape)[:, number]
            first = np.where(fails.any(axis=0), STEPS - np.argmax(fails[::-1], axis=0), 0)
            never[number] |= first >= STEPS
            mine = tried[:, number]
            start = np.where(first > 0, mine[first - 1, np.arange(size)], low[number])
            end = mine[np.minimum(first, STEPS - 1), np.arange(size)]
            low[number] = np.where(never[number], low[number], start)
            high[number] = np.where(never[number], high[number], end)
    return [
        tuple(None if none else most for none, most in zip(*row, strict=True))
        for row in zip(never.T.tolist(), high.T.tolist(), strict=True)
    ]
