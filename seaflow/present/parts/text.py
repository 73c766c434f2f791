"""The parts that are known as text, and a pump's curve drawn with letters."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence

from seaflow.base.facts import AMOUNTS, fact
from seaflow.base.units import read_quantity
from seaflow.present.charts.axes import axis_for
from seaflow.present.charts.letters import Letters
from seaflow.present.layout import WIDTH, Heading, Line, bullet, folded, page, paragraph, table
from seaflow.present.quantities import Show, trade_inches
from seaflow.studies.parts import DrawnCurve, KnownPart

LINE, GIVEN = "·", "o"
FINEST = 1e-3  # m; what is less is told in millimetres everywhere
# How a metric unit that stands in a table is told.
_AS = {"mm": "bore", "m": "head", "L/min": "flow", "L/h": "flow", "kPa": "pressure"}
_METRIC = re.compile(r"(?<![\w.])-?\d[\d ]*(?:\.\d+)? (?P<unit>mm|m|L/min|L/h|kPa)(?![\w/])")


def parts_text(parts: Sequence[KnownPart], table_name: str) -> str:
    """Return all parts, table by table, each with where its figures are from."""
    if not parts:
        return Show().sentence(fact("parts.none_known", table=table_name))
    return page(_lists(parts)).lstrip("\n")


def _lists(parts: Sequence[KnownPart]) -> Iterator[Line]:
    for name in dict.fromkeys(part.table for part in parts):
        yield Heading(name)
        rows = [part for part in parts if part.table == name]
        width = max(len(part.name) for part in rows)
        yield table(("name", "where its figures are from"), [_row(p, width) for p in rows])
    yield ""
    for said in (fact("parts.own_parts"), fact("parts.in_full")):
        yield bullet(Show().sentence(said))


def _row(part: KnownPart, width: int) -> tuple[str, str]:
    source = f"own part, {part.source}" if part.own else part.source
    room = WIDTH - width - 6
    return part.name, textwrap.shorten(source, room, placeholder=" ...")


def part_text(part: KnownPart, system: str = "metric") -> str:
    """Return one part in full; its figures as they were typed, or in US units."""
    return page(_part(part, Show(system)))


def _part(part: KnownPart, show: Show) -> Iterator[Line]:
    title = f"{part.title} ({part.name})" if part.title else part.name
    yield f"{title}, of the table of {part.table}"
    yield ""
    for key, value in part.figures.items():
        meaning = part.meanings.get(key, "")
        yield textwrap.fill(
            _figure(value, show) + (f"  [{meaning.rstrip('.')}]" if meaning else ""),
            WIDTH,
            initial_indent=f"  {key.replace('_', ' '):<22}",
            subsequent_indent=" " * 24,
        )
    yield ""
    said = fact("parts.source", source=part.source)
    if part.seen:
        said = fact("parts.source_seen", source=part.source, seen=part.seen)
    yield bullet(Show().sentence(said))


def _figure(text: str, show: Show) -> str:
    """Return figures as they were typed, or in US units with the trade sizes of bores."""
    return text if show.system == "metric" else _METRIC.sub(lambda one: _american(one, show), text)


def _american(found: re.Match[str], show: Show) -> str:
    unit, inside = found["unit"], AMOUNTS[_AS[found["unit"]]]
    value = read_quantity(found[0], inside)
    if unit != "mm":
        return show(_AS[unit], value)
    if value < FINEST:
        return found[0]  # a roughness, which nobody tells in inches
    return f"{trade_inches(show.value('bore', value))} in"


def curve_text(curve: DrawnCurve, system: str) -> str:
    """Return the drawing with its axes and what is to be known of it."""
    show = Show(system)
    line = show.pairs(("flow", curve.flow), ("head", curve.head))
    given = show.pairs(("flow", curve.given_flow), ("head", curve.given_head))
    both = [*line, *given]
    across, up = (axis_for(max(pair[axis] for pair in both)) for axis in (0, 1))
    chart = Letters(across, up)
    chart.line(line, LINE)
    for point in given:
        chart.mark(point, GIVEN)
    name = curve.title if curve.title == curve.name else f"{curve.title} ({curve.name})"
    lines = [paragraph(f"{name}, at {curve.supply}")]
    lines += chart.lines(f"head, {show.unit('head')}", f"flow, {show.unit('flow')}")
    lines.append(folded(f"{GIVEN} given   {LINE} the curve that is used"))
    if curve.note:
        lines.append(paragraph(curve.note))
    return "\n".join([*lines, paragraph(f"source: {curve.source}")])
