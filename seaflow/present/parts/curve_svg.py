"""A pump's curve as an SVG picture, to lay beside the sheet it was typed from."""

from __future__ import annotations

from textwrap import shorten

from seaflow.base.facts import fact
from seaflow.present.charts.axes import axis_for
from seaflow.present.charts.key import KeyRow, keyed, paragraph, stroke
from seaflow.present.charts.svg import LEADING, SEA, WARM, Frame, Picture, dot, path, written
from seaflow.present.quantities import Show
from seaflow.studies.parts import DrawnCurve

WIDTH, TALL = 760, 332
LEFT, RIGHT = 78, 28
LONGEST_TITLE, LONGEST_NOTE = 48, 208  # letters


def curve_svg(curve: DrawnCurve, system: str) -> str:
    """Return the picture as SVG text."""
    show = Show(system)
    line = show.pairs(("flow", curve.flow), ("head", curve.head))
    given = show.pairs(("flow", curve.given_flow), ("head", curve.given_head))
    both = [*line, *given]
    across, up = (axis_for(max(pair[axis] for pair in both)) for axis in (0, 1))
    frame = Frame(LEFT, 112, WIDTH - RIGHT, 112 + TALL, across, up)
    body = [
        written(RIGHT, 34, shorten(curve.title, LONGEST_TITLE, placeholder=" …"), "title"),
        written(RIGHT, 58, f"{curve.name}, at {curve.supply}", "label"),
        *frame.grid(),
        written(WIDTH - RIGHT, frame.bottom + 42, f"flow, {show.unit('flow')}", "label", "end"),
        written(LEFT, frame.top - 16, f"head, {show.unit('head')}", "label", "middle"),
        path([frame.at(*pair) for pair in line], SEA),
        *(dot(frame.at(*pair), WARM) for pair in given),
    ]
    rows = [
        KeyRow(dot((0.0, 0.0), WARM), fact("parts.curve_given")),
        KeyRow(stroke(SEA, 2.5), fact("parts.curve_used")),
    ]
    wide = WIDTH - 2.0 * RIGHT
    key, y = keyed(rows, (RIGHT, frame.bottom + 70), wide, show)
    for note in (f"Source: {curve.source}", f"Note: {curve.note}" if curve.note else ""):
        lines = paragraph(shorten(note, LONGEST_NOTE, placeholder=" …"), (RIGHT, y), wide)
        key += lines
        y += LEADING * len(lines)
    title = show.sentence(fact("parts.curve", pump=curve.title, supply=curve.supply))
    return Picture((WIDTH, y + 8), title, (*body, *key)).alone()
