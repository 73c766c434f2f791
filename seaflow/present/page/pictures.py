"""Pictures as the page shows them: for a desk and for a phone, in both systems of units; keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from markupsafe import Markup

from seaflow.present.charts.key import KeyRow
from seaflow.present.charts.svg import Picture
from seaflow.present.page.both import Two, drawn, told
from seaflow.present.quantities import Show

DESK, PHONE = 600.0, 358.0  # pixels of a drawing on a desk and on a phone


def key(rows: Iterable[KeyRow]) -> list[tuple[Markup, Two]]:
    """Return a key for the page: signs as they are drawn, and words in both systems of units."""
    return [(Markup(row.sign), told(row.said)) for row in rows]


def pictures(kind: str, draw: Callable[[float, Show], Picture]) -> tuple[Markup, Markup]:
    """Return a picture for a desk and for a phone, in both systems of units."""
    return drawn(partial(draw, DESK), kind), drawn(partial(draw, PHONE), kind)
