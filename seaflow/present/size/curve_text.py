"""Pump curve over system curve with letters, for the terminal."""

from __future__ import annotations

from seaflow.base.facts import amount, fact
from seaflow.present.charts.letters import Letters
from seaflow.present.layout import bullet
from seaflow.present.quantities import Show
from seaflow.present.size.curve_svg import asked_said, buy_said, frame_of, pump_said
from seaflow.studies.size.curves import LoopCurves

DESIGN, DIRTY, HERE, WORST, NEED, MOST, BUY = ".", ",", "O", "o", "n", "m", "V"


def curves_text(show: Show, loop: LoopCurves) -> list[str]:
    """Return the chart of one loop as lines, with its key."""
    frame = frame_of(loop, show, (0.0, 0.0, 1.0, 1.0))
    chart = Letters(frame.across, frame.up)
    _lines(chart, loop, show)
    _marks(chart, loop, show)
    lines = [*chart.lines(f"head, {show.unit('head')}", f"flow, {show.unit('flow')}")]
    said = [fact("curves.letters"), *(pump_said(pump) for pump in loop.pumps), asked_said(loop)]
    if loop.buy is not None:
        said.append(buy_said(loop.buy))
    if loop.fills_at is not None:
        said.append(fact("curves.fills", flow=amount("flow", loop.fills_at)))
    lines += [bullet(show.sentence(item)) for item in said]
    return [line for text in lines for line in text.splitlines()]


def _lines(chart: Letters, loop: LoopCurves, show: Show) -> None:
    """Draw the loop as dirty as it gets, the loop all clean, and over both the pumps."""
    clean = [line for line in loop.loops if line.name == "design"]
    dirty = [line for line in loop.loops if line.name != "design"]
    # the one that asks for the most head at any flow
    worst = sorted(dirty, key=lambda line: line.head[-1] / line.flow[-1] ** 2)[-1:]
    for lines, letter in ((worst, DIRTY), (clean, DESIGN)):
        for line in lines:
            chart.line(show.pairs(("flow", line.flow), ("head", line.head)), letter)
    for pump in reversed(loop.pumps):
        chart.line(show.pairs(("flow", pump.flow), ("head", pump.head)), str(pump.number)[-1])


def _marks(chart: Letters, loop: LoopCurves, show: Show) -> None:
    """Mark what is needed and allowed, where pumps run, and what to ask of one."""
    if loop.asked is not None:
        chart.upright(show.value("flow", loop.asked.flow), NEED)
        if loop.asked.most is not None:
            chart.upright(show.value("flow", loop.asked.most), MOST)
    for item in reversed(loop.crossings):
        at = show.value("flow", item.flow), show.value("head", item.head)
        chart.mark(at, HERE if item.name == "design" else WORST)
    if loop.buy is not None:
        chart.mark((show.value("flow", loop.buy.flow), show.value("head", loop.buy.head)), BUY)
