"""The cells of a table in a text, however they are parted, each with the place where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

# A number as printed: thousands parted by a blank, an apostrophe, a comma or a point.
NUMBER = (
    r"[+\-−–]?(?:\d{1,3}(?:[ \u00a0\u2009\u202f'’]\d{3})+(?:[.,]\d+)?|\d{1,3}(?:,\d{3})+(?:\.\d+)?"
    r"|\d{1,3}(?:\.\d{3})+(?:,\d+)?|\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+\-]?\d+)?"
)
_NUMERIC = re.compile(
    rf"(?P<number>{NUMBER})\s*(?P<unit>[A-Za-z°'\"][^\s,;]{{0,11}}(?: [A-Za-z0-9]+)?)?"
)
_HELD_AT = ("v", "vac", "vdc", "v ac", "v dc", "hz", "rpm")
NOTHING = ("", "-", "–", "—", "--", "n/a", "na", "nan", "*")
# Tried in this order. A comma comes last, for it also parts decimals and thousands.
CELLS = {
    "\t": r'"(?:[^"]|"")*"|[^\t]+',
    ";": r'"(?:[^"]|"")*"|[^;]+',
    "|": r"[^|]+",
    "  ": r"\S+(?:[^\S\t]\S+)*",
    " ": r"\S+",
    ",": r'"(?:[^"]|"")*"|[^,]+',
}
_BLANK = ("  ", " ")


@dataclass(frozen=True, slots=True)
class Cell:
    """A text of a table, its line and its first column, both from 1."""

    text: str
    line: int
    column: int

    @property
    def number(self) -> str:
        """The number it holds, as printed, or nothing; "12 V" is what others hold at."""
        found = _NUMERIC.fullmatch(self.text)
        return found["number"] if found and (found["unit"] or "").lower() not in _HELD_AT else ""

    @property
    def unit(self) -> str:
        """The unit behind its number."""
        found = _NUMERIC.fullmatch(self.text)
        return (found["unit"] or "") if found else ""

    @property
    def is_empty(self) -> bool:
        """Whether the sheet gives nothing there; a rule of strokes is nothing."""
        return self.text.lower() in NOTHING or not self.text.strip("-–—=_:+ ")


Row = tuple[Cell, ...]


def rows_of(lines: Sequence[str]) -> tuple[list[Row], bool]:
    """Return the cells of each line that has any, split as gives most rows of numbers.

    Also tell whether blanks part them, so that nobody sees which cell a short row lacks.
    """
    splits = {
        mark: [cells(text, number, mark) for number, text in enumerate(lines, 1)] for mark in CELLS
    }
    best = max(splits, key=lambda mark: sum(map(is_numbers, splits[mark])))
    said = [row for row in splits[best] if any(cell.text.strip("-–—=_:+ ") for cell in row)]
    return said, best in _BLANK


def is_numbers(row: Row) -> bool:
    """Return whether a row gives two numbers or more, and no word but in its first cell."""
    numbers = sum(bool(cell.number) for cell in row)
    return numbers > 1 and all(cell.number or cell.is_empty for cell in row[1:])


def is_gap(row: Row) -> bool:
    """Return whether a row gives one number and nothing else."""
    return sum(bool(cell.number) for cell in row) == 1 == sum(not cell.is_empty for cell in row)


def cells(text: str, line: int, mark: str) -> Row:
    """Return the cells of one line that are parted by a mark, empty ones too."""
    if mark in _BLANK:
        found = [(one.start(), one[0]) for one in re.finditer(CELLS[mark], text)]
        found = _words_together(found, text) if mark == " " else found
    else:
        found = list(_parted(text, mark))
        if mark == "|":  # what stands outside the strokes of a table that is framed
            found = [one for one in found if one[1].strip() or one not in (found[0], found[-1])]
    return tuple(_cell(start, raw, line) for start, raw in found)


def _words_together(found: list[tuple[int, str]], text: str) -> list[tuple[int, str]]:
    """Return the words before a row of numbers as one cell."""
    many = len(found)
    while many and re.fullmatch(NUMBER, found[many - 1][1]):
        many -= 1
    if many < 2 or len(found) - many < 2:
        return found
    start, (last, word) = found[0][0], found[many - 1]
    return [(start, text[start : last + len(word)]), *found[many:]]


def _parted(text: str, mark: str) -> Iterator[tuple[int, str]]:
    place = 0
    while place <= len(text):
        found = re.compile(CELLS[mark]).match(text, place)
        raw = found[0] if found else ""
        yield place, raw
        end = text.find(mark, place + len(raw))
        if end < 0:
            return
        place = end + 1


def _cell(start: int, raw: str, line: int) -> Cell:
    plain = raw.strip()
    column = start + len(raw) - len(raw.lstrip()) + 1
    if len(plain) > 1 and plain[0] == plain[-1] == '"':
        plain, column = plain[1:-1].replace('""', '"').strip(), column + 1
    return Cell(plain, line, column)
