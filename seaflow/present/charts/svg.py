"""Lines, marks and words of an SVG picture, and a frame with two axes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from html import escape
from itertools import pairwise

from seaflow.base.shipped import PACKAGE
from seaflow.present.charts.axes import Axis

# Paints, by the names that the style of the page gives them: they change with light and dark.
INK, SOFT, LINE, PALE = "var(--ink)", "var(--soft)", "var(--line)", "var(--hair)"
PAPER, TINT, WASH = "var(--page)", "var(--sea)", "var(--wash)"
SEA, WARM = "var(--cold)", "var(--warm)"  # water at sea temperature; what lets less of it through
SIZE, HEAD, TITLE = 14.0, 16.0, 20.0  # pixels of letters
LEADING = 20.0  # pixels from line to line
STYLE = PACKAGE / "data" / "page"

LETTER, APART = 0.64, 16.0  # of a size, how wide a figure is; pixels between two numbers of an axis
STRAIGHT = 0.1  # pixels by which a point may lie beside the line without it

Point = tuple[float, float]
_PAINT = re.compile(r"var\(--(\w+)\)")


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of a width and a height; `title` is read out, not drawn."""

    size: Point
    title: str
    body: tuple[str, ...]

    def alone(self) -> str:
        """Return it as a file of its own."""
        width, height = self.size
        sheet = f'<rect width="{width:.0f}" height="{height:.0f}" fill="{PAPER}"/>'
        head = self._start('xmlns="http://www.w3.org/2000/svg" ')
        title = f"<title>{escape(self.title)}</title>"
        style = f"<style>{looks()}</style>"
        drawn = "\n".join([head, title, style, sheet, *self.body, "</svg>"]) + "\n"
        return _PAINT.sub(lambda found: _paints()[found[1]], drawn)

    def inside(self, kind: str) -> str:
        """Return it as part of a page, which gives paper and letters to pictures of this kind."""
        named = f'class="{kind}" aria-label="{escape(self.title)}" '
        return "\n".join([self._start(named), *self.body, "</svg>"])

    def _start(self, more: str) -> str:
        width, height = self.size
        box = f'viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}"'
        return f'<svg {more}{box} role="img" style="max-width:100%;height:auto">'


@cache
def looks() -> str:
    """Return the style of letters in pictures, which page and file share."""
    return (STYLE / "drawing.css").read_text(encoding="utf-8")


@cache
def _paints() -> dict[str, str]:
    """Return the paints of the page in daylight, for a picture that is a file of its own."""
    first = (STYLE / "style.css").read_text(encoding="utf-8").partition("}")[0]
    return dict(re.findall(r"--(\w+):(#\w+)", first))


def written(
    x: float, y: float, text: str, look: str, anchor: str = "start", colour: str = ""
) -> str:
    """Return words at a point."""
    painted = f' style="fill:{colour}"' if colour else ""
    painted = painted if anchor == "start" else f' text-anchor="{anchor}"{painted}'
    return f'<text x="{_short(x)}" y="{_short(y)}" class="{look}"{painted}>{escape(text)}</text>'


def _short(pixels: float) -> str:
    return f"{pixels:.1f}".removesuffix(".0")


def ruled(start: Point, end: Point, colour: str, wide: float = 1.0, dash: str = "") -> str:
    """Return a straight line."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{_short(start[0])}" y1="{_short(start[1])}" x2="{_short(end[0])}" '
        f'y2="{_short(end[1])}" '
        f'stroke="{colour}" stroke-width="{wide:g}"{dashed}/>'
    )


def path(points: Sequence[Point], colour: str, wide: float = 2.5, dash: str = "") -> str:
    """Return a line through points."""
    steps = " ".join(f"{_short(x)},{_short(y)}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{steps}" fill="none" stroke="{colour}" stroke-width="{wide:g}"{dashed} '
        'stroke-linejoin="round"/>'
    )


def thinned(points: Sequence[Point]) -> list[Point]:
    """Return a line without the points that lie on it as nearly as the eye can tell."""
    found = list(points[:1])
    for point, after in pairwise(points[1:]):
        (x, y), (x2, y2) = found[-1], after
        far = math.dist(found[-1], after)
        aside = abs((point[0] - x) * (y2 - y) - (point[1] - y) * (x2 - x))
        if aside > STRAIGHT * far:
            found.append(point)
    return [*found, *points[1:][-1:]]


def dot(at: Point, colour: str, radius: float = 5.0, rim: str = PAPER) -> str:
    """Return a filled dot with a rim."""
    return (
        f'<circle cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{radius:g}" fill="{colour}" '
        f'stroke="{rim}" stroke-width="1.5"/>'
    )


def block(corner: Point, end: Point, fill: str, more: str = "") -> str:
    """Return a rectangle between two corners."""
    left, top = min(corner[0], end[0]), min(corner[1], end[1])
    wide, tall = abs(end[0] - corner[0]), abs(end[1] - corner[1])
    size = f'width="{wide:.1f}" height="{tall:.1f}"'
    return f'<rect x="{left:.1f}" y="{top:.1f}" {size} fill="{fill}"{more}/>'


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle of the picture with a value along each side."""

    left: float
    top: float
    right: float
    bottom: float
    across: Axis
    up: Axis

    def at(self, x: float, y: float) -> Point:
        """Return where a pair of values is drawn."""
        wide, tall = self.right - self.left, self.bottom - self.top
        return self.left + self.across.share(x) * wide, self.bottom - self.up.share(y) * tall

    def inside(self, points: Sequence[Point]) -> list[Point]:
        """Return a line as it is drawn, cut off where it first leaves the frame."""
        found = [self.at(*point) for point in points[:1]]
        for (x0, y0), (x1, y1) in pairwise(points):
            ends = ((x0, x1, self.across.end), (y0, y1, self.up.end))
            part = min([1.0, *((most - a) / (b - a) for a, b, most in ends if b > most)])
            found.append(self.at(x0 + part * (x1 - x0), y0 + part * (y1 - y0)))
            if part < 1.0:
                break
        return found

    def through(self, points: Sequence[Point]) -> Iterator[list[Point]]:
        """Yield the parts of a drawn line that lie in the frame (after Liang and Barsky 1984)."""
        part: list[Point] = []
        for (x, y), (x2, y2) in pairwise(points):
            low, high = 0.0, 1.0
            for at, step, least, most in (
                (x, x2 - x, self.left, self.right),
                (y, y2 - y, self.top, self.bottom),
            ):
                if step == 0.0:
                    low = low if least <= at <= most else 2.0
                    continue
                ends = sorted(((least - at) / step, (most - at) / step))
                low, high = max(low, ends[0]), min(high, ends[1])
            if low < high:
                part = part or [(x + low * (x2 - x), y + low * (y2 - y))]
                part.append((x + high * (x2 - x), y + high * (y2 - y)))
            if part and (high < 1.0 or low >= high):
                yield part
                part = []
        if part:
            yield part

    def _told_apart(self, texts: Sequence[str]) -> int:
        """Return how many marks lie from one number across to the next, so that none crowd."""
        apart = (self.right - self.left) / max(len(texts) - 1, 1)
        wide = LETTER * SIZE * max(map(len, texts))
        return next((each for each in (1, 2, 5) if each * apart >= wide + APART), 10)

    def grid(self, told: Callable[[float], str] | None = None) -> Iterator[str]:
        """Yield grid and numbers of both axes; `told` writes those across, if not as they are."""
        each = self._told_apart([(told or self.across.written)(mark) for mark in self.across.marks])
        say = told or replace(self.across, step=each * self.across.step).written
        for mark in self.across.marks:
            (x, low), (_, high) = self.at(mark, self.up.start), self.at(mark, self.up.end)
            yield ruled((x, low), (x, high), INK if mark == self.across.start else PALE)
            if round(mark / self.across.step) % each == 0:
                yield written(x, low + 19, say(mark), "label", "middle")
        for mark in self.up.marks:
            (start, y), (end, _) = self.at(self.across.start, mark), self.at(self.across.end, mark)
            yield ruled((start, y), (end, y), INK if mark == self.up.start else PALE)
            yield written(start - 9, y + 5, self.up.written(mark), "label", "end")
