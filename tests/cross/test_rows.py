"""Rows that prove less than print does: worked by hand, or given by the library that we ask."""

from pathlib import Path

import pytest
from value_rows import check, rows

FOLDER = Path(__file__).parent
ROWS = {name: rows(FOLDER / name) for name in ("by_hand", "plumbing")}


@pytest.mark.parametrize(
    ("part", "row"),
    [
        pytest.param(part, row, id=f"{part}/{name}:{row.get('id')}")
        for part, found in ROWS.items()
        for name, row in found
    ],
)
def test_value(part, row):
    assert ("arithmetic" in row["source"]) is (part == "by_hand")
    check(row)
