"""Pump curve over system curve as an SVG picture, one chart above the other for several loops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.charts.axes import axis_for
from seaflow.present.charts.key import KeyRow, keyed, paragraph, stroke, titled
from seaflow.present.charts.labels import Area, Taken, box_of, width_of
from seaflow.present.charts.svg import (
    INK,
    LEADING,
    PAPER,
    SIZE,
    SOFT,
    TINT,
    Frame,
    Picture,
    block,
    dot,
    path,
    ruled,
    thinned,
    written,
)
from seaflow.present.quantities import Show
from seaflow.present.size.lens import (
    BUY,
    COLOURS,
    DASHES,
    LENS_TALL,
    at_buy,
    lens,
    lens_axes,
    lettered,
    mark_of,
    outline,
    pair_of,
    pairs_of,
    shows_buy,
)
from seaflow.studies.design.named import pump_named
from seaflow.studies.size.curves import Crossing, LoopCurves, PumpLine
from seaflow.studies.size.to_buy import ToBuy

WIDTH, LEFT, RIGHT, TALL = 600, 64, 22, 340  # pixels
ABOVE, BELOW = 80, 56  # over and under the frame
LIMITS = {"need": "curves.need", "least": "curves.least", "most": "curves.most"}
ROOM = 1.08  # of the largest value: how far an axis reaches


def curves_svg(boat: str, loops: Sequence[LoopCurves], system: str) -> str:
    """Return the picture of all loops as SVG text."""
    show, top = Show(system), 0.0
    body: list[str] = []
    whole = fact("curves.title", boat=boat)
    for loop in loops:
        own = fact("curves.title_of_loop", boat=boat, loop=loop.loop)
        drawn, top = _chart(loop, own if len(loops) > 1 else whole, show, top)
        body += drawn
    if not loops:
        said = show.sentence(fact("size.no_pump_fits"))
        body = paragraph(said, (RIGHT, 32.0), WIDTH - 2 * RIGHT)
        top = 60.0 + LEADING * len(body)
    return Picture((WIDTH, top), show.sentence(whole), tuple(body)).alone()


def frame_of(loop: LoopCurves, show: Show, corners: tuple[float, float, float, float]) -> Frame:
    """Return the frame of a chart: wide enough for every pump and what the coils allow."""
    flows = [value for pump in loop.pumps for value in pump.flow]
    heads = [value for pump in loop.pumps for value in pump.head]
    if loop.asked is not None:
        flows += [loop.asked.flow, loop.asked.most or 0.0]
        heads.append(loop.asked.head)
    if loop.buy is not None:
        flows.append(loop.buy.flow)
        heads.append(loop.buy.head)
    across = axis_for(show.value("flow", max(flows)))
    up = axis_for(ROOM * show.value("head", max(heads)))
    left, top, right, bottom = corners
    return Frame(left, top, right, bottom, across, up)


def _chart(loop: LoopCurves, title: Fact, show: Show, top: float) -> tuple[list[str], float]:
    """Return one chart with its key, and where it ends."""
    titles, level = titled(show.sentence(title), (RIGHT, top + 32.0), WIDTH - 2 * RIGHT)
    first = level + ABOVE
    frame = frame_of(loop, show, (LEFT, first, WIDTH - RIGHT, first + TALL))
    body = [
        *titles,
        written(RIGHT, first - 58, show.sentence(where_said(loop)), "label"),
        *_framed(loop, frame, show),
    ]
    enlarged, level = _enlarged(loop, frame, show)
    body += enlarged
    corner = (RIGHT, level + 14.0)
    key, bottom = keyed(curve_keys(loop), corner, WIDTH - 2.0 * RIGHT, show)
    return [*body, *key], bottom + 14


def curve_chart(loop: LoopCurves, show: Show, wide: float, tall: float = TALL) -> Picture:
    """Return one chart as wide as asked, its frame so tall, without its title, key and lens."""
    first = LEADING * 3.0 + 6
    frame = frame_of(loop, show, (LEFT - 14, first, wide - RIGHT, first + tall))
    title = fact("curves.title_of_loop", boat=loop.pumps[0].title, loop=loop.loop)
    body = tuple(_framed(loop, frame, show))
    return Picture((wide, frame.bottom + BELOW - 8), show.sentence(title), body)


def lens_chart(loop: LoopCurves, show: Show, wide: float) -> Picture:
    """Return where the first pump runs, enlarged, as a picture by itself."""
    axes = lens_axes(loop, show)
    title = show.sentence(fact("curves.lens", number=loop.pumps[0].number))
    if axes is None:
        return Picture((wide, 1.0), title, ())
    body = lens(loop, axes, (LEFT - 14, 8.0), wide - RIGHT, show)
    return Picture((wide, 8.0 + LENS_TALL), title, tuple(body))


def _enlarged(loop: LoopCurves, frame: Frame, show: Show) -> tuple[list[str], float]:
    """Return the lens under a chart, if there is one, and where both end."""
    axes, bottom = lens_axes(loop, show), frame.bottom + BELOW
    if axes is None:
        return [], bottom
    drawn = lens(loop, axes, (frame.left, bottom), frame.right, show)
    return list(drawn), bottom + LENS_TALL


def where_said(loop: LoopCurves) -> Fact:
    """Return how the chart is read."""
    many = loop.places > 1
    return fact("curves.one_of", places=loop.places) if many else fact("curves.where")


def _framed(loop: LoopCurves, frame: Frame, show: Show) -> Iterator[str]:
    """Yield the chart in its frame."""
    taken = Taken()
    yield from _ground(loop, frame, show)
    yield from frame.grid()
    yield written(6, frame.top - 12, f"head, {show.unit('head')}", "label")
    yield written(frame.right, frame.bottom + 38, f"flow, {show.unit('flow')}", "label", "end")
    yield from _lines(loop, frame, show, taken)
    yield from _limits(loop, frame, show, taken)
    yield from outline(loop, frame, show)
    yield from _marks(loop, frame, show, taken)


def _ground(loop: LoopCurves, frame: Frame, show: Show) -> Iterator[str]:
    """Yield the tint from what is needed to what is allowed."""
    if loop.asked is not None:
        start = show.value("flow", loop.asked.flow)
        end = frame.across.end
        if loop.asked.most is not None:
            end = min(show.value("flow", loop.asked.most), end)
        if end > start:
            yield block(frame.at(start, 0.0), frame.at(end, frame.up.end), TINT)


def _lines(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    for line in loop.loops:
        points = thinned(frame.inside(pairs_of(show, line)))
        taken.add_line(points)
        yield path(points, COLOURS[line.name], 2.2, DASHES[line.name])
    if loop.low_volts is not None:
        points = thinned(frame.inside(pairs_of(show, loop.low_volts)))
        taken.add_line(points)
        yield path(points, INK, 1.3, "2 3")
    for pump in reversed(loop.pumps):
        points = thinned(frame.inside(pairs_of(show, pump)))
        taken.add_line(points)
        first = pump is loop.pumps[0]
        yield path(points, INK if first else SOFT, 3.0 if first else 1.6)


def _limits(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    """Yield upright lines at least, need and most, with their words above the frame."""
    asked = loop.asked
    if asked is None:
        return
    words, up = Taken(), (6.0, frame.top - 12.0)  # the words of the axis stand there already
    words.place([(box_of(up, f"head, {show.unit('head')}", SIZE, "start", False), up)])
    for name, flow in (("need", asked.flow), ("least", asked.least), ("most", asked.most)):
        if flow is None or show.value("flow", flow) > frame.across.end:
            continue
        if name == "least" and flow >= 0.999 * asked.flow:
            continue
        bottom, top = (frame.at(show.value("flow", flow), y) for y in (0.0, frame.up.end))
        taken.add_line([bottom, top])
        yield ruled(bottom, top, INK, 2.4 if name == "need" else 1.0)
        text = show.sentence(fact(LIMITS[name], flow=amount("flow", flow)))
        bold = name == "need"
        half = 0.5 * width_of(text, SIZE, bold) + 2.0
        # over its line, or else beside it on either hand, before a row further up
        rows = [
            (min(max(top[0] + aside * half, half), frame.right + RIGHT - half), top[1] - up)
            for up in (12, 29, 46)
            for aside in (0.0, 1.0, -1.0)
        ]
        spots = [(box_of(at, f" {text} ", SIZE, "middle", bold), at) for at in rows]
        spot = words.place(spots)
        up = top[0], spot[1] + 4.0
        if not any(box.struck(top, up) for box in words.boxes):
            yield ruled(top, up, INK, 0.6)
        yield written(*spot, text, "bold" if bold else "label", "middle")


def _marks(loop: LoopCurves, frame: Frame, show: Show, taken: Taken) -> Iterator[str]:
    """Yield where each pump runs, what to ask for, and numbers clear of all lines."""
    runs = [item for item in loop.crossings if item.name == "design"]
    spots = [frame.at(*pair_of(show, item)) for item in runs]
    for spot in spots:
        taken.add_mark(spot, 5.5)
    if loop.buy is not None and not shows_buy(loop, show):
        taken.add_mark(at_buy(loop.buy, frame, show), 8.0)
        yield mark_of(loop.buy, frame, show)
    for pump in loop.pumps:
        yield _number(pump, frame, show, taken)
    for item, spot in zip(runs, spots, strict=True):
        first = item.number == loop.pumps[0].number
        yield dot(spot, INK if first else SOFT, 6.0 if first else 4.5)


def _number(pump: PumpLine, frame: Frame, show: Show, taken: Taken) -> str:
    """Return the number of a pump on its line, where nothing else is in the way."""
    points = frame.inside(pairs_of(show, pump))
    # its own line runs under it: only what else is there counts
    tries = [
        (Area(x - 9, y - 9, x + 9, y + 9), (x, y)) for x, y in points[3:-6:2] if y > frame.top + 10
    ] or [(Area(x - 9, y - 9, x + 9, y + 9), (x, y)) for x, y in points[:1]]
    x, y = taken.place(tries)
    disc = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="{PAPER}" stroke="{INK}"/>'
    return disc + written(x, y + 4.5, str(pump.number), "label", "middle")


def curve_keys(loop: LoopCurves) -> Iterator[KeyRow]:
    """Yield the key: where it runs, pumps, loop lines, worst cases, and what is asked."""
    first, design = loop.pumps[0], {item.number: item for item in loop.crossings[::-1]}
    design |= {item.number: item for item in loop.crossings if item.name == "design"}
    for pump in loop.pumps:
        at = design.get(pump.number)
        wide, colour = (3.0, INK) if pump is first else (1.6, SOFT)
        yield KeyRow(stroke(colour, wide), pump_said(pump))
        if at is not None:
            yield KeyRow(dot((0.0, 0.0), colour, 5.0), _runs(loop, pump, at))
    if loop.low_volts is not None:
        said = fact("curves.low_volts", number=loop.low_volts.number)
        yield KeyRow(stroke(INK, 1.3, "2 3"), said)
    for line in loop.loops:
        sign = stroke(COLOURS[line.name], 2.2, DASHES[line.name])
        yield KeyRow(sign, fact("curves.loop", where=line.where))
    for letter, item in lettered(loop):
        values = {"flow": amount("flow", item.flow), "head": amount("head", item.head)}
        said = fact("curves.case", letter=letter, where=item.where, **values)
        yield KeyRow(dot((0.0, 0.0), PAPER, 3.5, INK), said)
    if loop.buy is not None:
        yield KeyRow(BUY, buy_said(loop.buy))
    yield KeyRow(block((-16.0, -8.0), (16.0, 7.0), TINT), asked_said(loop))
    if loop.fills_at is not None:
        yield KeyRow("", fact("curves.fills", flow=amount("flow", loop.fills_at)))
    if any(pump.invented for pump in loop.pumps):
        yield KeyRow("", fact("curves.invented"))


def buy_said(buy: ToBuy) -> Fact:
    """Return what to ask of a pump, as a fact."""
    told = {"flow": amount("flow", buy.flow), "head": amount("head", buy.head)}
    if buy.days is None:
        return fact("curves.buy", **told)
    return fact("curves.buy_for_days", **told, days=buy.days)


def pump_said(pump: PumpLine) -> Fact:
    """Return which pump a line is, as a fact."""
    kind = "curves.fitted_pump" if pump.fitted else "curves.pump"
    kind = "curves.asked_pump" if pump.asked_for else kind
    does = fact({"yes": "curves.does", "tight": "curves.tight"}.get(pump.grade, "curves.fails"))
    named = pump_named(pump.title, pump.name)
    return fact(kind, number=pump.number, pump=named, does=does)


def _runs(loop: LoopCurves, pump: PumpLine, at: Crossing) -> Fact:
    values = {"flow": amount("flow", at.flow), "head": amount("head", at.head)}
    if pump is not loop.pumps[0]:
        return fact("curves.other", number=pump.number, **values)
    if loop.flow_band is None or loop.head_band is None:
        return fact("curves.runs", **values)
    flows = tuple(amount("flow", value) for value in loop.flow_band)
    heads = tuple(amount("head", value) for value in loop.head_band)
    return fact("curves.runs_at_band", **values, flows=flows, heads=heads)


def asked_said(loop: LoopCurves) -> Fact:
    """Return what the loop asks of a pump, as a fact."""
    asked = loop.asked
    if asked is None:
        return fact("curves.never_enough")
    values = {"flow": amount("flow", asked.flow), "head": amount("head", asked.head)}
    values["least"] = amount("flow", asked.least)
    if asked.most is None:
        return fact("curves.asked", **values)
    kind = "curves.asked_by_maker" if asked.limited_by == "maker" else "curves.asked_by_alloy"
    return fact(kind, **values, most=amount("flow", asked.most))
