"""The views of a drawing of a place: axes and scale of each, and the lines of hull and water."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.boat.tables.things import Spot
from seaflow.present.charts.labels import wrapped
from seaflow.present.charts.svg import HEAD, LEADING, LINE, SEA, SOFT, Point
from seaflow.present.place.signs import HEELED
from seaflow.studies.place.sketch import Box, Mark, Sketch

WIDTH = 680.0  # pixels
NARROW = 600.0  # less is a phone
HEADING, BETWEEN = 30, 96  # pixels: from a heading to its view, and between two views
BAR_TALL = 34.0  # pixels more between two views where a bar of the scale stands there
LARGEST = 110.0  # pixels to a metre
TALLEST = 240.0  # pixels: a section that has a scale of its own is no taller
TACK_WORDS = 130.0  # pixels beside the section for the words of its water

HULL_DASH, WATER_DASH, TRIM_DASH, MIDDLE_DASH = "1 3", "7 4", "2 4", "10 4 2 4"
# A hull from above, drawn and not measured: widest at this share of the length, and how it narrows.
WIDEST, FINENESS, STERN = 0.55, 0.7, 0.28
N_HULL = 24  # points of one side


@dataclass(frozen=True, slots=True)
class View:
    """A view: which two axes of a point it shows, where, how large a metre is, and its heading."""

    name: str
    across: int
    up: int
    left: float
    top: float
    start: Point
    end: Point
    scale: float
    head: tuple[str, ...] = ()

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


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of hull or water on the picture, through points."""

    points: tuple[Point, ...]
    colour: str
    wide: float
    dash: str = ""


def edge_of(breadth: float) -> float:
    """Return what is left free at either side."""
    return 20.0 if breadth >= NARROW else 14.0


def views_of(
    sketch: Sketch, heads: tuple[str, str, str], first: float, breadth: float = WIDTH
) -> tuple[View, View, View]:
    """Return side view, plan and section below each other; `first` is their top.

    They are to one scale, but that of the section is larger on a phone, where a long boat leaves it
    too small for its signs. `heads` stand over them, each clear of what is said below the view
    before.
    """
    spots = [*_corners(sketch.boxes), *(mark.at for mark in sketch.marks)]
    spots += [point for run in sketch.runs for point in run.points]
    spots += [place.at for place in sketch.places]
    spots += [mark.at for mark in sketch.intakes]
    if sketch.waterline_length is not None:
        spots += [(0.0, 0.0, 0.0), (sketch.waterline_length, 0.0, sketch.freeboard or 0.0)]
    low = [min(spot[axis] for spot in spots) for axis in range(3)]
    high = [max(spot[axis] for spot in spots) for axis in range(3)]
    high[0] = max(high[0], low[0] + 1.0)
    reach = max(abs(low[1]), abs(high[1]), 0.5 * (sketch.beam or 0.0))
    low[2], high[2] = min(low[2], -0.3) - 0.15, max(high[2], sketch.freeboard or 0.0, 0.3) + 0.1
    edge = edge_of(breadth)
    room = breadth - 2 * edge
    fits = min((room - TACK_WORDS) / (2.0 * reach), LARGEST)
    scale = min(room / (high[0] - low[0]), fits)
    own = scale if breadth >= NARROW else max(scale, min(fits, TALLEST / (high[2] - low[2])))
    wide = [scale * (high[0] - low[0])] * 2 + [own * 2.0 * reach]
    over = [_head(words, far) for words, far in zip(heads, wide, strict=True)]
    ends = (low[0], low[2]), (high[0], high[2])
    side = View("side", 0, 2, edge, first, *ends, scale, over[0])
    ends = (low[0], -reach), (high[0], reach)
    plan = View("plan", 0, 1, edge, _below(side, over[1]), *ends, scale, over[1])
    ends = (-reach, low[2]), (reach, high[2])
    top = _below(plan, over[2]) + (BAR_TALL if own != scale else 0.0)
    section = View("section", 1, 2, edge, top, *ends, own, over[2])
    return side, plan, section


def _head(words: str, wide: float) -> tuple[str, ...]:
    """Return the heading of a view in its lines."""
    return tuple(wrapped(words, HEAD, max(wide, NARROW / 2.0), bold=True))


def _below(view: View, head: tuple[str, ...]) -> float:
    """Return the top of the view below another."""
    return view.bottom + BETWEEN + LEADING * (len(head) - 1)


def _corners(boxes: tuple[Box, ...]) -> Iterator[Spot]:
    for box in boxes:
        yield box.aft[0], box.starboard[0], box.height[0]
        yield box.aft[1], box.starboard[1], box.height[1]


def pump_of(sketch: Sketch) -> Mark | None:
    """Return the pump that is drawn."""
    return next((mark for mark in sketch.marks if mark.kind == "pump"), None)


def strokes(sketch: Sketch, view: View) -> Iterator[Stroke]:
    """Yield the lines of hull and water in a view, as far as they are recorded."""
    yield from _hull(sketch, view)
    if view.name == "side":
        yield from _water_along(sketch, view)
    elif view.name == "plan":
        y = view.at((0.0, 0.0, 0.0))[1]
        yield Stroke(((view.left, y), (view.right, y)), LINE, 1.0, MIDDLE_DASH)
    else:
        yield from _water_across(sketch, view)
        x = view.at((0.0, 0.0, 0.0))[0]
        yield Stroke(((x, view.top), (x, view.bottom)), LINE, 1.0, MIDDLE_DASH)


def _hull(sketch: Sketch, view: View) -> Iterator[Stroke]:
    """Yield the hull: from above by length and beam, from the side and across by freeboard."""
    long, half = sketch.waterline_length or 0.0, 0.5 * (sketch.beam or 0.0)
    tall = sketch.freeboard or 0.0
    spots: list[Spot] = []
    if view.name == "section" and half and tall:
        spots = [(0.0, y, z) for y, z in ((-half, 0.0), (-half, tall), (half, tall), (half, 0.0))]
    elif view.name == "plan" and long and half:
        spots = list(_from_above(long, half, sketch.multihull))
    elif view.name == "side" and long and tall:
        spots = [(x, 0.0, z) for x, z in ((0.0, 0.0), (0.0, tall), (long, tall), (long, 0.0))]
    if spots:
        yield Stroke(tuple(view.at(spot) for spot in spots), SOFT, 1.2, HULL_DASH)


def _from_above(long: float, half: float, multihull: bool) -> Iterator[Spot]:
    """Yield the outline from the stern round the stem; of a multihull the box round all hulls."""
    if multihull:
        ends = ((long, half), (0.0, half), (0.0, -half), (long, -half), (long, half))
        yield from ((x, y, 0.0) for x, y in ends)
        return
    shares = [(number / N_HULL) ** 1.6 for number in range(N_HULL + 1)]  # closer at the stem
    breadths = [(long * share, half * _breadth(share)) for share in shares]
    yield from ((x, y, 0.0) for x, y in reversed(breadths))
    yield from ((x, -y, 0.0) for x, y in breadths)
    yield breadths[-1][0], breadths[-1][1], 0.0


def _breadth(share: float) -> float:
    """Return the half breadth at a share of the length, as a share of the most."""
    if share < WIDEST:
        return math.sin(0.5 * math.pi * (share / WIDEST) ** FINENESS)
    return 1.0 - STERN * ((share - WIDEST) / (1.0 - WIDEST)) ** 2


def _shift(sketch: Sketch, aft: float, trim: float) -> float:
    """Return how far trim lifts the water at a station [m]: + where the bow goes down."""
    middle = 0.5 * (sketch.waterline_length or 0.0)
    return (middle - aft) * math.tan(trim)


def _water_along(sketch: Sketch, view: View) -> Iterator[Stroke]:
    """Yield the water in the side view: upright, trimmed either way, and at the pump on a tack."""
    y = view.at((0.0, 0.0, 0.0))[1]
    yield Stroke(((view.left - 12, y), (view.right + 12, y)), SEA, 2.0)
    trims = (sketch.trim, -sketch.trim) if sketch.trim else (0.0,)
    for trim in trims if sketch.trim else ():
        ends = [(end, 0.0, _shift(sketch, end, trim)) for end in (view.start[0], view.end[0])]
        yield Stroke((view.at(ends[0]), view.at(ends[1])), SEA, 1.2, TRIM_DASH)
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
            yield Stroke((view.at(spots[0]), view.at(spots[1])), HEELED, 1.5, WATER_DASH)


def _water_across(sketch: Sketch, view: View) -> Iterator[Stroke]:
    """Yield the water in the section: upright, and on each tack at the trim worst for the pump."""
    middle = view.at((0.0, 0.0, 0.0))[1]
    yield Stroke(((view.left, middle), (view.right, middle)), SEA, 2.0)
    for left, right, _ in tacks(sketch, view):
        yield Stroke((left, right), HEELED, 1.5, WATER_DASH)


def tacks(sketch: Sketch, view: View) -> Iterator[tuple[Point, Point, str]]:
    """Yield the water of each tack in the section: its two ends, and its words."""
    if not sketch.heel:
        return
    pump = pump_of(sketch)
    fall = 0.0 if pump is None else -abs(_shift(sketch, pump.at[0], sketch.trim))
    half = (view.end[0] - view.start[0]) / 2.0
    for side, word in ((1.0, "starboard down"), (-1.0, "port down")):
        rise = side * half * math.tan(sketch.heel)
        left, right = view.at((0.0, -half, fall - rise)), view.at((0.0, half, fall + rise))
        yield left, right, word
