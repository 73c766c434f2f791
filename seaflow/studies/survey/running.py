"""A loop as it runs with its fitted pump: flow and pressures, and what a blocked basket does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Cock
from seaflow.model.loop import Loop
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OFF, OperatingPoint
from seaflow.model.pressures import heads_by_element, pressures, pump_gauge
from seaflow.studies.design.need import UnitNeed, unit_needs
from seaflow.studies.design.supply import cable_drop

BLOCKED = np.linspace(0.0, 0.99, 100)  # shares of the open area that are tried
MET = 0.99  # of a need: from there on it counts as met
CLEAR_FALL, LOOKS_RIGHT = 2e3, 1.1  # Pa that a gauge shows; times the clean rise
STRAINER_LOSS = fact("survey.strainer_loss")  # on what it rests
SHOWN = (0, 50, 75, 90, 95)  # of these, per cent, that are printed


@dataclass(frozen=True, slots=True, eq=False)
class LoopRun:
    """A loop with its fitted pump at the warmest sea, over the blocked share of its basket.

    In `point` the dirt lies evenly (screen correlation), in `matted` it costs the worse of that and
    of a mat (table of strainer losses).
    """

    needs: Mapping[str, UnitNeed]
    point: OperatingPoint
    matted: OperatingPoint


@dataclass(frozen=True, slots=True)
class AtBlockage:
    """Flow, gauge pressure at the pump inlet and largest rise of a unit's water, one blocked share.

    The dirt is taken as evenly spread (screen correlation), and as matted (table). `stopped` and
    `matted_stopped` are the units that cool no longer, whose water counts in no rise.
    """

    blocked: float = measured("-")
    flow: float = measured("m3/s")
    inlet_gauge: float | None = measured("Pa")
    temperature_rise: float | None = measured("K")
    matted_flow: float = measured("m3/s")
    matted_gauge: float | None = measured("Pa")
    matted_rise: float | None = measured("K")
    stopped: tuple[str, ...] = ()
    matted_stopped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UnitLimit:
    """How blocked the basket may get before a unit falls below its least flow, and the gauge then.

    `even` goes by the screen correlation, `matted` by the table; None where nothing up to 99 % does
    it. Zero says that the unit has too little with a clean basket. `gauge_then` is the reading at
    the pump inlet at whichever of the two comes first. The same holds of `need`, what the unit asks
    for as the sizing says, by `set_by`; `clean` is what it gets with a clean basket.
    """

    unit: str
    set_by: Fact
    need: float = measured("m3/s")
    clean: float = measured("m3/s")
    need_even: float | None = measured("-")
    need_matted: float | None = measured("-")
    need_gauge: float | None = measured("Pa")
    least: float = measured("m3/s")
    even: float | None = measured("-")
    matted: float | None = measured("-")
    gauge_then: float | None = measured("Pa")

    @property
    def of_need(self) -> tuple[Fact, ...]:
        """How blocked the basket may get before the unit falls below its need."""
        told = {"unit": self.unit, "need": amount("flow", self.need), "set_by": self.set_by}
        if self.need_even == 0.0:
            return (fact("survey.need_not_met", clean=amount("flow", self.clean), **told),)
        until = _until(self.need_even, self.need_matted)
        return (fact("survey.need_kept", until=until, **told), *_gauge(self.need_gauge))

    @property
    def of_least(self) -> tuple[Fact, ...]:
        """How blocked the basket may get before the unit falls below its least flow."""
        told = {"unit": self.unit, "least": amount("flow", self.least)}
        if self.even == 0.0:
            return (fact("survey.least_not_met", **told),)
        until = _until(self.even, self.matted)
        return (fact("survey.least_kept", until=until, **told), *_gauge(self.gauge_then))


def _until(even: float | None, matted: float | None) -> Fact:
    if even is None and matted is None:
        return fact("survey.always", most=float(BLOCKED[-1]))
    if even is None:
        return fact("survey.until_matted", matted=matted, most=float(BLOCKED[-1]))
    if matted is None:
        return fact("survey.until_even", even=even, most=float(BLOCKED[-1]))
    return fact("survey.until_blocked", even=even, matted=matted)


def _gauge(gauge: float | None) -> tuple[Fact, ...]:
    return () if gauge is None else (fact("survey.gauge_then", gauge=amount("pressure", gauge)),)


@dataclass(frozen=True, slots=True)
class StrainerResult:
    """A strainer by numbers."""

    name: str
    loop: str
    port: float = measured("m")
    basket_area: float | None = measured("m2")
    open_area: float | None = measured("m2")
    over_hose: float | None = measured("-")
    at: tuple[AtBlockage, ...] = ()
    units: tuple[UnitLimit, ...] = ()
    rests_on: Fact = STRAINER_LOSS

    @property
    def size(self) -> Fact:
        """Ports and open area, or that the latter is not recorded."""
        if self.open_area is None or self.over_hose is None:
            return fact("survey.basket_not_recorded")
        return fact(
            "survey.basket",
            port=amount("bore", self.port),
            open_area=amount("basket_area", self.open_area),
            over_hose=self.over_hose,
        )

    @property
    def gauge_tells(self) -> bool:
        """True if a gauge falls clearly while the rise beside it looks right still."""
        even = [(row.inlet_gauge, row.temperature_rise) for row in self.at]
        matted = [(row.matted_gauge, row.matted_rise) for row in self.at]
        return _falls_first(even) or _falls_first(matted)


def _falls_first(column: list[tuple[float | None, float | None]]) -> bool:
    clean = column[0] if column else (None, None)
    if clean[0] is None or clean[1] is None:
        return False
    most, least = clean[0] - CLEAR_FALL, LOOKS_RIGHT * clean[1]
    known = [(gauge, rise) for gauge, rise in column[1:] if gauge is not None and rise is not None]
    return any(gauge < most and rise < least for gauge, rise in known)


def warmest(case: Case, network: Network, part: PumpPart) -> Conditions:
    """Return the conditions of the warmest sea, at the volts that the cable leaves a pump."""
    now = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=case.supply.voltage,
        frequency=case.supply.frequency,
    )
    return replace(now, voltage=cable_drop(case, network.pumps[0], part, now))


def run_loop(case: Case, network: Network, built: Built, part: PumpPart) -> LoopRun:
    """Return where a loop runs with its fitted pump as its baskets get blocked."""
    now = replace(warmest(case, network, part), strainer_blockage=BLOCKED)
    needs = {need.name: need for need in unit_needs(case, built)}
    return LoopRun(needs, operate(built.loop, now), operate(built.loop, replace(now, matted=1.0)))


def least_flow(need: UnitNeed) -> float:
    """Return what a unit must keep: no trip and its maker's least, or else its need [m3/s]."""
    return need.least or need.flow


def limits(run: LoopRun) -> tuple[UnitLimit, ...]:
    """Return how blocked the baskets may get before each unit falls below need and least flow."""
    found = []
    for name, need in run.needs.items():
        least = least_flow(need)
        if not need.running or least <= 0.0 or name not in run.point.units:
            continue
        even, matted = (_first(at, name, least) for at in (run.point, run.matted))
        short, mat = (_first(at, name, MET * need.flow) for at in (run.point, run.matted))
        found.append(
            UnitLimit(
                unit=name,
                set_by=need.set_by,
                need=need.flow,
                clean=float(run.point.units[name].volume_flow[0]),
                need_even=_share(short),
                need_matted=_share(mat),
                need_gauge=_then(run, short, mat),
                least=least,
                even=_share(even),
                matted=_share(matted),
                gauge_then=_then(run, even, matted),
            )
        )
    return tuple(found)


def _then(run: LoopRun, even: int | None, matted: int | None) -> float | None:
    known = [
        (at, index) for at, index in ((run.point, even), (run.matted, matted)) if index is not None
    ]
    if not known:
        return None
    point, index = min(known, key=lambda item: item[1])
    gauge = pump_gauge(point)
    return None if gauge is None else float(gauge[index])


def _first(point: OperatingPoint, unit: str, least: float) -> int | None:
    below = point.units[unit].volume_flow < least
    return int(np.argmax(below)) if below.any() else None


def _share(index: int | None) -> float | None:
    return None if index is None else float(BLOCKED[index])


def strainer_result(basket: Basket, loop: str, hose: float, run: LoopRun | None) -> StrainerResult:
    """Return a strainer by numbers; what depends on the pump is left out where none is fitted."""
    area, share = basket.basket_area, basket.open_share
    open_area = None if area is None or share is None else float(np.asarray(area) * share)
    return StrainerResult(
        name=basket.name,
        loop=loop,
        port=float(np.asarray(basket.bore)),
        basket_area=None if area is None else float(np.asarray(area)),
        open_area=open_area,
        over_hose=None if open_area is None else open_area / (np.pi * hose**2 / 4.0),
        at=() if run is None else tuple(_rows(run)),
        units=() if run is None else limits(run),
    )


def _rows(run: LoopRun) -> Iterator[AtBlockage]:
    flows = [point.total_flow() for point in (run.point, run.matted)]
    gauges = [pump_gauge(point) for point in (run.point, run.matted)]
    rises = [_rise(point) for point in (run.point, run.matted)]
    for index in SHOWN:
        yield AtBlockage(
            blocked=float(BLOCKED[index]),
            flow=float(flows[0][index]),
            inlet_gauge=_value(gauges[0], index),
            temperature_rise=_value(rises[0], index),
            matted_flow=float(flows[1][index]),
            matted_gauge=_value(gauges[1], index),
            matted_rise=_value(rises[1], index),
            stopped=_stopped(run.point, index),
            matted_stopped=_stopped(run.matted, index),
        )


def _stopped(point: OperatingPoint, index: int) -> tuple[str, ...]:
    """Return the units that are on and do not cool."""
    return tuple(
        name for name, unit in point.units.items() if unit.state[index] not in (COOLING, OFF)
    )


def _value(numbers: Array | None, index: int) -> float | None:
    return None if numbers is None or np.isnan(numbers[index]) else float(numbers[index])


def _rise(point: OperatingPoint) -> Array | None:
    """Return the largest rise of the water of a unit that cools, nan where none does [K]."""
    rises = [
        np.where(unit.state == COOLING, unit.temperature_rise, np.nan)
        for unit in point.units.values()
    ]
    if not rises:
        return None
    stacked = np.stack(rises)
    return np.where(np.isnan(stacked).all(axis=0), np.nan, np.fmax.reduce(stacked, axis=0))


def is_running(run: LoopRun) -> bool:
    """Return whether water runs through a loop, basket clean."""
    flow = float(run.point.total_flow()[0])
    return bool(np.isfinite(flow) and flow > 0.0)


def as_it_runs(run: LoopRun | None) -> tuple[Fact, ...]:
    """Return the flow, basket clean, and what a gauge at the pump inlet shows."""
    if run is None:
        return ()
    if not is_running(run):
        return (fact("survey.no_water_runs"),)
    flow = float(run.point.total_flow()[0])
    runs = fact("survey.runs", flow=amount("flow", flow))
    gauge = _value(pump_gauge(run.point), 0)
    if gauge is None:
        return (runs,)
    return (runs, fact("survey.gauge_at_inlet", gauge=amount("pressure", gauge)))


def pressure_at(run: LoopRun | None, label: str) -> tuple[Fact, ...]:
    """Return the pressure at a point of a loop as it runs, basket clean, where it is known."""
    for point in pressures(run.point) if run is not None and is_running(run) else ():
        gauge = float(np.ravel(point.gauge)[0])
        if point.label == label and np.isfinite(gauge):
            told = amount("pressure", gauge)
            if gauge < 0.0:  # less than the air outside, which comes in at a joint
                return (fact("survey.draws_air", gauge=told),)
            return (fact("survey.draws_no_air", gauge=told),)
    return ()


def cock_loss(loop: Loop, run: LoopRun | None, name: str) -> tuple[Fact, ...]:
    """Return the loss of an open valve at the hull: its coefficient, and its head as it runs."""
    for element in loop.elements(Cock):
        if element.name == name:
            k = float(np.ravel(np.asarray(element.loss_coefficient))[0])
            heads = heads_by_element(run.point) if run is not None and is_running(run) else ()
            lost = [float(item.lost[0]) for item in heads if item.name == name]
            found = fact("survey.valve_loss", coefficient=k, name=name)
            return (found, *(fact("survey.valve_head", head=amount("head", one)) for one in lost))
    return ()
