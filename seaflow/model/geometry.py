"""Where the points of a loop sit at heel and trim, and what that does: air, water, siphons.

Heel is + starboard down, trim + bow down. The boat turns about the waterline at the centreline and
half the waterline length; that she sinks or lifts a little is left out. What hangs on a distance
that the case does not record is None, never guessed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from seaflow.base.arrays import Array
from seaflow.model.elements import Cock, Entry, Point, Pumping
from seaflow.model.heights import STEEPEST, STEPS, TACKS, crossings, heights
from seaflow.model.loop import Link, Loop
from seaflow.physics.hull.openings import SHARP_EDGE, jet_flow

FLAT = 1e-9  # m of rise that is none
MOST_KEPT = 256  # loops and heels: rules of a survey ask for the same again
LEVEL = 1e-3  # m by which a point must stand out to be a crest or a dip


@dataclass(frozen=True, slots=True)
class Immersion:
    """An intake: its depth upright and at the working heel on each tack [m], and the heel at which
    it comes out of the water on each tack [rad]; None where not recorded or never.
    """

    name: str
    upright: float | None
    at_heel: tuple[float, float] | None
    emerges: tuple[float | None, float | None] | None


@dataclass(frozen=True, slots=True)
class Dip:
    """An outlet: its height upright [m] and the heel at which it goes under on each tack [rad]."""

    name: str
    upright: float | None
    goes_under: tuple[float | None, float | None] | None
    has_seacock: bool


@dataclass(frozen=True, slots=True)
class Depth:
    """A pump: how far its inlet lies below the water outside, upright and on each tack [m]."""

    name: str
    upright: float | None
    at_heel: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Leg:
    """A straight piece of a run between two recorded points, in the direction of flow.

    `rise` and `run` are upright [m]; `reverses` is the heel on each tack at which a leg that rises
    starts to fall, or one that falls to rise [rad]; a level one starts to fall at once, at 0.
    """

    link: int
    start: str
    end: str
    before_pump: bool
    rise: float | None
    run: float | None
    reverses: tuple[float | None, float | None] | None

    @property
    def slope(self) -> float | None:
        """Rise over run, or None where the run is not recorded."""
        return None if not self.run or self.rise is None else self.rise / self.run


@dataclass(frozen=True, slots=True)
class AirTrap:
    """A point that stands higher than both its neighbours, or lower, at rest or on a tack."""

    link: int
    point: str
    kind: str
    before_pump: bool
    where: str
    by: float


@dataclass(frozen=True, slots=True)
class Siphon:
    """An outlet: how deep it gets at rest or on a tack [m], None if that is not recorded, and what
    is on its way.
    """

    name: str
    deepest: float | None
    is_vented: bool
    has_seacock: bool

    @property
    def is_possible(self) -> bool | None:
        """Whether water could siphon back through it; None if that is not recorded."""
        if self.is_vented:
            return False
        return None if self.deepest is None else self.deepest > 0.0


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening below the waterline: the water it lets in if its hose comes off [m3/s]."""

    name: str
    depth: float
    bore: float
    flow: float
    flow_at_one: float


@lru_cache(MOST_KEPT)
def immersions(loop: Loop, heel: float) -> tuple[Immersion, ...]:
    """Return the immersion of every intake up to a working heel [rad]."""
    found = []
    for entry in loop.elements(Entry):
        if entry.point is None:
            continue
        depths = _depths(entry.point, loop, heel)
        found.append(Immersion(entry.name, *depths, crossings(entry.point, loop, rising=True)))
    return tuple(found)


def _depths(
    point: Point, loop: Loop, heel: float
) -> tuple[float | None, tuple[float, float] | None]:
    """Return how deep a point lies upright and on either tack [m]; None where not recorded."""
    upright = heights(point, loop, np.zeros(1))
    both = heights(point, loop, np.asarray([heel, -heel]))
    return (
        None if upright is None else -float(upright[0]),
        None if both is None else (-float(both[0]), -float(both[1])),
    )


@lru_cache(MOST_KEPT)
def dips(loop: Loop) -> tuple[Dip, ...]:
    """Return for every outlet the heel at which it goes under."""
    found = []
    for link in loop.links:
        last = link.elements[-1]
        if not link.to_sea or last.point is None:
            continue
        upright = heights(last.point, loop, np.zeros(1))
        found.append(
            Dip(
                last.name,
                None if upright is None else float(upright[0]),
                crossings(last.point, loop, rising=False),
                any(isinstance(item, Cock) and item.at_outlet for item in link.elements),
            )
        )
    return tuple(found)


def pump_depths(loop: Loop, heel: float) -> tuple[Depth, ...]:
    """Return how far every pump lies below the water outside, upright and at a heel [rad]."""
    return tuple(
        Depth(pump.name, *_depths(pump.point, loop, heel))
        for pump in loop.elements(Pumping)
        if pump.point is not None
    )


def _run_points(link: Link) -> list[Point]:
    """Return the points of a link in order, those without a height too."""
    return [point for _, _, point in link.points()]


def _pump_place(link: Link, points: list[Point]) -> int | None:
    """Return the index among the points of the pump of a link, if it has one."""
    names = {element.name for element in link.elements if isinstance(element, Pumping)}
    return next((i for i, point in enumerate(points) if point.label in names), None)


@lru_cache(MOST_KEPT)
def legs(loop: Loop, pumped: frozenset[str]) -> tuple[Leg, ...]:
    """Return the legs of all runs; `pumped` names the junctions behind a pump."""
    found = []
    for number, link in enumerate(loop.links):
        points = _run_points(link)
        pump = _pump_place(link, points)
        for place, (start, end) in enumerate(pairwise(points)):
            before = link.start not in pumped and (pump is None or place < pump)
            rise = None
            if start.height is not None and end.height is not None:
                rise = float(np.asarray(end.height) - np.asarray(start.height))
            found.append(
                Leg(
                    number,
                    start.label,
                    end.label,
                    before,
                    rise,
                    _run(start, end),
                    None if rise is None else _reversals(start, end, rise, loop),
                )
            )
    return tuple(found)


def _run(start: Point, end: Point) -> float | None:
    if start.starboard is None or end.starboard is None or start.aft is None or end.aft is None:
        return None
    across = float(np.asarray(end.starboard) - np.asarray(start.starboard))
    along = float(np.asarray(end.aft) - np.asarray(start.aft))
    return math.hypot(across, along)


def _reversals(
    start: Point, end: Point, rise: float, loop: Loop
) -> tuple[float | None, float | None] | None:
    angles = np.linspace(0.0, STEEPEST, STEPS)
    found: list[float | None] = []
    for sign in (1.0, -1.0):
        low, high = heights(start, loop, sign * angles), heights(end, loop, sign * angles)
        if low is None or high is None:
            return None
        up = -1.0 if rise < -FLAT else 1.0  # a level piece is meant to rise
        turned = (high - low) * up < -FLAT
        first = float(angles[int(np.argmax(turned))]) if turned.any() else None
        found.append(0.0 if abs(rise) <= FLAT and first is not None else first)
    return found[0], found[1]


@lru_cache(MOST_KEPT)
def air_traps(loop: Loop, pumped: frozenset[str], heel: float) -> tuple[AirTrap, ...]:
    """Return crests and dips of all runs, at rest and at a heel on each tack [rad].

    A crest holds air when the water stands; a dip holds water that shuts air in behind it. The one
    high point at the unit is a crest too: whether it is allowed is for the reader to judge.
    """
    found: list[AirTrap] = []
    for where, angle in (("at rest", 0.0), (TACKS[0], heel), (TACKS[1], -heel)):
        for number, link in enumerate(loop.links):
            found.extend(_traps(loop, link, (number, where, angle), pumped))
    return tuple(found)


def _traps(
    loop: Loop, link: Link, here: tuple[int, str, float], pumped: frozenset[str]
) -> Iterator[AirTrap]:
    number, where, angle = here
    points = _run_points(link)
    levels = [heights(point, loop, np.asarray([angle])) for point in points]
    pump = _pump_place(link, points)
    for place in range(1, len(points) - 1):
        up, down = _slope(levels, place, -1), _slope(levels, place, 1)
        if up is None or down is None:
            continue
        is_before = link.start not in pumped and (pump is None or place < pump)
        if min(up, down) > LEVEL:
            yield AirTrap(number, points[place].label, "crest", is_before, where, min(up, down))
        elif max(up, down) < -LEVEL:
            yield AirTrap(number, points[place].label, "dip", is_before, where, -max(up, down))


def _slope(levels: list[Array | None], place: int, way: int) -> float | None:
    """Return how far a run falls from a point to the end of its slope that way [m]; up is less."""
    here, far = levels[place], levels[place + way]
    if here is None or far is None:
        return None
    falls = 1.0 if here[0] >= far[0] else -1.0
    following = levels[place + 2 * way :: way] if place + 2 * way >= 0 else []
    for level in following:
        if level is None or falls * (far[0] - level[0]) < 0.0:
            break
        far = level
    return float(here[0] - far[0])


def openings(loop: Loop) -> tuple[Opening, ...]:
    """Return what every opening below the waterline lets in if its hose comes off there.

    `flow_at_one` is the figure that trade articles print, which leaves the coefficient out.
    """
    found = []
    for link in loop.links:
        for element in (link.elements[0], link.elements[-1]):
            at_sea = isinstance(element, Entry) or (link.to_sea and element is link.elements[-1])
            if not at_sea or element.point is None or element.point.height is None:
                continue
            depth, bore = -float(np.asarray(element.point.height)), float(np.asarray(element.bore))
            if depth > 0.0:
                found.append(opening(element.name, depth, bore))
    return tuple(found)


def opening(name: str, depth: float, bore: float) -> Opening:
    """Return what one opening at a depth [m] lets in if its hose comes off there."""
    flow = float(jet_flow(bore, depth, SHARP_EDGE))
    return Opening(name, depth, bore, flow, float(jet_flow(bore, depth, 1.0)))


def sheer_immersion(beam: float | None, freeboard: float | None) -> float | None:
    """Return the heel at which the deck edge amidships meets the water [rad], if both are known."""
    return None if not beam or freeboard is None else math.atan2(freeboard, 0.5 * beam)


@lru_cache(MOST_KEPT)
def siphons(loop: Loop, heel: float) -> tuple[Siphon, ...]:
    """Return for every outlet what decides whether water could siphon back through it."""
    found = []
    for link in loop.links:
        last = link.elements[-1]
        if not link.to_sea or last.point is None:
            continue
        vented = any(element.name in loop.vented for element in link.elements)
        cock = any(isinstance(item, Cock) and item.at_outlet for item in link.elements)
        found.append(Siphon(last.name, _deepest(last.point, loop, heel), vented, cock))
    return tuple(found)


def _deepest(point: Point, loop: Loop, heel: float) -> float | None:
    """Return the greatest depth at rest or on a tack; at rest alone if it is under there."""
    level = heights(point, loop, np.asarray([0.0, heel, -heel]))
    if level is None:
        level = heights(point, loop, np.zeros(1))
        if level is None or float(level[0]) >= 0.0:
            return None
    return -float(level.min())


def highest_point(loop: Loop) -> tuple[str, float] | None:
    """Return the label and height of the highest point of a loop, None if one has no height."""
    points = [point for link in loop.links for point in _run_points(link)]
    known = [(at.label, float(np.asarray(at.height))) for at in points if at.height is not None]
    if len(known) < len(points):
        return None
    junctions = [(at.label, at.height) for at in loop.node_points]
    known += [(label, float(np.asarray(at))) for label, at in junctions if at is not None]
    return max(known, key=lambda item: loop.height_first(item[1], item[0]), default=None)
