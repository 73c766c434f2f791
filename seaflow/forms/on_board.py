"""Answers given on board one at a time: taken into a file of answers, and taken back out of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.forms.starter import value_text

Told = Mapping[str, Any]
SHARED = "also_feeds"  # rows of it stand inside their intake
ONE = ("record", "boat")  # tables of which there is one


@dataclass(frozen=True, slots=True)
class AnswerPlace:
    """Where an answer goes in a file of answers: the block, what names it, and the key there."""

    block: str
    row: tuple[tuple[str, str], ...]
    path: tuple[str, ...]


def with_answer(told: Told, spot: AnswerPlace, text: str) -> dict[str, Any]:
    """Return answers with one more, or with another in its place."""
    if spot.block in ONE:
        return {**told, spot.block: _put(told.get(spot.block) or {}, spot.path, text)}
    row = dict(spot.row)
    if spot.block == SHARED:
        name = row.pop("user")
        of = _row(told.get("intake") or [], row)
        rows = _with_row(of.get(SHARED) or [], {"name": name}, spot.path, text)
        return {**told, "intake": _replaced(told.get("intake") or [], {**of, SHARED: rows})}
    return {**told, spot.block: _with_row(told.get(spot.block) or [], row, spot.path, text)}


def _with_row(
    rows: list[dict[str, Any]], row: Mapping[str, str], path: tuple[str, ...], text: str
) -> list[dict[str, Any]]:
    return _replaced(rows, _put(_row(rows, row), path, text))


def _row(rows: list[dict[str, Any]], row: Mapping[str, str]) -> dict[str, Any]:
    return next((one for one in rows if one.get("name") == row["name"]), dict(row))


def _replaced(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    names = [one.get("name") for one in rows]
    if row["name"] not in names:
        return [*rows, row]
    return [row if one.get("name") == row["name"] else one for one in rows]


def _put(table: Told, path: tuple[str, ...], text: str) -> dict[str, Any]:
    key, *rest = path
    inner = _put(table.get(key) or {}, tuple(rest), text) if rest else text
    return {**table, key: inner}


def answers_text(told: Told, head: str) -> str:
    """Return answers as the text of a file that is read back as they are."""
    return "\n".join(_lines(told, head)) + "\n"


def _lines(told: Told, head: str) -> Iterator[str]:
    yield head
    for table, content in told.items():
        for row in content if isinstance(content, list) else [content]:
            yield ""
            yield f"[[{table}]]" if isinstance(content, list) else f"[{table}]"
            yield from (f"{key} = {value_text(value)}" for key, value in row.items())
