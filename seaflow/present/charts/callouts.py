"""Words with a hairline to what they name, where least stands in the way of either."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from seaflow.present.charts.labels import Area, Taken, around, box_of, width_of
from seaflow.present.charts.svg import INK, Point, dot, ruled, written

LEADING = 15  # pixels from line to line
SHORTEST = 8.0  # pixels: words nearer than that to what they name need no hairline
NEARER = 0.0015  # what a pixel further away counts, where a line in the way counts one
REACH = (14, 20, 27, 35, 44, 54, 66, 80, 96, 114, 136, 160)  # pixels that words may step aside
STRUCK = 4.0  # what words in the way of a hairline count


@dataclass(frozen=True, slots=True)
class Words:
    """Words that seek a place: their lines, size and look."""

    lines: tuple[str, ...]
    size: float
    bold: bool
    look: str

    @property
    def wide(self) -> float:
        """How wide they are [pixels]."""
        return max(width_of(line, self.size, self.bold) for line in self.lines)

    @property
    def tall(self) -> float:
        """How tall they are [pixels]."""
        return self.size + LEADING * (len(self.lines) - 1)

    def box(self, spot: Point) -> Area:
        """Return the ground they fill, their first line beginning at a spot."""
        first = box_of(spot, "", self.size)
        bottom = first.bottom + LEADING * (len(self.lines) - 1)
        return Area(first.left - 1, first.top - 1, first.left + self.wide + 1, bottom + 1)


@dataclass(frozen=True, slots=True)
class Aim:
    """What words are for: a mark of some radius at a point, or a room of the picture."""

    at: Point
    radius: float = 0.0
    room: Area | None = None

    def hairline(self, words: Area) -> tuple[Point, Point]:
        """Return the line from here to the nearest edge of words."""
        x, y = self.at
        if self.room is not None:
            room = self.room
            x = min(max(0.5 * (words.left + words.right), room.left + 8), room.right - 8)
            y = room.top + 6 if words.bottom <= room.top else room.bottom - 6
        near = nearest(words, x, y)
        far = math.dist((x, y), near)
        part = min(1.0, self.radius / far) if far else 0.0
        return (x + part * (near[0] - x), y + part * (near[1] - y)), near


@dataclass(frozen=True, slots=True)
class Callout:
    """Words at their place, with the hairline to what they name."""

    words: Words
    spot: Point
    line: tuple[Point, Point]
    aim: Aim | None = None

    @property
    def box(self) -> Area:
        """The ground they fill."""
        return self.words.box(self.spot)

    @property
    def has_line(self) -> bool:
        """Whether they stand so far off that they need their hairline."""
        return math.dist(*self.line) > SHORTEST

    def cost(self, ground: Taken) -> float:
        """Return what is in the way of words and hairline; nothing where both are free."""
        cost = ground.cost(self.box)
        if self.has_line:
            struck = [other for other in ground.boxes if other.struck(*self.line)]
            cost += STRUCK * sum(not self._is_own(other) for other in struck)
        return cost

    def _is_own(self, box: Area) -> bool:
        """Whether a box lies over the mark itself, which no hairline to it can miss."""
        if self.aim is None or self.aim.room is not None:
            return False
        x, y = self.aim.at
        return box.left < x < box.right and box.top < y < box.bottom

    def hairlines(self) -> Iterator[str]:
        """Yield the hairline, and a dot at its end in a room."""
        if self.has_line:
            yield ruled(*self.line, INK, 0.6)
            if self.aim is not None and self.aim.room is not None:
                yield dot(self.line[0], INK, 2.0, INK)

    def written(self) -> Iterator[str]:
        """Yield the words."""
        x, y = self.spot
        for number, line in enumerate(self.words.lines):
            yield written(x, y + LEADING * number, line, self.words.look)


def best_callout(
    words: Words, tries: Iterable[Point], aim: Aim, ground: Taken, within: Area
) -> Callout:
    """Return words at the spot, of those inside a box, that has least in its way."""
    best, least = None, math.inf
    for spot in tries:
        box = words.box(spot)
        if box.left < within.left or box.right > within.right:
            continue
        if box.top < within.top or box.bottom > within.bottom:
            continue
        placed = Callout(words, spot, aim.hairline(box), aim)
        away = NEARER * math.dist(*placed.line)
        if away < least:
            cost = away + placed.cost(ground)
            if cost < least:
                best, least = placed, cost
    if best is not None:
        return best
    spot = (aim.at[0] + aim.radius, aim.at[1])
    return Callout(words, spot, aim.hairline(words.box(spot)), aim)


def called(words: Words, at: Point, radius: float, ground: Taken, within: Area) -> Iterator[str]:
    """Yield the hairline of words about a mark, and the words; they take their ground."""
    tries = [(x - 0.5 * words.wide, y + 0.35 * words.size) for x, y in around(at, REACH)]
    placed = best_callout(words, tries, Aim(at, radius), ground, within)
    ground.boxes.append(placed.box)
    ground.add_line(placed.line)
    yield from placed.hairlines()
    yield from placed.written()


def nearest(box: Area, x: float, y: float) -> Point:
    """Return the point of a box that is nearest to a point."""
    return min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)
