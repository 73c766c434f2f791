"""The profile of a run as a picture: the hose, the sea as she heels, the head, and shut-in air."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from seaflow.base.facts import fact
from seaflow.present.charts.svg import Picture, Point, path, ruled, written
from seaflow.present.quantities import Show
from seaflow.studies.page.profile import Profile, ProfileSpot

LEFT, RIGHT, TOP, FOOT, TALL = 46.0, 12.0, 26.0, 84.0, 250.0  # pixels
GAP = 0.09  # of the width: room of a coil, whose own length is not told
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
MOST_STEPS = 7
DISC = 10.0  # pixels from the middle of a number to its rim


@dataclass(frozen=True, slots=True)
class _Chart:
    """Where metres of hose and of height are drawn."""

    profile: Profile
    show: Show
    wide: float

    @property
    def coils(self) -> int:
        return sum(spot.kind == "unit" and spot.side == "after" for spot in self.profile.spots)

    @property
    def length(self) -> float:
        """Metres of hose in all."""
        return max((spot.along for spot in self.profile.spots), default=1.0) or 1.0

    @property
    def low(self) -> float:
        """The lowest that is drawn [m]."""
        return min(0.0, *self._levels()) - 0.12 * self._span()

    def _levels(self) -> list[float]:
        found = [0.0]
        for spot in self.profile.spots:
            levels = (spot.height, spot.head, spot.starboard_down, spot.port_down)
            found += [level for level in levels if level is not None]
        return found

    def _span(self) -> float:
        levels = self._levels()
        return max(max(levels) - min(levels), 0.5)

    def x(self, place: int) -> float:
        """Return where a spot stands across."""
        spots = self.profile.spots
        passed = sum(s.kind == "unit" and s.side == "after" for s in spots[: place + 1])
        room = self.wide - LEFT - RIGHT
        hose = room * (1.0 - GAP * self.coils)
        return LEFT + hose * spots[place].along / self.length + passed * GAP * room

    def y(self, level: float) -> float:
        """Return where a height stands [m]."""
        high = max(self._levels()) + 0.08 * self._span()
        return TOP + TALL * (high - level) / (high - self.low)


def profile_picture(profile: Profile, air: Sequence[str], wide: float, show: Show) -> Picture:
    """Return the picture; `air` are the points from which a first start leaves air down a leg."""
    chart = _Chart(profile, show, wide)
    body = (
        *_grid(chart),
        *_waters(chart),
        *_hose(chart),
        *_line(chart, [spot.head for spot in profile.spots], "var(--ink)", 2.6),
        *_air(chart, air),
        *_numbers(chart),
    )
    title = show.sentence(fact("page.profile", units=profile.units))
    return Picture((wide, TOP + TALL + FOOT), title, body)


def _grid(chart: _Chart) -> Iterator[str]:
    """Yield the heights, and what both ways are measured in."""
    show, right = chart.show, chart.wide - RIGHT
    low, high = (
        show.value("height", level)
        for level in (chart.low, chart.low + (TALL / (chart.y(0.0) - chart.y(1.0))))
    )
    step = next((one for one in STEPS if (high - low) / one <= MOST_STEPS), STEPS[-1])
    metres = 1.0 / show.value("height", 1.0)
    decimals = 1 if step < 1.0 else 0
    for number in range(math.ceil(low / step), math.floor(high / step) + 1):
        y = chart.y(number * step * metres)
        yield ruled((LEFT, y), (right, y), "var(--hair)")
        text = f"{number * step:.{decimals}f}".replace("-", "\N{MINUS SIGN}")
        yield written(LEFT - 6, y + 5, text, "soft", "end")
    yield written(4, 14, show.sentence(fact("page.height_axis", unit=show.unit("height"))), "soft")


def _waters(chart: _Chart) -> Iterator[str]:
    """Yield the sea, upright and as the boat sees it on either tack."""
    right, level, bottom = chart.wide - RIGHT, chart.y(0.0), chart.y(chart.low)
    yield (
        f'<rect x="{LEFT:.1f}" y="{level:.1f}" width="{right - LEFT:.1f}" '
        f'height="{bottom - level:.1f}" fill="var(--sea)"/>'
    )
    yield ruled((LEFT, level), (right, level), "var(--cold)", 1.5)
    spots = chart.profile.spots
    yield from _line(chart, [spot.starboard_down for spot in spots], "var(--heel)", 1.8, "7 4")
    yield from _line(chart, [spot.port_down for spot in spots], "var(--heel)", 1.8, "2 4")


def _line(
    chart: _Chart, levels: Sequence[float | None], colour: str, wide: float, dash: str = ""
) -> Iterator[str]:
    """Yield a line through the levels that are known, broken where one is not."""
    points: list[Point] = []
    for place, level in enumerate([*levels, None]):
        if level is not None:
            points.append((chart.x(place), chart.y(level)))
            continue
        if len(points) > 1:
            yield path(points, colour, wide, dash)
        points = []


def _hose(chart: _Chart) -> Iterator[str]:
    """Yield the hose: thick to the coil, open behind it."""
    spots = chart.profile.spots
    first = next(
        (i for i, spot in enumerate(spots) if spot.kind == "unit" and spot.side == "after"), None
    )
    heights = [spot.height for spot in spots]
    if first is None:
        yield from _line(chart, heights, "var(--cold)", 6.0)
        return
    cold = [level if place < first else None for place, level in enumerate(heights)]
    warm = [level if place >= first else None for place, level in enumerate(heights)]
    yield from _line(chart, cold, "var(--cold)", 6.0)
    yield from _line(chart, warm, "var(--warm)", 7.0)
    yield from _line(chart, warm, "var(--page)", 3.0)
    for place, spot in enumerate(spots):
        if spot.side == "after" and spot.kind == "unit" and spot.height is not None:
            left, right, y = chart.x(place - 1), chart.x(place), chart.y(spot.height)
            yield (
                f'<rect x="{left:.1f}" y="{y - 9:.1f}" width="{right - left:.1f}" height="18" '
                'fill="var(--page)" stroke="var(--ink)" stroke-width="1.5"/>'
            )
            loops = "".join(
                f"M{left + (i + 0.5) * (right - left) / 3:.1f} {y - 6:.1f}v12" for i in range(3)
            )
            yield f'<path d="{loops}" stroke="var(--warm)" stroke-width="2"/>'


def _air(chart: _Chart, air: Sequence[str]) -> Iterator[str]:
    """Yield bubbles where a first start leaves air."""
    done = set()
    for place, spot in enumerate(chart.profile.spots):
        if spot.label in air and spot.height is not None and spot.label not in done:
            done.add(spot.label)
            x, y = chart.x(place), chart.y(spot.height) - 17
            yield "".join(
                f'<circle cx="{x + dx:.1f}" cy="{y + dy:.1f}" r="{r}" fill="var(--page)" '
                'stroke="var(--ink)" stroke-width="1.6"/>'
                for dx, dy, r in ((-6, 0, 4), (3, -4, 5), (8, 4, 3))
            )


def _numbers(chart: _Chart) -> Iterator[str]:
    """Yield the number of each thing below the picture, with a hairline to it."""
    spots = chart.profile.spots
    told: list[tuple[float, float, ProfileSpot]] = []
    for place, spot in enumerate(spots):
        if spot.number and not spot.side and spot.height is not None:
            middle = chart.x(place)
            if spot.kind == "unit":
                middle = 0.5 * (middle + chart.x(place + 1))
            told.append((middle, chart.y(spot.height), spot))
    line = TOP + TALL + 30
    for x, (middle, y, spot) in zip(_apart([t[0] for t in told], chart.wide), told, strict=True):
        start = y + (11 if spot.kind == "unit" else 5)
        foot = TOP + TALL + 4
        yield (
            f'<path d="M{middle:.1f} {start:.1f}V{foot:.1f}L{x:.1f} {line - DISC:.1f}" '
            'stroke="var(--line)" fill="none"/>'
        )
        yield (
            f'<circle cx="{x:.1f}" cy="{line:.1f}" r="{DISC}" fill="var(--page)" '
            'stroke="var(--ink)" stroke-width="1.6"/>'
        )
        yield written(x, line + 5, str(spot.number), "bold", "middle")
    length = chart.show("length", chart.length)
    words = chart.show.sentence(fact("page.hose_axis", length=length))
    yield written(chart.wide - RIGHT, TOP + TALL + 66, words, "soft", "end")


def _apart(wanted: Sequence[float], wide: float) -> list[float]:
    """Return places in the same order as near as can be to those wanted, none over another."""
    least = 2.0 * DISC + 4.0
    found: list[float] = []
    for x in wanted:
        found.append(max(x, found[-1] + least) if found else max(x, DISC + 2))
    limit = wide - DISC - 2
    for place in reversed(range(len(found))):
        found[place] = min(found[place], limit)
        limit = found[place] - least
    return found
