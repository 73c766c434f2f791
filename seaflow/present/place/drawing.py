"""A place of the pump as an SVG picture: plan, side view and section, to one scale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from html import escape

from seaflow.present.place.marks import face, rooms, things
from seaflow.present.place.signs import (
    FAINT,
    INK,
    PAPER,
    legend,
    legend_rows,
    ruled,
    written,
)
from seaflow.present.place.views import (
    EDGE,
    HEAD,
    WIDTH,
    View,
    across,
    outline,
    pump_of,
    views_of,
    waterline,
)
from seaflow.present.quantities import Show
from seaflow.present.words.place import DRAWN
from seaflow.studies.place.sketch import Box, Sketch

STYLE = (
    "text{font-family:system-ui,'DejaVu Sans',Arial,sans-serif;fill:" + INK + "}"
    ".small{font-size:11px}.room{font-size:11.5px}.mark{font-size:12px;font-weight:600}"
    ".head{font-size:15px;font-weight:600}.title{font-size:20px;font-weight:600}"
    ".halo{paint-order:stroke;stroke:" + PAPER + ";stroke-width:3px}"
)
METRIC_BAR, US_BAR = 1.0, 0.9144  # m: one metre, three feet


def place_svg(sketch: Sketch, system: str) -> str:
    """Return the picture as SVG text."""
    show = Show(system)
    title = show.sentence(sketch.title)
    side, plan, section = views_of(sketch)
    legend_top = plan.bottom + 56
    height = legend_top + 42 + max(18 * len(sketch.runs), 20 * legend_rows(sketch)) + 30
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height:.0f}" '
        f'width="{WIDTH}" height="{height:.0f}" role="img">',
        f"<title>{escape(f'{sketch.boat}: {title}')}</title>",
        f"<style>{STYLE}</style>",
        f'<rect width="{WIDTH}" height="{height:.0f}" fill="{PAPER}"/>',
        written(EDGE, 36, title, "title"),
        written(EDGE, 58, _subtitle(sketch, show), "room"),
        *_side(sketch, side),
        *_plan(sketch, plan),
        *_section(sketch, section),
        *legend(sketch, (EDGE, legend_top), show),
        *_scale_bar(section, plan, system),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _subtitle(sketch: Sketch, show: Show) -> str:
    stays = show.sentence(sketch.stays)
    return DRAWN["subtitle"].format(boat=sketch.boat, stays=stays)


def _side(sketch: Sketch, view: View) -> Iterator[str]:
    shown = _this_side(sketch)
    words = DRAWN["side" if len(shown) == len(sketch.boxes) else "one_side"]
    yield written(view.left, view.top - HEAD, words, "head")
    boxes = sorted(shown, key=lambda box: (box.use != "saloon", -face(box, 0, 2)))
    yield from rooms(sketch, boxes, view)
    yield from outline(sketch, view)
    yield from waterline(sketch, view)
    yield from things(sketch, view, boxes)


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


def _plan(sketch: Sketch, view: View) -> Iterator[str]:
    yield written(view.left, view.top - HEAD, DRAWN["plan"], "head")
    boxes = sorted(sketch.boxes, key=lambda box: -box.height[0])
    yield from rooms(sketch, boxes, view)
    yield from outline(sketch, view)
    y = view.at((0.0, 0.0, 0.0))[1]
    yield ruled((view.left, y), (view.right, y), FAINT, dash="10 4 2 4")
    yield from things(sketch, view, boxes)


def _section(sketch: Sketch, view: View) -> Iterator[str]:
    yield written(view.left, view.top - HEAD, DRAWN["section"], "head")
    pump = pump_of(sketch)
    through = [box for box in sketch.boxes if pump and box.aft[0] <= pump.at[0] <= box.aft[1]]
    through.sort(key=lambda box: -face(box, 1, 2))
    yield from rooms(sketch, through, view)
    yield from outline(sketch, view)
    yield from across(sketch, view)
    yield from things(sketch, view, through)
    middle = view.at((0.0, 0.0, view.end[1]))[0]
    yield ruled((middle, view.top), (middle, view.bottom), FAINT, dash="10 4 2 4")
    yield written(view.left, view.bottom + 16, "port", "small")
    yield written(view.right, view.bottom + 16, "starboard", "small", "end")


def _scale_bar(section: View, plan: View, system: str) -> Iterator[str]:
    length, word = (METRIC_BAR, "1 m") if system == "metric" else (US_BAR, "3 ft")
    x, y = section.left, plan.top + 20
    end = x + length * plan.scale
    yield f'<g id="scale-bar">{ruled((x, y), (end, y), INK, 3.0)}</g>'
    for mark in (x, end):
        yield ruled((mark, y - 6), (mark, y + 6), INK, 1.5)
    yield written((x + end) / 2.0, y - 8, word, "room", "middle")
    yield written(x, y + 26, DRAWN["heights"], "small")
