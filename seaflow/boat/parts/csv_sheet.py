"""Own parts from CSV: a header of keys, one row for each part or for each point of its curve."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.near import did_you_mean
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.parts.grid import cells as cells_of
from seaflow.boat.parts.plain_sheet import read_plain
from seaflow.boat.parts.sheets import KINDS
from seaflow.boat.reader.bounds import MOST_PROBLEMS, MOST_TABLES, acting, excess
from seaflow.boat.reader.text import CaseText, Path, acting_problem, beyond, read_characters

EXAMPLE = "seaflow example own-pump"
MOST_COLUMNS = 100
DELIMITERS = ("\t", ";", ",")

_COLUMN = re.compile(r"\s*(?P<key>[^\[\](]*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])])?\s*$")
_PLAIN_NUMBER = re.compile(r"[+\-−]?[\d.,\s/]*\d[\d.,\s/]*(?:[eE][+\-]?\d+)?")
_OF_KEYS = ("part", "name", "source", "supply", "voltage")  # one of them makes a header of keys
_POINT_KEYS = ("flow", "head", "pressure")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True, slots=True)
class _Column:
    """A column: the key it holds, the table inside the part it belongs to, and its unit."""

    key: str
    inside: str
    unit: str


@dataclass
class _Table:
    """What is gathered while the rows are read."""

    text: CaseText
    columns: tuple[_Column, ...] = ()
    delimiter: str = ","
    raw: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def note(self, code: str, path: Path, what: str, **rest: str) -> None:
        self.problems.append(self.text.problem(code, path, what, **rest))


def read_csv(file: str, told: str = "") -> tuple[CaseText, dict[str, Any], list[Problem]]:
    """Return a table as text, as raw data like that of a TOML file, and its problems.

    A header of keys is read as such, anything else as a plain sheet; `told` is what was told
    beside the name of one.

    Raises
    ------
    SeaflowError
        If the file cannot be read, or its header says too little to read the rows.
    """
    lines = tuple(
        read_characters(file, f"a shipped one: {EXAMPLE}").replace("\r\n", "\n").split("\n")
    )
    if not _has_keys(lines):
        return read_plain(file, lines, told)
    table = _Table(CaseText(file, lines), delimiter=_delimiter(lines))
    rows = list(_rows(lines, file))
    _require_bounds(table, rows)
    (number, header), body = rows[0], rows[1:]
    table.columns = tuple(_column(cell) for cell in header)
    names = [column.key for column in table.columns]
    if "name" not in names:
        raise SeaflowError([_header_problem(file, number, 'the header has no column "name"')])
    by_header = _kind_of_header(table.columns)
    if "part" not in names and by_header is None:
        what = "the header does not tell what kind of part the rows are"
        raise SeaflowError([_header_problem(file, number, what)])
    _check_header(table, number, header, by_header)
    for line, cells in body:
        _take_row(table, line, cells, by_header)
        if len(table.problems) >= MOST_PROBLEMS:
            raise SeaflowError(table.problems)
    return table.text, dict(table.raw), table.problems


def _delimiter(lines: tuple[str, ...]) -> str:
    """Return what parts the cells: the first mark of all that stands in the first row."""
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    return next((mark for mark in DELIMITERS if mark in first), ",")


def _has_keys(lines: tuple[str, ...]) -> bool:
    """Return whether the first row holds keys, two or more, one of them of a part as a whole."""
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    keys = {_column(cell.strip(' "')).key for cell in first.split(_delimiter(lines))}
    known = {key for kind in KINDS.values() for key in _keys(kind)} | {"part", *_POINT_KEYS}
    return bool(keys & set(_OF_KEYS)) and len(keys & known) > 1


def _require_bounds(table: _Table, rows: list[tuple[int, list[str]]]) -> None:
    """Refuse more than any sheet has, and cells that would act where they are shown."""
    found: list[Problem] = []
    for line, cells in rows:
        table.text.where[("row", line)] = line
        if len(cells) > MOST_COLUMNS or len(rows) > MOST_TABLES or excess({"cells": cells}):
            raise SeaflowError([beyond(table.text.file, "this is more than a sheet has", line)])
        for cell in filter(acting, cells):
            _mark(table, ("row", line), line, cell)
            found.append(acting_problem(table.text, ("row", line), cell))
    if found:
        raise SeaflowError(found[:MOST_PROBLEMS])


def _header_problem(file: str, line: int, what: str) -> Problem:
    kinds = ", ".join(KINDS)
    write = (
        "Write the keys in the first row, such as: part, name, source, flow [L/min], head [m]; "
        f"part is one of {kinds}. To see one: {EXAMPLE}."
    )
    why = "The first row says what stands in each column."
    return Problem("P12", what, why=why, write=write, file=file, line=line)


def _rows(lines: tuple[str, ...], file: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the line and the cells of each row that is neither empty nor a comment."""
    reader = csv.reader((line + "\n" for line in lines), delimiter=_delimiter(lines), strict=True)
    before = 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            what = f"this row cannot be read: {error}"
            why = "What stands after it cannot be told apart."
            write = "Close every quote that is opened."
            raise SeaflowError(
                [Problem("P13", what, why=why, write=write, file=file, line=before + 1)]
            ) from None
        if cells is None:
            return
        if any(cell.strip() for cell in cells) and not cells[0].startswith("#"):
            yield before + 1, [cell.strip() for cell in cells]
        before = reader.line_num


def _column(cell: str) -> _Column:
    found = _COLUMN.match(cell)
    name, unit = (found["key"], found["unit"] or "") if found else (cell, "")
    words = re.sub(r"[\s\-]+", "_", name.strip().lower())
    inside, _, key = words.rpartition(".")
    return _Column(key, inside, unit)


def _kind_of_header(columns: tuple[_Column, ...]) -> str | None:
    """Return the kind of part whose keys the header names most, if one stands out."""
    counts = {
        kind: sum(_declared(column, _place(column, kind), kind) is not None for column in columns)
        for kind in KINDS
    }
    best, second = sorted(counts, key=lambda kind: counts[kind], reverse=True)[:2]
    return best if counts[best] > counts[second] else None


def _place(column: _Column, kind: str) -> str:
    """Return the table inside a part that a column belongs to: flow and head are curve points."""
    if kind == "pump" and not column.inside and column.key in _POINT_KEYS:
        return "points"
    return column.inside


def _declared(column: _Column, inside: str, kind: str) -> Key | None:
    record: type = KINDS[kind]
    if inside:
        outer = _keys(record).get(inside)
        if outer is None or outer.of is None:
            return None
        record = outer.of
    return _keys(record).get(column.key)


def _keys(record: type) -> Mapping[str, Key]:
    return {spelled: declared for _, spelled, declared in keys_of(record)}


def _check_header(table: _Table, line: int, header: list[str], by_header: str | None) -> None:
    """Note each column that no kind of part in the file has."""
    kinds = [by_header] if by_header and "part" not in [c.key for c in table.columns] else [*KINDS]
    known = sorted({key for kind in kinds for key in _keys(KINDS[kind])} | set(_POINT_KEYS))
    for index, (column, cell) in enumerate(zip(table.columns, header, strict=True)):
        if column.key == "part" or any(_declared(column, _place(column, k), k) for k in kinds):
            continue
        path: Path = ("header", index)
        _mark(table, path, line, cell, index)
        write = did_you_mean(column.key, known, f"Known columns: {', '.join(known)}.")
        why = "What is not understood is refused, so that no column is left out unseen."
        table.note("P14", path, f'the column "{cell}" is no key of a part', why=why, write=write)


def _mark(table: _Table, path: Path, line: int, cell: str, index: int | None = None) -> None:
    """Keep the place of a cell, the first or that of a column, so that a problem points at it."""
    table.text.where[path] = line
    own = cells_of(table.text.lines[line - 1], line, table.delimiter)
    at = own[index].column - 1 if index is not None and index < len(own) else 0
    start = table.text.lines[line - 1].find(cell, at) if cell else -1
    if start >= 0:
        table.text.spans[path] = (start + 1, max(1, len(cell)))


def _take_row(table: _Table, line: int, cells: list[str], by_header: str | None) -> None:
    path: Path = ("row", line)
    table.text.where[path] = line
    if len(cells) > len(table.columns):
        table.note(
            "P15",
            path,
            f"this row has {len(cells)} cells and the header has {len(table.columns)}",
            why="A decimal comma in a file whose cells are parted by commas does this.",
            write="Write decimals with a point: 3.5, not 3,5.",
        )
        return
    by_key = {c.key: cell for c, cell in zip(table.columns, cells, strict=False) if not c.inside}
    kind = by_key.get("part", "").lower().removesuffix("s") or by_header or ""
    if kind not in KINDS:
        _mark(table, path, line, by_key.get("part", ""))
        table.note(
            "P16",
            path,
            f'"{by_key.get("part", "")}" is no kind of part',
            why="The kind decides what the other columns mean.",
            write="Write one of: " + ", ".join(KINDS) + ".",
        )
        return
    if "name" not in by_key:
        what = f"this row ends after {len(cells)} of {len(table.columns)} cells, before its name"
        why = "Without its name nobody knows which part it is a row of."
        table.note("P15", path, what, why=why, write="Write its name, and the cells before it.")
        return
    name = by_key["name"]
    rows = table.raw.setdefault(kind, [])
    index = next((i for i, row in enumerate(rows) if row.get("name") == name), len(rows))
    if index == len(rows):
        rows.append({})
        table.text.where[(kind, index)] = line
    _fill(table, (kind, index), line, cells)


def _fill(table: _Table, part: tuple[str, int], line: int, cells: list[str]) -> None:
    """Put the cells of one row into its part; what stands in a list gets a new entry."""
    kind, row = part
    raw = table.raw[kind][row]
    has_points = any(
        cell and _place(column, kind) == "points"
        for column, cell in zip(table.columns, cells, strict=False)
    )
    fresh: dict[str, dict[str, Any]] = {}
    for index, (column, cell) in enumerate(zip(table.columns, cells, strict=False)):
        if not cell or column.key == "part":
            continue
        inside = _place(column, kind)
        if column.key == "power" and has_points and not inside:
            inside = "points"
        declared = _declared(column, inside, kind)
        if declared is None:
            continue  # noted at the header, or a column for another kind of part
        target, path = _target(raw, inside, kind, fresh, part)
        path = (*path, column.key)
        value = _value(cell, column.unit, declared)
        if target.get(column.key, value) != value:
            _mark(table, path, line, cell, index)
            table.note(
                "P17",
                path,
                f'rows of "{raw.get("name")}" disagree on {column.key}: '
                f'"{target[column.key]}" above and "{value}" here',
                why="Rows of one name describe one part, a row for each point.",
                write="Write it once and leave the cell empty in the other rows.",
            )
            continue
        if column.key not in target:
            _mark(table, path, line, cell, index)
        target[column.key] = value


def _target(
    raw: dict[str, Any], inside: str, kind: str, fresh: dict[str, dict[str, Any]], path: Path
) -> tuple[dict[str, Any], Path]:
    """Return the table a cell goes into, and its path: the part, or a table or list inside it."""
    if not inside:
        return raw, path
    if not _keys(KINDS[kind])[inside].many:
        return raw.setdefault(inside, {}), (*path, inside)
    rows = raw.setdefault(inside, [])
    if inside not in fresh:
        fresh[inside] = {}
        rows.append(fresh[inside])
    return fresh[inside], (*path, inside, len(rows) - 1)


def _value(cell: str, unit: str, declared: Key) -> Any:
    if declared.kind == "flag":
        return _FLAGS.get(cell.lower(), cell)
    if declared.kind == "number":
        return int(cell) if re.fullmatch(r"\d+", cell) else cell
    if declared.many and declared.of is None:
        return [item.strip() for item in cell.split("|")]
    if unit and unit != "-" and _PLAIN_NUMBER.fullmatch(cell):
        return f"{cell} {unit}"
    return cell
