"""How a key of a case file is declared: once, as a dataclass field that carries its meaning.

The reader, the defaults and the reference page all come from these declarations.
"""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from functools import cache
from typing import Any

_PARTS = re.compile(r"rows? of the (\w+) table")


@dataclass(frozen=True, slots=True)
class Key:
    """The declaration of one key.

    `quantity` names a glossary entry; the value is then text with a unit. Without it the value
    is text, a flag, a number, one of `choices`, a nested table `of` another dataclass, or a list
    of such (`many`). `nothing` is a word that may stand for a quantity of zero.
    """

    meaning: str
    quantity: str | None = None
    choices: tuple[str, ...] = ()
    kind: str = "text"
    of: type | None = None
    many: bool = False
    example: str = ""
    least: float | None = None
    most: float | None = None
    required: bool = False
    default: str | None = None
    spelled: str = ""
    nothing: str = ""


def key(meaning: str, **options: Any) -> Any:
    """Declare one key as a dataclass field; see Key for the options.

    `default` names a row of seaflow/data/defaults.toml, so that no default is silent.
    """
    if "quantity" in options:
        options["kind"] = "quantity"
    elif "of" in options:
        options["kind"] = "table"
    elif "choices" in options:
        options["kind"] = "choice"
    declared = Key(meaning, **options)
    empty: Any = () if declared.many else None
    return dataclasses.field(default=empty, metadata={"key": declared})


def keys_of(record: type) -> tuple[tuple[str, str, Key], ...]:
    """Return the field name, the spelling in the file and the declaration of each key."""
    return _keys(record)


@cache
def _keys(record: Any) -> tuple[tuple[str, str, Key], ...]:
    found = ((entry.name, entry.metadata.get("key")) for entry in dataclasses.fields(record))
    return tuple((name, key.spelled or name, key) for name, key in found if key is not None)


def same(record: type, name: str, **changes: Any) -> Any:
    """Declare a field with the key that another record has under this name, changed if need be."""
    declared = next(declared for field, _, declared in keys_of(record) if field == name)
    empty: Any = () if declared.many else None
    changed = dataclasses.replace(declared, **changes)
    return dataclasses.field(default=empty, metadata={"key": changed})


def part_table(declared: Key) -> str | None:
    """Return the parts table whose rows a key names, or None."""
    found = _PARTS.search(declared.meaning)
    return found[1] if found else None
