"""A file of one's own given where another kind is asked for: what it seems to be, and its place."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.reader.text import CaseText

SHEET = "sheet"  # of a part, in columns
_OF_A_CASE = ("boat", "sea", "supply", "through_hull", "sea_chest")
_AT_LEAST = 2  # of these; a checklist has one of them too
_OF_PARTS = ("pump", "strainer", "hose", "unit", "coil")
# What each kind is called where it is asked for, and where it is given.
_CALLED = {
    "case": ("a case", "the case of a boat"),
    "checklist": ("a checklist", "a written checklist"),
    "readings": ("a file of readings", "a file of readings"),
    "parts": ("a file of parts", "a file of parts"),
    "interview": ("an interview", "an interview that is not finished"),
    SHEET: ("a sheet", "the sheet of a pump, in columns"),
}
_GIVEN = {
    "case": "Give a case first, right after the command: seaflow {command} {file}",
    "checklist": "Give the case first, and this behind --answers: seaflow survey BOAT.toml "
    "--answers {file}",
    "readings": "Give the case first, and this behind --readings: seaflow diagnose BOAT.toml "
    "--readings {file}",
    "parts": "Give the case first, and this behind --parts: seaflow size BOAT.toml --parts {file}",
    "interview": "Go on with it by the command on its first line: seaflow new BOAT.toml --ask",
}
_GIVEN[SHEET] = _GIVEN["parts"]
_COMMAND = {"checklist": "survey", "readings": "diagnose"}


def refuse_other_kind(text: CaseText, raw: Mapping[str, Any], wanted: str) -> None:
    """Refuse a file that is of another kind by its tables, and say nothing else of it.

    `wanted` is "case", "checklist", "readings" or "parts".

    Raises
    ------
    SeaflowError
        With one problem, if it is clearly of one of the other kinds.
    """
    if wanted not in _SIGNS or not _SIGNS[wanted](raw):
        for kind, is_so in _SIGNS.items():
            if is_so(raw):
                raise SeaflowError([other_kind(text.file, kind, wanted)])


def other_kind(file: str, kind: str, wanted: str) -> Problem:
    """Return the refusal of a file of one kind in place of another; `kind` may be `SHEET`."""
    given = _GIVEN[kind].format(file=file, command=_COMMAND.get(wanted, "size"))
    return Problem(
        "F20",
        f"this seems to be {_CALLED[kind][1]}, and {_CALLED[wanted][0]} is asked for here",
        why="Each kind of file has tables of its own, so nothing else in it was read.",
        write=given,
        file=file,
    )


def _is_case(raw: Mapping[str, Any]) -> bool:
    return "record" not in raw and sum(table in raw for table in _OF_A_CASE) >= _AT_LEAST


def _is_checklist(raw: Mapping[str, Any]) -> bool:
    return isinstance(raw.get("record"), Mapping) and "sea" not in raw and "supply" not in raw


def _is_readings(raw: Mapping[str, Any]) -> bool:
    return isinstance(raw.get("reading"), list) and not _is_case(raw)


def _is_interview(raw: Mapping[str, Any]) -> bool:
    return isinstance(raw.get("answers"), Mapping) and not raw.keys() - {"answers", "earlier"}


def _is_parts(raw: Mapping[str, Any]) -> bool:
    """Return whether a file says from where its figures are, as parts alone do."""
    tables = (raw.get(table) for table in _OF_PARTS)
    rows = [row for table in tables if isinstance(table, list) for row in table]
    told = any(isinstance(row, Mapping) and "source" in row for row in rows)
    return told and not _is_case(raw) and not _is_checklist(raw)


_SIGNS: dict[str, Callable[[Mapping[str, Any]], bool]] = {
    "case": _is_case,
    "checklist": _is_checklist,
    "readings": _is_readings,
    "interview": _is_interview,
    "parts": _is_parts,
}
