"""Records that count as one where some of their fields make no difference."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any, Generic, TypeVar

_R = TypeVar("_R")


@dataclass(frozen=True, slots=True)
class Alike(Generic[_R]):
    """A frozen record that is the same as another if all of the two is, but what is left aside."""

    known: tuple[Any, ...]
    record: _R = field(compare=False)


def alike(record: _R, aside: tuple[str, ...]) -> Alike[_R]:
    """Return a frozen record, known by all its fields but those left `aside`."""
    kind: Any = type(record)
    return Alike(tuple(getattr(record, name) for name in _names(kind, aside)), record)


def the_same(record: _R, aside: tuple[str, ...]) -> Alike[_R]:
    """Return a frozen record, known by the very objects in all its fields but those `aside`.

    What is known holds the record, so that no other object can come to stand in their place.
    """
    kind: Any = type(record)
    return Alike(tuple(id(getattr(record, name)) for name in _names(kind, aside)), record)


@cache
def _names(kind: Any, aside: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(entry.name for entry in fields(kind) if entry.name not in aside)
