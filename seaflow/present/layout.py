"""Plain text on a page: headings, tables and wrapped sentences."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

WIDTH, NARROW, LEAST_WIDTH = 100, 50, 20  # columns; on a narrow page labels stand above


def width() -> int:
    """Return how wide sentences may be: narrower than usual only on a narrow terminal."""
    if not sys.stdout.isatty():
        return WIDTH
    return max(LEAST_WIDTH, min(WIDTH, shutil.get_terminal_size().columns))


@dataclass(frozen=True, slots=True)
class Heading:
    """Where a section of an answer begins, with a rule below it."""

    title: str

    def __str__(self) -> str:
        lines = textwrap.wrap(self.title, width(), break_on_hyphens=False)
        return "\n".join(["", *lines, "-" * max(map(len, lines), default=0)])


Line = str | Heading  # of a text; one line may hold several


def page(lines: Iterable[Line]) -> str:
    """Return lines as one text."""
    return "\n".join(map(str, lines))


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


def table(head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()) -> str:
    """Return a table with columns as wide as they need; columns in `right` align right."""
    lines = [list(head), *[list(row) for row in rows]]
    if width() < NARROW:
        return "\n".join(_stacked(lines))
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]
    shown = [
        "  ".join(
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    ]
    return "\n".join(f"  {line}" for line in shown)


def _stacked(lines: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield a table for a page too narrow for its columns: each row a list of its cells."""
    head, *rows = lines
    for row in rows:
        named = zip(head, row, strict=True)
        cells = [f"{name}: {cell}" if name else cell for name, cell in named if cell.strip()]
        for number, cell in enumerate(cells):
            yield bullet(cell, mark=" " if number else "-")


def labelled(label: str, text: str, indent: int = 13) -> str:
    """Return a sentence behind a label, wrapped under itself."""
    if width() < NARROW:
        return bullet(f"{label.strip()}: {text}" if label.strip() else text, mark=" ")
    return textwrap.fill(
        text,
        width(),
        initial_indent=f"  {label:<{indent - 2}}",
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    )


def bullet(text: str, mark: str = "-", indent: int = 2) -> str:
    """Return a sentence as one point of a list, wrapped."""
    start = " " * indent + mark + " "
    return textwrap.fill(
        text,
        width(),
        initial_indent=start,
        subsequent_indent=" " * len(start),
        break_on_hyphens=False,
    )
