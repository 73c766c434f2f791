"""Answers that belong to a table inside a thing: a cable, a coil's tube, other users of an intake.

What an answer leaves out keeps the value that the case has. What is told of a table before all that
it must hold is known is kept as a part of one.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.boat.keys import Key, keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_key, read_record
from seaflow.boat.reader.text import Path
from seaflow.boat.reader.words import key_of

_YES, _NO = ("yes", "true"), ("no", "false")


@dataclass(frozen=True, slots=True)
class Partial:
    """What is known of a table that lacks something which it must hold."""

    values: Mapping[str, Any]


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
    return item in ("", [], {}) or (isinstance(item, str) and not item.strip())


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


def read_answer(record: type, key: str, value: Any, path: Path, reading: Reading) -> Any:
    """Return the value of one answer; what is wrong goes to `reading`, in a checklist's words."""
    declared, value = declared_key(record, key), plain(record, key, value)
    if declared.kind == "flag" and not isinstance(value, bool):
        name = key_of(path)
        reading.at_key(
            "K10",
            path,
            f"{name} must be yes or no",
            why=as_question(declared.meaning),
            write=f'Write {name} = "yes" or {name} = "no", or leave it empty.',
        )
        return None
    return read_key(record, key, value, path, reading)


def as_question(meaning: str) -> str:
    """Return the meaning of a flag in words of yes and no."""
    for word, says in (("rue if ", "es if "), ("alse if ", "o if ")):
        for big, small in (("T", "Y"), ("t", "y"), ("F", "N"), ("f", "n")):
            meaning = meaning.replace(big + word, small + says)
    return meaning


def plain_row(record: type, row: Any, path: Path, reading: Reading) -> Any:
    """Return a table with its answers made plain; keys that are not known stay as they are."""
    if not isinstance(row, Mapping):
        return row
    known = {spelled: key for _, spelled, key in keys_of(record)}
    found = {}
    for key, value in row.items():
        made = plain(record, key, value) if key in known else value
        if key in known and known[key].kind == "flag" and not isinstance(made, bool):
            read_answer(record, key, value, (*path, key), reading)
            continue
        found[key] = made
    return found


def merged(record: type, known: Any, row: Any, path: Path, reading: Reading) -> Any:
    """Return a record with answers laid over it, or what is known of one, as a `Partial`."""
    row = plain_row(record, row, path, reading)
    declared = {name: key for _, name, key in keys_of(record)}
    if (
        not isinstance(row, Mapping)
        or set(row) - set(declared)
        or ("name" in declared and not known)
    ):
        return read_record(record, row, path, reading)
    values = {
        key: read_key(record, key, value, (*path, key), reading) for key, value in row.items()
    }
    if known is not None and not isinstance(known, Partial):
        return dataclasses.replace(known, **values)
    told = {**known.values, **values} if isinstance(known, Partial) else values
    if all(name in told for name, key in declared.items() if key.required):
        return record(**told)
    return Partial(told)


def merged_rows(
    record: type, known: tuple[Any, ...], rows: Any, path: Path, reading: Reading
) -> tuple[Any, ...]:
    """Return the records known with what was told of them, and those that were not known.

    Records are told apart by name; a row that holds nothing but a name tells nothing.
    """
    found: dict[Any, Any] = {item.name: item for item in known}
    for name, index, row in _told(rows):
        found[name] = merged(record, found.get(name), row, (*path, index), reading)
    return tuple(found.values())


def _told(rows: Any) -> Iterator[tuple[Any, int, Any]]:
    for index, row in enumerate(rows if isinstance(rows, list) else [rows]):
        if not isinstance(row, Mapping) or set(row) != {"name"}:
            yield row.get("name") if isinstance(row, Mapping) else index, index, row
