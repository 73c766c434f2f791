"""`size` over many cases: summary, files, exit codes, and one bad case that stops nothing."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

CASES = Path(__file__).parents[2] / "cases"
KETCH, BAD = str(CASES / "ketch-one-unit.toml"), str(CASES / "badly-arranged.toml")
CATAMARAN = str(CASES / "catamaran-two-loops.toml")
FEW = ("--samples", "64")


def run(*words: str):
    return CliRunner().invoke(main, ["size", *words, *FEW])


def test_one_bad_case_never_stops_the_rest(tmp_path):
    broken = tmp_path / "broken.toml"
    broken.write_text("schema = 1\n[boat\n", encoding="utf-8")
    result = run(KETCH, str(broken), CATAMARAN)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert "F05" in result.stdout
    assert "cooling intake" in result.stdout
    assert "starboard hull" in result.stdout


def test_exit_code_is_the_worst():
    assert run(KETCH, CATAMARAN).exit_code == 3
    assert run(KETCH, BAD).exit_code == 1


def test_csv_has_units_in_its_headings_and_one_row_a_loop(tmp_path):
    file = tmp_path / "fleet.csv"
    run(KETCH, CATAMARAN, "--summary", str(file))
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert [row["loop"] for row in rows] == ["cooling intake", "port hull", "starboard hull"]
    assert 1e-4 < float(rows[0]["flow [m3/s]"]) < 1e-3


def test_json_lines_hold_value_and_unit(tmp_path):
    file = tmp_path / "fleet.jsonl"
    run(KETCH, "nope.toml", "--summary", str(file))
    first, second = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]
    assert first["flow"]["unit"] == "m3/s"
    assert first["grade"] == "yes"
    assert second["problem"]["code"] == "F01"
    assert second["grade"] == ""  # not "no", which would say that no pump meets its need


def test_json_is_one_list():
    data = json.loads(run(KETCH, BAD, "--json").stdout)
    assert [row["grade"] for row in data] == ["yes", "no"]


def test_summary_never_writes_over_a_file(tmp_path):
    file = tmp_path / "kept.csv"
    file.write_text("mine", encoding="utf-8")
    result = run(KETCH, BAD, "--summary", str(file))
    assert result.exit_code == 2
    assert file.read_text(encoding="utf-8") == "mine"


def test_summary_needs_a_known_ending_and_a_folder(tmp_path):
    assert run(KETCH, "--summary", str(tmp_path / "fleet.xls")).exit_code == 2
    assert run(KETCH, "--summary", str(tmp_path / "none" / "fleet.csv")).exit_code == 2


def test_summary_of_one_case(tmp_path):
    file = tmp_path / "one.csv"
    assert run(KETCH, "--summary", str(file)).exit_code == 0
    assert len(file.read_text(encoding="utf-8").splitlines()) == 2


def test_rows_do_not_hang_on_the_order_of_cases():
    first = json.loads(run(KETCH, CATAMARAN, "--json").stdout)
    second = json.loads(run(CATAMARAN, KETCH, "--json").stdout)
    assert sorted(map(str, first)) == sorted(map(str, second))


@pytest.mark.parametrize("asked", [("--full",), ("--section", "pumps")])
def test_a_page_that_a_summary_has_not_is_refused_and_not_passed_over(tmp_path, asked):
    assert run(KETCH, CATAMARAN, *asked).exit_code == 2
    file = tmp_path / "fleet.csv"
    assert run(KETCH, "--summary", str(file), *asked).exit_code == 2
    assert not file.exists()
