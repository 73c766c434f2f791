"""Readings stored beside a case: a small file of readings with their dates."""

from __future__ import annotations

import os
from pathlib import Path

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.reader.text import read_text
from seaflow.forms.starter import value_text
from seaflow.studies.diagnose.readings import Places, Readings
from seaflow.studies.diagnose.written import read_rows

ENDING = ".readings.toml"
START = (
    "# Readings of a healthy boat, taken with `seaflow baseline`; they correct the model of it.\n"
)
HINT = "one written by seaflow baseline --store"


def file_beside(case_file: str) -> str:
    """Return the name of the file of readings that belongs to a case."""
    return str(Path(case_file).with_suffix("")) + ENDING


def stored_readings(file: str, places: Places, loop: str) -> tuple[Readings, ...]:
    """Return the readings of one loop in a file, oldest first; nothing where there is no file.

    A row that names another loop is passed over.

    Raises
    ------
    SeaflowError
        If the file or a reading in it cannot be used.
    """
    if not os.path.lexists(file):
        return ()
    return tuple(
        read_rows({key: value for key, value in row.items() if key != "loop"}, places)
        for row in rows_in(file)
        if row.get("loop", loop) == loop
    )


def rows_in(file: str) -> list[dict[str, object]]:
    """Return the rows of a file of readings as they stand.

    Raises
    ------
    SeaflowError
        If there is no such file, or it holds no readings.
    """
    raw = read_text(file, HINT)[1]
    rows = raw.get("reading")
    known = isinstance(rows, list) and all(isinstance(row, dict) for row in rows)
    if not known or set(raw) - {"reading", "schema"}:
        what = "this file holds no readings"
        write = 'Write [[reading]] on a line of its own and below it such as sea = "27 degC".'
        why = "Each set of readings stands in a table of its own."
        raise SeaflowError([Problem("D03", what, why=why, write=write, file=file)])
    assert isinstance(rows, list)
    return rows


def row_text(row: dict[str, object]) -> str:
    """Return one row as the text of a file of readings."""
    lines = ["[[reading]]"]
    for key, value in row.items():
        if isinstance(value, list):
            shown = "[" + ", ".join(value_text(str(item)) for item in value) + "]"
        else:
            shown = value_text(str(value))
        lines.append(f"{key} = {shown}")
    return "\n".join(lines) + "\n"
