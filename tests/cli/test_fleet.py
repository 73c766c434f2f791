"""`size` over many cases: summary, files, exit codes, and one bad case that stops nothing."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main
from seaflow.studies.size import fleet

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


@pytest.mark.parametrize("shown", [(), ("--json",)])
def test_the_answer_is_the_same_however_many_processes_share_the_work(tmp_path, shown):
    files = [KETCH, str(tmp_path / "nope.toml"), BAD]
    said = []
    for jobs in ("1", "2", "3"):
        file = tmp_path / f"fleet-{jobs}.csv"
        done = run(*files, "--jobs", jobs, "--summary", str(file), *shown)
        said.append((done.exit_code, done.stdout, done.stderr, file.read_bytes()))
    assert said[0][0] == 2
    assert said[0] == said[1] == said[2]


def test_few_boats_stay_in_one_process_and_many_take_the_cores(monkeypatch):
    asked = []

    def shared(files, load, sampling, jobs):
        asked.append(jobs)
        return (None for _ in files)

    monkeypatch.setattr(fleet, "_shared", shared)
    monkeypatch.setattr(fleet, "_cores", lambda: 4)
    monkeypatch.setattr(fleet, "size_one", lambda *_: None)
    for count in (1, 3, 6, 100):
        assert len(list(fleet.size_fleet(("x",) * count, int, (0, 20)))) == count
    assert asked == [2, 4]


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_fault_of_the_program_in_one_boat_keeps_the_others(jobs):
    # the name of a boat as a number is no boat, which the program does not expect
    found = list(fleet.size_fleet(["1", "2", "no number"], int, (0, 20), jobs))
    assert [one.file for one in found] == ["1", "2", "no number"]
    assert all(one.fault and one.rows[0].problem for one in found)
    assert found[0].fault.place.startswith("AttributeError")
    assert found[2].fault.place.startswith("ValueError")
    assert "Traceback" in found[2].fault.trace


def test_a_process_that_is_killed_loses_no_row():
    found = list(fleet.size_fleet([1, 1], os._exit, (0, 20), 2))
    assert [one.rows[0].problem.kind for one in found] == ["size.fault_of_the_program"] * 2


def test_a_fault_is_reported_once_the_rows_are_said(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    sized = fleet.size

    def faulty(case, *sampling):
        if case.boat.name.startswith("Demo cat"):
            raise ZeroDivisionError
        return sized(case, *sampling)

    monkeypatch.setattr(fleet, "size", faulty)
    done = run(CATAMARAN, KETCH, "--jobs", "1")
    assert done.exit_code == 70
    assert "cooling intake" in done.stdout
    assert "ZeroDivisionError" in done.stdout
    (report,) = tmp_path.iterdir()
    assert CATAMARAN in done.stderr and str(report) in done.stderr
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="an interrupt of a group of processes")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_an_interrupt_ends_all_processes_and_leaves_no_summary(tmp_path, jobs):
    file = tmp_path / "fleet.csv"
    words = ["size", *[KETCH] * 500, "--jobs", jobs, "--summary", str(file)]
    with subprocess.Popen(
        [sys.executable, "-m", "seaflow", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as process:
        assert process.stderr.read(6) == b"Sizing"  # the bar stands once the work is shared out
        time.sleep(0.3)
        os.killpg(process.pid, signal.SIGINT)
        said, heard = process.communicate(timeout=60)
    # a Python that was still loading ends by the signal itself, which a shell shows as 130 too
    assert process.returncode in (130, -signal.SIGINT)
    assert not said and b"Traceback" not in heard and b"Interrupted." in heard
    assert not file.exists()
