"""The run of every loop from sea to sea, and what the page lacks, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import Heading, Line, bullet, table
from seaflow.present.notes import each_loop
from seaflow.present.page.rows import run_rows
from seaflow.present.quantities import Show
from seaflow.studies.page.study import BoatPage


def page_lines(answer: BoatPage, show: Show) -> Iterator[Line]:
    """Yield what only the page shows, by sections."""
    for run, title in each_loop(answer.runs):
        yield Heading(f"From sea to sea{title}")
        for stretch in run_rows(run):
            if stretch.title:
                yield bullet(stretch.title.in_units(show))
            head = ("", "thing", *(name for name, _ in stretch.rows[0].cells))
            rows = [
                (str(row.number or ""), row.name, *(cell.in_units(show) for _, cell in row.cells))
                for row in stretch.rows
            ]
            yield table(head, rows, right=(0, *range(2, len(head))))
    if answer.lacks:
        yield Heading("Not shown")
    for lack in answer.lacks:
        for problem in lack.problems:
            yield bullet(f"{lack.part}: {problem.what}. {problem.write}")
