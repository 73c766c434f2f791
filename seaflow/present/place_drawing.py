"""A place of the pump as an SVG picture: plan, side view and section, to one scale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from seaflow.present.quantities import Show
from seaflow.studies.placing.sketch import Box, Mark, Run, Sketch

WIDTH, EDGE = 1320, 46
SECTION_WIDTH = 300  # pixels kept for the section, looking forward
HEEL_WORDS = 60  # and for the words beside it
INK, FAINT, PAPER = "#22313a", "#aab6bb", "#fbfaf6"
SEA, HEELED, SUCTION, DELIVERY = "#1b6f86", "#6f4fa0", "#0f5f9a", "#b3541e"
FILLS = {"berth": "#f3dfc4", "bilge": "#dfe7e4", "engine space": "#e0dcd8"}
PLAIN_FILL = "#f1f1ea"
STYLE = (
    "text{font-family:system-ui,'DejaVu Sans',Arial,sans-serif;fill:" + INK + "}"
    ".small{font-size:11px}.room{font-size:11.5px}.mark{font-size:12px;font-weight:600}"
    ".head{font-size:15px;font-weight:600}.title{font-size:20px;font-weight:600}"
    ".halo{paint-order:stroke;stroke:" + PAPER + ";stroke-width:3px}"
)
METRIC_BAR, US_BAR = 1.0, 0.9144  # m: one metre, three feet

Point = tuple[float, float]
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
        _text(EDGE, 36, f"{sketch.title}: {sketch.place}", "title"),
        _text(EDGE, 58, _subtitle(sketch, show), "room"),
        *_side(sketch, side, show),
        *_plan(sketch, plan),
        *_section(sketch, section, show),
        *_legend(sketch, legend_top, show),
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
    yield _text(view.left, view.top - 14, "Side view, bow to the left", "head")
    boxes = sorted(sketch.boxes, key=lambda box: (box.use != "saloon", -_size(box, 0, 2)))
    yield from _boxes(boxes, view)
    yield from _waterline(view, sketch, show)
    yield from _things(sketch, view)


def _plan(sketch: Sketch, view: View) -> Iterator[str]:
    yield _text(
        view.left,
        view.top - 14,
        "Plan, starboard above, port below; lower rooms drawn over higher ones",
        "head",
    )
    order = sorted(sketch.boxes, key=lambda box: -box.height[0])
    yield from _boxes(order, view)
    y = view.at((0.0, 0.0, 0.0))[1]
    yield _line((view.left, y), (view.right, y), FAINT, dash="10 4 2 4")
    yield from _things(sketch, view)


def _section(sketch: Sketch, view: View, show: Show) -> Iterator[str]:
    yield _text(view.left, view.top - 14, "Across, looking forward", "head")
    pump = _pump(sketch)
    if pump is not None:
        through = [box for box in sketch.boxes if box.aft[0] <= pump.at[0] <= box.aft[1]]
        yield from _boxes(sorted(through, key=lambda box: -_size(box, 1, 2)), view)
    y = view.at((0.0, 0.0, 0.0))[1]
    yield _line((view.left, y), (view.right, y), SEA, 2.0)
    if sketch.heel:
        half = (view.end[0] - view.start[0]) / 2.0
        for side, word in ((1.0, "starboard down"), (-1.0, "port down")):
            rise = side * half * math.tan(sketch.heel)
            ends = (view.at((0.0, -half, -rise)), view.at((0.0, half, rise)))
            yield _line(*ends, HEELED, 1.5, "7 4")
            x, y = ends[1]
            inside = min(max(y, view.top + 10), view.bottom - 6)
            yield _text(x + 4, inside + 4, word, "small", colour=HEELED)
    yield from _things(sketch, view)
    middle = view.at((0.0, 0.0, view.end[1]))[0]
    yield _line((middle, view.top), (middle, view.bottom), FAINT, dash="10 4 2 4")
    yield _text(view.left, view.bottom + 16, "port", "small")
    yield _text(view.right, view.bottom + 16, "starboard", "small", "end")


def _size(box: Box, across: int, up: int) -> float:
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def _boxes(boxes: list[Box], view: View) -> Iterator[str]:
    for box in boxes:
        low, high = (box.aft[0], box.starboard[0], box.height[0]), _high(box)
        (x, bottom), (right, y) = view.at(low), view.at(high)
        fill = FILLS["berth"] if box.sleeps else FILLS.get(box.use, PLAIN_FILL)
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
        yield _text(x + 5, y + 13 * number + 14, line, "room")


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
    yield _line((view.left - 12, y), (view.right + 12, y), SEA, 2.0)
    yield _text(view.left - 12, y - 5, "water, upright", "small", colour=SEA)
    pump = _pump(sketch)
    if pump is None or not sketch.heel:
        return
    drop = abs(pump.at[1]) * math.tan(sketch.heel)
    for level in (-drop, drop):
        spots = [(pump.at[0] + step, 0.0, level) for step in (-0.7, 0.7)]
        yield _line(view.at(spots[0]), view.at(spots[1]), HEELED, 1.5, "7 4")


def _things(sketch: Sketch, view: View) -> Iterator[str]:
    for number, run in enumerate(sketch.runs, 1):
        yield from _run(run, number, view)
    taken: list[tuple[float, float, float]] = []
    for mark in sorted(sketch.marks, key=lambda item: (item.kind != "pump", item.name)):
        x, y = view.at(mark.at)
        yield _symbol(mark.kind, x, y)
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
                    yield _line((x, y), (left if side > 0 else left + wide, level - 4), FAINT, 0.8)
                yield _text(left, level, mark.name, "mark halo")
                return


def _run(run: Run, number: int, view: View) -> Iterator[str]:
    drawn = [view.at(point) for point in run.points]
    colour = SUCTION if run.suction else DELIVERY
    steps = " ".join(f"{x:.1f},{y:.1f}" for x, y in drawn)
    yield f'<polyline points="{steps}" fill="none" stroke="{colour}" stroke-width="3"/>'
    middle = len(drawn) // 2
    (x0, y0), (x1, y1) = drawn[middle - 1], drawn[middle]
    if math.hypot(x1 - x0, y1 - y0) > 16:
        x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="{colour}"/>'
        yield _text(x, y + 4, str(number), "small", "middle", "#ffffff")


def _symbol(kind: str, x: float, y: float) -> str:
    """A shape of its own for each kind of thing."""
    at = f'transform="translate({x:.1f} {y:.1f})" stroke="{INK}" stroke-width="1.5"'
    if kind == "pump":
        return (
            f'<g {at}><circle r="9" fill="#ffd24a"/><path d="M-4 -5L6 0L-4 5Z" fill="{INK}"/></g>'
        )
    if kind == "strainer":
        body = '<rect x="-6" y="-7" width="12" height="14" fill="#ffffff"/>'
        return f'<g {at}>{body}<path d="M-6 -2H6M-6 2H6"/></g>'
    if kind == "intake":
        return f'<path {at} d="M-7 6H7L0 -6Z" fill="{SEA}"/>'
    if kind == "outlet":
        return f'<path {at} d="M-7 -6H7L0 6Z" fill="#ffffff"/>'
    if kind == "unit":
        return f'<rect {at} x="-9" y="-6" width="18" height="12" fill="#cfe6ee"/>'
    return f'<circle {at} r="4" fill="#ffffff"/>'


def _legend(sketch: Sketch, top: float, show: Show) -> Iterator[str]:
    yield _text(EDGE, top, "Hoses, in order of the file", "head")
    for number, run in enumerate(sketch.runs, 1):
        y = top + 6 + 18 * number
        colour = SUCTION if run.suction else DELIVERY
        yield f'<circle cx="{EDGE + 8}" cy="{y - 4:.1f}" r="8" fill="{colour}"/>'
        yield _text(EDGE + 8, y, str(number), "small", "middle", "#ffffff")
        yield _text(EDGE + 24, y, _run_words(run, show), "room")
    x = EDGE + 700
    yield _text(x, top, "Signs", "head")
    kinds = ("intake", "strainer", "pump", "unit", "outlet", "other")
    words = ("intake", "strainer", "pump", "air conditioner", "outlet", "tee or manifold")
    for place, (kind, word) in enumerate(zip(kinds, words, strict=True), 1):
        y = top + 6 + 20 * place
        yield _symbol(kind, x + 10, y - 4)
        yield _text(x + 28, y, word, "room")
    yield from _more_signs(sketch, x + 190, top)


def _more_signs(sketch: Sketch, x: float, top: float) -> Iterator[str]:
    heel = f"{math.degrees(sketch.heel):.0f}°"
    lines = [(SUCTION, 3.0, "", "hose to the pump"), (DELIVERY, 3.0, "", "hose from the pump")]
    lines.append((SEA, 2.0, "", "water, boat upright"))
    if sketch.heel:
        lines.append((HEELED, 1.5, "7 4", f"water at the pump's side, {heel} either way"))
    for place, (colour, wide, dash, word) in enumerate(lines, 1):
        y = top + 6 + 20 * place
        yield _line((x, y - 4), (x + 26, y - 4), colour, wide, dash)
        yield _text(x + 34, y, word, "room")
    y = top + 6 + 20 * (len(lines) + 1)
    yield (
        f'<rect x="{x}" y="{y - 12:.1f}" width="26" height="13" fill="{FILLS["berth"]}" '
        f'stroke="{FAINT}"/>'
    )
    yield _text(x + 34, y, "someone sleeps here; level with the pump running", "room")
    note = "Boats and pumps shipped with this program are invented. Hoses are drawn straight."
    yield _text(x - 190, top + 6 + 20 * 7 + 8, note, "small")
    if sketch.not_drawn:
        lost = "Not drawn, place not recorded: " + ", ".join(sketch.not_drawn)
        yield _text(x - 190, top + 6 + 20 * 7 + 24, lost, "small")


def _run_words(run: Run, show: Show) -> str:
    words = f"{run.name}: {show('length', run.length)} of {show('bore', run.bore)}, "
    if run.goes == "level":
        return words + "level"
    return (
        words + f"{run.goes} {show('height', abs(run.rise))}, {abs(math.degrees(run.slope)):.0f}°"
    )


def _scale_bar(section: View, plan: View, system: str) -> Iterator[str]:
    length, word = (METRIC_BAR, "1 m") if system == "metric" else (US_BAR, "3 ft")
    x, y = section.left, plan.top + 20
    end = x + length * plan.scale
    yield f'<g id="scale-bar">{_line((x, y), (end, y), INK, 3.0)}</g>'
    for mark in (x, end):
        yield _line((mark, y - 6), (mark, y + 6), INK, 1.5)
    yield _text((x + end) / 2.0, y - 8, word, "room", "middle")
    yield _text(x, y + 26, "Heights from the waterline, afloat and loaded.", "small")


def _pump(sketch: Sketch) -> Mark | None:
    return next((mark for mark in sketch.marks if mark.kind == "pump"), None)


def _line(start: Point, end: Point, colour: str, wide: float = 1.0, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}" '
        f'stroke="{colour}" stroke-width="{wide:g}"{dashed}/>'
    )


def _text(x: float, y: float, text: str, look: str, anchor: str = "start", colour: str = "") -> str:
    painted = f' style="fill:{colour}"' if colour else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" class="{look}" text-anchor="{anchor}"{painted}>'
        f"{escape(text)}</text>"
    )
