"""Values of tests/cross/by_hand/*.toml: plain arithmetic, by the formula that each row names."""

from pathlib import Path

import pytest
from value_rows import check, rows

ROWS = rows(Path(__file__).parent / "by_hand")


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=f"{name}:{row.get('id')}") for name, row in ROWS]
)
def test_value_worked_by_hand(row):
    assert "own arithmetic" in row["source"]
    check(row)
