"""The strainer against its pump: where the loop runs as the basket gets blocked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket
from seaflow.model.loop import Loop
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OperatingPoint
from seaflow.model.pressures import pump_gauge
from seaflow.studies.design.need import UnitNeed, unit_needs
from seaflow.studies.design.supply import cable_drop

BLOCKED = np.linspace(0.0, 0.99, 100)  # shares of the open area that are tried
MET = 0.99  # of a need: from there on it counts as met
SHOWN = (0, 50, 75, 90, 95)  # of these, per cent, that are printed
BASIS = (
    "Loss of the basket after Idelchik's thin sharp-edged plate, as read in a public model "
    "library that cites him. It is stated for Reynolds numbers of the hole above 100 000; holes of "
    "a basket run near 100 when clean and near 1000 when nine tenths are blocked, so plus or minus "
    "half, our own judgement. It takes the dirt as evenly spread; the second figure, by the "
    "invented table of strainer losses, takes it as matted. A reading at the pump inlet beats both."
)


@dataclass(frozen=True, slots=True, eq=False)
class LoopRun:
    """A loop with its fitted pump at the warmest sea, over the blocked share of its basket.

    `point` goes by the screen correlation, `matted` by the table of strainer losses.
    """

    needs: Mapping[str, UnitNeed]
    point: OperatingPoint
    matted: OperatingPoint


@dataclass(frozen=True, slots=True)
class AtBlockage:
    """Flow, gauge pressure at the pump inlet and largest rise of a unit's water, one blocked share.

    The dirt is taken as evenly spread (screen correlation), and as matted (table).
    """

    blocked: float = measured("-")
    flow: float = measured("m3/s")
    inlet_gauge: float | None = measured("Pa", None)
    temperature_rise: float | None = measured("K", None)
    matted_flow: float = measured("m3/s", 0.0)
    matted_gauge: float | None = measured("Pa", None)
    matted_rise: float | None = measured("K", None)


@dataclass(frozen=True, slots=True)
class UnitLimit:
    """How blocked the basket may get before a unit falls below its least flow, and the gauge then.

    `even` goes by the screen correlation, `matted` by the table; None where nothing up to 99 % does
    it. Zero says that the unit has too little with a clean basket. `gauge_then` is the reading at
    the pump inlet at whichever of the two comes first. The same holds of `need`, what the unit asks
    for as the sizing says, by `set_by`; `clean` is what it gets with a clean basket.
    """

    unit: str
    set_by: str
    need: float = measured("m3/s")
    clean: float = measured("m3/s")
    need_even: float | None = measured("-", None)
    need_matted: float | None = measured("-", None)
    need_gauge: float | None = measured("Pa", None)
    least: float = measured("m3/s", 0.0)
    even: float | None = measured("-", None)
    matted: float | None = measured("-", None)
    gauge_then: float | None = measured("Pa", None)


@dataclass(frozen=True, slots=True)
class StrainerResult:
    """A strainer by numbers."""

    name: str
    loop: str
    port: float = measured("m")
    basket_area: float | None = measured("m2", None)
    open_area: float | None = measured("m2", None)
    over_hose: float | None = measured("-", None)
    at: tuple[AtBlockage, ...] = ()
    units: tuple[UnitLimit, ...] = ()
    basis: str = BASIS


def run_loop(case: Case, network: Network, built: Built, part: PumpPart) -> LoopRun:
    """Return where a loop runs with its fitted pump as its baskets get blocked."""
    now = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=case.supply.voltage,
        frequency=case.supply.frequency,
        strainer_blockage=BLOCKED,
    )
    volts = cable_drop(case, network.pumps[0], part, now)
    now = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=volts,
        frequency=case.supply.frequency,
        strainer_blockage=BLOCKED,
    )
    matted: Loop = built.loop
    for basket in built.loop.strainers:
        matted = matted.changed(basket, table_share=1.0)
    needs = {need.name: need for need in unit_needs(case, built)}
    return LoopRun(needs, operate(built.loop, now), operate(matted, now))


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
                set_by=str(need.set_by),
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
    """Return a strainer by numbers; what hangs on the pump is left out where none is fitted."""
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
