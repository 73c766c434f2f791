"""Whether the sheet of a part makes sense: a pump's curve above all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from seaflow.base.problems import Problem
from seaflow.base.ranges import RangeError
from seaflow.base.spread import without_spread
from seaflow.base.units import Misread, split
from seaflow.boat.parts.part import given_points, pump_curve
from seaflow.boat.parts.sheets import PumpSheet, Sheet, StrainerSheet
from seaflow.boat.reader.text import CaseText, Path

WRITE_POINTS = (
    'Write points = [{ flow = "0 L/min", head = "4.2 m" }, { flow = "30 L/min", head = "0 m" }], '
    "or shut_off_head and free_flow."
)

WRITE_ROWS = (
    "Write a row for each point of the curve, or --pump and figures, such as 15 L/min at 3 m."
)


def check_sheet(sheet: Sheet, text: CaseText) -> Iterator[Problem]:
    """Yield what is wrong or worth remarking in a sheet that could be read."""
    path: Path = (sheet.table, sheet.row)
    if isinstance(sheet, StrainerSheet):
        yield from _strainer(sheet, text, path)
    if isinstance(sheet, PumpSheet):
        mixed = list(_mixed(sheet.written, text, path))
        yield from mixed
        if not mixed:
            yield from _curve(sheet, text, path)
        yield from _motor(sheet, text, path)


def _strainer(sheet: StrainerSheet, text: CaseText, path: Path) -> Iterator[Problem]:
    drop = sheet.clean_drop
    if drop is not None and drop.head is None and drop.pressure is None:
        yield text.problem(
            "P06",
            (*path, "clean_drop"),
            f'the clean loss of "{sheet.name}" has neither head nor pressure',
            why="A loss is a flow and what it costs.",
            write='Write clean_drop = { at = "30 L/min", pressure = "1.5 kPa" }.',
        )


def _mixed(written: Mapping[str, Any], text: CaseText, path: Path) -> Iterator[Problem]:
    """Points of one curve are typed from one sheet, so two units in it are a slip."""
    name = written.get("name", "")
    for table in ("points", "power_points"):
        points = [point for point in written.get(table, ()) if isinstance(point, dict)]
        for key in ("flow", "head", "pressure", "power"):
            units = [(row, _unit(point[key])) for row, point in enumerate(points) if key in point]
            other = next((item for item in units if item[1] != units[0][1]), None)
            if other is not None:
                yield text.problem(
                    "P07",
                    (*path, table, other[0], key),
                    f'the curve of "{name}" gives {key} in {units[0][1]} '
                    f"and, at point {other[0] + 1}, in {other[1]}",
                    why="A sheet gives one unit along an axis: one of the two is a slip.",
                    write=f"Write every {key} in the same unit.",
                )
        if any("head" in point for point in points) and any("pressure" in row for row in points):
            row = next(row for row, point in enumerate(points) if "pressure" in point)
            yield text.problem(
                "P07",
                (*path, table, row, "pressure"),
                f'the curve of "{name}" gives some points as head and some as pressure',
                why="A sheet gives one unit along an axis: one of the two is a slip.",
                write="Write every point with head, or every point with pressure.",
            )


def _unit(text: Any) -> str:
    try:
        return split(without_spread(str(text)))[1].replace(" ", "")
    except Misread:
        return ""


def _curve(sheet: PumpSheet, text: CaseText, path: Path) -> Iterator[Problem]:
    n_points = len(given_points(sheet))
    both_ends = sheet.shut_off_head is not None and sheet.free_flow is not None
    if n_points < 2 and (sheet.points or not both_ends):
        count = "no point" if n_points == 0 else "one point"
        yield text.problem(
            "P08",
            (*path, "points", 0) if sheet.points else path,
            f'the curve of "{sheet.name}" has {count} of flow and head',
            why="Where a pump runs is found from its curve, and a curve needs two points.",
            write=WRITE_POINTS if text.file.endswith(".toml") else WRITE_ROWS,
        )
        return
    try:
        curve = pump_curve(sheet)
    except RangeError as error:
        yield text.problem(
            "P09",
            (*path, "points", *_odd_point(sheet)),
            f'the points of "{sheet.name}" make no pump curve: {error}',
            why="A pump gives less head at more flow.",
            write="Look for a slip in the points; leave out the rising part if the sheet has one.",
        )
        return
    for note in curve.note.split("; "):
        if "flattened" in note:
            yield text.problem(
                "P10",
                (*path, "points", *_odd_point(sheet)),
                f'"{sheet.name}": {note}',
                why="The head is taken as level there, which errs on the weak side.",
                write="Nothing need be done if the sheet shows it so.",
                warning=True,
            )


def _odd_point(sheet: PumpSheet) -> Path:
    """Return which point keeps a curve from falling, and the key of it that shows that."""
    heads = [point.pressure if point.head is None else point.head for point in sheet.points]
    rows = [row for row, head in enumerate(heads) if head is not None]
    rows.sort(key=lambda row: sheet.points[row].flow)
    lowest, worst, odd = heads[rows[0]] or 0.0, 0.0, rows[-1]
    for before, row in pairwise(rows):
        if sheet.points[row].flow == sheet.points[before].flow:
            return (max(before, row), "flow")
        head = heads[row] or 0.0
        if head - lowest > worst:
            worst, odd = head - lowest, row
        lowest = min(lowest, head)
    return (odd, "head" if sheet.points[odd].pressure is None else "pressure")


def _motor(sheet: PumpSheet, text: CaseText, path: Path) -> Iterator[Problem]:
    if sheet.motor is not None and not sheet.motor.endswith(sheet.supply):
        yield text.problem(
            "P11",
            (*path, "motor"),
            f'"{sheet.name}" has the motor "{sheet.motor}" on a supply of {sheet.supply}',
            why="The two say different kinds of current.",
            write='Write supply = "ac" or supply = "dc" as its plate says.',
        )
    if sheet.supply == "dc" and sheet.frequency is not None:
        yield text.problem(
            "P11",
            (*path, "frequency"),
            f'"{sheet.name}" runs on dc and has a frequency',
            why="The two say different kinds of current.",
            write='Leave the frequency out, or write supply = "ac".',
        )
