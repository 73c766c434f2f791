"""How wide words are, and where they can stand clear of other words, marks and lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

import numpy as np

from seaflow.base.arrays import Array
from seaflow.present.charts.svg import Point

# Advances of the letters from space to tilde in hundredths of the size, of DejaVu Sans: the widest
# of the fonts that a picture asks for, so that words are no wider in any other.
_PLAIN = (
    *(32, 40, 46, 84, 64, 95, 78, 27, 39, 39, 50, 84, 32, 36, 32, 34, 64, 64, 64, 64, 64, 64, 64),
    *(64, 64, 64, 34, 34, 84, 84, 84, 53, 100, 68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86),
    *(75, 79, 60, 79, 69, 63, 61, 73, 68, 99, 69, 61, 69, 39, 34, 39, 84, 50, 50, 61, 63, 55, 63),
    *(62, 35, 63, 63, 28, 28, 58, 28, 97, 63, 61, 63, 63, 41, 52, 39, 63, 59, 82, 59, 59, 52, 64),
    *(34, 64, 84),
)
MOST_KEPT = 4096  # words whose width is kept: they are tried at many places
LONGEST_WORD = 30  # letters
_UNPARTED = re.compile(r"(?:\(?[\d.,]*\d )*\S+")  # a word, with the number before it
_OTHER = 84  # any other letter
_BOLDER = 1.16  # no word grows more when it is bold
_ASCENT, _DESCENT = 0.78, 0.22  # of the size: what letters reach above and below their line


@lru_cache(MOST_KEPT)
def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return how wide words are, in the unit of their size."""
    wide = sum(_PLAIN[ord(c) - 32] if 32 <= ord(c) < 127 else _OTHER for c in text)
    return wide * size / 100.0 * (_BOLDER if bold else 1.0)


def wrapped(text: str, size: float, wide: float, bold: bool = False) -> list[str]:
    """Return words in lines no wider than asked, but for a single word that is wider.

    A number and what follows it, such as its unit, are never parted; what no language has as one
    word is parted where the line ends.
    """
    lines: list[str] = []
    for word in (part for one in _UNPARTED.findall(text) for part in _parts(one, size, wide)):
        if lines and width_of(f"{lines[-1]} {word}", size, bold) <= wide:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _parts(word: str, size: float, wide: float) -> Iterator[str]:
    """Yield a word, or the parts of one that is too long to be one and wider than its line."""
    while len(word) > LONGEST_WORD and width_of(word, size, bold=True) > wide:
        fits = (end for end in range(len(word), 1, -1) if width_of(word[:end], size, True) <= wide)
        end = next(fits, 1)
        yield word[:end]
        word = word[end:]
    yield word


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on the picture."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Area) -> bool:
        """Return whether two rectangles share any ground."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def struck(self, start: Point, end: Point) -> bool:
        """Return whether a straight line passes through it (after Liang and Barsky 1984)."""
        if (
            max(start[0], end[0]) <= self.left
            or min(start[0], end[0]) >= self.right
            or max(start[1], end[1]) <= self.top
            or min(start[1], end[1]) >= self.bottom
        ):
            return False  # most lie wholly to one side, and that is quickly seen
        low, high = 0.0, 1.0
        for at, step, least, most in (
            (start[0], end[0] - start[0], self.left, self.right),
            (start[1], end[1] - start[1], self.top, self.bottom),
        ):
            if step == 0.0:
                if not least < at < most:
                    return False
                continue
            ends = sorted(((least - at) / step, (most - at) / step))
            low, high = max(low, ends[0]), min(high, ends[1])
        return low < high


def box_of(at: Point, text: str, size: float, anchor: str = "start", bold: bool = False) -> Area:
    """Return the rectangle that words fill which are written at a point."""
    wide = width_of(text, size, bold)
    left = at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
    return Area(left, at[1] - _ASCENT * size, left + wide, at[1] + _DESCENT * size)


@dataclass(slots=True)
class Taken:
    """The ground that is taken by words, marks and lines while a picture is laid out."""

    boxes: list[Area] = field(default_factory=list)
    lines: list[tuple[Point, Point]] = field(default_factory=list)
    _around: Array = field(default_factory=lambda: np.empty((0, 4)))

    def add_line(self, points: Iterable[Point]) -> None:
        """Take the ground under a line through points."""
        self.lines += pairwise(points)

    def add_mark(self, at: Point, radius: float) -> None:
        """Take the ground under a mark."""
        self.boxes.append(Area(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))

    def cost(self, box: Area) -> float:
        """Return how much stands in the way of a box: nothing where it is free."""
        words = sum(8.0 for other in self.boxes if box.meets(other))
        return words + sum(1.0 for start, end in self._near(box) if box.struck(start, end))

    def _near(self, box: Area) -> Iterator[tuple[Point, Point]]:
        """Yield the lines of which the ground around them meets that of a box."""
        if len(self._around) < len(self.lines):
            ends = np.asarray(self.lines)
            self._around = np.hstack([ends.min(axis=1), ends.max(axis=1)])
        left, top, right, bottom = self._around.T
        across = (right > box.left) & (left < box.right)
        return (
            self.lines[i] for i in np.flatnonzero(across & (bottom > box.top) & (top < box.bottom))
        )

    def place(self, tries: Iterable[tuple[Area, Point]]) -> Point:
        """Take the first free of several boxes, or the one least in the way; return its point."""
        best: tuple[float, Area, Point] | None = None
        for box, point in tries:
            cost = self.cost(box)
            if best is None or cost < best[0]:
                best = (cost, box, point)
            if cost == 0.0:
                break
        assert best is not None
        self.boxes.append(best[1])
        return best[2]


def around(at: Point, reach: Iterable[float]) -> Iterator[Point]:
    """Yield points round a point, the nearest first, those beside it before those above."""
    turns = (
        *((1, 0), (-1, 0), (0.7, -0.7), (-0.7, -0.7), (0.7, 0.7), (-0.7, 0.7), (0, -1), (0, 1)),
        *((0.9, -0.4), (-0.9, -0.4), (0.9, 0.4), (-0.9, 0.4), (0.4, -0.9), (-0.4, -0.9)),
    )
    for far in reach:
        for across, up in turns:
            yield at[0] + far * across, at[1] + far * up
