"""Each formula answers up to the end of what it takes, and refuses what lies just beyond."""

import tomllib
from pathlib import Path

import pytest
from value_rows import run

from seaflow.base.ranges import RangeError

ROWS = tomllib.loads(Path(__file__).with_name("refusals.toml").read_text(encoding="utf-8"))["edge"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['call'].split(':')[1]}-{row['name']}")
def test_a_formula_ends_where_its_range_does(row):
    for value in row["takes"]:
        run(row["call"], {**row["with"], row["name"]: value})
    for value in row["refuses"]:
        with pytest.raises(RangeError, match=row.get("says", row["name"].replace("_", " "))):
            run(row["call"], {**row["with"], row["name"]: value})


@pytest.mark.parametrize("name", ["capacity", "power"])
@pytest.mark.parametrize("load", [-0.01, 1.01])
def test_a_compressor_gives_no_more_than_all(name, load):
    inputs = {"rated_capacity": 4700.0, "rated_power": 1300.0, "rated_condensing_temperature": 40.0}
    machine = {"call": "seaflow.physics.heat.compressor:Machine", "inputs": inputs}
    asked = {"machine": machine, "condensing_temperature": 40.0}
    whole = run(f"seaflow.physics.heat.compressor:{name}", {**asked, "load": 1.0})
    assert whole == pytest.approx(inputs[f"rated_{name}"])
    with pytest.raises(RangeError, match="load"):
        run(f"seaflow.physics.heat.compressor:{name}", {**asked, "load": load})
