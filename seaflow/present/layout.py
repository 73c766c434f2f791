"""Plain text on a page: headings, tables and wrapped sentences."""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

IN_A_NUMBER = r"(?<=\d) (?=\d{3}(?!\d))"  # before its thousands
_THOUSANDS, _NO_BREAK = re.compile(IN_A_NUMBER), "\u00a0"
WIDTH, NARROW, LEAST_WIDTH = 100, 50, 20  # columns; on a narrow page labels stand above
GAP = 2  # columns before a table and between its columns


def width() -> int:
    """Return how wide sentences may be: narrower than usual only on a narrow terminal."""
    if not sys.stdout.isatty():
        return WIDTH
    return max(LEAST_WIDTH, min(WIDTH, shutil.get_terminal_size().columns))


def _room() -> float:
    """Return how wide a table may be: as the terminal, and in a file or pipe as it likes."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else float("inf")


def shows_bold() -> bool:
    """Return whether what is printed is read on a terminal that may show bold letters."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout.isatty() and not plain


def bold(text: str) -> str:
    """Return a word or a line in bold, for a terminal."""
    return f"\x1b[1m{text}\x1b[0m"


class Tabled(str):
    """A table as text, with what stands in it; columns in `right` are numbers."""

    __slots__ = ("head", "right", "rows")
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...]

    def __new__(
        cls, text: str, head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int]
    ) -> Tabled:
        """Return the text with its cells."""
        made = super().__new__(cls, text)
        made.head, made.rows, made.right = tuple(head), tuple(map(tuple, rows)), tuple(right)
        return made


class Worded(str):
    """A sentence as wrapped text, with the sentence and the mark or label it stands behind."""

    __slots__ = ("is_label", "lead", "said")
    lead: str
    said: str
    is_label: bool

    def __new__(cls, text: str, lead: str, said: str, is_label: bool = False) -> Worded:
        """Return the text with its sentence."""
        made = super().__new__(cls, text)
        made.lead, made.said, made.is_label = lead, said, is_label
        return made


@dataclass(frozen=True, slots=True)
class Heading:
    """Where a section of an answer begins, with a rule below it."""

    title: str

    def __str__(self) -> str:
        return self.shown(bolder=False)

    def shown(self, bolder: bool) -> str:
        """Return it as text; `bolder` for a terminal that shows it in bold."""
        lines = wrapped(self.title, width())
        titles = [bold(line) for line in lines] if bolder else lines
        return "\n".join(["", *titles, "-" * max(map(len, lines), default=0)])


Line = str | Heading  # of a text; one line may hold several


def page(lines: Iterable[Line], bolder: bool = False) -> str:
    """Return lines as one text; `bolder` for a terminal that shows headings in bold."""
    shown = (line.shown(bolder) if isinstance(line, Heading) else folded(line) for line in lines)
    return "\n".join(shown)


def folded(line: str) -> str:
    """Return a line folded under itself where a terminal is too narrow for it."""
    room = width()
    if room == WIDTH or len(line) <= room or "\n" in line:
        return line
    said = line.lstrip()
    indent = " " * (len(line) - len(said))
    return "\n".join(wrapped(said, room, indent, indent))


def wrapped(text: str, columns: int, first: str = "", rest: str = "") -> list[str]:
    """Return a sentence on lines so wide, begun with what stands first; 2 550 stays on one."""
    lines = textwrap.wrap(
        _THOUSANDS.sub(_NO_BREAK, text),
        columns,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return [line.replace(_NO_BREAK, " ") for line in lines]


def sections(lines: Iterable[Line]) -> Iterator[tuple[str, list[Line]]]:
    """Yield the title of each section with its lines; what stands before the first has none."""
    title, found = "", list[Line]()
    for line in lines:
        if isinstance(line, Heading):
            if found:
                yield title, found
            title, found = line.title, []
        found.append(line)
    if found:
        yield title, found


def table(
    head: Sequence[str],
    rows: Iterable[Sequence[str]],
    right: Sequence[int] = (),
    most: float = float("inf"),
) -> Tabled:
    """Return a table with columns as wide as they need; columns in `right` align right.

    On a terminal too narrow for it the widest columns are folded, those of words before those in
    `right`, which are numbers; `most` is how wide it may be anywhere.
    """
    lines = [list(head), *[list(row) for row in rows]]
    return Tabled(_table_text(lines, right, most), head, lines[1:], right)


def _table_text(lines: list[list[str]], right: Sequence[int], most: float) -> str:
    head = lines[0]
    widths = _widths(lines, min(_room(), most) - GAP * len(head), right)
    if width() < NARROW or not widths:
        return "\n".join(_stacked(lines))
    return "\n".join(row for line in lines for row in _folded(line, widths, right))


def _widths(lines: Sequence[Sequence[str]], room: float, right: Sequence[int]) -> list[int]:
    """Return the width of each column; none where no word would have room."""
    columns = list(zip(*lines, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [
        max((len(word) for cell in column for word in cell.split()), default=0)
        for column in columns
    ]
    while sum(widths) > room:
        spare = [i for i, width in enumerate(widths) if width > least[i]]
        if not spare:
            return []
        widths[max(spare, key=lambda i: (i not in right, widths[i]))] -= 1
    return widths


def _folded(line: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> Iterator[str]:
    """Yield one row of a table, each cell on as many lines as its column asks for."""
    cells = [
        [cell] if len(cell) <= width else wrapped(cell, width)
        for cell, width in zip(line, widths, strict=True)
    ]
    for parts in zip_longest(*cells, fillvalue=""):
        placed = (
            part.rjust(width) if i in right else part.ljust(width)
            for i, (part, width) in enumerate(zip(parts, widths, strict=True))
        )
        yield f"{' ' * GAP}{(' ' * GAP).join(placed).rstrip()}"


def _stacked(lines: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield a table for a page too narrow for its columns: each row a list of its cells."""
    head, *rows = lines
    for row in rows:
        named = zip(head, row, strict=True)
        cells = [f"{name}: {cell}" if name else cell for name, cell in named if cell.strip()]
        for number, cell in enumerate(cells):
            yield bullet(cell, mark=" " if number else "-")


def paragraph(text: str) -> str:
    """Return sentences, wrapped."""
    return "\n".join(wrapped(text, width()))


def labelled(label: str, text: str, indent: int = 13) -> Worded:
    """Return a sentence behind a label, wrapped under itself."""
    if width() < NARROW:
        said = f"{label.strip()}: {text}" if label.strip() else text
        return Worded(bullet(said, mark=" "), label, text, is_label=True)
    wrapped = _hung(text, f"  {label:<{indent - 2}}", " " * indent)
    return Worded(wrapped, label, text, is_label=True)


def bullet(text: str, mark: str = "-", indent: int = 2) -> Worded:
    """Return a sentence as one point of a list, wrapped."""
    start = " " * indent + mark + " "
    return Worded(_hung(text, start, " " * len(start)), mark, text)


def _hung(text: str, first: str, rest: str) -> str:
    """Return a sentence that hangs under its first line."""
    return "\n".join(wrapped(text, width(), first, rest))
