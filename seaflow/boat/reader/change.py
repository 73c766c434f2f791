"""Values in place of those that a file has, as a script gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from seaflow.base.near import nearest
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.reader.text import CaseText, Path


def changed(
    text: CaseText, raw: dict[str, Any], change: Mapping[str, Any]
) -> tuple[CaseText, dict[str, Any]]:
    """Return a file with other values, as text and as raw data.

    `change` is built as the file: tables by name, values by key, None for none. Where a table may
    stand several times it is called by its name, a hose by its ends, as "pump to saloon unit". A
    problem with such a value points at the table in the file.

    Raises
    ------
    SeaflowError
        With every name that no table bears.
    """
    where = dict(text.where)
    problems: list[Problem] = []
    made = _over(raw, change, (), (text, where, problems))
    if problems:
        raise SeaflowError(problems)
    stays = {path for path, line in text.where.items() if where[path] == line}
    spans, keys = ({p: at for p, at in of.items() if p in stays} for of in (text.spans, text.keys))
    return replace(text, where=where, spans=spans, keys=keys), made


def _over(
    old: Mapping[str, Any],
    change: Mapping[str, Any],
    path: Path,
    told: tuple[CaseText, dict[Path, int], list[Problem]],
) -> dict[str, Any]:
    """Return a table with other values; `told` takes down where they stand and what is wrong."""
    made = dict(old)
    for key, value in change.items():
        here, was = (*path, key), made.get(key)
        if isinstance(value, Mapping) and isinstance(was, list):
            made[key] = _rows(was, value, here, told)
        elif isinstance(value, Mapping):
            made[key] = _over(was if isinstance(was, Mapping) else {}, value, here, told)
        elif value is None:
            made.pop(key, None)
        else:
            made[key] = value
            told[1][here] = told[0].line(path) or 1
    return made


def _rows(
    rows: list[Any],
    change: Mapping[str, Any],
    path: Path,
    told: tuple[CaseText, dict[Path, int], list[Problem]],
) -> list[Any]:
    """Return tables of one kind, those called by their names with other values."""
    made = list(rows)
    for name, values in change.items():
        found = [row for row, table in enumerate(rows) if name in _names(table)]
        if len(found) == 1 and isinstance(values, Mapping):
            made[found[0]] = _over(rows[found[0]], values, (*path, found[0]), told)
        else:
            told[2].append(_no_such(told[0], path, str(name), rows, len(found)))
    return made


def _names(table: Any) -> Iterator[str]:
    if not isinstance(table, Mapping):
        return
    if "name" in table:
        yield str(table["name"])
    if {"from", "to"} <= table.keys():
        yield f"{table['from']} to {table['to']}"


def _no_such(text: CaseText, path: Path, name: str, rows: list[Any], found: int) -> Problem:
    kind = str(path[-1])
    known = [known for table in rows for known in _names(table)]
    near = nearest(name, known)
    listed = ", ".join(f'"{one}"' for one in known)
    if found == 1:
        what = f'what is to change of {kind} "{name}" is no table of keys and values'
    else:
        many = f"are {found} of that name" if found else "is no such thing"
        what = f'a change names {kind} "{name}", and there {many}'
    return text.problem(
        "S03",
        path,
        what,
        why="What changes must be one thing on the boat.",
        write=f'Did you mean "{near}"?' if near and near != name else f"There are: {listed}.",
    )
