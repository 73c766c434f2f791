"""A pump's curve drawn with letters, head upwards and flow to the right."""

from __future__ import annotations

from seaflow.present.charts.axes import axis_for
from seaflow.present.charts.letters import Letters
from seaflow.present.layout import folded, paragraph
from seaflow.present.quantities import Show
from seaflow.studies.parts import DrawnCurve

LINE, GIVEN = "·", "o"


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
