"""The register of references: each is typed once, in seaflow/data/sources, and named by its key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np

from seaflow.base.tables import read_folder

_F = TypeVar("_F", bound=Callable[..., Any])

CITATIONS: dict[str, Citation] = {}


@dataclass(frozen=True, slots=True)
class Source:
    """One reference: who, when, what, and how it was seen ("read", "second-hand" or "memory")."""

    key: str
    authors: str
    year: int | None
    title: str
    publisher: str = ""
    seen: str = "read"

    @property
    def text(self) -> str:
        """The reference on one line."""
        year = f" ({self.year})" if self.year else ""
        publisher = f", {self.publisher}" if self.publisher else ""
        return f"{self.authors}{year}: {self.title}{publisher}"


@dataclass(frozen=True, slots=True)
class Citation:
    """What a function takes from a source, and the range in which the source vouches for it."""

    function: str
    source: str
    where: str
    valid: Mapping[str, tuple[float, float]] = field(default_factory=dict)


def source(key: str) -> Source:
    """Return the source with this key.

    Raises
    ------
    KeyError
        If the register holds no such key.
    """
    return Source(key=key, **read_folder("sources")[key])


def sourced(
    key: str, where: str, valid: Mapping[str, tuple[float, float]] | None = None
) -> Callable[[_F], _F]:
    """Mark a function with the source of its formula and the range that source declares.

    `key` is a key of the register; "own" marks a derivation or bridging choice of ours.
    """

    def mark(function: _F) -> _F:
        name = f"{function.__module__}.{function.__qualname__}"
        CITATIONS[name] = Citation(name, key, where, dict(valid or {}))
        return function

    return mark


def citation(function: Callable[..., Any]) -> Citation | None:
    """Return the citation of a function, or None if it has none."""
    return CITATIONS.get(f"{function.__module__}.{function.__qualname__}")


def notes_outside(function: Callable[..., Any], **values: Any) -> tuple[str, ...]:
    """Return one sentence for each value that leaves the range its source declares."""
    cited = citation(function)
    if cited is None:
        return ()
    notes = []
    for name, (lowest, highest) in cited.valid.items():
        if name not in values:
            continue
        array = np.asarray(values[name], dtype=float)
        outside = array[(array < lowest) | (array > highest)]
        if outside.size:
            label = function.__name__.replace("_", " ")
            notes.append(
                f"{label}: {name.replace('_', ' ')} {outside.flat[0]:.4g} lies outside "
                f"{lowest:g} to {highest:g}, the range of its source"
            )
    return tuple(notes)
