"""A pump's curve as an SVG picture, to lay beside the sheet it was typed from."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from textwrap import shorten

from seaflow.base.facts import fact
from seaflow.present.parts.axes import Axis, axis_for
from seaflow.present.quantities import Show
from seaflow.studies.parts import DrawnCurve

WIDTH, HEIGHT = 760, 540
LEFT, RIGHT, TOP, BOTTOM = 78, 28, 104, 104
INK, FAINT, SEA, POINT = "#22313a", "#d5dde0", "#1b6f86", "#c4571d"
LONGEST_TITLE = 48  # letters
LINE_LENGTH = 104  # letters of the small print on one line

_STYLE = (
    "text{font-family:system-ui,'DejaVu Sans',Arial,sans-serif;fill:" + INK + "}"
    ".small{font-size:12px}.mark{font-size:13px}.label{font-size:14px}.title{font-size:18px}"
)


def curve_svg(curve: DrawnCurve, system: str) -> str:
    """Return the picture as SVG text."""
    show = Show(system)
    line = [_pair(show, *point) for point in zip(curve.flow, curve.head, strict=True)]
    given = [_pair(show, *p) for p in zip(curve.given_flow, curve.given_head, strict=True)]
    across = axis_for(max(flow for flow, _ in [*line, *given]))
    up = axis_for(max(top for _, top in [*line, *given]))
    title = show.sentence(fact("parts.curve", pump=curve.title, supply=curve.supply))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}" role="img">',
        f"<title>{escape(title)}</title>",
        f"<style>{_STYLE}</style>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        _text(LEFT, 34, shorten(curve.title, LONGEST_TITLE, placeholder=" …"), "title"),
        _text(LEFT, 56, f"{curve.name}, at {curve.supply}", "label"),
        *_grid(across, up),
        _text(WIDTH - RIGHT, HEIGHT - 62, f"flow, {show.unit('flow')}", "label", "end"),
        _text(LEFT, TOP - 16, f"head, {show.unit('head')}", "label", "middle"),
        _path([(_x(across, flow), _y(up, top)) for flow, top in line]),
        *(_dot(_x(across, flow), _y(up, top)) for flow, top in given),
        *_legend(),
        *_small_print(curve),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _pair(show: Show, flow: float, top: float) -> tuple[float, float]:
    return show.value("flow", flow), show.value("head", top)


def _x(across: Axis, value: float) -> float:
    return LEFT + across.share(value) * (WIDTH - LEFT - RIGHT)


def _y(up: Axis, value: float) -> float:
    return TOP + (1.0 - up.share(value)) * (HEIGHT - TOP - BOTTOM)


def _grid(across: Axis, up: Axis) -> Iterator[str]:
    low, high = _y(up, 0.0), _y(up, up.end)
    start, end = _x(across, 0.0), _x(across, across.end)
    for mark in across.marks:
        x = _x(across, mark)
        yield _rule((x, low), (x, high), INK if mark == 0 else FAINT)
        yield _text(x, low + 20, across.written(mark), "mark", "middle")
    for mark in up.marks:
        y = _y(up, mark)
        yield _rule((start, y), (end, y), INK if mark == 0 else FAINT)
        yield _text(start - 10, y + 5, up.written(mark), "mark", "end")


def _legend() -> Iterator[str]:
    x, y = WIDTH - RIGHT - 150, 29
    yield _dot(x + 10, y)
    yield _text(x + 30, y + 5, "given on the sheet", "mark")
    yield _path([(x, y + 20), (x + 20, y + 20)])
    yield _text(x + 30, y + 25, "curve that is used", "mark")


def _small_print(curve: DrawnCurve) -> Iterator[str]:
    said = [f"Source: {curve.source}"]
    if curve.note:
        said.append(f"Note: {curve.note}")
    for number, text in enumerate(said):
        shown = shorten(text, LINE_LENGTH, placeholder=" …")
        yield _text(LEFT, HEIGHT - 34 + 18 * number, shown, "small")


def _rule(start: tuple[float, float], end: tuple[float, float], colour: str) -> str:
    return (
        f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}" '
        f'stroke="{colour}"/>'
    )


def _path(points: list[tuple[float, float]]) -> str:
    steps = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polyline points="{steps}" fill="none" stroke="{SEA}" stroke-width="2.5"/>'


def _dot(x: float, y: float) -> str:
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{POINT}" stroke="#ffffff" '
        'stroke-width="1.5"/>'
    )


def _text(x: float, y: float, text: str, look: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" class="{look}" text-anchor="{anchor}">{escape(text)}</text>'
    )
