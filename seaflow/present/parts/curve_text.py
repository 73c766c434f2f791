"""A pump's curve drawn with letters, head upwards and flow to the right."""

from __future__ import annotations

from seaflow.present.parts.axes import Axis, axis_for
from seaflow.present.quantities import Show
from seaflow.studies.parts import DrawnCurve

COLUMNS, ROWS = 64, 17
LINE, GIVEN = "·", "o"
_MARGIN = 8


def curve_text(curve: DrawnCurve, system: str) -> str:
    """Return the drawing with its axes and what is to be known of it."""
    show = Show(system)
    flows = [show.value("flow", value) for value in curve.flow]
    heads = [show.value("head", value) for value in curve.head]
    across = axis_for(max([*flows, *_shown(show, "flow", curve.given_flow)]))
    up = axis_for(max([*heads, *_shown(show, "head", curve.given_head)]))
    field = [[" "] * COLUMNS for _ in range(ROWS)]
    _draw_line(field, list(zip(flows, heads, strict=True)), (across, up))
    given = zip(
        _shown(show, "flow", curve.given_flow),
        _shown(show, "head", curve.given_head),
        strict=True,
    )
    for flow, top in given:
        field[_row(up, top)][_column(across, flow)] = GIVEN
    name = curve.title if curve.title == curve.name else f"{curve.title} ({curve.name})"
    lines = [f"{name}, at {curve.supply}", f"{'head, ' + show.unit('head'):>{_MARGIN}}"]
    lines += [_line(up, number, "".join(cells)) for number, cells in enumerate(field)]
    lines += _foot(across, f"flow, {show.unit('flow')}")
    lines.append(f"{GIVEN} given   {LINE} the curve that is used")
    if curve.note:
        lines.append(curve.note)
    return "\n".join([*lines, f"source: {curve.source}"])


def _shown(show: Show, kind: str, values: tuple[float, ...]) -> list[float]:
    return [show.value(kind, value) for value in values]


def _draw_line(
    field: list[list[str]], points: list[tuple[float, float]], axes: tuple[Axis, Axis]
) -> None:
    """Put one mark into every column that the line crosses."""
    across, up = axes
    for column in range(COLUMNS):
        flow = across.end * column / (COLUMNS - 1)
        after = next((i for i, point in enumerate(points) if point[0] >= flow - 1e-9), None)
        if after is None:
            return
        right, left = points[after], points[max(after - 1, 0)]
        width = right[0] - left[0]
        part = (flow - left[0]) / width if width > 0 else 0.0
        field[_row(up, left[1] + part * (right[1] - left[1]))][column] = LINE


def _row(up: Axis, value: float) -> int:
    return round((ROWS - 1) * (1.0 - min(max(up.share(value), 0.0), 1.0)))


def _column(across: Axis, value: float) -> int:
    return round((COLUMNS - 1) * across.share(value))


def _line(up: Axis, number: int, cells: str) -> str:
    marks = {_row(up, mark): up.written(mark) for mark in up.marks}
    label = marks.get(number, "")
    return f"{label:>{_MARGIN}} {'+' if label else '|'}{cells}".rstrip()


def _foot(across: Axis, label: str) -> list[str]:
    rule, numbers = ["-"] * COLUMNS, [" "] * (COLUMNS + 6)
    for mark in across.marks:
        column = _column(across, mark)
        rule[column] = "+"
        text = across.written(mark)
        start = max(column - len(text) // 2, 0)
        numbers[start : start + len(text)] = text
    space = " " * (_MARGIN + 1)
    return [
        f"{space}+{''.join(rule)}",
        f"{space} {''.join(numbers).rstrip()}",
        f"{space} {label:>{COLUMNS}}",
    ]
