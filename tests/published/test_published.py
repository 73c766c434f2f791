"""Every value of tests/published/*.toml comes from outside and is asked of seaflow here."""

from pathlib import Path

import numpy as np
import pytest
from value_rows import check, compare, faults, rows

ROWS = rows(Path(__file__).parent)


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=f"{name}:{row.get('id')}") for name, row in ROWS]
)
def test_published_value(row):
    check(row)


def test_no_row_is_malformed():
    wrong = [f"{name} {row.get('id')}: {fault}" for name, row in ROWS for fault in faults(row)]
    assert not wrong, "\n".join(wrong)


def test_none_is_our_own():
    assert not [row["id"] for _, row in ROWS if "own arithmetic" in row["source"]]


def test_no_identifier_is_used_twice():
    names = [row.get("id") for _, row in ROWS]
    assert sorted(names) == sorted(set(names)), {name for name in names if names.count(name) > 1}


def test_the_driver_refuses_a_wrong_value():
    row = {"what": "deliberately wrong", "tolerance": {"absolute": 0.5}}
    compare(row, np.asarray(1.4), 1.0)
    with pytest.raises(AssertionError, match="deliberately wrong"):
        compare(row, np.asarray(1.6), 1.0)
    with pytest.raises(AssertionError):
        compare(row, np.asarray(np.nan), 1.0)


def test_the_driver_sees_a_malformed_row():
    assert faults({"id": "X", "tolerance": {}, "surprise": 1})
