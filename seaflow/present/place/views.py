"""The views of a drawing of a place: which axes each shows, where, and at what scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.present.place.signs import Point
from seaflow.studies.place.sketch import Box, Sketch

WIDTH, EDGE = 1320, 46
BETWEEN, HEEL_WORDS = 60, 60  # pixels before the section, and for the words beside it
HEAD = 30  # pixels from the top of a view up to its heading
LARGEST = 110.0  # pixels to a metre

Spot = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class View:
    """A view: which two axes of a point it shows, where, and how large a metre is."""

    name: str
    across: int
    up: int
    left: float
    top: float
    start: Point
    end: Point
    scale: float

    def at(self, spot: Spot) -> Point:
        """Return where a point of the boat is drawn."""
        x = self.left + (spot[self.across] - self.start[0]) * self.scale
        y = self.top + (self.end[1] - spot[self.up]) * self.scale
        return x, y

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + (self.end[0] - self.start[0]) * self.scale

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + (self.end[1] - self.start[1]) * self.scale


def views_of(sketch: Sketch) -> tuple[View, View, View]:
    """Return side view, plan and section, to one scale."""
    spots = [*_corners(sketch.boxes), *(mark.at for mark in sketch.marks)]
    spots += [point for run in sketch.runs for point in run.points]
    spots += [mark.at for mark in (*sketch.others, *sketch.intakes)]
    if sketch.waterline_length is not None:
        spots += [(0.0, 0.0, 0.0), (sketch.waterline_length, 0.0, sketch.freeboard or 0.0)]
    low = [min(spot[axis] for spot in spots) for axis in range(3)]
    high = [max(spot[axis] for spot in spots) for axis in range(3)]
    high[0] = max(high[0], low[0] + 1.0)
    reach = max(abs(low[1]), abs(high[1]), 0.5 * (sketch.beam or 0.0))
    low[2], high[2] = min(low[2], -0.3) - 0.15, max(high[2], sketch.freeboard or 0.0, 0.3) + 0.1
    long, tall = high[0] - low[0], high[2] - low[2]
    room = WIDTH - 2 * EDGE - BETWEEN - HEEL_WORDS
    scale = min(room / (long + 2.0 * reach), LARGEST)
    side = View("side", 0, 2, EDGE, 120, (low[0], low[2]), (high[0], high[2]), scale)
    plan_top = side.bottom + 84
    plan = View("plan", 0, 1, EDGE, plan_top, (low[0], -reach), (high[0], reach), scale)
    left = EDGE + long * scale + BETWEEN
    section = View("section", 1, 2, left, 120, (-reach, low[2]), (reach, low[2] + tall), scale)
    return side, plan, section


def _corners(boxes: tuple[Box, ...]) -> Iterator[Spot]:
    for box in boxes:
        yield box.aft[0], box.starboard[0], box.height[0]
        yield box.aft[1], box.starboard[1], box.height[1]
