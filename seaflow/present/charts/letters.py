"""A chart drawn with letters: values upwards and to the right, with its axes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from seaflow.present.charts.axes import Axis
from seaflow.present.layout import width

COLUMNS, LEAST, ROWS, MARGIN = 64, 8, 17, 8

Pair = tuple[float, float]


def _empty() -> list[list[str]]:
    """Return the cells of a chart as wide as the page allows beside the labels."""
    columns = max(LEAST, min(COLUMNS, width() - MARGIN - 4))
    return [[" "] * columns for _ in range(ROWS)]


@dataclass(slots=True)
class Letters:
    """A field of letters between two axes, filled line by line; later marks cover earlier ones."""

    across: Axis
    up: Axis
    cells: list[list[str]] = field(default_factory=_empty)

    def line(self, points: Sequence[Pair], letter: str) -> None:
        """Put one letter into every column that a line crosses, from left to right."""
        for column in range(self._columns):
            x = self.across.end * column / (self._columns - 1)
            after = next((i for i, point in enumerate(points) if point[0] >= x - 1e-9), None)
            if after is None:
                return
            right, left = points[after], points[max(after - 1, 0)]
            width = right[0] - left[0]
            part = (x - left[0]) / width if width > 0 else 0.0
            y = left[1] + part * (right[1] - left[1])
            if points[0][0] <= x + 1e-9 and y <= self.up.end:
                self.cells[self._row(y)][column] = letter

    def upright(self, x: float, letter: str) -> None:
        """Put a letter into every empty cell of a column."""
        for row in self.cells:
            row[self._column(x)] = letter if row[self._column(x)] == " " else row[self._column(x)]

    def mark(self, at: Pair, letter: str) -> None:
        """Put a letter at a point."""
        if at[0] <= self.across.end:
            self.cells[self._row(at[1])][self._column(at[0])] = letter

    def lines(self, head: str, foot: str) -> Iterator[str]:
        """Yield the chart under what its upright axis shows and over what the other does."""
        yield f"{head:>{MARGIN}}"
        marks = {self._row(mark): self.up.written(mark) for mark in self.up.marks}
        for number, cells in enumerate(self.cells):
            label = marks.get(number, "")
            yield f"{label:>{MARGIN}} {'+' if label else '|'}{''.join(cells)}".rstrip()
        yield from self._foot(foot)

    @property
    def _columns(self) -> int:
        return len(self.cells[0])

    def _row(self, value: float) -> int:
        return round((ROWS - 1) * (1.0 - min(max(self.up.share(value), 0.0), 1.0)))

    def _column(self, value: float) -> int:
        return min(round((self._columns - 1) * self.across.share(value)), self._columns - 1)

    def _foot(self, label: str) -> Iterator[str]:
        rule, numbers, free = ["-"] * self._columns, [" "] * (self._columns + 3), 0
        for mark in self.across.marks:
            column = self._column(mark)
            rule[column] = "+"
            text = self.across.written(mark)
            start = min(max(column - len(text) // 2, 0), len(numbers) - len(text))
            if start >= free:  # a number that would run into the last one is left out
                numbers[start : start + len(text)] = text
                free = start + len(text) + 1
        space = " " * (MARGIN + 1)
        yield f"{space}+{''.join(rule)}"
        yield f"{space} {''.join(numbers).rstrip()}"
        yield f"{label:>{len(space) + 1 + self._columns}}"
