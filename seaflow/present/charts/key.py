"""Title and key of a picture: what is drawn, and each sign of it with its words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.present.charts.labels import wrapped
from seaflow.present.charts.svg import LEADING, SIZE, TITLE, Point, ruled, written
from seaflow.present.quantities import Show

BESIDE = 42.0  # pixels from the left edge of a sign to that of its words


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One entry of a key: a sign drawn about a point, and its words."""

    sign: str
    said: Fact


def stroke(colour: str, wide: float, dash: str = "") -> str:
    """Return a line as the sign of a line."""
    return ruled((-16.0, 0.0), (16.0, 0.0), colour, wide, dash)


def titled(words: str, corner: Point, wide: float) -> tuple[list[str], float]:
    """Return a title in as many lines as it needs, and the level of the last."""
    left, top = corner
    lines = wrapped(words, TITLE, wide, bold=True)
    rows = [written(left, top + 24.0 * i, line, "title") for i, line in enumerate(lines)]
    return rows, top + 24.0 * (len(lines) - 1)


def paragraph(words: str, corner: Point, wide: float, look: str = "label") -> list[str]:
    """Return words in as many lines as they need, the first of them at a point."""
    left, top = corner
    lines = wrapped(words, SIZE, wide)
    return [written(left, top + LEADING * i, line, look) for i, line in enumerate(lines)]


def keyed(
    rows: Iterable[KeyRow], corner: Point, wide: float, show: Show
) -> tuple[list[str], float]:
    """Return the lines of a key from a point down, and the level of what follows."""
    left, y = corner
    body: list[str] = []
    for row in rows:
        words = paragraph(show.sentence(row.said), (left + BESIDE, y), wide - BESIDE)
        if row.sign:
            body.append(f'<g transform="translate({left + 16:.1f} {y - 5:.1f})">{row.sign}</g>')
        body += words
        y += LEADING * len(words) + 3.0
    return body, y
