"""The register of references: each is typed once, in seaflow/data/sources, and named by its key."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
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

    @property
    def short(self) -> str:
        """Family name of the first author, and the year."""
        first, *others = re.split(r", | and ", self.authors)
        many = " and others" if others else ""
        return f"{first.split()[-1]}{many}" + (f" {self.year}" if self.year else "")


@dataclass(frozen=True, slots=True)
class Citation:
    """What a function takes from a source, and the range in which the source vouches for it."""

    function: str
    source: str
    where: str
    valid: Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Outside:
    """A value that leaves the range for which the source of a function vouches.

    `limit` is the end of the range it passes; `source` a name and year, empty for our own formula.
    """

    function: str
    quantity: str
    value: float
    limit: float
    source: str


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


def outside(function: Callable[..., Any], **values: Any) -> tuple[Outside, ...]:
    """Return each value that leaves the range its source declares.

    Of an array the value named is the lowest that is too low, else the highest that is too high.
    """
    cited = citation(function)
    if cited is None:
        return ()
    short = "" if cited.source == "own" else source(cited.source).short
    found = []
    for name, (lowest, highest) in cited.valid.items():
        array = np.asarray(values.get(name, ()), dtype=float)
        low, high = array[array < lowest], array[array > highest]
        if low.size:
            found.append(Outside(function.__name__, name, float(low.min()), lowest, short))
        elif high.size:
            found.append(Outside(function.__name__, name, float(high.max()), highest, short))
    return tuple(found)
