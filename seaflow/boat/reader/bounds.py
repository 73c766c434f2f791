"""What no file about a boat can be: so deep, so long or so many that reading it would never end.

Texts that would act on a terminal, a page or a table are refused here too, wherever they stand.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Any

from seaflow.base.near import named

_Path = tuple[str | int, ...]

MOST_PARTS = 8  # of a dotted key
MOST_ROWS = 500  # of one table
MOST_TABLES, MOST_OPENED = 4000, 20_000  # in one file, those inside others counted
LONGEST_TEXT = 500  # characters
MOST_PROBLEMS = 100  # of one file; with more, it is another file, or one slip made all over

# Every character falls into one of these, so a text is passed once; what is left open ends there.
_PIECES = re.compile(
    r'''"""(?:[^"\\]|\\.|""?(?!"))*+(?:"{3,5})?'''
    r"""|'''(?:[^']|''?(?!'))*+(?:'{3,5})?"""
    r"""|"(?:[^"\\\n]|\\.)*+"?|'[^'\n]*+'?|\#[^\n]*+|[^\s.=\[\]{},"'\#]++|[^\S\n]++|[.=\[\]{},\n]""",
    re.DOTALL,
)
_OPENS_A_TABLE = frozenset(".[{")
_ENDS_A_KEY = frozenset("=[]{},\n")
_ACTING = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")  # kinds of characters, as Unicode names them
_JOINERS = "\u200c\u200d"  # some scripts need them, and they act on the letters beside them alone


def acts(character: str) -> bool:
    """Return whether a character does something instead of being shown."""
    return unicodedata.category(character) in _ACTING and character not in _JOINERS


def acting(text: str) -> bool:
    """Return whether any character of a text does."""
    return not text.isprintable() and any(map(acts, text))


def named_acting(text: str) -> tuple[str, ...]:
    """Return every kind of character in a text that would act, by number and name in Unicode."""
    return tuple(named(one) for one in dict.fromkeys(text) if acts(one))


def shown(text: str) -> str:
    """Return a text with a mark in place of every character that would act."""
    if not acting(text):
        return text
    return "".join("\N{REPLACEMENT CHARACTER}" if acts(one) else one for one in text)


def pieces(text: str) -> Iterator[str]:
    """Yield a TOML text in pieces: texts, comments, words, blanks and single signs."""
    return (found[0] for found in _PIECES.finditer(text))


def too_deep(text: str) -> tuple[int, str] | None:
    """Return the line on which a text is deeper or fuller than any case, and how, or None.

    A parser would build a table for each part of a key, so this is asked before.
    """
    dots, tables, line = 0, 0, 1
    for piece in pieces(text):
        if piece == ".":
            dots += 1
        elif piece in _ENDS_A_KEY:
            dots = 0
        if dots >= MOST_PARTS:
            return line, f"a key has more than {MOST_PARTS} parts"
        tables += piece in _OPENS_A_TABLE
        if tables > MOST_OPENED:
            return line, f"more than {MOST_OPENED} tables and lists begin here and above"
        line += piece.count("\n")
    return None


def excess(raw: dict[str, Any]) -> tuple[_Path, str] | None:
    """Return where a file holds more than any boat, and how much, or None."""
    tables = 0
    waiting: list[tuple[_Path, Any]] = [((), raw)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, dict):
            tables += 1
            waiting.extend(((*path, key), item) for key, item in value.items())
        elif isinstance(value, list):
            if len(value) > MOST_ROWS:
                return path, f"{len(value)} rows stand here"
            waiting.extend(((*path, row), item) for row, item in enumerate(value))
        elif isinstance(value, str) and len(value) > LONGEST_TEXT:
            return path, f"a text of {len(value)} characters stands here"
    return ((), f"the file has {tables} tables") if tables > MOST_TABLES else None


def acting_texts(value: Any, path: _Path = ()) -> Iterator[tuple[_Path, str]]:
    """Yield every key and text that would act, with its path."""
    if isinstance(value, dict):
        for key, item in value.items():
            if acting(key):
                yield (*path, key), key
            yield from acting_texts(item, (*path, key))
    elif isinstance(value, list):
        for row, item in enumerate(value):
            yield from acting_texts(item, (*path, row))
    elif isinstance(value, str) and acting(value):
        yield path, value
