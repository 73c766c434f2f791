"""A fleet's summary as a table, as CSV or as JSON lines; units stand in the headings."""

from __future__ import annotations

import csv
import dataclasses
import json
from collections.abc import Iterable, Iterator, Sequence

from seaflow.base.facts import Fact
from seaflow.base.measured import unit_of
from seaflow.present.csv_text import csv_text, plain_text
from seaflow.present.data import as_data
from seaflow.present.layout import bullet, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.fleet import FleetRow

# What each unit inside counts in a summary.
_KINDS = {"m3/s": "flow", "m": "head", "W": "power", "J": "energy", "A s": "charge"}
# What stands over a column, where its name does not say it; of one question first.
_HEADINGS = {
    "SizeRow.pump": "pump to take",
    "fitted_grade": "it will do",
    "fitted_flow": "its flow",
    "power": "pump power",
    "energy_per_day": "all cooling in a day",
    "day": "all cooling in a day",
    "margin": "flow over need",
    "pump_share": "pump's part of it",
    "keeps_running": "days all units run",
    "keeps_rise": "days within the rise",
    "keeps_rise_now": "days within the rise now",
    "grade_now": "it will do now",
    "draws": "simulated",
    "limit_at": "battery at its limit at",
    "left_at_dawn": "left in the battery at dawn",
    "short_by_dawn": "more asked of it by dawn",
    "nights_lasting": "nights it lasts",
}
_NOT_SHOWN = ("boat", "draws", "content", "problem")  # on a terminal; the last stands below
_FIGURES = 6  # significant ones in a file


def fleet_table(row: type[FleetRow], rows: Sequence[FleetRow], show: Show) -> str:
    """Return the summary as a text table, without columns and rows in which nothing stands.

    What is wrong with a case stands below it.
    """
    known = [one for one in rows if one.loop or one.problem is None]
    names = [name for name in _names(row) if name not in _NOT_SHOWN and _is_said(name, known)]
    right = [at for at, name in enumerate(names) if _is_number(row, name)]
    cells = [[_shown(one, name, show) for name in names] for one in known]
    head = [_heading(row, name, show, ", ") for name in names]
    told = [bullet(f"{one.file}: {show.sentence(one.problem)}") for one in rows if one.problem]
    return "\n".join([*([table(head, cells, right=right)] if known else []), *told])


def _is_said(name: str, rows: Sequence[FleetRow]) -> bool:
    return name == "grade" or any(getattr(one, name) not in ("", (), None) for one in rows)


def fleet_csv(row: type[FleetRow], rows: Iterable[FleetRow], show: Show) -> str:
    """Return the summary as CSV, in the units asked for, the unit in each heading."""
    names = _names(row)
    head = [_heading(row, name, show, " [") for name in names]
    return csv_text(head, ([_value(one, name, show) for name in names] for one in rows))


def fleet_lines(rows: Iterable[FleetRow]) -> str:
    """Return the summary as JSON lines, in SI units."""
    return "".join(json.dumps(as_data(row), ensure_ascii=False) + "\n" for row in rows)


@dataclasses.dataclass(frozen=True, slots=True)
class KeptLine:
    """A line of a summary written before: file, grade, whether that is done, of which content."""

    text: str
    file: str
    grade: str
    is_done: bool
    content: str
    draws: str = ""


def kept_lines(row: type[FleetRow], text: str, is_csv: bool, show: Show) -> list[KeptLine] | None:
    """Return the lines of a summary written before, or None if it is one of something else."""
    lines = text.splitlines(keepends=True)
    if not is_csv:
        return _kept_json(row, lines)
    head = fleet_csv(row, (), show)
    if not lines or lines[0] != head.splitlines(keepends=True)[0]:
        return None
    names, found = _names(row), []
    for line in lines[1:]:
        cells = dict(zip(names, next(csv.reader([line])), strict=False))
        if len(cells) < len(names):
            return None
        file = plain_text(cells["file"])
        done, draws = not cells["problem"], cells.get("draws", "")
        found.append(KeptLine(line, file, cells["grade"], done, cells["content"], draws))
    return found


def _kept_json(row: type[FleetRow], lines: Sequence[str]) -> list[KeptLine] | None:
    found = []
    for line in lines:
        try:
            told = json.loads(line)
            known = set(told) == set(_names(row))
        except (ValueError, TypeError):
            return None
        if not known:
            return None
        done, draws = told["problem"] is None, told.get("draws", "")
        told_of = (told["file"], told["grade"], done, told["content"], draws)
        found.append(KeptLine(line, *told_of))
    return found


def _names(row: type[FleetRow]) -> list[str]:
    """Return the names of the columns; what is wrong comes last."""
    names = [entry.name for entry in dataclasses.fields(row) if entry.name != "problem"]
    return [*names, "problem"]


def _is_number(row: type[FleetRow], name: str) -> bool:
    kinds = {entry.name: str(entry.type) for entry in dataclasses.fields(row)}
    return unit_of(row, name) is not None or kinds[name].startswith(("int", "float"))


def _heading(row: type[FleetRow], name: str, show: Show, before: str) -> str:
    unit = unit_of(row, name)
    plain = _HEADINGS.get(f"{row.__name__}.{name}") or _HEADINGS.get(name) or name.replace("_", " ")
    if unit in (None, "-"):
        return plain if before == ", " or unit is None else f"{plain} [%]"
    return f"{plain}{before}{show.unit(_KINDS[str(unit)])}" + ("]" if before == " [" else "")


def _shown(one: FleetRow, name: str, show: Show) -> str:
    value, unit = getattr(one, name), unit_of(one, name)
    if unit is not None and unit != "-":
        return show.number(_KINDS[unit], value)
    if unit == "-":
        return percent(value, signed=name == "margin")
    said = _text(value, show)
    return "-" if said in ("", None) else str(said)


def _value(one: FleetRow, name: str, show: Show) -> object:
    value, unit = getattr(one, name), unit_of(one, name)
    if unit is None or value is None:
        return _text(value, show)
    shown = 100.0 * value if unit == "-" else show.value(_KINDS[unit], value)
    return float(f"{shown:.{_FIGURES}g}")


def _text(value: object, show: Show) -> object:
    """Return a fact, or several, as sentences."""
    if isinstance(value, tuple):
        return "; ".join(_sentences(value, show))
    return show.sentence(value) if isinstance(value, Fact) else value


def _sentences(values: Iterable[object], show: Show) -> Iterator[str]:
    return (str(_text(value, show)) for value in values)
