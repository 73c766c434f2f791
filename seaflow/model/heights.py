"""Where the points of a loop sit under the heel and trim of the moment."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number
from seaflow.base.problems import Problem, SeaflowError
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Point
from seaflow.model.loop import Loop
from seaflow.physics.hull.heel import height_at_heel


def height_of(point: Point, now: Conditions, loop: Loop) -> Number | None:
    """Return the height of a point above the waterline [m], or None if it is not recorded.

    Raises
    ------
    SeaflowError
        If the boat heels or trims and the case does not say how far off the centreline, or how
        far aft, the point is: that is never guessed.
    """
    if point.height is None:
        return None
    heels, trims = bool(np.any(now.heel)), bool(np.any(now.trim))
    if not heels and not trims:
        return point.height
    for needed, word in ((point.starboard, "starboard"), (point.aft, "aft")):
        if needed is None and (heels if word == "starboard" else trims):
            raise SeaflowError([_missing(point, word)])
    starboard = 0.0 if point.starboard is None else point.starboard
    aft = loop.midship if point.aft is None else point.aft
    return height_at_heel(point.height, starboard, aft, now.heel, now.trim, loop.midship)


def _missing(point: Point, word: str) -> Problem:
    turn = "heel" if word == "starboard" else "trim"
    return Problem(
        "M01",
        f'"{point.label}" has no {word} position, so its height at {turn} is not known',
        why="A point off the centreline rises or falls as the boat heels.",
        write=f"Add {word} to its place: "
        'at = { aft = "4 m", starboard = "0.3 m", height = "0.2 m" }.',
    )
