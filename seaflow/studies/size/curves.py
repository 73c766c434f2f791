"""Pump curve over system curve: lines, crossings, what the coils ask and allow, and the band.

Flows are those through the first pump place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, built_with
from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.physics.pumping.pump import head_and_slope
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.which_pump import supplied
from seaflow.studies.design.worst_cases import WorstCase, stacked, worst_cases
from seaflow.studies.size.demand import Demand, demand_of, first_pump, swept
from seaflow.studies.size.size import LoopSize, Sizing
from seaflow.studies.size.to_buy import ToBuy

N_FLOWS = 61
MOST_DRAWN = 6  # pumps in one picture
DESIGN, DIRTY = "design", ("strainer blocked", "growth")
DRAWN = (DESIGN, *DIRTY)  # worst cases whose line of the loop is drawn


@dataclass(frozen=True, slots=True)
class PumpLine:
    """The curve of one pump with the volts that reach it; `number` is its rank."""

    number: int
    name: str
    title: str
    invented: bool
    fitted: bool
    grade: str
    flow: tuple[float, ...] = measured("m3/s")
    head: tuple[float, ...] = measured("m")
    asked_for: bool = False


@dataclass(frozen=True, slots=True)
class LoopLine:
    """What the loop asks of its pump over flow, in one worst case."""

    name: str
    where: Fact
    flow: tuple[float, ...] = measured("m3/s")
    head: tuple[float, ...] = measured("m")


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where the pump put first runs in one worst case, or another pump at the design point."""

    number: int
    name: str
    where: Fact
    flow: float = measured("m3/s")
    head: float = measured("m")


@dataclass(frozen=True, slots=True)
class LoopCurves:
    """Everything that a picture of pump and loop shows.

    `places` is the number of pump places in the loop; the band holds on nine days in ten. `buy` is
    what to ask of a pump. From `fills_at` on, all clean, the hose down to an outlet runs full; None
    where it always does so.
    """

    loop: str
    places: int
    pumps: tuple[PumpLine, ...]
    low_volts: PumpLine | None
    loops: tuple[LoopLine, ...]
    crossings: tuple[Crossing, ...]
    asked: Demand | None
    buy: ToBuy | None
    flow_band: tuple[float, float] | None = measured("m3/s")
    head_band: tuple[float, float] | None = measured("m")
    fills_at: float | None = measured("m3/s")


def boat_curves(case: Case, answer: Sizing) -> tuple[LoopCurves, ...]:
    """Return the curves of every loop that has a pump to show."""
    found = {item.name: item for item in network.loops(case)}
    shown = ((found[loop.name], loop) for loop in answer.loops if loop.pumps)
    return tuple(loop_curves(case.on_supply_of(one.pumps[0]), one, loop) for one, loop in shown)


def loop_curves(case: Case, found: Network, loop: LoopSize) -> LoopCurves:
    """Return the curves of one loop with the pumps that are worth drawing."""
    loop = replace(loop, asks=_at_a_place(found, loop))
    own = {sheet.name for sheet in case.catalogue.own}
    shown = [
        item
        for item in loop.pumps
        if item is loop.chosen or item.fitted or item.part.name in own or not item.part.invented
    ]
    worst, best = worst_cases(case), loop.pumps[0]
    built = {item.part.name: built_with(case, found, item.part) for item in shown[:MOST_DRAWN]}
    design = worst[0].conditions
    lines: list[PumpLine] = []
    crossings: list[Crossing] = []
    for item in shown[:MOST_DRAWN]:
        number, with_it = loop.pumps.index(item) + 1, built[item.part.name]
        now = supplied(case, found, item.part, design)
        flow, head = _pump_points(with_it, now)
        told = (number, item.part.name, item.part.title, item.part.invented)
        drawn = (item.judgement.grade, flow, head, item.asked_for)
        lines.append(PumpLine(*told, item.fitted, *drawn))
        found_at = [*_crossings(case, with_it, item.part, worst, number)]
        crossings += _worth_drawing(found_at) if item is best else found_at[:1]
    first = built[best.part.name]
    bands = {} if len(found.pumps) > 1 else _bands(loop, best.part.name)
    sweeps = _sweeps(case, first, best.part, worst)
    return LoopCurves(
        loop=loop.name,
        places=len(found.pumps),
        pumps=tuple(lines),
        low_volts=_low_volts(case, first, lines[shown.index(best)], worst),
        loops=tuple(_loop_lines(sweeps, worst)),
        crossings=tuple(crossings),
        asked=_asked(sweeps[DESIGN], first, loop),
        buy=loop.asks if loop.asks is not None and loop.asks.in_reach else None,
        flow_band=bands.get("flow"),
        head_band=bands.get("head"),
        fills_at=_fills_at(sweeps[DESIGN]),
    )


def _at_a_place(found: Network, loop: LoopSize) -> ToBuy | None:
    """Return what is asked of a pump place, whose line is that of all pumps side by side there."""
    asks, abreast = loop.asks, found.pumps[0].in_parallel or 1
    if asks is None or abreast == 1:
        return asks
    most = None if asks.most is None else asks.most * abreast
    clean = asks.clean_flow * abreast
    return replace(asks, flow=asks.flow * abreast, clean_flow=clean, most=most)


def _bands(loop: LoopSize, pump: str) -> dict[str, tuple[float, float]]:
    """Return the bands of a pump by name; nothing where no days were drawn."""
    mine = None if loop.certainty is None else loop.certainty.of(pump)
    return {} if mine is None else {item.name: (item.low, item.high) for item in mine.bands}


def _pump_points(built: Built, now: Conditions) -> tuple[tuple[float, ...], tuple[float, ...]]:
    running = running_pump(built.loop.pumps[0], now)
    speed = float(np.max(np.asarray(running.speed)))
    flow = np.linspace(0.0, float(np.asarray(running.curve.free_flow)) * speed, N_FLOWS)
    return _numbers(flow), _numbers(head_and_slope(running.curve, flow, speed)[0])


def _low_volts(
    case: Case, built: Built, full: PumpLine, worst: Sequence[WorstCase]
) -> PumpLine | None:
    """Return the curve at the lowest volts, None where they are none or change nothing."""
    low = next((item for item in worst if item.name == "low voltage"), None)
    if low is None:
        return None
    part = built.pumps[built.network.pumps[0].name]
    flow, head = _pump_points(built, supplied(case, built.network, part, low.conditions))
    same = np.isclose(head[0], full.head[0], rtol=0.01) and np.isclose(flow[-1], full.flow[-1])
    return None if same or flow[-1] <= 0.0 else replace(full, flow=flow, head=head)


def _crossings(
    case: Case, built: Built, part: PumpPart, worst: Sequence[WorstCase], number: int
) -> Iterator[Crossing]:
    place = built.network.pumps[0]
    volts = [cable_drop(case, place, part, item.conditions) for item in worst]
    point = operate(built.loop, stacked(worst, volts))
    at = first_pump(point)
    for row, item in enumerate(worst):
        if at.volume_flow[row] > 0.0:
            flow, head = float(at.volume_flow[row]), float(at.head[row])
            yield Crossing(number, item.name, item.where, flow, head)


def _worth_drawing(found: Sequence[Crossing]) -> list[Crossing]:
    """Return the crossings on lines that are drawn, and that of the least flow."""
    least = min(found, key=lambda item: item.flow, default=None)
    drawn = (*DRAWN, "low voltage")
    return [item for item in found if item.name in drawn or item is least]


def _sweeps(
    case: Case, built: Built, part: PumpPart, worst: Sequence[WorstCase]
) -> dict[str, OperatingPoint]:
    """Return the loop run at many speeds in every worst case whose line is drawn, by its name."""
    drawn = (item for item in worst if item.name in DRAWN)
    return {item.name: swept(case, built, part, item.conditions) for item in drawn}


def _fills_at(point: OperatingPoint) -> float | None:
    """Return the flow from which all legs run full, where at less some do not."""
    flow = first_pump(point).volume_flow
    full = np.all(point.full, axis=0) | (flow <= 0.0)
    if full.all() or not full[-1]:
        return None
    return float(flow[int(np.max(np.nonzero(~full)[0])) + 1])


def _loop_lines(
    sweeps: Mapping[str, OperatingPoint], worst: Sequence[WorstCase]
) -> Iterator[LoopLine]:
    for item in worst:
        if item.name in sweeps:
            at = first_pump(sweeps[item.name])
            flowing = at.volume_flow > 0.0
            flow, head = at.volume_flow[flowing], at.head[flowing]
            if flow.size:
                yield LoopLine(item.name, item.where, _numbers(flow), _numbers(head))


def _asked(point: OperatingPoint, built: Built, loop: LoopSize) -> Demand | None:
    """Return what the loop asks; the figure is that to which what to buy is held."""
    found, asks = demand_of(point, built, loop.needs), loop.asks
    if found is None or asks is None:
        return found
    found = replace(found, most=asks.most, limited_by=asks.limited_by)
    if len(built.network.pumps) > 1:
        return found
    return replace(found, flow=asks.clean_flow, head=asks.clean_head)


def _numbers(array: Array) -> tuple[float, ...]:
    return tuple(float(value) for value in np.asarray(array))
