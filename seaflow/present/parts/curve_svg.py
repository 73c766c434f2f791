"""A pump's curve as an SVG picture, to lay beside the sheet it was typed from."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import shorten

from seaflow.base.facts import fact
from seaflow.present.charts.axes import axis_for
from seaflow.present.charts.svg import SEA, WARM, Frame, Picture, dot, path, written
from seaflow.present.quantities import Show
from seaflow.studies.parts import DrawnCurve

WIDTH, HEIGHT = 760, 540
LEFT, RIGHT, TOP, BOTTOM = 78, 28, 104, 104
LONGEST_TITLE = 48  # letters
LINE_LENGTH = 104  # letters of the small print on one line

STYLE = ".small{font-size:12px}.mark{font-size:13px}.label{font-size:14px}.title{font-size:18px}"


def curve_svg(curve: DrawnCurve, system: str) -> str:
    """Return the picture as SVG text."""
    show = Show(system)
    line = show.pairs(("flow", curve.flow), ("head", curve.head))
    given = show.pairs(("flow", curve.given_flow), ("head", curve.given_head))
    both = [*line, *given]
    across, up = (axis_for(max(pair[axis] for pair in both)) for axis in (0, 1))
    frame = Frame(LEFT, TOP, WIDTH - RIGHT, HEIGHT - BOTTOM, across, up)
    body = [
        written(LEFT, 34, shorten(curve.title, LONGEST_TITLE, placeholder=" …"), "title"),
        written(LEFT, 56, f"{curve.name}, at {curve.supply}", "label"),
        *frame.grid(),
        written(WIDTH - RIGHT, HEIGHT - 62, f"flow, {show.unit('flow')}", "label", "end"),
        written(LEFT, TOP - 16, f"head, {show.unit('head')}", "label", "middle"),
        path([frame.at(*pair) for pair in line], SEA),
        *(dot(frame.at(*pair), WARM) for pair in given),
        *_legend(),
        *_small_print(curve),
    ]
    title = show.sentence(fact("parts.curve", pump=curve.title, supply=curve.supply))
    return Picture((WIDTH, HEIGHT), title, STYLE, tuple(body)).alone()


def _legend() -> Iterator[str]:
    x, y = WIDTH - RIGHT - 150, 29
    yield dot((x + 10, y), WARM)
    yield written(x + 30, y + 5, "given on the sheet", "mark")
    yield path([(x, y + 20), (x + 20, y + 20)], SEA)
    yield written(x + 30, y + 25, "curve that is used", "mark")


def _small_print(curve: DrawnCurve) -> Iterator[str]:
    said = [f"Source: {curve.source}"]
    if curve.note:
        said.append(f"Note: {curve.note}")
    for number, text in enumerate(said):
        shown = shorten(text, LINE_LENGTH, placeholder=" …")
        yield written(LEFT, HEIGHT - 34 + 18 * number, shown, "small")
