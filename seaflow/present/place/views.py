"""The views of a drawing of a place: axes and scale of each, and hull and water in it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.boat.tables.things import Spot
from seaflow.present.place.signs import HEELED, HULL, SEA, Point, ruled, written
from seaflow.studies.place.sketch import Box, Mark, Sketch

WIDTH, EDGE = 1320, 46
BETWEEN, HEEL_WORDS = 60, 60  # pixels before the section, and for the words beside it
HEAD = 30  # pixels from the top of a view up to its heading
LARGEST = 110.0  # pixels to a metre

DASH, TRIM_DASH = "7 4", "2 4"


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


def pump_of(sketch: Sketch) -> Mark | None:
    """Return the pump that is drawn."""
    return next((mark for mark in sketch.marks if mark.kind == "pump"), None)


def outline(sketch: Sketch, view: View) -> Iterator[str]:
    """Yield the hull as far as length, beam and freeboard are recorded: a box, no curves."""
    long, half = sketch.waterline_length, 0.5 * (sketch.beam or 0.0)
    tall = sketch.freeboard or 0.0
    lines: list[tuple[Spot, Spot]] = []
    if view.name == "section" and half and tall:
        lines = [((0.0, side, 0.0), (0.0, side, tall)) for side in (-half, half)]
        lines.append(((0.0, -half, tall), (0.0, half, tall)))
    elif view.name == "plan" and long and half:
        lines = [((0.0, side, 0.0), (long, side, 0.0)) for side in (-half, half)]
        lines += [((end, -half, 0.0), (end, half, 0.0)) for end in (0.0, long)]
    elif view.name == "side" and long and tall:
        lines = [((end, 0.0, 0.0), (end, 0.0, tall)) for end in (0.0, long)]
        lines.append(((0.0, 0.0, tall), (long, 0.0, tall)))
    for start, end in lines:
        yield ruled(view.at(start), view.at(end), HULL, 1.2, "1 3")


def _shift(sketch: Sketch, aft: float, trim: float) -> float:
    """Return how far trim lifts the water at a station [m]: + where the bow goes down."""
    middle = 0.5 * (sketch.waterline_length or 0.0)
    return (middle - aft) * math.tan(trim)


def waterline(sketch: Sketch, view: View) -> Iterator[str]:
    """Yield the water in the side view: upright, trimmed either way, and at the pump on a tack."""
    y = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left - 12, y), (view.right + 12, y), SEA, 2.0)
    yield written(view.left - 12, y - 5, "water, upright", "small", colour=SEA)
    trims = (sketch.trim, -sketch.trim) if sketch.trim else (0.0,)
    for trim in trims if sketch.trim else ():
        ends = [(end, 0.0, _shift(sketch, end, trim)) for end in (view.start[0], view.end[0])]
        yield ruled(view.at(ends[0]), view.at(ends[1]), SEA, 1.2, TRIM_DASH)
    pump = pump_of(sketch)
    if pump is None or not sketch.heel:
        return
    drop = abs(pump.at[1]) * math.tan(sketch.heel)
    for trim in trims:
        for level in (-drop, drop):
            spots = [
                (pump.at[0] + step, 0.0, level + _shift(sketch, pump.at[0] + step, trim))
                for step in (-0.7, 0.7)
            ]
            yield ruled(view.at(spots[0]), view.at(spots[1]), HEELED, 1.5, DASH)


def across(sketch: Sketch, view: View) -> Iterator[str]:
    """Yield the water in the section: upright, and on each tack at the trim worst for the pump."""
    middle = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left, middle), (view.right, middle), SEA, 2.0)
    if not sketch.heel:
        return
    pump = pump_of(sketch)
    fall = 0.0 if pump is None else -abs(_shift(sketch, pump.at[0], sketch.trim))
    half = (view.end[0] - view.start[0]) / 2.0
    for side, word in ((1.0, "starboard down"), (-1.0, "port down")):
        rise = side * half * math.tan(sketch.heel)
        ends: tuple[Point, Point] = (
            view.at((0.0, -half, fall - rise)),
            view.at((0.0, half, fall + rise)),
        )
        yield ruled(*ends, HEELED, 1.5, DASH)
        x, y = ends[1]
        apart = min(y, middle - 8) if side > 0 else max(y, middle + 8)
        inside = min(max(apart, view.top + 10), view.bottom - 6)
        yield written(x + 4, inside + 4, word, "small", colour=HEELED)
