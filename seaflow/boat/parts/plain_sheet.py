"""A plain table of flow against head or pressure, as makers print it or a curve was digitised.

Its few facts stand on lines beside it, or are told with the name of the file; what is missing is
asked for, each as a problem with the fact as its group. A sheet may hold several curves.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.parts.at_heads import table_at_heads
from seaflow.boat.parts.columns import (
    CURRENT,
    FLOW,
    HEAD,
    POWER,
)
from seaflow.boat.parts.commas import BOTH, EITHER, EITHER_POINT, comma_of, plain_number
from seaflow.boat.parts.curves import NO_ROWS, Curve, table_of
from seaflow.boat.parts.grid import Cell
from seaflow.boat.parts.sheet_curves import (
    LEFT_OUT,
    MISSING,
    TABLE,
    TAKEN,
    Gathered,
    amps_at_the_supply,
    full_speed,
    once,
    points_of,
)
from seaflow.boat.parts.told import DECIMALS, THOUSANDS, Facts, current_of, told_facts
from seaflow.boat.reader.bounds import LONGEST_TEXT, MOST_ROWS, acting
from seaflow.boat.reader.text import CaseText, acting_problem, beyond

SAYS_TWO = "the sheet says"  # of a plate with two ratings: no boat tells which is the curve's
ONE_RATING = 1.25  # of the least: a span of volts that is wider holds two nominal ones; ours
_ASIDE = ("comma", FLOW, HEAD, "voltage", "frequency", "supply", "title", "name", "source")
_SUPPLY_HEAD = re.compile(r"\b(volts?|voltage|hz|hertz|frequency|supply|mains)\b", re.IGNORECASE)


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
    sheet = Gathered(text, table, table.facts | facts, facts)
    if left:
        sheet.problems.append(_not_understood(text.file, left))
    if table.fault is not None:
        sheet.note(TABLE, table.fault.cell, table.fault.what, **_why_of(table.fault.what))
        return text, {}, sheet.problems
    _commas(sheet)
    _left_out(sheet)
    curves = once(sheet, full_speed(sheet, table.curves))
    pumps = [_pump(sheet, curve, row, len(curves) > 1) for row, curve in enumerate(curves)]
    _kin(sheet, curves, pumps)
    _taken(sheet, curves[0].across.header)
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
    write = "Write over each column what it is and its unit, such as: flow [L/min], head [m]."
    if what == NO_ROWS:
        write += ' Two ends alone are told by --pump "shut-off 4.2 m, 30 L/min open".'
    if "lacks a cell" in what:
        write = "Write - where the sheet gives nothing."
    why = "A pump's curve is a flow and the head or pressure at it, point by point."
    return {"why": why, "write": write}


def _not_understood(file: str, left: Sequence[str]) -> Problem:
    words = ", ".join(f'"{piece}"' for piece in left)
    return Problem(
        MISSING,
        f"{words} beside the file is not understood",
        why="What is told of a sheet stands behind its name, parted by commas.",
        write=f'Write for example "{file}, 230 V 50 Hz, L/min, m".',
        file=file,
    )


def _commas(sheet: Gathered) -> None:
    """Find out what commas part, or ask."""
    cells = [cell for row in sheet.table.rows for cell in row if cell.number]
    found = comma_of(cell.number for cell in cells)
    told = sheet.facts.get("comma", "")
    sheet.comma = told or found
    if told == DECIMALS and found == THOUSANDS and not any("," in cell.number for cell in cells):
        cell = next(cell for cell in cells if comma_of([cell.number]) == THOUSANDS)
        what = f'"{cell.number}" has a point before its decimals, and a comma was told beside it'
        write = "Leave out what was told of the comma, or mend the table."
        sheet.note(TABLE, cell, what, why="One sheet parts decimals in one way.", write=write)
    elif found == BOTH or (told and found not in ("", EITHER, EITHER_POINT, told)):
        cell = next((cell for cell in cells if "," in cell.number), cells[0])
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
    elif sheet.comma == EITHER_POINT:
        cell = next(cell for cell in cells if comma_of([cell.number]) == EITHER_POINT)
        whole = plain_number(cell.number, DECIMALS)
        sheet.ask(
            "comma",
            f'whether the point in "{cell.number}" parts thousands or decimals is not told',
            f"It is {whole} or {float(cell.number):g}, and no other number of the table tells.",
            ("point: thousands", "point: decimals"),
            cell,
        )


def _left_out(sheet: Gathered) -> None:
    """Remark every column, line and half row that says something and is not read."""
    for cell in _half_rows(sheet.table.curves):
        sheet.note(
            LEFT_OUT,
            cell,
            "this row gives a flow without a head, or a head without a flow: it is left out",
            why="A point of a curve is both.",
            write="Write the figure that lacks, if the sheet shows it.",
            warning=True,
        )
    asked = _of_supply(sheet)
    for cell in (one for one in sheet.table.unread if one not in asked):
        sheet.note(
            LEFT_OUT,
            cell,
            f'"{cell.text[:60]}" is not read',
            why="It is neither flow, head, pressure nor power, nor a fact of a pump.",
            write="Nothing need be done if it says nothing of the curve.",
            warning=True,
        )


def _half_rows(curves: Sequence[Curve]) -> Iterator[Cell]:
    """Yield a cell of each row that gives no curve a point, and something to some."""
    for row in zip(*(zip(it.across.cells, it.up.cells, strict=True) for it in curves), strict=True):
        given = [[cell for cell in pair if cell is not None and not cell.is_empty] for pair in row]
        if all(len(pair) < 2 for pair in given) and any(given):
            yield next(pair[0] for pair in given if pair)


def _kin(sheet: Gathered, curves: Sequence[Curve], pumps: Sequence[dict[str, Any]]) -> None:
    """Tell of each of several curves of one pump, at several supplies, which pump it is of."""
    for curve, raw in zip(curves, pumps, strict=True):
        others = [one for one in curves if one.label == curve.label and one.at != curve.at]
        if others and curve.at:
            raw["curve_of"] = _named(sheet, curve.label)


def _named(sheet: Gathered, apart: str) -> str:
    stem = os.path.splitext(os.path.basename(sheet.text.file))[0]
    return " ".join(filter(None, (sheet.facts.get("name", stem), apart)))


def _pump(sheet: Gathered, curve: Curve, row: int, many: bool) -> dict[str, Any]:
    """Return the raw data of one pump of the sheet."""
    facts, file = sheet.facts, os.path.basename(sheet.text.file)
    supplied = _supply(sheet, facts | _at_supply(curve))
    words = " ".join(
        filter(None, (curve.label, *(f"{at} {unit}" for unit, at in curve.at.items())))
    )
    apart = (words or str(row + 1)) if many else ""
    raw: dict[str, Any] = {
        "name": _named(sheet, apart),
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
    raw["points"] = list(points_of(sheet, curve, (*path, "points")))
    if "supply_from" in raw and "Hz" in curve.at:
        raw["supply_from"] = raw["voltage"]
    amps_at_the_supply(sheet, curve, raw)
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


def _taken(sheet: Gathered, header: Cell) -> None:
    """Remark what of the supply is taken from the case, since the sheet does not tell it."""
    if "supply_from" in sheet.facts and not _of_supply(sheet):
        sheet.note(
            TAKEN,
            header,
            f"{sheet.facts['supply_from']} is taken from the case, for the sheet does not tell",
            why="A pump on another supply gives another flow, or none.",
            write="Look whether its curve holds there, and write supply: above the table.",
            warning=True,
        )


def _at_supply(curve: Curve) -> Facts:
    """Return the supply at which one curve of several holds, from what stands over it."""
    found = {"Hz": "frequency", "V": "voltage"}
    facts = {found[unit]: f"{at} {unit}" for unit, at in curve.at.items() if unit in found}
    return facts | ({"supply": "ac"} if "frequency" in facts else {})


def _of_supply(sheet: Gathered) -> list[Cell]:
    """Return the columns that tell the supply, where nothing above the table does."""
    if "supply_from" not in sheet.facts:
        return []
    return [cell for cell in sheet.table.unread if _SUPPLY_HEAD.search(cell.text)]


def _supply(sheet: Gathered, facts: Mapping[str, str]) -> Facts:
    """Return what the pump runs on where its curve holds, or ask for it."""
    voltage, frequency = facts.get("voltage", ""), facts.get("frequency", "")
    columns = _of_supply(sheet)
    if columns:
        name = columns[0].text[:60]
        says = f'"{name}" is a column, and what the pump runs on is read above the table'
        why = "A pump on another supply gives another flow, or none."
        sheet.ask("supply", says, why, ("supply: 230 V 50 Hz", "supply: 12 V DC"), columns[0])
        return {"supply": "ac", "voltage": "230 V", "frequency": "50 Hz"}
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
    """Return whether a plate gives two ratings; 220-240 V is one, and 12-24 V are two."""
    ends = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text)]
    spread = max(ends, default=1.0) > ONE_RATING * min(ends, default=1.0)
    return "/" in text or " or " in text or (len(ends) > 1 and (unit == "Hz" or spread))
