"""Answers that belong to a table inside a thing: a cable, a coil's tube, other users of an intake.

What an answer leaves out keeps the value that the case has.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from seaflow.boat.keys import Key, keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_key, read_record
from seaflow.boat.reader.text import Path

_R = TypeVar("_R")
_YES, _NO = ("yes", "true"), ("no", "false")


def declared_key(record: type, spelled: str) -> Key:
    """Return the declaration of a key of a record."""
    return next(item for _, name, item in keys_of(record) if name == spelled)


def answered(content: Any) -> Any:
    """Return a table without the answers that were left empty."""
    if isinstance(content, list):
        return [item for item in map(answered, content) if not _is_empty(item)]
    if not isinstance(content, Mapping):
        return content
    kept = {key: answered(item) for key, item in content.items()}
    return {key: item for key, item in kept.items() if not _is_empty(item)}


def _is_empty(item: Any) -> bool:
    return item in ("", [], {})


def plain(record: type, key: str, value: Any) -> Any:
    """Return yes and no as true and false, and a count in quotes as a number."""
    declared = declared_key(record, key)
    if not isinstance(value, str):
        return value
    word = value.strip().lower()
    if declared.kind == "flag" and word in (*_YES, *_NO):
        return word in _YES
    if declared.kind == "number" and re.fullmatch(r"\d+", word):
        return int(word)
    return value


def plain_row(record: type, row: Any) -> Any:
    """Return a table with its answers made plain; keys that are not known stay as they are."""
    if not isinstance(row, Mapping):
        return row
    known = [spelled for _, spelled, _ in keys_of(record)]
    return {key: plain(record, key, value) if key in known else value for key, value in row.items()}


def merged(record: type[_R], known: _R | None, row: Any, path: Path, reading: Reading) -> _R:
    """Return a record with answers laid over it, or a new one where there was none."""
    row = plain_row(record, row)
    spelled = [name for _, name, _ in keys_of(record)]
    if known is None or not isinstance(row, Mapping) or set(row) - set(spelled):
        return read_record(record, row, path, reading)
    values = {
        key: read_key(record, key, value, (*path, key), reading) for key, value in row.items()
    }
    return dataclasses.replace(known, **values)  # type: ignore[type-var]


def merged_rows(
    record: type[_R], known: tuple[_R, ...], rows: Any, path: Path, reading: Reading
) -> tuple[_R, ...]:
    """Return the records known with what was told of them, and those that were not known.

    Records are told apart by name; a row that holds nothing but a name tells nothing.
    """
    found: dict[Any, _R] = {getattr(item, "name"): item for item in known}  # noqa: B009
    for name, index, row in _told(rows):
        found[name] = merged(record, found.get(name), row, (*path, index), reading)
    return tuple(found.values())


def _told(rows: Any) -> Iterator[tuple[Any, int, Any]]:
    for index, row in enumerate(rows if isinstance(rows, list) else [rows]):
        if not isinstance(row, Mapping) or set(row) != {"name"}:
            yield row.get("name") if isinstance(row, Mapping) else index, index, row
