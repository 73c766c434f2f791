"""Where each table, key and value of a TOML text stands, however its author spelt and nested it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from seaflow.boat.reader.bounds import MOST_PARTS, MOST_ROWS, pieces

Path: TypeAlias = tuple[str | int, ...]
Span: TypeAlias = tuple[int, int]  # the column, from one, and how many characters from there

Header: TypeAlias = tuple[int, str, Span]  # its line, its first bracket or two, and where it is

DEEPEST = 2 * MOST_PARTS  # nothing below is asked for


@dataclass(frozen=True, slots=True)
class WhereStands:
    """The line of everything in a text, and on it the keys and the values that have one."""

    where: dict[Path, int] = field(default_factory=dict)
    keys: dict[Path, Span] = field(default_factory=dict)
    values: dict[Path, Span] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Twice:
    """What a text tells at `line` and at the line `first` before it: a key, or a table.

    Of a table told by headers of one bracket and of two, the single one stands at `line` and the
    other at `first`.
    """

    path: Path
    line: int
    first: int
    span: Span
    brackets: str = ""  # of a header: "[", or "[[" where the other has two

    @property
    def name(self) -> str:
        """The key, or the table with all tables it stands in."""
        parts = [part for part in self.path if isinstance(part, str)]
        return ".".join(parts) if self.brackets else parts[-1]


@dataclass(slots=True)
class _Open:
    """A list or a table within one line's value that is not closed yet."""

    path: Path
    line: int
    column: int
    row: int | None  # in a list, which is read now

    @property
    def inside(self) -> Path:
        """The path of what stands in it."""
        return self.path if self.row is None else (*self.path, self.row)


class _Walk:
    """One walk over the pieces of a text, which is TOML."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.ends = [len(line.rstrip()) for line in text.split("\n")]
        self.found = WhereStands()
        self.table: Path = ()
        self.header = ""  # its brackets, while it is read
        self.rows: dict[Path, int] = {}  # of tables, counted by their headers
        self.open: list[_Open] = []
        self.names: list[str] = []  # the parts of a key or header so far
        self.first: Span = (0, 0)  # columns of those parts, or of a value so far
        self.value: tuple[Path, int] | None = None  # whose value comes next, or is being read
        self.begun = False
        self.start = 0  # the column of a header
        self.heads: dict[Path, Header] = {}
        self.told: dict[Path, int] = {}  # lines of keys with a value of their own
        self.twice: Twice | None = None

    def run(self) -> WhereStands:
        """Return the places of all."""
        for piece, line, column in _pieces(self.text):
            if self.header:
                self._in_header(piece, line, column)
            elif self.value is not None:
                self._in_value(piece, line, column)
            else:
                self._in_key(piece, line, column)
        self._end_value()
        return self.found

    def _in_header(self, piece: str, line: int, column: int) -> None:
        if piece == "]":
            self._end_header(line, column)
        elif piece == "[":
            self.header = "[["
        elif piece != ".":
            self._extend(piece, column)

    def _in_key(self, piece: str, line: int, column: int) -> None:
        if piece == "=":
            self._end_key(line)
        elif piece == "[":
            self.header, self.start = piece, column
        elif piece == "}":
            self._close(line, column)
        elif piece not in "],.\n":
            self._extend(piece, column)

    def _extend(self, name: str, column: int) -> None:
        self.first = (self.first[0] if self.names else column, column + len(name))
        self.names.append(_unquoted(name))

    def _end_header(self, line: int, column: int) -> None:
        path: Path = ()
        length = column - self.start + len(self.header)
        for depth, name in enumerate(self.names, 1):
            path = (*path, name)
            self._at(path, line)
            self._has_value(path, line, (self.start, length))
            if depth == len(self.names):
                self._head(path, (line, self.header, (self.start, length)))
            if self.header == "[[" and depth == len(self.names):
                self.rows[path] = self.rows.get(path, -1) + 1
            if path in self.rows:
                path = (*path, self.rows[path])
        self._at(path, line)
        self.table, self.names, self.header = path, [], ""

    def _has_value(self, path: Path, line: int, span: Span) -> None:
        """Take down whether a key had a value before this line tells it, or tells one in it."""
        if path in self.told and not self.twice:
            self.twice = Twice(path, line, self.told[path], span)

    def _head(self, path: Path, this: Header) -> None:
        """Take down a header, and whether it or its other brackets were there before."""
        other = self.heads.setdefault(path, this)
        if other is this or self.twice or "[[" == this[1] == other[1]:
            return
        single, first = (other, this) if this[1] == "[[" else (this, other)
        self.twice = Twice(path, single[0], first[0], single[2], first[1])

    def _end_key(self, line: int) -> None:
        base = self.open[-1].inside if self.open else self.table
        whole, span = (*base, *self.names), (self.first[0], self.first[1] - self.first[0])
        for depth in range(len(base) + 1, len(whole) + 1):
            self._has_value(whole[:depth], line, span)
        if whole in self.heads and not self.twice:
            self.twice = Twice(whole, line, self.heads[whole][0], span)
        self.told.setdefault(whole, line)
        for depth in range(1, len(self.names) + 1):
            path = (*base, *self.names[:depth])
            if self._at(path, line):
                self.found.keys[path] = span
        self.value, self.names = (whole, line), []

    def _in_value(self, piece: str, line: int, column: int) -> None:
        assert self.value is not None
        if piece in "[{" and not self.begun:
            path = self.value[0]
            self.open.append(_Open(path, line, column, 0 if piece == "[" else None))
            self._next()
        elif piece in ",\n]}":
            self._end_value()
            if piece == "\n" and self.open:  # within a list
                self._next()
            elif piece == "," and self.open:
                if self.open[-1].row is not None:
                    self.open[-1].row += 1
                self._next()
            elif piece in "]}":
                self._close(line, column)
        else:
            start = self.first[0] if self.begun else column
            end = self.ends[line - 1] + 1 if "\n" in piece else column + len(piece)
            if not self.begun:
                self.value, self.begun = (self.value[0], line), True
            self.first = (start, end)

    def _next(self) -> None:
        """Wait for the next value of a list, or the next key of a table."""
        last = self.open[-1]
        self.value = None if last.row is None else (last.inside, last.line)

    def _end_value(self) -> None:
        if self.value is not None and self.begun:
            self._value_at(self.value[0], self.value[1], self.first)
        self.value, self.begun = None, False

    def _close(self, line: int, column: int) -> None:
        last = self.open.pop()
        end = column + 1 if line == last.line else self.ends[last.line - 1] + 1
        self._value_at(last.path, last.line, (last.column, end))
        if self.open:
            self._next()

    def _value_at(self, path: Path, line: int, ends: Span) -> None:
        self._at(path, line)
        if self.found.where.get(path) == line:
            self.found.values.setdefault(path, (ends[0], max(1, ends[1] - ends[0])))

    def _at(self, path: Path, line: int) -> bool:
        """Take down a line; say whether it is the first for this path."""
        far = len(path) > DEEPEST or (isinstance(path[-1], int) and path[-1] > MOST_ROWS)
        return not far and self.found.where.setdefault(path, line) == line


def _pieces(text: str) -> Iterator[tuple[str, int, int]]:
    """Yield the pieces of a text with line and column; neither blanks nor comments."""
    line, begin, at = 1, 0, 0
    for piece in pieces(text):
        if piece[0] not in " \t\r#":
            yield piece, line, at - begin + 1
        at += len(piece)
        if "\n" in piece:
            line += piece.count("\n")
            begin = at - len(piece) + piece.rfind("\n") + 1
    yield "\n", line, at - begin + 1


def _unquoted(name: str) -> str:
    if name[0] == "'":
        return name[1:-1]
    if name[0] == '"':
        return str(tomllib.loads(f"name = {name}")["name"]) if "\\" in name else name[1:-1]
    return name


def places(text: str) -> WhereStands:
    """Return where everything in a TOML text stands.

    It is one that a parser has read, with lines that end in one character. Rows count from nought.
    """
    return _Walk(text).run()


def told_twice(text: str) -> Twice | None:
    """Return the first key or table that a text tells twice, or None.

    It is the beginning of one, up to where a parser refused to go on.
    """
    walk = _Walk(f"{text}]]" if text.rpartition("\n")[2].lstrip().startswith("[") else text)
    walk.run()
    return walk.twice
