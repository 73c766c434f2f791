"""The curves of a plain sheet as points: of several speeds one, each once, with units and amps."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.problems import Problem
from seaflow.base.units import read_quantity
from seaflow.boat.parts.columns import (
    CURRENT,
    FLOW,
    HEAD,
    PRESSURE,
    Column,
    unit_called,
)
from seaflow.boat.parts.commas import plain_number
from seaflow.boat.parts.curves import Curve, Side, Table
from seaflow.boat.parts.grid import Cell
from seaflow.boat.parts.same_pump import same_points
from seaflow.boat.parts.told import Facts
from seaflow.boat.reader.heads import FRESH_DENSITY
from seaflow.boat.reader.text import CaseText, Path
from seaflow.physics.hull.openings import head_of_pressure

MISSING, TABLE, LEFT_OUT, TWICE, TAKEN = "P18", "P19", "P20", "P21", "P22"
NEARLY_NOUGHT = 0.01  # of the largest on its axis: what a digitised curve may lie below nought


@dataclass
class Gathered:
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


def full_speed(sheet: Gathered, curves: Sequence[Curve]) -> list[Curve]:
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


def once(sheet: Gathered, curves: Sequence[Curve]) -> list[Curve]:
    """Return each curve once that the sheet prints in two systems of units."""
    kept: list[tuple[Curve, list[tuple[float, float]]]] = []
    for curve in curves:
        points = list(_measured(sheet, curve))
        if any(one.at == curve.at and same_points(mine, points) for one, mine in kept):
            sheet.note(
                TWICE,
                curve.across.header,
                "these columns are the same curve once more, in other units",
                why="One pump that stands twice would be compared with itself.",
                write="Nothing need be done; the columns that stand first are read.",
                warning=True,
            )
        else:
            kept.append((curve, points))
    return [curve for curve, _ in kept]


def _measured(sheet: Gathered, curve: Curve) -> Iterator[tuple[float, float]]:
    """Yield flow and head of the points of a curve whose columns tell their units; SI."""
    units = [side.column.unit or sheet.facts.get(fact, "") for side, fact in _axes(curve)]
    for cells in zip(curve.across.cells, curve.up.cells, strict=True):
        if any(cell is None or not cell.number for cell in cells) or not all(units):
            continue
        flow, up = (_float(plain_number(cell.number, sheet.comma)) for cell in cells if cell)
        flow = read_quantity(f"{max(flow, 0.0)} {units[0]}", "m3/s")
        if unit_called(units[1])[0] == PRESSURE:
            pressure = read_quantity(f"{max(up, 0.0)} {units[1]}", "Pa")
            yield flow, float(head_of_pressure(pressure, FRESH_DENSITY))
        else:
            yield flow, read_quantity(f"{max(up, 0.0)} {units[1]}", "m")


def _axes(curve: Curve) -> tuple[tuple[Side, str], tuple[Side, str]]:
    return (curve.across, FLOW), (curve.up, HEAD)


def _speed(curve: Curve) -> float | None:
    text = curve.at.get("%") or curve.at.get("rpm")
    return float(text.replace(",", ".")) if text else None


def amps_at_the_supply(sheet: Gathered, curve: Curve, raw: dict[str, Any]) -> None:
    """Bring amps told at other volts than the curve's to those, and remark what AC leaves open."""
    if curve.current is None or curve.power is not None:
        return
    volts = re.findall(r"[\d.]+", raw["voltage"])
    own = curve.current.column.at.get("V", "")
    if own and volts and float(own) != float(volts[0]):
        for point in (one for one in raw["points"] if CURRENT in one):
            amps = _float(point[CURRENT].split()[0]) * float(own) / float(volts[0])
            point[CURRENT] = f"{amps:.4g} A"
    if raw["supply"] == "ac" and "power_factor" not in raw:
        sheet.note(
            TAKEN,
            curve.current.header,
            "amps on AC are watts by a usual power factor, for the sheet gives none",
            why="On AC a motor takes 60 to 90 % of what volts times amps come to.",
            write="Write power factor: 0.8 above the table, or the watts, if the plate tells.",
            warning=True,
        )


def points_of(sheet: Gathered, curve: Curve, path: Path) -> Iterator[dict[str, Any]]:
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


def _unit(sheet: Gathered, side: Any, fact: str) -> str:
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
