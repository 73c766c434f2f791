"""The charge of the battery through a day as an SVG picture, with the band of drawn nights."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.clock import clock_of, clock_text
from seaflow.present.charts.axes import Axis, axis_for
from seaflow.present.charts.callouts import Aim, Words, best_callout
from seaflow.present.charts.labels import Area, Taken, around, wrapped
from seaflow.present.charts.svg import (
    INK,
    PALE,
    PAPER,
    SEA,
    WARM,
    Frame,
    Picture,
    Point,
    block,
    dot,
    path,
    ruled,
    written,
)
from seaflow.present.quantities import Show
from seaflow.studies.energy.night import Night, NightPart

WIDTH, LEFT, RIGHT, TALL = 600, 64, 22, 300  # pixels
ABOVE, STRIP, KEY = 96, 20, 20  # over the frame, the bar of duties, and a line of the key
SMALL, TITLE = 15.0, 20.0
STYLE = (
    ".small{font-size:15px}.mark{font-size:15px}.label{font-size:15px}"
    ".title{font-size:20px;font-weight:600}"
)
BAND, DARK = "#d3e7ee", "#eef1f2"
SOURCES = {"battery": WARM, "shore": SEA, "generator": SEA, "": PALE}
HOURS, EVERY = 24, 3  # along the axis, and from mark to mark
HOUR, SUNSET, SUNRISE = 3600.0, 18.0, 6.0
ROOM = 1.1  # of the most that is shown: how far the axis reaches
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def night_svg(boat: str, night: Night, system: str) -> str:
    """Return the picture of a night, and the day after it, as SVG text."""
    show, title = Show(system), fact("energy.chart_title", boat=boat, start=night.starts)
    titles = wrapped(show.sentence(title), TITLE, WIDTH - 2 * RIGHT, bold=True)
    top = ABOVE + 24.0 * (len(titles) - 1)
    most = max(show.value("charge", value) for value in (*night.high, *night.charge))
    axes = Axis(float(HOURS), float(EVERY)), axis_for(ROOM * most)
    frame = Frame(LEFT, top, WIDTH - RIGHT, top + TALL, *axes)
    taken = Taken()
    body = [
        *(written(RIGHT, 32 + 24 * i, line, "title") for i, line in enumerate(titles)),
        written(RIGHT, top - 38, show.sentence(fact("energy.chart_band")), "small"),
        *_dark(night, frame),
        *_band(night, frame, show),
        *_grid(night, frame),
        written(6, top - 12, f"charge, {show.unit('charge')}", "label"),
        *_line(night, frame, show, taken),
        *_strip(night, frame),
    ]
    y = frame.bottom + 44.0 + STRIP + KEY
    for letter, part in zip(LETTERS, night.stretches, strict=False):
        said = f"{letter}  {show.sentence(_part_said(part))}"
        lines = wrapped(said, SMALL, WIDTH - 2 * RIGHT)
        body += [written(RIGHT, y + KEY * i, line, "small") for i, line in enumerate(lines)]
        y += KEY * len(lines) + 2
    return Picture((WIDTH, y), show.sentence(title), STYLE, tuple(body)).alone()


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
            yield block(frame.at(low, 0.0), frame.at(high, frame.up.end), DARK)


def _band(night: Night, frame: Frame, show: Show) -> Iterator[str]:
    upper, lower = (_points(night, values, frame, show) for values in (night.high, night.low))
    corners = " ".join(f"{x:.1f},{y:.1f}" for x, y in (*upper, *reversed(lower)))
    yield f'<polygon points="{corners}" fill="{BAND}"/>'


def _grid(night: Night, frame: Frame) -> Iterator[str]:
    """Yield the grid: hours as a clock shows them, and the charge."""
    for mark in frame.across.marks:
        (x, low), (_, high) = frame.at(mark, 0.0), frame.at(mark, frame.up.end)
        yield ruled((x, low), (x, high), INK if mark == 0 else PALE)
        if mark < HOURS:
            said = clock_text(night.begins + mark * HOUR)
            yield written(x, low + 19, said, "mark", "middle")
    for mark in frame.up.marks:
        (start, y), (end, _) = frame.at(0.0, mark), frame.at(frame.across.end, mark)
        yield ruled((start, y), (end, y), INK if mark == 0 else PALE)
        yield written(start - 9, y + 5, frame.up.written(mark), "mark", "end")


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
        words = Words((show.sentence(said),), SMALL, False, "small")
        tries = [
            (x - 0.5 * words.wide, y + 5.0)
            for x, y in around(at, (24, 34, 46, 60, 76, 94, 114, 136, 160))
        ]
        placed = best_callout(words, tries, Aim(at, 6.0), taken, within)
        taken.boxes.append(placed.box)
        yield from placed.hairlines()
        yield dot(at, colour, 6.0, PAPER)
        yield from placed.written()


def _after(night: Night, clock: str) -> float:
    """Return how many hours after the start a clock shows a time."""
    time = clock_of(clock)
    assert time is not None
    return ((time - night.begins) / HOUR) % 24.0


def _strip(night: Night, frame: Frame) -> Iterator[str]:
    """Yield the duties as a bar under the axis, each with its letter."""
    top = frame.bottom + 32.0
    for letter, part in zip(LETTERS, night.stretches, strict=False):
        low = _after(night, part.starts)
        high = _after(night, part.ends) or 24.0
        (left, _), (right, _) = frame.at(low, 0.0), frame.at(high, 0.0)
        yield block((left, top), (right - 1.0, top + 8.0), SOURCES[part.source])
        yield written(0.5 * (left + right), top + 8.0 + 15.0, letter, "mark", "middle")


def _part_said(part: NightPart) -> Fact:
    """Return one part of the day, as a fact."""
    values = {"starts": part.starts, "ends": part.ends, "draws": amount("power", part.draws)}
    values["charges"] = amount("power", part.charges)
    if not part.name:
        return fact("energy.chart_rest", **values)
    return fact("energy.chart_part", name=part.name, source=part.source, **values)
