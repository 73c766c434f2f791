"""Where water stands in a run before the pump has ever turned, and where air is shut in.

With the seacock open, water fills every run towards the level of the sea, as far as its air can
leave. A leg that falls after a crest shuts air in. That in a leg which falls from the intake itself
may bubble out into the sea: it is counted all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.base.measured import measured
from seaflow.model.conditions import Conditions
from seaflow.model.drive import paths_of
from seaflow.model.elements import Coil, HoseRun, Point, Pumping
from seaflow.model.heights import heights
from seaflow.model.loop import Link, Loop
from seaflow.model.point import OperatingPoint
from seaflow.physics.flow.runs import flow_to_run_full
from seaflow.physics.water.seawater import seawater

HALVINGS = 60  # of a level, to the last digit


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
    attitude: tuple[float, float]
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
    clears_at = float(flow_to_run_full(max(crest.bore, low.bore)))
    clears = None
    if boat.running is not None:
        clears = bool(np.ravel(boat.running.flow[low.link])[0] >= clears_at)
    return Pocket(crest.label, low.label, fall, before_pump, clears_at, clears)


def reaches_pump(way: Way, now: Conditions) -> bool:
    """Return whether water reaches the pump though the air of its run cannot leave.

    The air is squeezed by the depth of the water that shuts it in, at both ends alike, and bubbles
    out at the shallower end while it stands at more than the depth of that.
    """
    spots = way.spots
    density = float(np.max(np.asarray(seawater(now.sea_temperature, now.salinity).density)))
    atmosphere = ATMOSPHERE / (density * GRAVITY)
    whole = spots[-1].air
    deep, shallow = max(spots[0].height, spots[-1].height), 0.0
    for _ in range(HALVINGS):
        level = 0.5 * (deep + shallow)
        left = whole - _under(spots, level) - _under(_turned(spots), level)
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
            return before.air + share * (spot.air - before.air) - spots[0].air
    return spots[-1].air - spots[0].air


def _turned(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    whole = spots[-1].air
    return tuple(
        Spot(s.label, s.height, s.bore, whole - s.air, s.vented, s.link) for s in reversed(spots)
    )


def ways_through(boat: Afloat, pump: Pumping) -> list[Way]:
    loop = boat.loop
    is_open = paths_of(loop, boat.now).is_open[:, 0]
    here = loop.link_of(pump.name)
    dry = [_ends_in_air(boat, path) for path in loop.paths]
    found = []
    for path, opened, ends_dry in zip(loop.paths, is_open, dry, strict=True):
        if here not in path or not opened:
            continue
        spots, missing = _spots(boat, path)
        nodes = {loop.links[number].end for number in path[:-1]}
        beside = any(
            leaves and any(loop.links[number].start in nodes for number in other)
            for other, leaves in zip(loop.paths, dry, strict=True)
        )
        place = next((i for i, spot in enumerate(spots) if spot.is_pump == pump.name), -1)
        vented = any(spot.vented and spot.height > 0.0 for spot in spots)
        found.append(Way(spots, place, ends_dry or beside or vented, missing))
    return found


def _ends_in_air(boat: Afloat, path: tuple[int, ...]) -> bool:
    last = boat.loop.links[path[-1]].elements[-1].point
    level = None if last is None else _height(boat, last)
    return level is None or level > 0.0


def _height(boat: Afloat, point: Point) -> float | None:
    heel, trim = boat.attitude
    level = heights(point, boat.loop, np.asarray([heel]), trim)
    return None if level is None else float(level[0])


def _spots(boat: Afloat, path: tuple[int, ...]) -> tuple[tuple[Spot, ...], tuple[str, ...]]:
    """Return the known points of a path with the air up to each, and the labels of the others."""
    found: list[Spot] = []
    missing: list[str] = []
    air = 0.0
    for number in path:
        link = boat.loop.links[number]
        node = boat.loop.node_point(link.start)
        every = [*((-1, 0.0, node) for _ in range(1) if node is not None), *link.points()]
        for index, share, point in every:
            level = _height(boat, point)
            if level is None:
                missing.append(point.label)
                continue
            element = link.elements[max(index, 0)]
            found.append(
                Spot(
                    label=point.label,
                    height=level,
                    bore=float(np.max(np.asarray(element.bore))),
                    air=air + _volume(link, index + share if index >= 0 else 0.0),
                    vented=element.name in boat.loop.vented,
                    link=number,
                    is_pump=element.name if isinstance(element, Pumping) and not share else "",
                )
            )
        air += _volume(link, float(len(link.elements)))
    return tuple(found), tuple(dict.fromkeys(missing))


def _volume(link: Link, upto: float) -> float:
    """Return the volume of hoses and coils from the start of a link to a place in it [m3].

    A place is the index of an element and the share of it that lies before.
    """
    total = 0.0
    for index, element in enumerate(link.elements):
        share = min(max(upto - index, 0.0), 1.0)
        if share and isinstance(element, HoseRun):
            total += share * _filled(element.bore, element.length)
        elif share and isinstance(element, Coil) and element.pipe is not None:
            total += share * element.n_tubes * _filled(element.pipe.bore, element.pipe.length)
    return total


def _filled(bore: object, length: object) -> float:
    area = 0.25 * np.pi * np.asarray(bore, dtype=float) ** 2
    return float(np.max(area * np.asarray(length, dtype=float)))
