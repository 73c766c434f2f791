"""Every value of tests/published/*.toml comes from outside and is asked of seaflow here."""

import sys
from pathlib import Path

import numpy as np
import pytest
from value_rows import check, compare, faults, is_weak, ours, rows

ROWS = rows(Path(__file__).parent)
PLUMBING = Path(__file__).parents[1] / "cross" / "plumbing"
# By the module whose functions run. The table of refrigerants was made with CoolProp.
LIBRARIES = ("gsw", "fluids", "ht")
TABLES = {"seaflow.physics.heat.refrigerant": "CoolProp"}
# Not a library beside itself: we ask it for another formula than the one that gave the value
# (contractions of other authors, an expansion, other films), or only a remark names it.
ANOTHER_FORMULA = {"FT-9b", "FT-9c", "FT-9d", "FT-10a", "FT-10b"}
ANOTHER_FORMULA |= {"SW-9a", "SW-9b", "IC-2c", "IC-3b", "IC-3c", "IC-4d", "IC-4e"}


def libraries_asked(row):
    """The libraries that our own answer to a row runs through."""
    asked = set()

    def look(frame, event, _):
        name = frame.f_globals.get("__name__", "")
        if event == "call" and name in TABLES:
            asked.add(TABLES[name])
        elif event == "call" and name.partition(".")[0] in LIBRARIES:
            asked.add(name.partition(".")[0])

    before = sys.getprofile()
    sys.setprofile(look)
    try:
        ours(row, next(iter(row["expected"])) if isinstance(row["expected"], dict) else None)
    finally:
        sys.setprofile(before)
    return asked


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=f"{name}:{row.get('id')}") for name, row in ROWS]
)
def test_published_value(row):
    check(row)


def test_no_row_is_malformed():
    wrong = [f"{name} {row.get('id')}: {fault}" for name, row in ROWS for fault in faults(row)]
    assert not wrong, "\n".join(wrong)


def test_none_is_worked_out_here():
    assert not [row["id"] for _, row in ROWS if "arithmetic" in row["source"]]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for _, row in ROWS])
def test_none_comes_back_from_the_library_that_gave_it(row):
    """A library beside itself is plumbing: such rows stand in tests/cross/plumbing."""
    ours, given = libraries_asked(row), row["source"] + row["why"]
    if row["id"] not in ANOTHER_FORMULA:
        assert not {name for name in ours if name in given}


def test_the_search_sees_a_library():
    plumbing = {row["id"]: libraries_asked(row) for _, row in rows(PLUMBING)}
    assert plumbing["SW-20"] == {"gsw"}
    assert plumbing["SP-1"] == {"CoolProp"}
    assert all(plumbing.values()), plumbing


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


def test_a_weak_row_is_told_from_a_strong_one():
    assert is_weak({"expected": [0.5, 0.1], "tolerance": {"absolute": 0.1}})
    assert not is_weak({"expected": [-16.1, 0.0], "tolerance": {"absolute": 0.05}})
    assert is_weak({"expected": {"a": 1.0, "b": 9.0}, "tolerance": {"absolute": 0.3}})
    assert is_weak({"expected": 0.02, "tolerance": {"relative": 0.3}})
    assert not is_weak({"expected": 0.0, "tolerance": {"absolute": 1e-12}})


def test_the_driver_sees_a_malformed_row():
    assert faults({"id": "X", "tolerance": {}, "surprise": 1})
