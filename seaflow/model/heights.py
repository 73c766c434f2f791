"""Where the points of a loop sit at heel and trim.

Heel is + starboard down, trim + bow down. The boat turns about the waterline at the centreline and
half the waterline length; that she sinks or lifts a little is left out. What hangs on a distance
that the case does not record is None, or refused where an answer needs it; it is never guessed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from seaflow.base.arrays import Array, Number, any_of
from seaflow.base.problems import Problem, SeaflowError
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Point
from seaflow.model.loop import Loop
from seaflow.physics.hull.heel import height_at_heel

MOST_KEPT = 1024  # points turned: a survey asks for the same again with each gap
STEEPEST = math.radians(60.0)  # heel searched; a cruising boat's water is off by then
STEPS = 601
TACKS = ("starboard side down", "port side down")


def heights(point: Point, loop: Loop, heel: Array, trim: float = 0.0) -> Array | None:
    """Return the height of a point over heel [m], or None if its place is not recorded."""
    return heights_about(point, loop.midship, heel, trim)


def heights_about(point: Point, midship: float, heel: Array, trim: float = 0.0) -> Array | None:
    """Return the same of a boat that turns about this distance aft of the stem [m]."""
    if point.height is None or _lacking(point, heel, trim):
        return None
    return np.asarray(_turned(point, midship, heel, trim))


def height_of(point: Point, now: Conditions, loop: Loop) -> Number | None:
    """Return the height of a point under the heel and trim of the moment [m].

    None if its height is not recorded.

    Raises
    ------
    SeaflowError
        If the boat heels or trims and the case does not say how far off the centreline, or how
        far aft, the point is.
    """
    if point.height is None:
        return None
    lacking = _lacking(point, now.heel, now.trim)
    if lacking:
        raise SeaflowError([_missing(point, lacking)])
    if not any_of(now.heel) and not any_of(now.trim):
        return point.height
    return _turned(point, loop.midship, now.heel, now.trim)


def _turned(point: Point, midship: float, heel: Number, trim: Number) -> Number:
    assert point.height is not None
    starboard = 0.0 if point.starboard is None else point.starboard
    aft = midship if point.aft is None else point.aft
    return height_at_heel(point.height, starboard, aft, heel, trim, midship)


def _lacking(point: Point, heel: Number, trim: Number) -> str:
    """Return the distance that is not recorded and yet needed, or nothing."""
    if point.starboard is None and any_of(heel):
        return "starboard"
    return "aft" if point.aft is None and any_of(trim) else ""


def _missing(point: Point, word: str) -> Problem:
    turn = "heel" if word == "starboard" else "trim"
    return Problem(
        "M01",
        f'"{point.label}" has no {word} position, so its height at {turn} is not known',
        why="A point off the centreline rises or falls as the boat heels.",
        write=f"Add {word} to its place: "
        'at = { aft = "4 m", starboard = "0.3 m", height = "0.2 m" }.',
    )


@lru_cache(MOST_KEPT)
def crossings(
    point: Point, loop: Loop, rising: bool, trim: float = 0.0
) -> tuple[float | None, float | None] | None:
    """Return the least heel at which a point passes the waterline on each tack [rad].

    `rising` asks when it comes out of the water, else when it goes under. None on a tack where it
    never does, and None altogether where its place is not recorded.
    """
    angles = np.linspace(0.0, STEEPEST, STEPS)
    found: list[float | None] = []
    for sign in (1.0, -1.0):
        level = heights(point, loop, sign * angles, trim)
        if level is None:
            return None
        over = level >= 0.0 if rising else level <= 0.0
        found.append(float(angles[int(np.argmax(over))]) if over.any() else None)
    return found[0], found[1]


@dataclass(frozen=True, slots=True)
class Corners:
    """Height of a point, heeled to either side and trimmed to either end [m]."""

    starboard_bow: float
    starboard_stern: float
    port_bow: float
    port_stern: float

    @property
    def all(self) -> tuple[float, float, float, float]:
        """All four heights [m]."""
        return (self.starboard_bow, self.starboard_stern, self.port_bow, self.port_stern)

    @property
    def lowest(self) -> float:
        """The least of the four [m]."""
        return min(self.all)

    @property
    def highest(self) -> float:
        """The greatest of the four [m]."""
        return max(self.all)

    @property
    def attitudes(self) -> tuple[tuple[str, str], tuple[str, str]]:
        """The side and the end that are down where it is lowest, and where it is highest."""
        named = dict(zip(ATTITUDES, self.all, strict=True))
        return min(named, key=named.__getitem__), max(named, key=named.__getitem__)


ATTITUDES = (
    ("starboard", "bow"),
    ("starboard", "stern"),
    ("port", "bow"),
    ("port", "stern"),
)


@lru_cache(MOST_KEPT)
def corners(point: Point, loop: Loop, heel: float, trim: float) -> Corners | None:
    """Return the heights of a point at a heel and a trim, each either way [rad]."""
    both = np.asarray([heel, -heel])
    down, up = heights(point, loop, both, trim), heights(point, loop, both, -trim)
    if down is None or up is None:
        return None
    return Corners(float(down[0]), float(up[0]), float(down[1]), float(up[1]))


def crossing(point: Point, loop: Loop, trim: float, rising: bool) -> float | None:
    """Return the least heel, on either tack and with a trim either way, at which a point crosses.

    `rising` asks when it comes out of the water, else when it goes under [rad]; None if it never
    does, or its place is not recorded.
    """
    found: list[float] = []
    for tilt in (trim, -trim):
        tacks = crossings(point, loop, rising, tilt)
        if tacks is None:
            return None
        found += [heel for heel in tacks if heel is not None]
    return min(found, default=None)
