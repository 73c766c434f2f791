"""Tables as CSV, with every text that a spreadsheet would run made harmless."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from seaflow.base.facts import Fact
from seaflow.present.quantities import Show

RUN = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet takes for the start of a formula


def csv_text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table as CSV; a fact becomes its sentence, and None an empty cell."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([_cell(item) for item in head])
    writer.writerows([_cell(item) for item in row] for row in rows)
    return text.getvalue()


def _cell(value: object) -> object:
    """Return a value as a cell: a text that a spreadsheet would run begins with a quote mark."""
    text = Show().sentence(value) if isinstance(value, Fact) else value
    if isinstance(text, str) and text.startswith(RUN):
        return f"'{text}"
    return "" if text is None else text
