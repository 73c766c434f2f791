"""Curves told point by point in words: "420 GPH @ 3 ft", in a cell, a header or on a line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from seaflow.boat.parts.columns import (
    CURRENT,
    FLOW,
    HEAD,
    POWER,
    PRESSURE,
    Column,
    column_of,
    unit_called,
)
from seaflow.boat.parts.curves import Curve, NoCurve, Side, Table, beside_of
from seaflow.boat.parts.grid import CELLS, NUMBER, Cell, Row, cells, rows_of

_AT = r"\s*(?:@|\bat\b)\s*"
_UNIT = r"[A-Za-z'\"][A-Za-z0-9³/()'\"]*"
_PAIR = re.compile(rf"(?P<one>{NUMBER}\s*{_UNIT}){_AT}(?P<other>{NUMBER}\s*{_UNIT})", re.IGNORECASE)
_PAIR_AFTER = re.compile(
    rf"(?P<unit>{_UNIT}){_AT}(?P<other>{NUMBER}\s*{_UNIT})\s*[:=,;|\t ]\s*(?P<one>{NUMBER})"
    r"(?![\w@])",
    re.IGNORECASE,
)
_OVER = re.compile(
    rf"(?P<what>.*?){_AT}(?P<number>{NUMBER})\s*(?P<unit>{_UNIT})"
    r"\s*(?:of\s+)?(?:head|lift|tdh)?\s*(?P<more>[\[(].*)?",
    re.IGNORECASE,
)
_TOLD_BY = {FLOW: FLOW, HEAD: HEAD, PRESSURE: HEAD}


@dataclass(frozen=True, slots=True)
class _Point:
    """One point: the cell of its flow and that of its head, with the column each is of."""

    flow: Cell
    head: Cell
    columns: tuple[Column, Column]


@dataclass(frozen=True, slots=True)
class _Told:
    """The points of one pump, its name, and columns of what it draws, the same at every point."""

    label: str
    points: list[_Point]
    drawn: dict[str, Side] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Found:
    """What is told in words: pumps, the lines used, cells that are not read, and what is wrong."""

    pumps: tuple[_Told, ...] = ()
    used: frozenset[int] = frozenset()
    unread: tuple[Cell, ...] = ()
    fault: NoCurve | None = None


def table_at_heads(lines: Sequence[str]) -> Table | None:
    """Return the table of a sheet whose points are told in words, None if it is no such sheet."""
    found = _on_lines(lines)
    if not found.pumps:
        found = _under_headers(lines)
    rows = tuple((point.flow, point.head) for pump in found.pumps for point in pump.points)
    if found.fault is not None:
        return Table(rows, fault=found.fault)
    if not found.pumps:
        return None
    beside = [row for row in rows_of(lines)[0] if row[0].line not in found.used]
    facts, unread = beside_of(beside, lines, min(found.used))
    return Table(rows, tuple(map(_curve, found.pumps)), facts, (*found.unread, *unread))


def _curve(pump: _Told) -> Curve:
    points = pump.points
    across, up = points[0].columns
    flows = Side(across, points[0].flow, tuple(point.flow for point in points))
    heads = Side(up, points[0].head, tuple(point.head for point in points))
    power, current = (pump.drawn.get(kind) for kind in (POWER, CURRENT))
    return Curve(flows, heads, power, current, pump.label, across.at)


def _point(one: Cell, first: Column, other: Cell, second: Column) -> _Point | None:
    """Return a point, whichever of its sides is the flow; None if neither or both are."""
    sides = [_TOLD_BY.get(column.kind, "") for column in (first, second)]
    if sides == [FLOW, HEAD]:
        return _Point(one, other, (first, second))
    return _Point(other, one, (second, first)) if sides == [HEAD, FLOW] else None


def _called(text: str) -> Column:
    kind, unit = unit_called(re.sub(rf"^{NUMBER}\s*", "", text))
    return Column(kind, unit)


# ------------------------------------------------------------------------- a line, or a cell of one


def _on_lines(lines: Sequence[str]) -> _Found:
    """Return curves of lines such as "500 GPH @ 0 ft": a pump a line, or a point a line."""
    found = [(number, *_of_line(text, number)) for number, text in enumerate(lines, 1)]
    found = [one for one in found if one[2]]
    many = [len(points) for _, _, points in found]
    if sum(many) < 2:
        return _Found()
    used = frozenset(number for number, _, _ in found)
    if max(many) == 1:
        return _Found((_Told("", [points[0] for _, _, points in found]),), used)
    return _Found(tuple(_Told(label, points) for _, label, points in found), used)


def _of_line(text: str, line: int) -> tuple[str, list[_Point]]:
    """Return the points on a line and the words before them; none if a number is left over."""
    for form in (_PAIR, _PAIR_AFTER):
        found = list(form.finditer(text))
        points = [point for one in found if (point := _pair(one, line)) is not None]
        if not points:
            continue
        start = found[0].start()
        if len(points) < len(found) or re.search(r"\d", form.sub("", text[start:])):
            return "", []
        return text[:start].strip(" ,;:|\t-") if len(points) > 1 else "", points
    return "", []


def _pair(found: re.Match[str], line: int) -> _Point | None:
    one, other = (Cell(found[part], line, found.start(part) + 1) for part in ("one", "other"))
    unit = found.groupdict().get("unit") or one.text
    return _point(one, _called(unit), other, _called(other.text))


# ------------------------------------------------------------------------------- words over columns


def _under_headers(lines: Sequence[str]) -> _Found:
    """Return curves under headers such as "GPH @ 3 ft", each row of numbers a pump."""
    for mark in CELLS:
        rows = [cells(text, number, mark) for number, text in enumerate(lines, 1)]
        for at, row in enumerate(rows):
            heads = dict(_over(row))
            if len(heads) > 1:
                return _of_rows(row, heads, rows[at + 1 :])
    return _Found()


def _over(row: Row) -> Iterator[tuple[int, tuple[Cell, Column, Column]]]:
    """Yield which cells of a row say at which head a flow is: the head, and what both are."""
    for number, cell in enumerate(row):
        found = _OVER.fullmatch(cell.text)
        if found is None:
            continue
        other = _called(found["unit"])
        column = column_of(f"{found['what']} {found['more'] or ''}".strip())
        if not column.kind or (not found["what"].strip() and not found["more"]):
            column = Column(FLOW)
        head = Cell(f"{found['number']} {found['unit']}", cell.line, cell.column)
        if _point(cell, column, head, other) is not None:
            yield number, (head, column, other)


def _of_rows(
    header: Row, heads: dict[int, tuple[Cell, Column, Column]], rows: Sequence[Row]
) -> _Found:
    drawn = {
        at: column
        for at, cell in enumerate(header)
        if at not in heads and (column := column_of(cell.text)).kind in (POWER, CURRENT)
    }
    found: list[_Told] = []
    used = {header[0].line}
    for row in rows:
        points = []
        for at, (head, column, other) in heads.items():
            if at < len(row) and row[at].number:
                point = _point(row[at], column, head, other)
                points += [point] if point is not None else []
        if points:
            name = "" if 0 in heads or 0 in drawn else row[0].text
            sides = {
                column.kind: Side(column, header[at], (row[at],) * len(points))
                for at, column in drawn.items()
                if at < len(row) and row[at].number
            }
            found.append(_Told(name, points, sides))
            used.add(row[0].line)
    fault = None
    if len(found) > 1 and not all(pump.label for pump in found):
        what = f"{len(found)} rows of numbers stand under these words, and no name before each"
        fault = NoCurve(what, header[min(heads)])
    read = {0, *heads, *drawn}
    unread = (cell for at, cell in enumerate(header) if at not in read and cell.text)
    return _Found(tuple(found), frozenset(used), tuple(unread), fault)
