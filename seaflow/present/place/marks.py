"""What stands in a view of a drawing: rooms with their words, hoses, signs and names."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.boat.tables.things import Spot
from seaflow.present.place.signs import (
    BERTH,
    DELIVERY,
    FAINT,
    INK,
    LETTERS,
    SUCTION,
    Point,
    other_place,
    ruled,
    sign,
    written,
)
from seaflow.present.place.views import View
from seaflow.studies.place.sketch import Box, Mark, Run, Sketch

FILLS = {"bilge": "#dfe7e4", "engine space": "#e0dcd8"}
PLAIN_FILL = "#f1f1ea"
SHORTEST_NUMBERED = 16  # pixels
LETTER, BOLD_LETTER = 6.2, 7.2  # pixels to a letter of a room's words and of a name
LINE = 14  # pixels that two lines of words must lie apart

CLEAR = 17.0  # pixels that two signs must lie apart
PARTS = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)  # of a leg at which its number may stand

Taken = list[tuple[float, float, float]]  # left, right and level of what names keep off


def face(box: Box, across: int, up: int) -> float:
    """Return the area of a box as a view shows it [m2]."""
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def rooms(sketch: Sketch, boxes: list[Box], view: View) -> Iterator[str]:
    """Yield rooms in the order given, and over all of them their words."""
    for box in boxes:
        low, high = (box.aft[0], box.starboard[0], box.height[0]), _high(box)
        (x, bottom), (right, y) = view.at(low), view.at(high)
        fill = BERTH if box.sleeps else FILLS.get(box.use, PLAIN_FILL)
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" height="{bottom - y:.1f}" '
            f'fill="{fill}" stroke="{FAINT}"/>'
        )
    for left, level, line in room_words(sketch, boxes, view):
        yield written(left, level, line, "room halo")


def _high(box: Box) -> Spot:
    return box.aft[1], box.starboard[1], box.height[1]


def room_words(sketch: Sketch, boxes: list[Box], view: View) -> list[tuple[float, float, str]]:
    """Return left, level and text of each line of words of all rooms, clear of each other.

    They keep off the signs too, where a room is large enough for that.
    """
    marks = (*sketch.marks, *sketch.others, *sketch.intakes, *sketch.pillows)
    signs = [(x - 9.0, x + 9.0, y + 4.0) for x, y in (view.at(mark.at) for mark in marks)]
    found: list[tuple[float, float, str]] = []
    for box in sorted(boxes, key=lambda item: face(item, view.across, view.up)):
        taken = [(left, left + LETTER * len(line), level) for left, level, line in found]
        found += _box_words(box, view, taken, signs)
    return found


def _box_words(box: Box, view: View, taken: Taken, signs: Taken) -> list[tuple[float, float, str]]:
    """Return the lines of one room, as high up in it as others' words leave room."""
    x, bottom = view.at((box.aft[0], box.starboard[0], box.height[0]))
    right, y = view.at(_high(box))
    lines = _wrapped(box.name, int((right - x - 8) / LETTER))
    if box.sleeps:
        lines.append("berth" if box.level is None else f"berth, {box.level:.0f} dB(A)")
    fitting = max(1, int((bottom - y - 3) / 13))
    if len(lines) > fitting:
        lines = [*lines[: fitting - 1], lines[fitting - 1] + " …"]
    wide = LETTER * max(len(line) for line in lines)
    lefts = (x + 5, right - 5 - wide)
    starts = [
        (off, left, y + 13 * step + 14)
        for off in ([*taken, *signs], taken)
        for left in lefts
        for step in range(max(1, fitting - len(lines) + 1))
    ]
    for off, left, first in starts:
        tops = [first + 13 * number for number in range(len(lines))]
        if all(_is_free((left, top), wide, off) for top in tops):
            return [(left, top, line) for top, line in zip(tops, lines, strict=True)]
    return [(x + 5, y + 13 * number + 14, line) for number, line in enumerate(lines)]


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
    for run in sketch.runs:
        yield _run(run, view)
    shown = [box.name for box in boxes]
    pillows = [mark for mark in sketch.pillows if mark.name in shown]
    spots = [view.at(mark.at) for mark in (*sketch.marks, *pillows)]
    for mark in pillows:
        yield sign("pillow", *view.at(mark.at))
    if view.name != "section":
        yield from _others(sketch, view, spots)
    badges = [(run, number) for number, run in enumerate(sketch.runs, 1)]
    drawn = []
    for run, number in badges:
        spot = _badge(run, view, spots)
        if spot is not None:
            spots.append(spot)
            drawn.append((spot, number, SUCTION if run.suction else DELIVERY))
    taken = [(x - 9.0, x + 9.0, y + 4.0) for x, y in spots]
    words = [
        (left, left + LETTER * len(line), level)
        for left, level, line in room_words(sketch, boxes, view)
    ]
    names = []
    for mark in sorted(sketch.marks, key=lambda item: (item.kind != "pump", item.name)):
        x, y = view.at(mark.at)
        yield sign(mark.kind, x, y)
        if view.name != "section" or mark.kind in ("pump", "outlet", "intake"):
            names += list(_name(mark, view, taken, words))
    for (x, y), number, colour in drawn:
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="{colour}"/>'
        yield written(x, y + 4, str(number), "small", "middle", "#ffffff")
    yield from names


def _others(sketch: Sketch, view: View, spots: list[Point]) -> Iterator[str]:
    """Yield the places not taken, fanned out where they would cover a sign; adds to `spots`."""
    for mark in sketch.others:
        at = view.at(mark.at)
        here = _fanned(at, spots)
        if here != at:
            yield ruled(at, here, INK, 0.8)
        spots.append(here)
        yield from other_place(mark.name, *here)
    for number, mark in enumerate(sketch.intakes):
        at = view.at(mark.at)
        here = _fanned(at, spots)
        if here != at:
            yield ruled(at, here, INK, 0.8)
        spots.append(here)
        yield sign("other intake", *here)
        yield written(here[0], here[1] + 6, LETTERS[number % 26], "small", "middle")


def _fanned(spot: Point, taken: list[Point]) -> Point:
    """Return the spot, or the nearest round it at which nothing else is drawn."""
    rings = [(far, turn) for far in (21.0, 40.0, 59.0) for turn in range(12)]
    tries = [spot] + [
        (spot[0] + far * math.cos(turn * math.pi / 6), spot[1] + far * math.sin(turn * math.pi / 6))
        for far, turn in rings
    ]
    return next((one for one in tries if _clear(one, taken) >= CLEAR), spot)


def _clear(spot: Point, taken: list[Point]) -> float:
    """Return how far a spot is from the nearest that is taken [pixels]."""
    return min((math.dist(spot, other) for other in taken), default=math.inf)


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


def _run(run: Run, view: View) -> str:
    colour = SUCTION if run.suction else DELIVERY
    steps = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(view.at, run.points))
    return f'<polyline points="{steps}" fill="none" stroke="{colour}" stroke-width="3"/>'


def _badge(run: Run, view: View, taken: list[Point]) -> Point | None:
    """Return where the number of a hose stands, or None where the hose is too short for one."""
    drawn = [view.at(point) for point in run.points]
    middle = len(drawn) // 2
    (x0, y0), (x1, y1) = drawn[middle - 1], drawn[middle]
    if math.hypot(x1 - x0, y1 - y0) <= SHORTEST_NUMBERED:
        return None
    tries = [(x0 + part * (x1 - x0), y0 + part * (y1 - y0)) for part in PARTS]
    clear = next((spot for spot in tries if _clear(spot, taken) >= CLEAR), None)
    return _fanned(tries[0], taken) if clear is None else clear
