"""What stands in a view of a drawing: rooms with their words, hoses, signs and names."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.present.placing.signs import (
    BERTH,
    DELIVERY,
    FAINT,
    SUCTION,
    Point,
    other_place,
    ruled,
    sign,
    written,
)
from seaflow.present.placing.views import Spot, View
from seaflow.studies.placing.sketch import Box, Mark, Run, Sketch

FILLS = {"bilge": "#dfe7e4", "engine space": "#e0dcd8"}
PLAIN_FILL = "#f1f1ea"
SHORTEST_NUMBERED = 16  # pixels
LETTER, BOLD_LETTER = 6.2, 7.2  # pixels to a letter of a room's words and of a name
LINE = 14  # pixels that two lines of words must lie apart

Taken = list[tuple[float, float, float]]  # left, right and level of what names keep off


def face(box: Box, across: int, up: int) -> float:
    """Return the area of a box as a view shows it [m2]."""
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def rooms(boxes: list[Box], view: View) -> Iterator[str]:
    """Yield rooms with their words, in the order given."""
    for box in boxes:
        low, high = (box.aft[0], box.starboard[0], box.height[0]), _high(box)
        (x, bottom), (right, y) = view.at(low), view.at(high)
        fill = BERTH if box.sleeps else FILLS.get(box.use, PLAIN_FILL)
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" height="{bottom - y:.1f}" '
            f'fill="{fill}" stroke="{FAINT}"/>'
        )
        for left, level, line in _room_words(box, view):
            yield written(left, level, line, "room")


def _high(box: Box) -> Spot:
    return box.aft[1], box.starboard[1], box.height[1]


def _room_words(box: Box, view: View) -> Iterator[tuple[float, float, str]]:
    """Yield left, level and text of each line of a room's words."""
    x, bottom = view.at((box.aft[0], box.starboard[0], box.height[0]))
    right, y = view.at(_high(box))
    lines = _wrapped(box.name, int((right - x - 8) / LETTER))
    if box.sleeps:
        lines.append("berth" if box.level is None else f"berth, {box.level:.0f} dB(A)")
    fitting = max(1, int((bottom - y - 3) / 13))
    if len(lines) > fitting:
        lines = [*lines[: fitting - 1], lines[fitting - 1] + " …"]
    for number, line in enumerate(lines):
        yield x + 5, y + 13 * number + 14, line


def _wrapped(text: str, letters: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + len(word) + 1 <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def things(sketch: Sketch, view: View, boxes: list[Box]) -> Iterator[str]:
    """Yield hoses, other places, signs and names; names keep off each other and rooms' words."""
    for number, run in enumerate(sketch.runs, 1):
        yield from _run(run, number, view)
    for mark in sketch.others if view.name != "section" else ():
        yield from other_place(mark.name, *view.at(mark.at))
    spots = [view.at(mark.at) for mark in (*sketch.marks, *sketch.others)]
    spots += [spot for run in sketch.runs if (spot := _badge(run, view)) is not None]
    taken = [(x - 9.0, x + 9.0, y + 4.0) for x, y in spots]
    words = [
        (left, left + LETTER * len(line), level)
        for box in boxes
        for left, level, line in _room_words(box, view)
    ]
    for mark in sorted(sketch.marks, key=lambda item: (item.kind != "pump", item.name)):
        x, y = view.at(mark.at)
        yield sign(mark.kind, x, y)
        if view.name != "section" or mark.kind in ("pump", "outlet", "intake"):
            yield from _name(mark, view, taken, words)


def _name(mark: Mark, view: View, taken: Taken, words: Taken) -> Iterator[str]:
    """Write a name where it is free, with a hairline if it had to step aside.

    Where nothing is free it may cover words of a room, and in the end stand beside its sign.
    """
    x, y = view.at(mark.at)
    wide = BOLD_LETTER * len(mark.name)
    spots = list(_spots(x, y, wide, view))
    free = (
        spot for off in ([*taken, *words], taken) for spot in spots if _is_free(spot, wide, off)
    )
    left, level = next(free, (x + 11, y + 4))
    taken.append((left, left + wide, level))
    if abs(level - y - 4) > 1.0:
        yield ruled((x, y), (left if left > x else left + wide, level - 4), FAINT, 0.8)
    yield written(left, level, mark.name, "mark halo")


def _spots(x: float, y: float, wide: float, view: View) -> Iterator[Point]:
    """Yield left end and level of a name, the nearest first, as far as the view has room."""
    for step in (0, 17, -17, 34, -34, 51, -51, 68, -68, 85, -85):
        for left in (x + 11, x - 11 - wide):
            inside = view.left - 20 <= left and left + wide <= view.right + 60
            if inside and view.top - 14 <= y + 4 + step <= view.bottom + 30:
                yield left, y + 4 + step


def _is_free(spot: Point, wide: float, taken: Taken) -> bool:
    left, level = spot
    return all(
        abs(level - other) > LINE or left + wide < start or left > end
        for start, end, other in taken
    )


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
