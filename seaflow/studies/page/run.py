"""The run of a loop from sea to sea: what the water is at every thing that it passes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import GRAVITY
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network, numbers_of
from seaflow.model.build import Built, built_with
from seaflow.model.elements import Basket, Coil, Element, Entry, HoseRun, Pumping
from seaflow.model.first_fill import Pocket
from seaflow.model.loop import Link
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.model.pressures import ElementHead, heads_by_element, pressures
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.suction import gauge_pressure
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.page.profile import Profile, profiles_of

WATER, AIR, UNKNOWN = "water", "air", "not known"  # what stands at a thing with the pump at rest
KINDS: tuple[tuple[type[Element], str], ...] = (
    (Entry, "intake"),
    (Basket, "strainer"),
    (Pumping, "pump"),
    (Coil, "unit"),
)


@dataclass(frozen=True, slots=True)
class Stop:
    """A thing on the run, or a joint of several: its water, running and at rest.

    `number` counts the things along the loop. `gauge` is at the near end, and
    `gauge_after` behind a pump or a coil. `stands` is what is there at rest: water, whose gauge
    pressure is `gauge_at_rest`, or air. `hose_length` and `hose_bore` are of the hose onward.
    """

    name: str
    kind: str
    number: int = 0
    stands: str = UNKNOWN
    height: float | None = measured("m", None)
    flow: float = measured("m3/s", 0.0)
    velocity: float | None = measured("m/s", None)
    temperature: float = measured("degC", 0.0)
    temperature_after: float = measured("degC", 0.0)
    gauge: float | None = measured("Pa", None)
    gauge_after: float | None = measured("Pa", None)
    gauge_at_rest: float | None = measured("Pa", None)
    hose_length: float | None = measured("m", None)
    hose_bore: float | None = measured("m", None)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the run without branches; `start` and `end` are joints, empty for the sea."""

    start: str
    end: str
    stops: tuple[Stop, ...]


@dataclass(frozen=True, slots=True)
class RunOfLoop:
    """The run of one loop with one pump, at the design point; `air` is what a first start leaves.

    `starts` is the outcome of a first start upright.
    """

    name: str
    pump: str
    title: str
    invented: bool
    fitted: bool
    asked_for: bool
    starts: str
    stretches: tuple[Stretch, ...]
    profiles: tuple[Profile, ...]
    air: tuple[Pocket, ...]


def loop_run(case: Case, found: Network, chosen: PumpResult) -> RunOfLoop:
    """Return the run of a loop with a pump, in the warmest sea, clean, with the usual supply."""
    built = built_with(case, found, chosen.part)
    point = operate(built.loop, full_supply(case, found, chosen.part))
    water = _Water(built, point, chosen)
    numbers = numbers_of(found)
    links = sorted({number for path in built.loop.paths for number in path})
    stretches = [_numbered(water.stretch(number), numbers) for number in links]
    stretches.sort(key=lambda stretch: max((stop.number for stop in stretch.stops), default=0))
    upright = chosen.start.upright
    return RunOfLoop(
        name=found.name,
        pump=chosen.part.name,
        title=chosen.part.title,
        invented=chosen.part.invented,
        fitted=chosen.fitted,
        asked_for=chosen.asked_for,
        starts=chosen.start.outcome,
        stretches=tuple(stretches),
        profiles=profiles_of(case, point, numbers),
        air=tuple(dict.fromkeys(pocket for one in upright for pocket in one.pockets)),
    )


def _numbered(stretch: Stretch, numbers: Mapping[str, int]) -> Stretch:
    """Return a stretch with the number that each thing has along the loop."""
    stops = (replace(stop, number=numbers.get(stop.name, 0)) for stop in stretch.stops)
    return replace(stretch, stops=tuple(stops))


class _Water:
    """What the water is along the links of a loop that runs."""

    def __init__(self, built: Built, point: OperatingPoint, chosen: PumpResult) -> None:
        self.built, self.point = built, point
        self.heads: Mapping[tuple[int, str], ElementHead] = {
            (item.link, item.name): item for item in heads_by_element(point)
        }
        self.gauges = {(item.link, item.label): item.gauge for item in pressures(point)}
        starts = chosen.start.upright
        self.floods = bool(starts) and all(start.flooded for start in starts)
        self.trapped = {pocket.crest for start in starts for pocket in start.pockets}

    def stretch(self, number: int) -> Stretch:
        """Return the stops of one link, after the joint that it starts at."""
        link = self.point.loop.links[number]
        stops = [*self._joint(link, number), *self._things(link, number)]
        return Stretch(link.start, link.end, tuple(stops))

    def _joint(self, link: Link, number: int) -> Iterator[Stop]:
        node = self.point.loop.node_point(link.start)
        if node is None:
            return
        height = _one(node.height)
        warm = float(np.ravel(self.point.node_temperature[link.start])[0])
        flow = float(np.ravel(self.point.flow[number])[0])
        head = self.point.node_head[link.start]
        gauge = None if height is None else self._gauge(head, height, 0.0)
        stands, rest = self._at_rest(node.label, height, before=False)
        length, bore = _hose_after(link.elements, -1)
        yield Stop(
            *(node.label, "joint", 0, stands, height, flow, None, warm, warm, gauge, gauge),
            *(rest, length, bore),
        )

    def _things(self, link: Link, number: int) -> Iterator[Stop]:
        point = self.point
        flow = float(np.ravel(point.flow[number])[0])
        warm = point.conditions.sea_temperature if link.from_sea else None
        if warm is None:
            warm = point.node_temperature[link.start]
        now = float(np.ravel(np.asarray(warm))[0])
        before = link.from_sea
        for index, element in enumerate(link.elements):
            if element.point is None:
                continue
            after = now
            if isinstance(element, Coil):
                after = float(np.ravel(point.units[element.unit].outlet_temperature)[0])
            height = _one(element.point.height)
            gauge = self.gauges.get((number, element.point.label))
            stands, rest = self._at_rest(element.point.label, height, before)
            length, bore = _hose_after(link.elements, index)
            yield Stop(
                *(element.point.label, _kind(link, element), 0, stands, height, flow),
                *(_speed(element, flow), now, after, _one(gauge)),
                self._after(element, number, height),
                *(rest, length, bore),
            )
            before = before and not isinstance(element, Pumping)
            now = after

    def _after(self, element: Element, number: int, height: float | None) -> float | None:
        """Return the gauge pressure behind a pump or a coil [Pa]; None elsewhere."""
        if height is None or not isinstance(element, (Pumping, Coil)):
            return None
        head = self.heads[number, element.name].head_after
        flow = float(np.ravel(self.point.flow[number])[0])
        return self._gauge(head, height, _speed(element, flow) or 0.0)

    def _gauge(self, head: Array, height: float, speed: float) -> float:
        return float(
            np.ravel(np.asarray(gauge_pressure(head, height, speed, self.point.water.density)))[0]
        )

    def _at_rest(self, label: str, height: float | None, before: bool) -> tuple[str, float | None]:
        """Return what stands at a point with the pump at rest, and the gauge pressure of water."""
        if height is None:
            return UNKNOWN, None
        if height >= 0.0 or label in self.trapped:
            return AIR, None
        if not before and not self.floods:
            return UNKNOWN, None
        density = float(np.ravel(np.asarray(self.point.water.density))[0])
        return WATER, -density * GRAVITY * height


def _kind(link: Link, element: Element) -> str:
    if link.to_sea and element is link.elements[-1]:
        return "outlet"
    return next((word for kind, word in KINDS if isinstance(element, kind)), "fitting")


def _speed(element: Element, flow: float) -> float | None:
    """Return the speed of the water at a thing [m/s]; in a coil that in its tubes, where known."""
    if isinstance(element, Coil):
        return _one(element.velocity(flow))
    return _one(velocity(flow, element.bore))


def _hose_after(elements: tuple[Element, ...], index: int) -> tuple[float | None, float | None]:
    """Return length and bore of the hoses from an element to the next thing [m]."""
    length, bore = 0.0, None
    for element in elements[index + 1 :]:
        if element.point is not None:
            break
        if isinstance(element, HoseRun):
            length += _one(element.length) or 0.0
            bore = bore or _one(element.bore)
    return (length, bore) if bore is not None else (None, None)


def _one(value: object) -> float | None:
    return None if value is None else float(np.ravel(np.asarray(value, dtype=float))[0])
