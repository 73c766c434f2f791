"""The profile along a run: heights, the sea upright and heeled as the boat sees it, and head."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.elements import Coil, HoseRun, Point, Pumping
from seaflow.model.heights import heights
from seaflow.model.loop import Link
from seaflow.model.point import OperatingPoint
from seaflow.model.pressures import heads_by_element, pressures


@dataclass(frozen=True, slots=True)
class ProfileSpot:
    """A point of a run: metres of hose up to it, its height, and the head of the running water.

    `number` is that of its thing along the loop, nought for none. `starboard_down` and `port_down`
    are the levels of the sea there at the working heel, as the boat sees it. Pump and coil give two
    spots, before and after; `side` is "after" at the second.
    """

    label: str
    kind: str
    number: int
    side: str = ""
    along: float = measured("m", 0.0)
    height: float | None = measured("m", None)
    head: float | None = measured("m", None)
    starboard_down: float | None = measured("m", None)
    port_down: float | None = measured("m", None)


@dataclass(frozen=True, slots=True)
class Profile:
    """The run of the water through one unit or more in a row."""

    units: tuple[str, ...]
    spots: tuple[ProfileSpot, ...]
    heel: float = measured("rad")

    @property
    def is_known(self) -> bool:
        """Whether every point of it has a height."""
        return all(spot.height is not None for spot in self.spots)


def profiles_of(
    case: Case, point: OperatingPoint, numbers: Mapping[str, int]
) -> tuple[Profile, ...]:
    """Return the profile of every path of a loop that runs; `numbers` are those of its things."""
    heel = case.boat.works_to_heel or 0.0
    walk = _Walk(point, heel, numbers)
    found = []
    for path in point.loop.paths:
        links = [point.loop.links[number] for number in path]
        units = tuple(
            item.unit for link in links for item in link.elements if isinstance(item, Coil)
        )
        found.append(Profile(units, tuple(walk.along(path)), heel))
    return tuple(found)


class _Walk:
    """Goes along the paths of a loop."""

    def __init__(self, point: OperatingPoint, heel: float, numbers: Mapping[str, int]) -> None:
        self.point, self.heel, self.numbers = point, heel, numbers
        self.after = {
            (item.link, item.name): float(np.ravel(item.head_after)[0])
            for item in heads_by_element(point)
        }
        self.heads = {
            (item.link, item.label): float(np.ravel(item.head)[0]) for item in pressures(point)
        }

    def along(self, path: tuple[int, ...]) -> Iterator[ProfileSpot]:
        """Yield the points of a path in the order of the water."""
        gone = 0.0
        for number in path:
            link = self.point.loop.links[number]
            node = self.point.loop.node_point(link.start)
            if node is not None:
                head = float(np.ravel(self.point.node_head[link.start])[0])
                yield self._spot(node, "joint", gone, head)
            yield from self._link(link, number, gone)
            gone += sum(_length(item) for item in link.elements)

    def _link(self, link: Link, number: int, gone: float) -> Iterator[ProfileSpot]:
        for element in link.elements:
            if element.point is not None:
                kind = {Pumping: "pump", Coil: "unit"}.get(type(element), "thing")
                before = self.heads.get((number, element.point.label))
                yield self._spot(element.point, kind, gone, before)
                if isinstance(element, (Pumping, Coil)):
                    after = self.after[number, element.name]
                    yield self._spot(element.point, kind, gone, after, "after")
            if isinstance(element, HoseRun):
                share = _length(element) / (len(element.via) + 1)
                for place, via in enumerate(element.via, 1):
                    head = self.heads.get((number, via.label))
                    yield self._spot(via, "hose", gone + place * share, head)
            gone += _length(element)

    def _spot(
        self, point: Point, kind: str, along: float, head: float | None, side: str = ""
    ) -> ProfileSpot:
        upright = heights(point, self.point.loop, np.zeros(1))
        both = None
        if self.heel:
            both = heights(point, self.point.loop, np.asarray([self.heel, -self.heel]))
        height = None if upright is None else float(upright[0])
        levels: tuple[float | None, float | None] = (None, None)
        if height is not None and both is not None:
            levels = (height - float(both[0]), height - float(both[1]))
        number = self.numbers.get(point.label, 0)
        return ProfileSpot(point.label, kind, number, side, along, height, head, *levels)


def _length(element: object) -> float:
    return float(np.mean(np.asarray(element.length))) if isinstance(element, HoseRun) else 0.0
