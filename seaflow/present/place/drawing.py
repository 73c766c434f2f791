"""A place of the pump as an SVG picture: side view, plan and section, to one scale."""

from __future__ import annotations

import math

from seaflow.present.charts.labels import wrapped
from seaflow.present.charts.svg import INK, Picture, ruled, written
from seaflow.present.place.marks import face, letter_of, view_of
from seaflow.present.place.signs import PAPER, ROOM_SIZE, SMALL_SIZE, legend
from seaflow.present.place.views import HEADING, NARROW, WIDTH, View, edge_of, pump_of, views_of
from seaflow.present.quantities import Show
from seaflow.present.words.place import DRAWN
from seaflow.studies.place.sketch import Box, Sketch

STYLE = (
    ".small{font-size:12px}.room{font-size:13px}.mark{font-size:13px;font-weight:600}"
    ".head{font-size:16px;font-weight:600}.title{font-size:20px;font-weight:600}"
    ".halo{paint-order:stroke;stroke:" + PAPER + ";stroke-width:3px}"
)
METRIC_BAR, US_BAR = 1.0, 0.9144  # m: one metre, three feet
TITLE_SIZE, HEAD_SIZE = 20.0, 16.0
Drawn = tuple[list[str], list[str]]  # a view, and the names that it has only as letters
WORDS = 260.0  # pixels that the words beside the section may be wide


def place_svg(sketch: Sketch, system: str) -> str:
    """Return the picture as SVG text."""
    return place_picture(sketch, system).alone()


def place_picture(sketch: Sketch, system: str, breadth: float = WIDTH) -> Picture:
    """Return the picture of a place: side view, plan and section, hoses and signs."""
    show = Show(system)
    title = show.sentence(sketch.title)
    edge = edge_of(breadth)
    wide = breadth - 2 * edge
    stays = DRAWN["subtitle"].format(boat=sketch.boat, stays=show.sentence(sketch.stays))
    heads = wrapped(title, TITLE_SIZE, wide, bold=True)
    said = wrapped(stays, ROOM_SIZE, wide)
    top = 36.0 + 26 * (len(heads) - 1)
    side, plan, section = views_of(sketch, top + 66 + 17 * len(said), breadth)
    views = [_side(sketch, side), _plan(sketch, plan), _section(sketch, section)]
    short = sorted({(letter_of(sketch, name), name) for _, names in views for name in names})
    bar, below = _scale_bar(section, system, breadth)
    key, height = legend(sketch, (edge, below), wide, (show, short))
    body = [
        *(written(edge, 36 + 26 * row, line, "title") for row, line in enumerate(heads)),
        *(written(edge, top + 23 + 17 * row, line, "room") for row, line in enumerate(said)),
        *(item for drawn, _ in views for item in drawn),
        *bar,
        *key,
    ]
    return Picture((breadth, height + 14), f"{sketch.boat}: {title}", STYLE, tuple(body), PAPER)


def _headed(view: View, words: str, sketch: Sketch, boxes: list[Box]) -> Drawn:
    drawn, short = view_of(sketch, view, boxes)
    room = max(view.right - view.left, NARROW / 2.0)
    lines = wrapped(words, HEAD_SIZE, room, bold=True)
    top = view.top - HEADING - 20.0 * (len(lines) - 1)
    heads = [written(view.left, top + 20.0 * i, line, "head") for i, line in enumerate(lines)]
    return [*heads, *drawn], short


def _side(sketch: Sketch, view: View) -> Drawn:
    shown = _this_side(sketch)
    words = DRAWN["side" if len(shown) == len(sketch.boxes) else "one_side"]
    boxes = sorted(shown, key=lambda box: (box.use != "saloon", -face(box, 0, 2)))
    return _headed(view, words, sketch, boxes)


def _this_side(sketch: Sketch) -> list[Box]:
    """Return the boxes but for empty ones across the boat that would hide some of this side."""
    pump = pump_of(sketch)
    here = 0.0 if pump is None else math.copysign(1.0, pump.at[1])
    spots = [mark.at for mark in (*sketch.marks, *sketch.others, *sketch.intakes, *sketch.pillows)]
    return [
        box
        for box in sketch.boxes
        if max(here * end for end in box.starboard) > 0.0
        or any(box.holds(spot) for spot in spots)
        or not any(box.hides(other) for other in sketch.boxes if other is not box)
    ]


def _plan(sketch: Sketch, view: View) -> Drawn:
    boxes = sorted(sketch.boxes, key=lambda box: -box.height[0])
    return _headed(view, DRAWN["plan"], sketch, boxes)


def _section(sketch: Sketch, view: View) -> Drawn:
    pump = pump_of(sketch)
    through = [box for box in sketch.boxes if pump and box.aft[0] <= pump.at[0] <= box.aft[1]]
    boxes = sorted(through, key=lambda box: -face(box, 1, 2))
    return _headed(view, DRAWN["section"], sketch, boxes)


def _scale_bar(section: View, system: str, breadth: float) -> tuple[list[str], float]:
    """Return the bar of the scale with its words, and where the key begins below."""
    length, word = (METRIC_BAR, "1 m") if system == "metric" else (US_BAR, "3 ft")
    x, y, below = breadth - edge_of(breadth) - WORDS, section.top + 20, section.bottom + 92
    if breadth < NARROW:
        x, y, below = section.left, below - 20, below + 66
    end = x + length * section.scale
    drawn = [f'<g id="scale-bar">{ruled((x, y), (end, y), INK, 3.0)}</g>']
    drawn += [ruled((mark, y - 6), (mark, y + 6), INK, 1.5) for mark in (x, end)]
    drawn.append(written((x + end) / 2.0, y - 11, word, "room", "middle"))
    drawn += [
        written(x, y + 28 + 16 * number, line, "small")
        for number, line in enumerate(wrapped(DRAWN["heights"], SMALL_SIZE, WORDS))
    ]
    return drawn, below
