"""An answer that says something else than was recorded before it: the answer counts, and both
are named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.base.units import Misread, split
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.reader.words import in_unit
from seaflow.forms.nested_answers import Partial, declared_key


@dataclass(frozen=True, slots=True)
class Overruled:
    """A value that an answer took the place of; `by` is the file, `was_in` where it stood."""

    subject: str
    key: str
    was: str
    now: str
    was_in: str
    by: str


def differences(record: type, key: str, pair: tuple[Any, Any], raw: Any) -> Iterator[list[str]]:
    """Yield key, value before and value now wherever an answer changes what was recorded."""
    old, new = pair
    declared = declared_key(record, key)
    if declared.many or old is None or new is None:
        return
    if declared.of is None:
        if not _same(old, new):
            yield [key, *(_words(declared, value, raw) for value in (old, new))]
        return
    inner = raw if isinstance(raw, Mapping) else {}
    known = {name for _, name, _ in keys_of(declared.of)}
    for name, value in inner.items():
        if name not in known:
            continue
        for _, was, now in differences(declared.of, name, (_in(old, name), _in(new, name)), value):
            yield [f"{key}.{name}", was, now]


def row_differences(record: type, old: Any, new: Any, raw: Any) -> Iterator[list[str]]:
    """Yield the same of a row of its own, such as a bilge pump."""
    known = {name for _, name, _ in keys_of(record)} - {"name"}
    for name, value in raw.items() if isinstance(raw, Mapping) else ():
        if name in known:
            yield from differences(record, name, (_in(old, name), _in(new, name)), value)


def _in(record: Any, name: str) -> Any:
    return record.values.get(name) if isinstance(record, Partial) else getattr(record, name, None)


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=1e-6, abs_tol=1e-9) or math.isnan(new)
    return bool(old == new)


def _words(declared: Key, value: Any, raw: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if declared.quantity is None or not isinstance(raw, str):
        return str(value)
    try:
        written = split(raw)[1]
    except Misread:
        return str(value)
    return in_unit(value, glossary_entry(declared.quantity).unit, written)
