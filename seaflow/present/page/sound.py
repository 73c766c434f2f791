"""How loud each place for the pump is at the berths: dots with whiskers on one scale."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import fact
from seaflow.present.card import capital
from seaflow.present.charts.labels import wrapped
from seaflow.present.charts.svg import Picture, ruled, written
from seaflow.present.place.tables import decibels
from seaflow.present.quantities import Show
from seaflow.studies.place.rank import PlaceResult
from seaflow.studies.place.sound import SoundAt

LOW, HIGH, STEP = 0.0, 80.0, 20.0  # dB(A)
SIZE, LINE, ROW, TOP, END = 14.0, 18.0, 30.0, 26.0, 74.0  # pixels


def sound_picture(places: tuple[PlaceResult, ...], wide: float, show: Show) -> Picture:
    """Return the level of each place at each berth; a triangle is for more than that."""
    left = min(260.0, 0.42 * wide)
    right, y, rows = wide - END, TOP, list[str]()
    for place in places:
        if not place.sound:
            continue
        lines = wrapped(capital(place.name), SIZE, wide - 8, bold=True)
        for number, line in enumerate(lines):
            rows.append(written(2, y + 20 + LINE * number, line, "bold"))
        y += LINE * len(lines) + 6
        for heard in place.sound:
            berths = wrapped(heard.berth, SIZE, left - 14)
            for number, line in enumerate(berths):
                rows.append(written(10, y + 19 + LINE * number, line, "label"))
            rows += _mark(heard, bool(place.louder_by), (left, right, y + 14), wide)
            y += max(ROW, LINE * len(berths) + 10)
        y += 4
    body = (*_scale(left, right, y), *rows)
    return Picture((wide, y + 30), show.sentence(fact("page.sound")), body)


def _x(level: float, left: float, right: float) -> float:
    share = (min(max(level, LOW), HIGH) - LOW) / (HIGH - LOW)
    return left + share * (right - left)


def _scale(left: float, right: float, bottom: float) -> Iterator[str]:
    level = LOW
    while level <= HIGH:
        x = _x(level, left, right)
        yield ruled((x, TOP - 4), (x, bottom), "var(--hair)")
        yield written(x, 14, f"{level:.0f}", "soft", "middle")
        level += STEP
    yield written(right + END - 4, 14, "dB(A)", "soft", "end")


def _mark(heard: SoundAt, more: bool, at: tuple[float, float, float], wide: float) -> Iterator[str]:
    left, right, y = at
    x = _x(heard.level, left, right)
    low, high = (_x(heard.level + sign * heard.half_width, left, right) for sign in (-1.0, 1.0))
    yield ruled((low, y), (high, y), "var(--ink)", 1.6)
    yield ruled((low, y - 5), (low, y + 5), "var(--ink)", 1.6)
    yield ruled((high, y - 5), (high, y + 5), "var(--ink)", 1.6)
    if more:
        yield f'<path d="M{x - 5:.1f} {y - 7:.1f}l12 7l-12 7z" fill="var(--ink)"/>'
    else:
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="var(--cold)"/>'
    text = f"{'>' if more else ''}{decibels(heard.level)} \N{PLUS-MINUS SIGN}{heard.half_width:.0f}"
    yield written(wide - 4, y + 5, text, "label", "end")
