"""A fleet's summary as a table, as CSV or as JSON lines."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Sequence

from seaflow.base.measured import unit_of
from seaflow.present.csv_text import csv_text
from seaflow.present.data import as_data
from seaflow.present.layout import table
from seaflow.present.quantities import Show, percent
from seaflow.studies.size.fleet import FleetRow


def fleet_table(rows: Sequence[FleetRow], show: Show) -> str:
    """Return the summary as a text table."""
    return table(
        ("case", "loop", "met", "pump", "flow", "needed", "power", "margin", "runs", "keeps rise"),
        [_cells(row, show) for row in rows],
        right=(4, 5, 6, 7, 8, 9),
    )


def _cells(row: FleetRow, show: Show) -> tuple[str, ...]:
    if row.problem:
        return (row.file, row.loop, "-", show.sentence(row.problem), *("-",) * 6)
    return (
        row.file,
        row.loop,
        row.grade,
        row.pump + (" *" if row.fitted else ""),
        show("flow", row.flow),
        show("flow", row.flow_needed),
        show("power", row.power),
        percent(row.margin, signed=True),
        percent(row.keeps_running),
        percent(row.keeps_rise),
    )


def fleet_csv(rows: Iterable[FleetRow]) -> str:
    """Return the summary as CSV, SI numbers, the unit in each heading."""
    names = [entry.name for entry in dataclasses.fields(FleetRow)]
    values = ([getattr(row, name) for name in names] for row in rows)
    return csv_text([_heading(name) for name in names], values)


def _heading(name: str) -> str:
    unit = unit_of(FleetRow, name)
    return name if unit in (None, "-") else f"{name} [{unit}]"


def fleet_lines(rows: Iterable[FleetRow]) -> str:
    """Return the summary as JSON lines."""
    return "".join(json.dumps(as_data(row), ensure_ascii=False) + "\n" for row in rows)
