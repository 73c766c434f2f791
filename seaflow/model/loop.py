"""A loop as the solver sees it: links of elements between nodes, and the paths through them.

Water goes from the sea to the sea along a path. What a link carries is the sum over the paths
that use it, so mass is kept exactly and no link can ever carry water backward.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from seaflow.base.arrays import Array
from seaflow.model.elements import Basket, Coil, Element, Entry, HoseRun, Point, Pumping

_E = TypeVar("_E", bound=Element)


@dataclass(frozen=True, slots=True, eq=False)
class Link:
    """Elements in a row, in the direction of flow, between two nodes.

    The sea is a node at both ends of the loop; a link that comes from it starts at an
    intake, a link that goes to it ends at an outlet.
    """

    start: str
    end: str
    elements: tuple[Element, ...]

    @property
    def from_sea(self) -> bool:
        """True if the link starts at an intake."""
        return self.start == SEA

    @property
    def to_sea(self) -> bool:
        """True if the link ends at an outlet."""
        return self.end == SEA

    @property
    def name(self) -> str:
        """The link by its first and last element."""
        return f"{self.elements[0].name} to {self.elements[-1].name}"

    def each(self, kind: type[_E], change: Callable[[_E], _E]) -> Link:
        """Return the link with every element of one kind changed, itself if that leaves all."""
        elements = tuple(
            change(element) if isinstance(element, kind) else element for element in self.elements
        )
        same = all(new is old for new, old in zip(elements, self.elements, strict=True))
        return self if same else replace(self, elements=elements)

    def points(self) -> Iterator[tuple[int, float, Point]]:
        """Yield each point in order: index of its element, share of it passed, and the point."""
        for index, element in enumerate(self.elements):
            if element.point is not None:
                yield index, 0.0, element.point
            if isinstance(element, HoseRun):
                for place, point in enumerate(element.via, 1):
                    yield index, place / (len(element.via) + 1), point


MOST_KEPT = 64  # plans of links whose paths are known
HAIR = 9  # decimals of a metre that tell heights apart
SEA = ""  # no junction is called so: a thing must have a name


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """All links of one loop. Any number in it may be an array along the condition axis.

    `node_points` are the junctions, `vented` names the elements with an air vent, `midship` is
    the middle of the waterline aft of the stem [m], and `rated_frequency` that of the units [Hz].
    `order` numbers its things as the water comes to them: it decides between equals.
    """

    name: str
    links: tuple[Link, ...]
    node_points: tuple[Point, ...] = ()
    vented: frozenset[str] = frozenset()
    midship: float = 0.0
    rated_frequency: float | None = None
    order: Mapping[str, int] = field(default_factory=dict)

    def height_first(self, height: float, label: str) -> tuple[float, int]:
        """Return what the highest point has most of; of equals the first that the water meets."""
        return round(height, HAIR), -self.place_of(label)

    def place_of(self, name: str) -> int:
        """Return when the water comes to a thing; 0 of what is no thing."""
        return self.order.get(name, 0)

    def things_along(self, path: tuple[int, ...]) -> list[int]:
        """Return the numbers of the things on a path, which tell paths apart."""
        names = (element.name for link in path for element in self.links[link].elements)
        return [self.order[name] for name in names if name in self.order]

    @property
    def paths(self) -> tuple[tuple[int, ...], ...]:
        """Every way from the sea to the sea, as indices of links."""
        return _paths(tuple((link.start, link.end) for link in self.links))

    @property
    def membership(self) -> Array:
        """Matrix of links by paths: 1 where the path uses the link."""
        return _membership(self.paths, len(self.links))

    def elements(self, kind: type[_E]) -> tuple[_E, ...]:
        """Return all elements of one kind, in order of links."""
        return tuple(
            element for link in self.links for element in link.elements if isinstance(element, kind)
        )

    def named(self, name: str) -> Element:
        """Return the element that bears a name.

        Raises
        ------
        KeyError
            If no element bears it, or more than one does.
        """
        link, index = self._place(name)
        return self.links[link].elements[index]

    def link_of(self, which: Element | str) -> int:
        """Return the index of the link that holds an element, given itself or by its name.

        Raises
        ------
        KeyError
            If the loop has no such element, or more than one of that name.
        """
        return self._place(which)[0]

    def _place(self, which: Element | str) -> tuple[int, int]:
        places = [
            (number, index)
            for number, link in enumerate(self.links)
            for index, element in enumerate(link.elements)
            if (element.name == which if isinstance(which, str) else element is which)
        ]
        if len(places) != 1:
            name = which if isinstance(which, str) else which.name
            raise KeyError(f'{len(places)} elements are meant by "{name}", not one')
        return places[0]

    def points(self, link: Link) -> Iterator[tuple[int, float, Point]]:
        """Yield the points of a link, after that of the junction it starts at.

        What it costs to turn into the link is at the junction, and comes before its point.
        """
        start = self.node_point(link.start)
        if start is not None:
            yield -1 if isinstance(link.elements[0], HoseRun) else 0, 0.0, start
        yield from link.points()

    def node_point(self, node: str) -> Point | None:
        """Return the point of a junction, or None if it is not known."""
        return next((point for point in self.node_points if point.label == node), None)

    @property
    def coils(self) -> tuple[Coil, ...]:
        """The coils of its units."""
        return self.elements(Coil)

    @property
    def pumps(self) -> tuple[Pumping, ...]:
        """Its pumps."""
        return self.elements(Pumping)

    @property
    def n_pumps(self) -> int:
        """How many pumps it has, those side by side at one place counted each."""
        return sum(pump.n_pumps for pump in self.pumps)

    @property
    def pumps_in_a_row(self) -> int:
        """The least number of pumps that water passes one after another, of ways that have any."""
        if len(self.pumps) < 2:
            return 1
        passed = [
            sum(isinstance(item, Pumping) for link in path for item in self.links[link].elements)
            for path in self.paths
        ]
        return min(filter(None, passed))

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Its intakes."""
        return self.elements(Entry)

    @property
    def strainers(self) -> tuple[Basket, ...]:
        """Its strainers."""
        return self.elements(Basket)

    def each(self, kind: type[_E], change: Callable[[_E], _E]) -> Loop:
        """Return the loop with every element of one kind changed, itself if that leaves all."""
        links = tuple(link.each(kind, change) for link in self.links)
        same = all(new is old for new, old in zip(links, self.links, strict=True))
        return self if same else replace(self, links=links)

    def changed(self, which: Element | str, **values: Any) -> Loop:
        """Return the loop with fields of one element replaced, by numbers or arrays.

        The element is that very object, or the one that bears the name `which`.

        Raises
        ------
        KeyError
            If the loop has no such element, or more than one of that name.
        """
        number, index = self._place(which)
        link = self.links[number]
        changed = replace(link.elements[index], **values)
        elements = (*link.elements[:index], changed, *link.elements[index + 1 :])
        links = (
            *self.links[:number],
            replace(link, elements=elements),
            *self.links[number + 1 :],
        )
        return replace(self, links=links)


@lru_cache(MOST_KEPT)
def _paths(ends: tuple[tuple[str, str], ...]) -> tuple[tuple[int, ...], ...]:
    """Return every way from the sea to the sea along links with these ends."""
    found: list[tuple[int, ...]] = []
    ways: list[tuple[int, ...]] = [
        (index,) for index, (start, _) in enumerate(ends) if start == SEA
    ]
    while ways:
        way = ways.pop(0)
        last = ends[way[-1]][1]
        if last == SEA:
            found.append(way)
            continue
        ways.extend(
            (*way, index)
            for index, (start, _) in enumerate(ends)
            if start == last and index not in way
        )
    return tuple(found)


@lru_cache(MOST_KEPT)
def _membership(paths: tuple[tuple[int, ...], ...], n_links: int) -> Array:
    matrix = np.zeros((n_links, len(paths)))
    for column, path in enumerate(paths):
        matrix[list(path), column] = 1.0
    matrix.flags.writeable = False  # every loop of this plan is given the same
    return matrix
