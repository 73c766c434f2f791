"""Where water stands in a run before the pump has ever turned, and where air is shut in.

With the seacock open, water fills every run towards the level of the sea, as far as its air can
leave. A leg that falls after a crest shuts air in. That in a leg which falls from the intake itself
may bubble out into the sea: it is counted all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.base.measured import measured
from seaflow.model.conditions import Conditions
from seaflow.model.drive import paths_of
from seaflow.model.elements import Coil, Element, HoseRun, Point, Pumping
from seaflow.model.heights import heights_about
from seaflow.model.loop import Link, Loop
from seaflow.model.point import OperatingPoint
from seaflow.physics.flow.runs import flow_to_run_full
from seaflow.physics.water.seawater import seawater

MOST_KEPT = 1024  # links, and links in an attitude: boats that share a link share how it lies
HALVINGS = 60  # of a level, to the last digit

Attitude = tuple[float, float]  # heel and trim [rad]


@dataclass(frozen=True, slots=True)
class Pocket:
    """Air in a leg that falls from a crest: its height, and whether the flow will clear it."""

    crest: str
    dip: str
    fall: float = measured("m")
    before_pump: bool = False
    clears_at: float = measured("m3/s", 0.0)
    clears: bool | None = None


@dataclass(frozen=True, slots=True)
class Spot:
    """A known point of a path: `air` is the volume of the run up to it [m3]."""

    label: str
    height: float
    bore: float
    air: float
    vented: bool
    link: int
    is_pump: str = ""

    def at(self, height: float, air: float) -> Spot:
        """Return the point at another height, with other air up to it."""
        return Spot(self.label, height, self.bore, air, self.vented, self.link, self.is_pump)


@dataclass(frozen=True, slots=True)
class Way:
    """One open path through a pump, its points, and whether its air can leave at its end."""

    spots: tuple[Spot, ...]
    pump: int
    air_leaves: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Afloat:
    loop: Loop
    now: Conditions
    running: OperatingPoint | None


def climb(spots: tuple[Spot, ...]) -> tuple[float, str]:
    """Return the head from the sea that brings water past all points, and the point that asks it.

    Falling legs with air in them give nothing back, so the falls before a point add to its height.
    A vent lets the air out: what lies behind it starts afresh.
    """
    need, where, falls = spots[0].height, spots[0].label, 0.0
    for spot, crest_to_dip in zip(spots[1:], _falls(spots), strict=True):
        falls = 0.0 if spot.vented else falls + crest_to_dip
        if spot.height + falls > need:
            need, where = spot.height + falls, spot.label
    return need, where


def _falls(spots: tuple[Spot, ...]) -> list[float]:
    """Return for each point after the first the fall that is shut in once water rises to it."""
    found, crest, lowest = [], spots[0], spots[0]
    for before, spot in pairwise(spots):
        if spot.height > before.height:
            fall = crest.height - lowest.height
            found.append(fall if fall > lowest.bore and not crest.vented else 0.0)
            crest = lowest = spot
        else:
            found.append(0.0)
            lowest = spot
    return found


def pockets_of(boat: Afloat, spots: tuple[Spot, ...], pump: int) -> Iterator[Pocket]:
    """Yield every leg in which air is shut in, with the flow that would clear it."""
    crest = low = 0
    for place in range(1, len(spots)):
        if spots[place].height > spots[place - 1].height:
            fall = spots[crest].height - spots[low].height
            if fall > spots[low].bore and not spots[crest].vented:
                yield _pocket(boat, (spots[crest], spots[low], fall), low <= pump)
            crest = low = place
        else:
            low = place
    if spots[crest].height > spots[low].height and not spots[crest].vented and low > pump:
        fall = spots[crest].height - spots[low].height
        yield _pocket(boat, (spots[crest], spots[low], fall), False)


def _pocket(boat: Afloat, leg: tuple[Spot, Spot, float], before_pump: bool) -> Pocket:
    crest, low, fall = leg
    clears_at = _clears_at(max(crest.bore, low.bore))
    clears = None
    if boat.running is not None:
        clears = bool(np.ravel(boat.running.flow[low.link])[0] >= clears_at)
    return Pocket(crest.label, low.label, fall, before_pump, clears_at, clears)


@lru_cache(MOST_KEPT)
def _clears_at(bore: float) -> float:
    return float(flow_to_run_full(bore))


def reaches_pump(way: Way, now: Conditions) -> bool:
    """Return whether water reaches the pump though the air of its run cannot leave.

    The air is squeezed by the depth of the water that shuts it in, at both ends alike, and bubbles
    out at the shallower end while it stands at more than the depth of that.
    """
    spots = way.spots
    density = float(np.max(np.asarray(seawater(now.sea_temperature, now.salinity).density)))
    atmosphere = ATMOSPHERE / (density * GRAVITY)
    whole, turned = spots[-1].air, _turned(spots)
    deep, shallow = max(spots[0].height, spots[-1].height), 0.0
    for _ in range(HALVINGS):
        level = 0.5 * (deep + shallow)
        left = whole - _under(spots, level) - _under(turned, level)
        if left * (atmosphere - level) > whole * atmosphere:
            deep = level  # the air left would be at more than the pressure here: water goes on
        else:
            shallow = level
    return _under(spots, shallow) >= spots[way.pump].air


def _under(spots: tuple[Spot, ...], level: float) -> float:
    """Return the volume of the run from its start that lies below a level [m3]."""
    if spots[0].height >= level:
        return 0.0
    for before, spot in pairwise(spots):
        if spot.height >= level:
            share = (level - before.height) / (spot.height - before.height)
            return before.air + share * (spot.air - before.air)
    return spots[-1].air


def _turned(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    whole = spots[-1].air
    return tuple(
        Spot(s.label, s.height, s.bore, whole - s.air, s.vented, s.link) for s in reversed(spots)
    )


def ways_through(
    boat: Afloat, pump: Pumping, attitudes: Sequence[Attitude]
) -> tuple[tuple[Way, ...], ...]:
    """Return the open paths through a pump in each attitude; what none changes is read once."""
    loop = boat.loop
    paths, is_open = loop.paths, paths_of(loop, boat.now).is_open[:, 0]
    here = loop.link_of(pump.name)
    through = [path for path, opened in zip(paths, is_open, strict=True) if here in path and opened]
    through.sort(key=loop.things_along)  # whichever of them a file names first
    nodes = [loop.node_point(link.start) for link in loop.links]
    runs = [
        _run_of(number, link, node, loop.vented)
        for number, (link, node) in enumerate(zip(loop.links, nodes, strict=True))
    ]
    found = []
    for attitude in attitudes:
        there = [_lying(run, loop.midship, attitude) for run in runs]
        dry = [path for path in paths if _ends_in_air(loop, path, attitude)]
        found.append(tuple(_way(loop, path, there, dry, pump) for path in through))
    return tuple(found)


def _way(
    loop: Loop,
    path: tuple[int, ...],
    there: Sequence[_Run],
    dry: list[tuple[int, ...]],
    pump: Pumping,
) -> Way:
    spots: list[Spot] = []
    air = 0.0
    for number in path:
        here = there[number].spots
        spots += [spot.at(spot.height, air + spot.air) for spot in here] if air else here
        air += there[number].air
    nodes = {loop.links[number].end for number in path[:-1]}
    beside = any(loop.links[number].start in nodes for other in dry for number in other)
    vented = any(spot.vented and spot.height > 0.0 for spot in spots)
    return Way(
        spots=tuple(spots),
        pump=next((i for i, spot in enumerate(spots) if spot.is_pump == pump.name), -1),
        air_leaves=path in dry or beside or vented,
        missing=tuple(dict.fromkeys(label for number in path for label in there[number].missing)),
    )


def _ends_in_air(loop: Loop, path: tuple[int, ...], attitude: Attitude) -> bool:
    last = loop.links[path[-1]].elements[-1].point
    level = None if last is None else _height(last, loop.midship, attitude)
    return level is None or level > 0.0


@lru_cache(MOST_KEPT * 4)
def _height(point: Point, midship: float, attitude: Attitude) -> float | None:
    heel, trim = attitude
    if not (heel or trim):
        return None if point.height is None else float(np.ravel(point.height)[0])
    level = heights_about(point, midship, np.asarray([heel]), trim)
    return None if level is None else float(level[0])


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """The points of one link with the air in it up to each, the air of it all [m3], and labels.

    The labels, `missing`, are of points whose height is not known.
    """

    points: tuple[Point, ...]
    spots: tuple[Spot, ...]
    air: float
    missing: tuple[str, ...] = ()


@lru_cache(MOST_KEPT)
def _lying(run: _Run, midship: float, attitude: Attitude) -> _Run:
    """Return a link in an attitude: the spots that are known there."""
    levels = [_height(point, midship, attitude) for point in run.points]
    return _Run(
        points=run.points,
        air=run.air,
        spots=tuple(
            spot.at(level, spot.air)
            for spot, level in zip(run.spots, levels, strict=True)
            if level is not None
        ),
        missing=tuple(
            point.label for point, level in zip(run.points, levels, strict=True) if level is None
        ),
    )


@lru_cache(MOST_KEPT)
def _run_of(number: int, link: Link, node: Point | None, vented: frozenset[str]) -> _Run:
    """Return the link of a number, from the point of the junction at its start."""
    volumes = [_volume(element) for element in link.elements]
    every = [*((-1, 0.0, node) for _ in range(1) if node is not None), *link.points()]
    spots = []
    for index, share, point in every:
        element = link.elements[max(index, 0)]
        within = sum(volumes[:index]) + share * volumes[index] if index >= 0 else 0.0
        spots.append(
            Spot(
                label=point.label,
                height=np.nan,
                bore=float(np.max(np.asarray(element.bore))),
                air=within,
                vented=element.name in vented,
                link=number,
                is_pump=element.name if isinstance(element, Pumping) and not share else "",
            )
        )
    return _Run(tuple(point for _, _, point in every), tuple(spots), sum(volumes))


def _volume(element: Element) -> float:
    """Return the volume of a hose or a coil [m3]; that of other things does not count."""
    if isinstance(element, HoseRun):
        return _filled(element.bore, element.length)
    if isinstance(element, Coil) and element.pipe is not None:
        return element.n_tubes * _filled(element.pipe.bore, element.pipe.length)
    return 0.0


def _filled(bore: object, length: object) -> float:
    area = 0.25 * np.pi * np.asarray(bore, dtype=float) ** 2
    return float(np.max(area * np.asarray(length, dtype=float)))
