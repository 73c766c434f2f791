"""The charge of the battery through a day as an SVG picture, with the band of drawn nights."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from string import ascii_lowercase

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.clock import clock_of, clock_text
from seaflow.present.charts.axes import Axis, axis_for
from seaflow.present.charts.callouts import Words, called
from seaflow.present.charts.key import KeyRow, keyed, titled
from seaflow.present.charts.labels import Area, Taken
from seaflow.present.charts.svg import (
    INK,
    PALE,
    SEA,
    SIZE,
    TINT,
    WARM,
    WASH,
    Frame,
    Picture,
    Point,
    block,
    dot,
    path,
    written,
)
from seaflow.present.quantities import Show
from seaflow.studies.energy.night import Night, NightPart

WIDTH, LEFT, RIGHT, TALL = 600, 64, 22, 300  # pixels
ABOVE, STRIP = 64, 20  # over the frame, and the bar of duties
SOURCES = {"battery": WARM, "shore": SEA, "generator": SEA, "": PALE}
HOURS, EVERY = 24, 3  # along the axis, and from mark to mark
HOUR, SUNSET, SUNRISE = 3600.0, 18.0, 6.0
ROOM = 1.1  # of the most that is shown: how far the axis reaches


def night_svg(boat: str, night: Night, system: str) -> str:
    """Return the picture of a night, and the day after it, as SVG text."""
    show, title = Show(system), fact("energy.chart_title", boat=boat, start=night.starts)
    titles, level = titled(show.sentence(title), (RIGHT, 32.0), WIDTH - 2 * RIGHT)
    top = level + ABOVE
    most = max(show.value("charge", value) for value in (*night.high, *night.charge))
    axes = Axis(float(HOURS), float(EVERY)), axis_for(ROOM * most)
    frame = Frame(LEFT, top, WIDTH - RIGHT, top + TALL, *axes)
    taken = Taken()
    body = [
        *titles,
        written(RIGHT, top - 38, show.sentence(fact("energy.chart_band")), "label"),
        *_dark(night, frame),
        *_band(night, frame, show),
        *frame.grid(lambda mark: _clock(night, mark)),
        written(6, top - 12, f"charge, {show.unit('charge')}", "label"),
        *_line(night, frame, show, taken),
        *_strip(night, frame),
    ]
    corner = (RIGHT, frame.bottom + STRIP + 64.0)
    key, bottom = keyed(_duties(night), corner, WIDTH - 2.0 * RIGHT, show)
    return Picture((WIDTH, bottom), show.sentence(title), (*body, *key)).alone()


def _duties(night: Night) -> Iterator[KeyRow]:
    for letter, part in zip(ascii_lowercase, night.stretches, strict=False):
        yield KeyRow(written(0.0, 5.0, letter, "bold", "middle"), _part_said(part))


def _clock(night: Night, mark: float) -> str:
    """Return what a clock shows at a mark of the axis; nothing at its end, where a day is over."""
    return clock_text(night.begins + mark * HOUR) if mark < HOURS else ""


def _hours(night: Night) -> list[float]:
    return [time / HOUR for time in night.times]


def _points(night: Night, values: Sequence[float], frame: Frame, show: Show) -> list[Point]:
    heights = [show.value("charge", value) for value in values]
    return [frame.at(x, y) for x, y in zip(_hours(night), heights, strict=True)]


def _dark(night: Night, frame: Frame) -> Iterator[str]:
    """Yield the hours from sunset to sunrise as a grey ground."""
    begins = night.begins / HOUR
    for day in (-1, 0, 1):
        low = max(SUNSET + 24.0 * day - begins, 0.0)
        high = min(SUNRISE + 24.0 * (day + 1) - begins, float(HOURS))
        if high > low:
            yield block(frame.at(low, 0.0), frame.at(high, frame.up.end), WASH)


def _band(night: Night, frame: Frame, show: Show) -> Iterator[str]:
    upper, lower = (_points(night, values, frame, show) for values in (night.high, night.low))
    corners = " ".join(f"{x:.1f},{y:.1f}" for x, y in (*upper, *reversed(lower)))
    yield f'<polygon points="{corners}" fill="{TINT}"/>'


def _line(night: Night, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    """Yield the charge itself, with a mark at dawn and one where the battery reaches its limit."""
    points = _points(night, night.charge, frame, show)
    taken.add_line(points)
    yield path(points, INK, 3.0)
    marks: list[tuple[Point, Fact, str]] = []
    left = amount("charge", night.left_at_dawn)
    if night.left_at_dawn > 0.0:
        at = frame.at(_after(night, night.dawn), show.value("charge", night.left_at_dawn))
        marks.append((at, fact("energy.chart_dawn", dawn=night.dawn, left=left), INK))
    if night.limit:
        at = frame.at(_after(night, night.limit), 0.0)
        marks.append((at, fact("energy.chart_limit", limit=night.limit), WARM))
    for at, _, _ in marks:
        taken.add_mark(at, 7.0)
    within = Area(frame.left + 4, frame.top + 4, frame.right - 4, frame.bottom - 6)
    for at, said, colour in marks:
        words = Words((show.sentence(said),), SIZE, False, "label")
        yield from called(words, at, 6.0, taken, within)
        yield dot(at, colour, 6.0)


def _after(night: Night, clock: str) -> float:
    """Return how many hours after the start a clock shows a time."""
    time = clock_of(clock)
    assert time is not None
    return ((time - night.begins) / HOUR) % 24.0


def _strip(night: Night, frame: Frame) -> Iterator[str]:
    """Yield the duties as a bar under the axis, each with its letter."""
    top = frame.bottom + 32.0
    for letter, part in zip(ascii_lowercase, night.stretches, strict=False):
        low = _after(night, part.starts)
        high = _after(night, part.ends) or 24.0
        (left, _), (right, _) = frame.at(low, 0.0), frame.at(high, 0.0)
        yield block((left, top), (right - 1.0, top + 8.0), SOURCES[part.source])
        yield written(0.5 * (left + right), top + 8.0 + 15.0, letter, "label", "middle")


def _part_said(part: NightPart) -> Fact:
    """Return one part of the day, as a fact."""
    values = {"starts": part.starts, "ends": part.ends, "draws": amount("power", part.draws)}
    values["charges"] = amount("power", part.charges)
    if not part.name:
        return fact("energy.chart_rest", **values)
    return fact("energy.chart_part", name=part.name, source=part.source, **values)
