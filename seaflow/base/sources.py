"""The register of references: each is typed once, in seaflow/data/sources, and named by its key."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np

from seaflow.base.tables import read_folder

_F = TypeVar("_F", bound=Callable[..., Any])

_PEOPLE = {"reynolds": "Reynolds", "darcy": "Darcy", "nusselt": "Nusselt", "prandtl": "Prandtl"}

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
    """Return one sentence for each value that leaves the range its source declares.

    Of an array the value named is the lowest that is too low, else the highest that is too high.
    """
    cited = citation(function)
    if cited is None:
        return ()
    label, notes = _words(function.__name__), []
    for name, (lowest, highest) in cited.valid.items():
        array = np.asarray(values.get(name, ()), dtype=float)
        low, high = array[array < lowest], array[array > highest]
        if low.size:
            far, end = f"{_plain(low.min())} is below", f"{_plain(lowest)} from which"
        elif high.size:
            far, end = f"{_plain(high.max())} is above", f"{_plain(highest)} up to which"
        else:
            continue
        notes.append(f"{label}: {_words(name)} {far} the {end} {_named(cited)} vouches for it")
    return tuple(notes)


def _named(cited: Citation) -> str:
    """Return the source in a word or two."""
    found = source(cited.source)
    return "the formula" if cited.source == "own" else f"its source ({found.short})"


def _words(name: str) -> str:
    """Return a name of the code in words, those of people with a capital."""
    return " ".join(_PEOPLE.get(word, word) for word in name.split("_"))


def _plain(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000.0 else f"{value:.3g}"
