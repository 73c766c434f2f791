"""A place of the pump as an SVG picture: plan, side view and section, to one scale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from seaflow.present.place_signs import (
    BERTH,
    DELIVERY,
    FAINT,
    HEELED,
    INK,
    PAPER,
    SEA,
    SUCTION,
    Point,
    legend,
    other_place,
    ruled,
    sign,
    written,
)
from seaflow.present.quantities import Show
from seaflow.studies.placing.sketch import Box, Mark, Run, Sketch

WIDTH, EDGE = 1320, 46
SECTION_WIDTH = 300  # pixels kept for the section, looking forward
HEEL_WORDS = 60  # and for the words beside it
FILLS = {"bilge": "#dfe7e4", "engine space": "#e0dcd8"}
PLAIN_FILL = "#f1f1ea"
STYLE = (
    "text{font-family:system-ui,'DejaVu Sans',Arial,sans-serif;fill:" + INK + "}"
    ".small{font-size:11px}.room{font-size:11.5px}.mark{font-size:12px;font-weight:600}"
    ".head{font-size:15px;font-weight:600}.title{font-size:20px;font-weight:600}"
    ".halo{paint-order:stroke;stroke:" + PAPER + ";stroke-width:3px}"
)
SHORTEST_NUMBERED = 16  # pixels
METRIC_BAR, US_BAR = 1.0, 0.9144  # m: one metre, three feet

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


def place_svg(sketch: Sketch, system: str) -> str:
    """Return the picture as SVG text."""
    show = Show(system)
    side, plan, section = _views(sketch)
    legend_top = plan.bottom + 56
    height = legend_top + 42 + 18 * max(len(sketch.runs), 8) + 30
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height:.0f}" '
        f'width="{WIDTH}" height="{height:.0f}" role="img">',
        f"<title>{escape(f'{sketch.boat}: {sketch.title}: {sketch.place}')}</title>",
        f"<style>{STYLE}</style>",
        f'<rect width="{WIDTH}" height="{height:.0f}" fill="{PAPER}"/>',
        written(EDGE, 36, f"{sketch.title}: {sketch.place}", "title"),
        written(EDGE, 58, _subtitle(sketch, show), "room"),
        *_side(sketch, side, show),
        *_plan(sketch, plan),
        *_section(sketch, section, show),
        *legend(sketch, (EDGE, legend_top), show),
        *_scale_bar(section, plan, system),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _subtitle(sketch: Sketch, show: Show) -> str:
    words = f"{sketch.boat}. All views to one scale; bow to the left. "
    if sketch.heel:
        over = "under" if sketch.depth_at_heel >= 0 else "above"
        depth = show("height", abs(sketch.depth_at_heel))
        words += f"At {math.degrees(sketch.heel):.0f}° of heel the pump is {depth} {over} water."
    return words


def _views(sketch: Sketch) -> tuple[View, View, View]:
    spots = [*_corners(sketch.boxes), *(mark.at for mark in sketch.marks)]
    spots += [point for run in sketch.runs for point in run.points]
    low = [min(spot[axis] for spot in spots) for axis in range(3)]
    high = [max(spot[axis] for spot in spots) for axis in range(3)]
    high[0] = max(high[0], low[0] + 1.0)
    reach = max(abs(low[1]), abs(high[1]), 0.5 * (sketch.beam or 0.0))
    low[2], high[2] = min(low[2], -0.3) - 0.15, max(high[2], 0.3) + 0.1
    long, tall = high[0] - low[0], high[2] - low[2]
    room = WIDTH - 2 * EDGE - SECTION_WIDTH - 60 - HEEL_WORDS
    scale = min(room / long, SECTION_WIDTH / (2.0 * reach))
    side = View("side", 0, 2, EDGE, 110, (low[0], low[2]), (high[0], high[2]), scale)
    plan_top = side.bottom + 64
    plan = View("plan", 0, 1, EDGE, plan_top, (low[0], -reach), (high[0], reach), scale)
    left = EDGE + long * scale + 60
    section = View("section", 1, 2, left, 110, (-reach, low[2]), (reach, low[2] + tall), scale)
    return side, plan, section


def _corners(boxes: tuple[Box, ...]) -> Iterator[Spot]:
    for box in boxes:
        yield box.aft[0], box.starboard[0], box.height[0]
        yield box.aft[1], box.starboard[1], box.height[1]


def _side(sketch: Sketch, view: View, show: Show) -> Iterator[str]:
    yield written(view.left, view.top - 14, "Side view, bow to the left", "head")
    boxes = sorted(sketch.boxes, key=lambda box: (box.use != "saloon", -_size(box, 0, 2)))
    yield from _boxes(boxes, view)
    yield from _waterline(view, sketch, show)
    yield from _things(sketch, view)


def _plan(sketch: Sketch, view: View) -> Iterator[str]:
    yield written(
        view.left,
        view.top - 14,
        "Plan, starboard above, port below; lower rooms drawn over higher ones",
        "head",
    )
    order = sorted(sketch.boxes, key=lambda box: -box.height[0])
    yield from _boxes(order, view)
    y = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left, y), (view.right, y), FAINT, dash="10 4 2 4")
    yield from _things(sketch, view)


def _section(sketch: Sketch, view: View, show: Show) -> Iterator[str]:
    yield written(view.left, view.top - 14, "Across, looking forward", "head")
    pump = _pump(sketch)
    if pump is not None:
        through = [box for box in sketch.boxes if box.aft[0] <= pump.at[0] <= box.aft[1]]
        yield from _boxes(sorted(through, key=lambda box: -_size(box, 1, 2)), view)
    y = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left, y), (view.right, y), SEA, 2.0)
    if sketch.heel:
        half = (view.end[0] - view.start[0]) / 2.0
        for side, word in ((1.0, "starboard down"), (-1.0, "port down")):
            rise = side * half * math.tan(sketch.heel)
            ends = (view.at((0.0, -half, -rise)), view.at((0.0, half, rise)))
            yield ruled(*ends, HEELED, 1.5, "7 4")
            x, y = ends[1]
            inside = min(max(y, view.top + 10), view.bottom - 6)
            yield written(x + 4, inside + 4, word, "small", colour=HEELED)
    yield from _things(sketch, view)
    middle = view.at((0.0, 0.0, view.end[1]))[0]
    yield ruled((middle, view.top), (middle, view.bottom), FAINT, dash="10 4 2 4")
    yield written(view.left, view.bottom + 16, "port", "small")
    yield written(view.right, view.bottom + 16, "starboard", "small", "end")


def _size(box: Box, across: int, up: int) -> float:
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def _boxes(boxes: list[Box], view: View) -> Iterator[str]:
    for box in boxes:
        low, high = (box.aft[0], box.starboard[0], box.height[0]), _high(box)
        (x, bottom), (right, y) = view.at(low), view.at(high)
        fill = BERTH if box.sleeps else FILLS.get(box.use, PLAIN_FILL)
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" height="{bottom - y:.1f}" '
            f'fill="{fill}" stroke="{FAINT}"/>'
        )
        yield from _room_words(box, view, (x, y, right, bottom))


def _high(box: Box) -> Spot:
    return box.aft[1], box.starboard[1], box.height[1]


def _room_words(box: Box, view: View, frame: tuple[float, ...]) -> Iterator[str]:
    x, y, right, bottom = frame
    letters = int((right - x - 8) / 6.2)
    lines = _wrapped(box.name, letters)
    if box.sleeps:
        lines.append("berth" if box.level is None else f"berth, {box.level:.0f} dB(A)")
    fitting = max(1, int((bottom - y - 3) / 13))
    if len(lines) > fitting:
        lines = [*lines[: fitting - 1], lines[fitting - 1] + " …"]
    for number, line in enumerate(lines):
        yield written(x + 5, y + 13 * number + 14, line, "room")


def _wrapped(text: str, letters: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + len(word) + 1 <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _waterline(view: View, sketch: Sketch, show: Show) -> Iterator[str]:
    y = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left - 12, y), (view.right + 12, y), SEA, 2.0)
    yield written(view.left - 12, y - 5, "water, upright", "small", colour=SEA)
    pump = _pump(sketch)
    if pump is None or not sketch.heel:
        return
    drop = abs(pump.at[1]) * math.tan(sketch.heel)
    for level in (-drop, drop):
        spots = [(pump.at[0] + step, 0.0, level) for step in (-0.7, 0.7)]
        yield ruled(view.at(spots[0]), view.at(spots[1]), HEELED, 1.5, "7 4")


def _things(sketch: Sketch, view: View) -> Iterator[str]:
    for number, run in enumerate(sketch.runs, 1):
        yield from _run(run, number, view)
    for mark in sketch.others if view.name != "section" else ():
        yield from other_place(mark.name, *view.at(mark.at))
    # Names keep off signs and numbers: left, right and level of each.
    spots = [view.at(mark.at) for mark in (*sketch.marks, *sketch.others)]
    spots += [spot for run in sketch.runs if (spot := _badge(run, view)) is not None]
    taken = [(x - 9.0, x + 9.0, y + 4.0) for x, y in spots]
    for mark in sorted(sketch.marks, key=lambda item: (item.kind != "pump", item.name)):
        x, y = view.at(mark.at)
        yield sign(mark.kind, x, y)
        if view.name != "section" or mark.kind in ("pump", "outlet", "intake"):
            yield from _label(mark, x, y, taken, view)


def _label(
    mark: Mark, x: float, y: float, taken: list[tuple[float, float, float]], view: View
) -> Iterator[str]:
    """Write a name where no other name stands, with a hairline if it had to step aside."""
    wide = 7.2 * len(mark.name)
    for step in (0, 17, -17, 34, -34, 51, -51, 68, -68, 85, -85):
        for side in (1, -1):
            left = x + 11 if side > 0 else x - 11 - wide
            level = y + 4 + step
            if left < view.left - 20 or left + wide > view.right + 60:
                continue
            if all(
                abs(level - other) > 14 or left + wide < start or left > end
                for start, end, other in taken
            ):
                taken.append((left, left + wide, level))
                if step:
                    yield ruled((x, y), (left if side > 0 else left + wide, level - 4), FAINT, 0.8)
                yield written(left, level, mark.name, "mark halo")
                return


def _run(run: Run, number: int, view: View) -> Iterator[str]:
    colour = SUCTION if run.suction else DELIVERY
    steps = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(view.at, run.points))
    yield f'<polyline points="{steps}" fill="none" stroke="{colour}" stroke-width="3"/>'
    spot = _badge(run, view)
    if spot is not None:
        yield f'<circle cx="{spot[0]:.1f}" cy="{spot[1]:.1f}" r="8" fill="{colour}"/>'
        yield written(spot[0], spot[1] + 4, str(number), "small", "middle", "#ffffff")


def _badge(run: Run, view: View) -> Point | None:
    """Return where the number of a hose stands, or None where the hose is too short for one."""
    drawn = [view.at(point) for point in run.points]
    middle = len(drawn) // 2
    (x0, y0), (x1, y1) = drawn[middle - 1], drawn[middle]
    far = math.hypot(x1 - x0, y1 - y0) > SHORTEST_NUMBERED
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0) if far else None


def _pump(sketch: Sketch) -> Mark | None:
    return next((mark for mark in sketch.marks if mark.kind == "pump"), None)


def _scale_bar(section: View, plan: View, system: str) -> Iterator[str]:
    length, word = (METRIC_BAR, "1 m") if system == "metric" else (US_BAR, "3 ft")
    x, y = section.left, plan.top + 20
    end = x + length * plan.scale
    yield f'<g id="scale-bar">{ruled((x, y), (end, y), INK, 3.0)}</g>'
    for mark in (x, end):
        yield ruled((mark, y - 6), (mark, y + 6), INK, 1.5)
    yield written((x + end) / 2.0, y - 8, word, "room", "middle")
    yield written(x, y + 26, "Heights from the waterline, afloat and loaded.", "small")
