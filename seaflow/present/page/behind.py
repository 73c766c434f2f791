"""What stands behind a card, from its lines to pieces of the page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import zip_longest

from seaflow.present.layout import Heading, Line, Tabled, Worded, sections
from seaflow.present.page.both import AMERICAN, METRIC, Two
from seaflow.present.quantities import Show

# What is said to whoever types commands, not to the reader of a page.
OF_COMMANDS = re.compile(r"\bseaflow \w|(?<!\w)--[a-z]")

BAR_OF_LETTERS = re.compile("#*")  # a bar for a terminal; a column of them has none for a page


@dataclass(frozen=True, slots=True)
class Piece:
    """A table, a list, words with labels, or plain words; `rows` are cells of all of them."""

    kind: str
    rows: list[list[Two]] = field(default_factory=list)
    head: tuple[Two, ...] = ()
    right: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Behind:
    """A section behind a card: its title and its pieces."""

    title: Two
    pieces: tuple[Piece, ...]


def behind(lines: Callable[[Show], Iterable[Line]]) -> list[Behind]:
    """Return the sections behind a card in both systems of units."""
    pairs = zip(sections(lines(METRIC)), sections(lines(AMERICAN)), strict=True)
    return [
        Behind(Two(title, other), tuple(_pieces(_texts(one), _texts(two))))
        for (title, one), (other, two) in pairs
    ]


def found(parts: Iterable[Behind], *words: str) -> list[Behind]:
    """Return the sections whose title begins with any of these words, in their order."""
    return [part for part in parts if part.title.metric.startswith(words)]


def _texts(lines: list[Line]) -> list[str]:
    return [line for line in lines if not isinstance(line, Heading)]


def _pieces(metric: list[str], american: list[str]) -> Iterator[Piece]:
    last: Piece | None = None
    for one, other in zip_longest(metric, american, fillvalue=""):
        if (not one.strip() and not other.strip()) or OF_COMMANDS.search(one):
            continue
        made = _piece(one, other)
        if last is not None and made.kind == last.kind != "table":
            last.rows.extend(made.rows)
            continue
        if last is not None:
            yield last
        last = made
    if last is not None:
        yield last


def _piece(one: str, other: str) -> Piece:
    if isinstance(one, Tabled) and isinstance(other, Tabled):
        rows = [
            [Two(*cells) for cells in zip(row, also, strict=True)]
            for row, also in zip(one.rows, other.rows, strict=True)
        ]
        head = tuple(Two(*cells) for cells in zip(one.head, other.head, strict=True))
        if not head[-1] and all(BAR_OF_LETTERS.fullmatch(row[-1].metric) for row in rows):
            head, rows = head[:-1], [row[:-1] for row in rows]
        return Piece("table", rows, head, one.right)
    if isinstance(one, Worded) and isinstance(other, Worded):
        words = Two(one.said, other.said)
        if not one.lead.strip() and one.is_label:
            return Piece("note", [[words]])
        if one.is_label:
            return Piece("terms", [[Two(one.lead.strip(), other.lead.strip()), words]])
        return Piece("steps" if one.lead[:-1].isdigit() else "list", [[words]])
    return Piece("plain", [[Two(one.strip(), other.strip())]])
