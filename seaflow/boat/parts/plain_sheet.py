"""A plain table of flow against head or pressure, as makers print it or a curve was digitised.

Its few facts stand on lines beside it, or are told with the name of the file; what is missing is
asked for, each as a problem with the fact as its group. A sheet may hold several curves.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.parts.at_heads import table_at_heads
from seaflow.boat.parts.columns import (
    CURRENT,
    FLOW,
    HEAD,
    POWER,
    PRESSURE,
    Column,
    unit_called,
)
from seaflow.boat.parts.commas import BOTH, EITHER, comma_of, plain_number
from seaflow.boat.parts.curves import NO_ROWS, Curve, Side, Table, table_of
from seaflow.boat.parts.grid import Cell
from seaflow.boat.parts.told import DECIMALS, Facts, current_of, told_facts
from seaflow.boat.reader.bounds import LONGEST_TEXT, MOST_ROWS, acting
from seaflow.boat.reader.text import CaseText, Path, acting_problem, beyond

MISSING, TABLE, LEFT_OUT = "P18", "P19", "P20"
SAYS_TWO = "the sheet says"  # of a plate with two ratings: no boat tells which is the curve's
NEARLY_NOUGHT = 0.01  # of the largest on its axis: what a digitised curve may lie below nought
_ASIDE = ("comma", FLOW, HEAD, "voltage", "frequency", "supply", "title", "name", "source")


@dataclass
class _Sheet:
    """What is gathered while a plain sheet is read."""

    text: CaseText
    table: Table
    facts: Facts
    told: Facts
    comma: str = ""
    problems: list[Problem] = field(default_factory=list)

    def note(self, code: str, cell: Cell | None, what: str, **rest: Any) -> None:
        path: Path = ()
        if cell is not None:
            path = ("cell", cell.line, cell.column)
            mark(self.text, path, cell)
        self.problems.append(self.text.problem(code, path, what, **rest))

    def ask(
        self, fact: str, what: str, why: str, such: Sequence[str], cell: Cell | None = None
    ) -> None:
        """Take down a fact that is missing, once; `such` is how it may be told."""
        if any(problem.group == fact for problem in self.problems):
            return
        forms = " or ".join(f'"{one}"' for one in such)
        write = f'Write {forms} above the table, or behind the name: "{self.text.file}, {such[0]}".'
        self.note(MISSING, cell, what, why=why, write=write, group=fact)


def mark(text: CaseText, path: Path, cell: Cell) -> None:
    """Keep where a cell stands, so that a problem can point at it."""
    text.where[path] = cell.line
    text.spans[path] = (cell.column, max(1, len(cell.text)))


def read_plain(
    file: str, lines: tuple[str, ...], told: str
) -> tuple[CaseText, dict[str, Any], list[Problem]]:
    """Return a plain sheet as text, its pumps as raw data like that of a TOML file, its problems.

    `told` is what was told beside the file: "230 V 50 Hz, L/min, m".

    Raises
    ------
    SeaflowError
        If there is more in it than any sheet has, or a character that would act where it is shown.
    """
    text = CaseText(file, lines)
    _require_bounds(text)
    facts, left = told_facts(told)
    table = table_at_heads(text.lines) or table_of(text.lines)
    sheet = _Sheet(text, table, table.facts | facts, facts)
    if left:
        sheet.problems.append(_not_understood(text.file, left))
    if table.fault is not None:
        sheet.note(TABLE, table.fault.cell, table.fault.what, **_why_of(table.fault.what))
        return text, {}, sheet.problems
    _commas(sheet)
    _left_out(sheet)
    curves = _full_speed(sheet, table.curves)
    pumps = [_pump(sheet, curve, row, len(curves) > 1) for row, curve in enumerate(curves)]
    return text, {"pump": pumps}, sheet.problems


def _require_bounds(text: CaseText) -> None:
    said = [number for number, line in enumerate(text.lines, 1) if line.strip()]
    if len(said) > MOST_ROWS or any(len(line) > LONGEST_TEXT for line in text.lines):
        raise SeaflowError([beyond(text.file, "this is more than a sheet has", None)])
    for number in said:
        line = text.lines[number - 1].replace("\t", " ")
        if acting(line):
            text.where[("line", number)] = number
            raise SeaflowError([acting_problem(text, ("line", number), line.strip())])


def _why_of(what: str) -> dict[str, str]:
    ends = ' Two ends alone are told by --pump "shut-off 4.2 m, 30 L/min open".'
    return {
        "why": "A pump's curve is a flow and the head or pressure at it, point by point.",
        "write": "Write over each column what it is and its unit, such as: flow [L/min], head [m]."
        + (ends if what == NO_ROWS else ""),
    }


def _not_understood(file: str, left: Sequence[str]) -> Problem:
    words = ", ".join(f'"{piece}"' for piece in left)
    return Problem(
        MISSING,
        f"{words} beside the file is not understood",
        why="What is told of a sheet stands behind its name, parted by commas.",
        write=f'Write for example "{file}, 230 V 50 Hz, L/min, m".',
        file=file,
    )


def _commas(sheet: _Sheet) -> None:
    """Find out what commas part, or ask."""
    cells = [cell for row in sheet.table.rows for cell in row if cell.number]
    found = comma_of(cell.number for cell in cells)
    told = sheet.facts.get("comma", "")
    sheet.comma = told or found
    if found == BOTH or (told and found not in ("", EITHER, told)):
        cell = next(cell for cell in cells if "," in cell.number)
        why = "One sheet parts decimals in one way. Read wrongly, a number is a thousand times off."
        write = "Write decimals with a point, and nothing between thousands."
        what = f'"{cell.number}" and other numbers of the table part decimals in two ways'
        sheet.note(TABLE, cell, what, why=why, write=write)
    elif sheet.comma == EITHER:
        cell = next(cell for cell in cells if "," in cell.number)
        whole, part = (plain_number(cell.number, one) for one in ("", DECIMALS))
        sheet.ask(
            "comma",
            f'whether the comma in "{cell.number}" parts thousands or decimals is not told',
            f"It is {whole} or {float(part):g}, and no other number of the table tells which.",
            ("comma: thousands", "comma: decimals"),
            cell,
        )


def _left_out(sheet: _Sheet) -> None:
    """Remark every column and line that says something and is not read."""
    for cell in sheet.table.unread:
        sheet.note(
            LEFT_OUT,
            cell,
            f'"{cell.text[:60]}" is not read',
            why="It is neither flow, head, pressure nor power, nor a fact of a pump.",
            write="Nothing need be done if it says nothing of the curve.",
            warning=True,
        )


def _full_speed(sheet: _Sheet, curves: Sequence[Curve]) -> list[Curve]:
    """Return one curve for each pump and supply: of several speeds the highest, with the least."""
    kept: list[Curve] = []
    groups: dict[tuple[Any, ...], list[Curve]] = {}
    for curve in curves:
        rest = {unit: at for unit, at in curve.at.items() if unit not in ("%", "rpm")}
        groups.setdefault((curve.label, *rest.items()), []).append(curve)
    for group in groups.values():
        speeds = [_speed(curve) for curve in group]
        if len(group) == 1 or None in speeds:
            kept += group
            continue
        ranked = sorted(zip([speed or 0.0 for speed in speeds], range(len(group)), strict=True))
        least, (top, index) = ranked[0][0], ranked[-1]
        kept.append(group[index].with_least_speed(least / top))
        sheet.note(
            LEFT_OUT,
            group[ranked[0][1]].across.header,
            f"of {len(group)} speeds the highest is read as full speed, the lowest as "
            f"{least / top:.0%} of it",
            why="Between them flow goes with the speed, and head with its square.",
            write="Nothing need be done, unless the pump runs at one of the lower speeds.",
            warning=True,
        )
    return kept


def _speed(curve: Curve) -> float | None:
    text = curve.at.get("%") or curve.at.get("rpm")
    return float(text.replace(",", ".")) if text else None


def _pump(sheet: _Sheet, curve: Curve, row: int, many: bool) -> dict[str, Any]:
    """Return the raw data of one pump of the sheet."""
    facts, file = sheet.facts, os.path.basename(sheet.text.file)
    stem = os.path.splitext(file)[0]
    supplied = _supply(sheet, facts | _at_supply(curve))
    words = " ".join(
        filter(None, (curve.label, *(f"{at} {unit}" for unit, at in curve.at.items())))
    )
    apart = (words or str(row + 1)) if many else ""
    raw: dict[str, Any] = {
        "name": " ".join(filter(None, (facts.get("name", stem), apart))),
        "source": facts.get("source", f"sheet in {file}"),
        **supplied,
    }
    if "title" in facts:
        raw["title"] = " ".join(filter(None, (facts["title"], apart)))
    raw |= {key: value for key, value in facts.items() if key not in _ASIDE}
    if curve.least_speed is not None:
        raw["least_speed"] = f"{curve.least_speed:.3g}"
    if curve.power is not None or curve.current is not None:
        raw.pop(POWER, None)
        raw.pop(CURRENT, None)
    path = ("pump", row)
    sheet.text.where[path] = curve.across.header.line
    raw["points"] = list(_points(sheet, curve, (*path, "points")))
    if len(raw["points"]) == 2:
        sheet.note(
            LEFT_OUT,
            curve.across.header,
            "the curve has two points, and a straight line is drawn through them",
            why="Most curves bend: between the points the pump gives more than the line.",
            write="Add a point from the middle of the curve, if the sheet shows it.",
            warning=True,
        )
    return raw


def _at_supply(curve: Curve) -> Facts:
    """Return the supply at which one curve of several holds, from what stands over it."""
    found = {"Hz": "frequency", "V": "voltage"}
    facts = {found[unit]: f"{at} {unit}" for unit, at in curve.at.items() if unit in found}
    return facts | ({"supply": "ac"} if "frequency" in facts else {})


def _supply(sheet: _Sheet, facts: Mapping[str, str]) -> Facts:
    """Return what the pump runs on where its curve holds, or ask for it."""
    voltage, frequency = facts.get("voltage", ""), facts.get("frequency", "")
    if not voltage or _is_two(voltage, "V"):
        says = (
            f"{SAYS_TWO} {voltage}, and the curve holds at one of them"
            if voltage
            else ("what the pump runs on where its curve holds is not told")
        )
        such = [f"supply: {one} V" for one in re.findall(r"[\d.]+", voltage)]
        such = such or [f"supply: 230 V {frequency or '50 Hz'}", "supply: 12 V DC"]
        why = "A pump on another voltage gives another flow, or none."
        sheet.ask("supply", says, why, such)
        return {"supply": "ac", "voltage": "230 V"}
    current = facts.get("supply") or current_of(voltage)
    supply = {"supply": current, "voltage": voltage}
    if current == "dc":
        return supply
    if not frequency or _is_two(frequency, "Hz"):
        says = (
            f"{SAYS_TWO} {frequency}, and the curve holds at one of them"
            if frequency
            else f"the sheet gives {voltage} and no frequency"
        )
        why = "On 60 Hz a pump gives a fifth more water than on 50, and 44 % more head."
        sheet.ask("frequency", says, why, ("frequency: 50 Hz", "frequency: 60 Hz"))
        return supply
    return supply | {"frequency": frequency}


def _is_two(text: str, unit: str) -> bool:
    return "/" in text or " or " in text or (unit == "Hz" and len(re.findall(r"\d+", text)) > 1)


def _points(sheet: _Sheet, curve: Curve, path: Path) -> Iterator[dict[str, Any]]:
    """Yield the points of a curve, each value with its unit, and keep where they stand."""
    sides = [
        (curve.across, _unit(sheet, curve.across, FLOW)),
        (curve.up, _unit(sheet, curve.up, HEAD)),
    ]
    sides += [(side, side.column.unit or unit) for side, unit in _drawn(curve) if side is not None]
    least = {id(side): -NEARLY_NOUGHT * _largest(side.cells, sheet.comma) for side, _ in sides}
    number = 0
    for cells in zip(*(side.cells for side, _ in sides), strict=True):
        if any(cell is None or cell.is_empty for cell in cells[:2]):
            continue
        point: dict[str, Any] = {}
        for (side, unit), cell in zip(sides, cells, strict=True):
            if cell is None or cell.is_empty:
                continue
            given = _own_unit(cell) or unit
            key = PRESSURE if unit_called(given)[0] == PRESSURE else side.key
            plain = plain_number(cell.number, sheet.comma)
            if least[id(side)] <= _float(plain) < 0.0:
                plain = "0"
            point[key] = f"{plain} {given} {side.column.off}".strip()
            mark(sheet.text, (*path, number, key), cell)
        sheet.text.where[(*path, number)] = cells[0].line
        number += 1
        yield point


def _drawn(curve: Curve) -> tuple[tuple[Side | None, str], ...]:
    """Return the columns of what the pump draws, each with its usual unit."""
    return (curve.power, "W"), (curve.current, "A")


def _largest(cells: Sequence[Cell | None], comma: str) -> float:
    return max((_float(plain_number(cell.number, comma)) for cell in cells if cell), default=0.0)


def _float(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def _own_unit(cell: Cell) -> str:
    return unit_called(cell.unit)[1]


def _unit(sheet: _Sheet, side: Any, fact: str) -> str:
    """Return the unit of one side of a curve, or ask for it."""
    column: Column = side.column
    told = sheet.told.get(fact)
    own = column.unit or next((_own_unit(cell) for cell in side.cells if cell), "")
    if own and told and told != own:
        sheet.note(
            TABLE,
            side.header,
            f'the table gives {fact} in {own}, and "{told}" was told beside it',
            why="One of the two is a slip.",
            write=f"Leave {told} out, or mend the table.",
        )
    unit = own or sheet.facts.get(fact, "")
    if not unit:
        axis = {FLOW: "along the curve, x", HEAD: "up the curve, y"}[fact]
        name = {FLOW: "flow", HEAD: "head or pressure"}[fact]
        such = {FLOW: ("flow: L/min", "flow: gpm"), HEAD: ("head: m", "head: psi")}[fact]
        why = "Gallons and litres, feet and metres look alike."
        sheet.ask(fact, f"the unit of {name} ({axis}) is not told", why, such)
        return {FLOW: "L/min", HEAD: "m"}[fact]
    return unit
