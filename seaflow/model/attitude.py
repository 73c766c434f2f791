"""Where a point of a loop sits when the boat is heeled and trimmed at once.

Heel is + starboard down, trim + bow down, as in `geometry`. What hangs on a distance that the case
does not record is None, never guessed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.model.elements import Point
from seaflow.model.geometry import crossings, heights
from seaflow.model.loop import Loop


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
    def words(self) -> tuple[str, str]:
        """Which of the four is the lowest, and which the highest."""
        named = dict(zip(ATTITUDES, self.all, strict=True))
        return min(named, key=named.__getitem__), max(named, key=named.__getitem__)


ATTITUDES = (
    "starboard side and bow down",
    "starboard side and stern down",
    "port side and bow down",
    "port side and stern down",
)


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
