"""Tables as CSV, with every text that a spreadsheet would run made harmless."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence

from seaflow.base.facts import Fact
from seaflow.present.quantities import Show

# What a spreadsheet takes for the start of a formula, whatever stands before it unseen.
_RUN = re.compile(r"[\t\r]|[\s'\u200b-\u200d\u2060\ufeff]*[=+\-\u2212@]")


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
    if isinstance(text, str) and _is_run(text):
        return f"'{text}"
    return "" if text is None else text


def plain_text(cell: str) -> str:
    """Return what was made a cell, without the quote mark that it may have been given."""
    return cell[1:] if cell.startswith("'") and _is_run(cell[1:]) else cell


def _is_run(text: str) -> bool:
    """Return whether some spreadsheet takes a text for a formula.

    Signs of full width, small and raised ones are the plain ones to some of them.
    """
    return _RUN.match(unicodedata.normalize("NFKC", text)) is not None
