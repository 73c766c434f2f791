"""How much water each unit needs, and which criterion sets it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from seaflow.base.alike import Alike, alike
from seaflow.base.arrays import Array
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
from seaflow.physics.water.seawater import Seawater, seawater
from seaflow.studies.design.limits import limit

Holds = Callable[[UnitPoint], NDArray[np.bool_]]

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
MOST_KEPT = 256  # needs: boats drawn of a case mostly share those of her units


def unit_needs(case: Case, built: Built) -> tuple[UnitNeed, ...]:
    """Return the need of every unit of a loop at the warmest sea."""
    return tuple(_need(_asked(case, built, coil), alike(coil, _ASIDE)) for coil in built.loop.coils)


@lru_cache(MOST_KEPT)
def _need(asked: _Asked, anywhere: Alike[Coil]) -> UnitNeed:
    return _needs(asked, anywhere.record, 1)[0]


def needs_of(case: Case, built: Built, coil: Coil, size: int) -> list[UnitNeed]:
    """Return the needs of a unit by the numbers of its coil, arrays along an axis of `size`.

    All are sought at once.
    """
    return _needs(_asked(case, built, coil), coil, size)


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


def _needs(asked: _Asked, coil: Coil, size: int) -> list[UnitNeed]:
    now = Conditions(sea_temperature=asked.sea, salinity=asked.salinity, running={asked.unit: True})
    rise, margin = asked.rise, asked.margin
    on, water = replace(coil, switched_on=True), seawater(now.sea_temperature, now.salinity)
    run = _Run(on, now, water, asked.inlet, MOST_SEARCHED * float(coil.rated_flow))
    found = _least_flows(
        run,
        size,
        lambda at: at.temperature_rise <= rise,
        lambda at: np.nan_to_num(at.cut_out_margin, nan=-1.0) >= margin,
    )
    needs = []
    for for_rise, for_condensing in zip(*found, strict=True):
        criteria = (
            Criterion(
                fact("design.permitted_rise", rise=amount("rise", rise)),
                for_rise,
                asked.rise_source,
            ),
            Criterion(
                fact("design.clear_of_cut_out", margin=amount("rise", margin)),
                for_condensing,
                "derived",
            ),
            Criterion(fact("design.makers_least"), coil.flow_limits[0], "case"),
        )
        can_run = for_rise is not None and for_condensing is not None
        needs.append(_Need(asked, coil.flow_limits, criteria, can_run))
    return _described(needs, run)


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
    """A coil at the warmest sea, its water and the temperature of that, and the most flow tried."""

    coil: Coil
    now: Conditions
    water: Seawater
    inlet: float
    most: float


@dataclass(frozen=True, slots=True)
class _Need:
    asked: _Asked
    limits: tuple[float | None, float | None]
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
    at = _at(run, np.asarray([max(need.flow, 1e-9) for need in needs]), np.arange(len(needs)))
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


def _at(run: _Run, flow: Array, rows: NDArray[np.intp]) -> UnitPoint:
    coil = take(run.coil, rows) if rows.any() else run.coil
    inlet = np.full(flow.shape, run.inlet)
    return run_unit(coil, run.now, run.water, (flow, inlet))


def _least_flows(run: _Run, size: int, *criteria: Holds) -> list[list[float | None]]:
    """Return by criterion the least flows from which on it holds; None if no flow searched does.

    Each round looks at many flows in one call, for all criteria at once, and keeps of each the one
    step in which it starts to hold.
    """
    shape = (len(criteria), size)
    low, high, never = np.zeros(shape), np.full(shape, run.most), np.zeros(shape, dtype=bool)
    rows = np.tile(np.arange(size), STEPS * len(criteria))
    for _ in range(ROUNDS):
        tried = np.linspace(low, high, STEPS + 1)[1:]
        at = _at(run, tried.ravel(), rows)
        for number, holds in enumerate(criteria):
            fails = ~((at.state == COOLING) & holds(at)).reshape(tried.shape)[:, number]
            first = np.where(fails.any(axis=0), STEPS - np.argmax(fails[::-1], axis=0), 0)
            never[number] |= first >= STEPS
            mine = tried[:, number]
            start = np.where(first > 0, mine[first - 1, np.arange(size)], low[number])
            end = mine[np.minimum(first, STEPS - 1), np.arange(size)]
            low[number] = np.where(never[number], low[number], start)
            high[number] = np.where(never[number], high[number], end)
    return [
        [None if none else most for none, most in zip(*row, strict=True)]
        for row in zip(never.tolist(), high.tolist(), strict=True)
    ]
