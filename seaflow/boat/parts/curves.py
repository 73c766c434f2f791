"""The curves in the rows of a plain sheet: its header, its columns, and which go together."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from seaflow.boat.parts.columns import (
    CURRENT,
    FLOW,
    HEAD,
    OTHER,
    POWER,
    PRESSURE,
    Column,
    column_of,
    conditions_of,
    is_unit_row,
    unit_called,
)
from seaflow.boat.parts.grid import Cell, Row, is_gap, is_numbers, rows_of
from seaflow.boat.parts.told import Facts, both_told, called, line_facts

NO_ROWS = "no rows of numbers are found"
_FIGURE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:VA|kVA|W|A|V|Hz|kW)\b")  # a bare rating is no title
_AFTER_BRACKETS = re.compile(r"\S.*?[\])](?=\s|$)")


@dataclass(frozen=True, slots=True)
class Side:
    """One column of a table: what it is, the cell over it, and its cells, a row each."""

    column: Column
    header: Cell
    cells: tuple[Cell | None, ...]

    @property
    def key(self) -> str:
        """The key of a point that its cells hold."""
        return self.column.kind


@dataclass(frozen=True, slots=True)
class Curve:
    """A column of flow and one of head or pressure; `at` holds what they hold at, by unit."""

    across: Side
    up: Side
    power: Side | None = None
    current: Side | None = None
    label: str = ""
    at: dict[str, str] = field(default_factory=dict)
    least_speed: float | None = None

    @property
    def sides(self) -> tuple[Side | None, ...]:
        """All columns that it may have."""
        return (self.across, self.up, self.power, self.current)

    def with_least_speed(self, share: float) -> Curve:
        """Return the curve at full speed of a pump that can be slowed down to a share of it."""
        rest = {unit: at for unit, at in self.at.items() if unit not in ("%", "rpm")}
        return replace(self, at=rest, least_speed=share)


@dataclass(frozen=True, slots=True)
class NoCurve:
    """Why the rows make no curve, and the cell where that shows."""

    what: str
    cell: Cell | None


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of numbers of a sheet, the curves in them, and what stands beside."""

    rows: tuple[Row, ...] = ()
    curves: tuple[Curve, ...] = ()
    facts: Facts = field(default_factory=dict)
    unread: tuple[Cell, ...] = ()
    fault: NoCurve | None = None


def table_of(lines: Sequence[str]) -> Table:
    """Return the table of a sheet, and the facts on its other lines."""
    rows, by_blanks = rows_of(lines)
    numbered = [number for number, row in enumerate(rows) if is_numbers(row)]
    if not numbered:
        return Table(fault=NoCurve(NO_ROWS, rows[0][0] if rows else None))
    first, last = _with_gaps(rows, numbered[0], numbered[-1])
    body = rows[first : last + 1]
    across = [row for row in body if is_numbers(row) or is_gap(row)]
    between = next((row for row in body if row not in across), None)
    if between is not None:
        what = "these words stand between rows of numbers: two tables are two files"
        return Table(tuple(across), fault=NoCurve(what, between[0]))
    short = next((row for row in across if len(row) != max(map(len, across))), None)
    if by_blanks and short is not None:
        what = f"this row lacks a cell of {max(map(len, across))}, and blanks do not tell which"
        return Table(tuple(across), fault=NoCurve(what, short[0]))
    heads = [row[0] for row in across]
    if _are_words(heads) and _name_axes(heads):
        beside = [*rows[:first], *rows[last + 1 :]]
        columns = tuple(zip(*_even([row[1:] for row in across]), strict=True))
        return _whole(heads, columns, beside, tuple(across), lines)
    header, above, at = _header(rows[:first], across[0], lines)
    beside = [*above, *rows[last + 1 :]]
    wide = len(header) or len(across[0])
    over = next((row for row in across if _said(row) > wide), None)
    if over is not None:
        what = f"this row has {_said(over)} cells and the {'header' if header else 'first'} {wide}"
        return Table(tuple(across), fault=NoCurve(what, over[wide]))
    if not header and wide != 2:
        what = f"{wide} columns have no words over them, so nobody knows which is which"
        return Table(tuple(across), fault=NoCurve(what, across[0][0]))
    odd = _not_understood(rows[first - 1], wide) if first and not header else None
    odd = odd or _of_several(heads)
    if odd is not None:
        return Table(tuple(across), fault=odd)
    heads = list(header) or [_nameless(at, [row[at] for row in across]) for at in (0, 1)]
    heads = [
        _joined(cell, at[number] if number < len(at) else "") for number, cell in enumerate(heads)
    ]
    return _whole(heads, tuple(across), beside, tuple(across), lines)


def _are_words(cells: Sequence[Cell]) -> bool:
    return all(not cell.number and not cell.is_empty for cell in cells)


def _name_axes(cells: Sequence[Cell]) -> bool:
    """Tell whether words before rows say what stands in them, as those over columns do."""
    kinds = {column_of(cell.text).kind for cell in cells}
    return bool(kinds & {FLOW, HEAD, PRESSURE}) or kinds >= {"x", "y"}


def _of_several(first: Sequence[Cell]) -> NoCurve | None:
    """Return why rows with words before them are not one curve: some share theirs, others not."""
    names = dict.fromkeys(cell.text.casefold() for cell in first)
    if not _are_words(first) or len(names) in (1, len(first)):
        return None
    before = f'"{first[0].text}"'
    other = next(cell for cell in first if cell.text.casefold() != first[0].text.casefold())
    return NoCurve(f'rows of {before} and of "{other.text}" are two curves: two files', other)


def _with_gaps(rows: Sequence[Row], first: int, last: int) -> tuple[int, int]:
    """Return the ends of the rows of numbers, with rows at them that lack all but one."""
    wide = len(rows[first])
    while first and is_gap(rows[first - 1]) and len(rows[first - 1]) == wide:
        first -= 1
    while last + 1 < len(rows) and is_gap(rows[last + 1]) and len(rows[last + 1]) == wide:
        last += 1
    return first, last


def _said(row: Row) -> int:
    """Return how many cells a row has up to its last that says something."""
    return max((number for number, cell in enumerate(row, 1) if cell.text), default=0)


def _not_understood(row: Row, wide: int) -> NoCurve | None:
    """Return why a row of words over the numbers, a cell for each column, is no header."""
    said = [cell for cell in row if not cell.is_empty]
    if len(said) < wide or line_facts(f"{said[0].text}: {said[1].text}"):
        return None
    found = [column_of(cell.text).kind for cell in said]
    strange = next((cell for cell, kind in zip(said, found, strict=True) if kind == OTHER), said[0])
    return NoCurve(f'"{strange.text}" and what stands beside it name no curve', strange)


def _nameless(at: int, cells: Sequence[Cell]) -> Cell:
    """Return a header for a column without words: the unit of its cells, or x and y."""
    unit = next((cell.unit for cell in cells if unit_called(cell.unit)[0]), "")
    return Cell(unit or "xy"[at], cells[0].line, cells[0].column)


def _joined(cell: Cell, more: str) -> Cell:
    return Cell(f"{cell.text} {more}".strip(), cell.line, cell.column) if more else cell


def _even(rows: Sequence[Row]) -> Iterator[tuple[Cell | None, ...]]:
    wide = max(map(len, rows))
    for row in rows:
        yield (*row, *[None] * (wide - len(row)))


def _header(
    before: Sequence[Row], first: Row, lines: Sequence[str]
) -> tuple[Row, Sequence[Row], list[str]]:
    """Return the header before the rows, the rows above it, and what stands over its columns."""
    if not before:
        return (), before, []
    row, above = _as_wide(before[-1], first, lines), list(before[:-1])
    if not _is_header(row):
        return (), before, []
    if is_unit_row(row) and above:
        names = _as_wide(above[-1], first, lines)
        if len(names) == len(row) and _is_header(names) and not is_unit_row(names):
            row = tuple(
                _joined(
                    name,
                    ""
                    if column_of(name.text).unit or not unit.text
                    else f"[{unit.text.strip('[]()')}]",
                )
                for name, unit in zip(names, row, strict=True)
            )
            above = above[:-1]
    at: list[str] = []
    if above and any(conditions_of(cell.text) for cell in above[-1]) and len(above[-1]) > 1:
        at, said = [], ""
        for cell in above[-1]:
            said = cell.text or said
            at.append(said if conditions_of(said) else "")
        above = above[:-1]
    return row, above, at


def _is_header(row: Row) -> bool:
    """Return whether a row names two columns or more of a curve."""
    found = [column_of(cell.text) for cell in row]
    known = sum(column.kind != OTHER or bool(column.at) for column in found)
    return known > 1


def _as_wide(row: Row, first: Row, lines: Sequence[str]) -> Row:
    """Return a header parted as its rows are, where blanks part both and its words have some."""
    if len(row) <= len(first) and _is_header(row):
        return row
    line = row[0].line
    text = lines[line - 1]
    for form in (_AFTER_BRACKETS, re.compile(r"\S+(?:\s\S+)*")):
        found = tuple(Cell(one[0].strip(), line, one.start() + 1) for one in form.finditer(text))
        if len(found) == len(first):
            return found
    return row


def _whole(
    heads: Sequence[Cell],
    rows: Sequence[Sequence[Cell | None]],
    beside: Sequence[Row],
    numbers: tuple[Row, ...],
    lines: Sequence[str],
) -> Table:
    """Return the table with its columns paired, and what the lines beside it tell."""
    sides = [
        Side(column_of(head.text), head, tuple(row[at] if at < len(row) else None for row in rows))
        for at, head in enumerate(heads)
    ]
    facts, unread = beside_of(beside, lines, min(head.line for head in heads))
    wrong = next((side for side in sides if side.column.contradicts), None)
    if wrong is not None:
        what = f'"{wrong.header.text}" is called one thing and has the unit of another'
        return Table(numbers, facts=facts, fault=NoCurve(what, wrong.header))
    sides = _by_elimination(_named_axes(_lettered(sides)))
    curves = _paired(sides)
    if isinstance(curves, NoCurve):
        return Table(numbers, facts=facts, fault=curves)
    used = {id(side) for one in curves for side in one.sides}
    left = [side.header for side in sides if id(side) not in used and side.header.text]
    return Table(numbers, tuple(curves), facts, (*left, *unread))


def _lettered(sides: Sequence[Side]) -> list[Side]:
    """Return a column A beside others of one letter as what it is: no amps, but another pump."""
    letters = [len(side.header.text) == 1 and side.column.kind == OTHER for side in sides]
    return [
        replace(side, column=Column(OTHER, label="A"))
        if any(letters) and side.header.text == "A"
        else side
        for side in sides
    ]


def _named_axes(sides: Sequence[Side]) -> list[Side]:
    """Return columns called x and y as flow and head, as curves of pumps are drawn."""
    meant = {"x": FLOW, "y": HEAD}
    return [
        replace(side, column=replace(side.column, kind=meant[side.column.kind]))
        if side.column.kind in meant
        else side
        for side in sides
    ]


def _by_elimination(sides: Sequence[Side]) -> list[Side]:
    """Return columns that say only what they hold at as the side of a curve that is missing."""
    kinds = {side.column.kind for side in sides}
    has_flow, has_head = FLOW in kinds, bool({HEAD, PRESSURE} & kinds)
    if has_flow == has_head:
        return list(sides)
    kind = HEAD if has_flow else FLOW
    return [
        replace(side, column=replace(side.column, kind=kind))
        if side.column.kind == OTHER and side.column.at and not side.column.label
        else side
        for side in sides
    ]


def _paired(sides: Sequence[Side]) -> list[Curve] | NoCurve:
    """Return the curves: each flow with each head where one is single, else in their order."""
    across = [side for side in sides if side.column.kind == FLOW]
    up = [side for side in sides if side.column.kind in (HEAD, PRESSURE)]
    if not across or not up:
        what = "flow" if not across else "head or pressure"
        return NoCurve(f"no column of {what} is found", sides[0].header)
    if len(across) > 1 and len(up) > 1 and len(across) != len(up):
        what = f"{len(across)} columns of flow and {len(up)} of head or pressure do not pair"
        return NoCurve(what, sides[0].header)
    many = max(len(across), len(up))
    across, up = (side * many if len(side) == 1 else side for side in (across, up))
    curves = [
        Curve(
            one,
            other,
            label=" ".join(filter(None, (one.column.label, other.column.label))),
            at=one.column.at | other.column.at,
        )
        for one, other in zip(across, up, strict=True)
    ]
    powers, currents = (_beside_each(sides, kind, curves) for kind in (POWER, CURRENT))
    drawn = zip(curves, powers, currents, strict=True)
    return [replace(curve, power=watts, current=amps) for curve, watts, amps in drawn]


def _beside_each(sides: Sequence[Side], kind: str, curves: Sequence[Curve]) -> list[Side | None]:
    """Return the columns of one kind, one for each curve, one of all that are alike, or none."""
    found: list[Side | None] = [side for side in sides if side.column.kind == kind]
    if len(found) == 1 and all(
        (one.label, one.at) == (curves[0].label, curves[0].at) for one in curves
    ):
        found *= len(curves)
    return found if len(found) == len(curves) else [None] * len(curves)


def beside_of(rows: Sequence[Row], lines: Sequence[str], top: int) -> tuple[Facts, list[Cell]]:
    """Return the facts on the lines beside a table, and the lines that tell none.

    The first of these is the title, if it stands over line `top` and is no bare figure.
    """
    facts: Facts = {}
    unread: list[Cell] = []
    for row in rows:
        said = [cell for cell in row if cell.text]
        key = said[0].text.lstrip("# ").rstrip(" :=")
        pair = f"{key}: {said[1].text}" if len(said) == 2 else ""
        found = line_facts(pair) if pair else {}
        found = found or line_facts(lines[said[0].line - 1].strip().rstrip(";,\t|"))
        facts = both_told(facts, found)
        text = lines[said[0].line - 1].strip()
        is_title = said[0].line < top and "title" not in facts and not unread
        is_title = is_title and not (len(said) == 1 and called(key)) and not _FIGURE.match(text)
        if not found and is_title and not text.startswith("#"):
            facts["title"] = " ".join(cell.text for cell in said)[:80]
        elif not found and not text.startswith("#"):
            unread.append(said[0])
    return facts, unread
