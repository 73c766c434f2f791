"""Where the pump that is put first runs, enlarged: its worst cases lie too near for the chart."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_lowercase

from seaflow.base.facts import fact
from seaflow.present.charts.axes import Axis, axis_between
from seaflow.present.charts.callouts import Words, called
from seaflow.present.charts.labels import Area, Taken
from seaflow.present.charts.svg import (
    INK,
    PAPER,
    SEA,
    SIZE,
    SOFT,
    TINT,
    WARM,
    Frame,
    Point,
    block,
    dot,
    path,
    ruled,
    thinned,
    written,
)
from seaflow.present.quantities import Show
from seaflow.studies.size.curves import Crossing, LoopCurves
from seaflow.studies.size.to_buy import ToBuy

TALL, HEAD, FOOT = 190.0, 44.0, 52.0  # pixels: of the lens, of its words above and below
LENS_TALL = HEAD + TALL + FOOT  # in all
COLOURS = {"design": SEA, "strainer blocked": WARM, "growth": WARM}
DASHES = {"design": "", "strainer blocked": "9 5", "growth": "3 4"}
# A pump whose curve passes over this mark is enough.
BUY = f'<path d="M-7 -7H7L0 6Z" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>'
LEAST = 0.06  # of a value that an axis of the lens holds at least
RIM = 0.04  # of it, within which a mark would be cut
AROUND = 0.12  # of what it holds that is left free on either side


def lettered(loop: LoopCurves) -> list[tuple[str, Crossing]]:
    """Return each worst case with its letter."""
    worst = [item for item in loop.crossings if item.name != "design"]
    return list(zip(ascii_lowercase, worst, strict=False))


def pairs_of(show: Show, line: object) -> list[Point]:
    """Return flow and head along a line, in the units shown."""
    return show.pairs(("flow", line.flow), ("head", line.head))  # type: ignore[attr-defined]


def pair_of(show: Show, item: Crossing) -> Point:
    """Return flow and head of a crossing, in the units shown."""
    return show.value("flow", item.flow), show.value("head", item.head)


def lens_axes(loop: LoopCurves, show: Show) -> tuple[Axis, Axis] | None:
    """Return what the lens holds of flow and of head; None where nothing lies together."""
    spots = [pair_of(show, item) for _, item in lettered(loop)]
    if not spots:
        return None
    first = loop.pumps[0].number
    spots += [pair_of(show, item) for item in loop.crossings if item.number == first]
    if loop.flow_band is not None and loop.head_band is not None:
        ends = zip(loop.flow_band, loop.head_band, strict=True)
        spots += [(show.value("flow", flow), show.value("head", head)) for flow, head in ends]
    return _around([x for x, _ in spots]), _around([y for _, y in spots])


def _around(values: list[float]) -> Axis:
    low, high = min(values), max(values)
    wide = max(high - low, LEAST * high)
    middle, half = 0.5 * (low + high), (0.5 + AROUND) * wide
    return axis_between(max(middle - half, 0.0), middle + half)


def outline(loop: LoopCurves, frame: Frame, show: Show) -> Iterator[str]:
    """Yield the ground of the lens on the chart, if there is one."""
    axes = lens_axes(loop, show)
    if axes is None:
        return
    across, up = axes
    low, high = frame.at(across.start, up.start), frame.at(across.end, up.end)
    corners = (low[0], max(high[1], frame.top)), (min(high[0], frame.right), low[1])
    yield block(*corners, "none", f' stroke="{INK}" stroke-width="1"')


def lens(
    loop: LoopCurves, axes: tuple[Axis, Axis], corner: Point, right: float, show: Show
) -> Iterator[str]:
    """Yield the lens under the chart, from its upper left corner on."""
    left, top = corner[0], corner[1] + HEAD
    frame = Frame(left, top, right, top + TALL, *axes)
    title = show.sentence(fact("curves.lens", number=loop.pumps[0].number))
    yield written(6, corner[1] + 12, title, "bold")
    yield written(6, top - 12, f"head, {show.unit('head')}", "label")
    taken = Taken()
    yield from _limits(loop, frame, show, taken)
    yield from frame.grid()
    yield from _lines(loop, frame, show, taken)
    yield written(right, frame.bottom + 38, f"flow, {show.unit('flow')}", "label", "end")
    yield from _marks(loop, frame, show, taken)


def _limits(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    """Yield the tint of what is allowed, and the lines at what is needed and at most."""
    if loop.asked is None:
        return
    need, most = loop.asked.flow, loop.asked.most
    start = show.value("flow", need)
    end = frame.across.end if most is None else show.value("flow", most)
    low, high = frame.up.start, frame.up.end
    left, right = max(start, frame.across.start), min(end, frame.across.end)
    if right > left:
        yield block(frame.at(left, low), frame.at(right, high), TINT)
    for flow, wide in ((start, 2.4), (end, 1.0)):
        ends = frame.at(flow, low), frame.at(flow, high)
        if frame.across.start < flow < frame.across.end:
            taken.add_line(ends)
            yield ruled(*ends, INK, wide)


def _lines(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    lines = [(line, COLOURS[line.name], 2.2, DASHES[line.name]) for line in loop.loops]
    if loop.low_volts is not None:
        lines.append((loop.low_volts, INK, 1.3, "2 3"))  # type: ignore[arg-type]
    lines += [(pump, SOFT, 1.6, "") for pump in loop.pumps[:0:-1]]  # type: ignore[misc]
    lines.append((loop.pumps[0], INK, 3.0, ""))  # type: ignore[arg-type]
    for line, colour, wide, dash in lines:
        drawn = thinned([frame.at(*pair) for pair in pairs_of(show, line)])
        for points in frame.through(drawn):
            taken.add_line(points)
            yield path(points, colour, wide, dash)


def _marks(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    """Yield the band, where the pump runs, and the worst cases with their letters."""
    within = Area(frame.left + 2, frame.top + 2, frame.right - 2, frame.bottom - 2)
    if loop.flow_band is not None and loop.head_band is not None:
        ends = zip(loop.flow_band, loop.head_band, strict=True)
        low, high = (
            frame.at(show.value("flow", flow), show.value("head", head)) for flow, head in ends
        )
        yield block(low, high, "none", f' stroke="{INK}" stroke-dasharray="4 3"')
        taken.add_line([low, (high[0], low[1]), high, (low[0], high[1]), low])
    first = loop.pumps[0].number
    runs = [item for item in loop.crossings if item.name == "design" and item.number == first]
    for item in (*runs, *(item for _, item in lettered(loop))):
        taken.add_mark(frame.at(*pair_of(show, item)), 5.5)
    buys = loop.buy is not None and shows_buy(loop, show)
    if loop.buy is not None and buys:
        taken.add_mark(at_buy(loop.buy, frame, show), 8.0)
    for letter, item in lettered(loop):
        spot = frame.at(*pair_of(show, item))
        yield from called(Words((letter,), SIZE, False, "label"), spot, 4.0, taken, within)
        yield dot(spot, PAPER, 3.5, INK)
    for item in runs:
        yield dot(frame.at(*pair_of(show, item)), INK, 6.0)
    if loop.buy is not None and buys:
        yield mark_of(loop.buy, frame, show)


def at_buy(buy: ToBuy, frame: Frame, show: Show) -> Point:
    """Return where the mark of what to ask of a pump stands."""
    return frame.at(show.value("flow", buy.flow), show.value("head", buy.head))


def shows_buy(loop: LoopCurves, show: Show) -> bool:
    """Tell whether the mark of what to ask for lies in the lens."""
    axes = lens_axes(loop, show)
    if loop.buy is None or axes is None:
        return False
    at = show.value("flow", loop.buy.flow), show.value("head", loop.buy.head)
    return all(RIM < axis.share(value) < 1.0 - RIM for axis, value in zip(axes, at, strict=True))


def mark_of(buy: ToBuy, frame: Frame, show: Show) -> str:
    """Return the mark of what to ask of a pump."""
    x, y = at_buy(buy, frame, show)
    return f'<g transform="translate({x:.1f} {y:.1f})">{BUY}</g>'
