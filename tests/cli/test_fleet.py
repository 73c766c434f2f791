"""Questions over many cases: summary, files, exit codes, going on; a bad case stops nothing."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli import fleet as fleet_command
from seaflow.cli.main import main
from seaflow.present.quantities import Show
from seaflow.studies.design import fleet
from seaflow.studies.size import fleet as size_fleet

CASES = Path(__file__).parents[2] / "cases"
KETCH, BAD = str(CASES / "ketch-one-unit.toml"), str(CASES / "badly-arranged.toml")
CATAMARAN = str(CASES / "catamaran-two-loops.toml")
FEW = ("--samples", "64")


def run(*words: str):
    few = () if FEW[0] in words else FEW
    return CliRunner().invoke(main, ["size", *words, *few])


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
    assert 5.0 < float(rows[0]["flow [L/min]"]) < 50.0
    file.unlink()
    run(KETCH, CATAMARAN, "--summary", str(file), "--units", "us")
    (same, *_) = csv.DictReader(file.read_text(encoding="utf-8").splitlines())
    gallons = float(rows[0]["flow [L/min]"]) / 3.785411784
    assert float(same["flow [gpm]"]) == pytest.approx(gallons, rel=1e-5)
    assert float(same["head [ft]"]) == pytest.approx(float(rows[0]["head [m]"]) / 0.3048, rel=1e-5)


def test_a_row_has_the_pump_fitted_and_its_verdict_beside_the_one_recommended():
    (row,) = json.loads(run(KETCH, KETCH, "--json").stdout)[:1]
    answer = json.loads(run(KETCH, "--json").stdout)["loops"][0]
    (own,) = [item for item in answer["pumps"] if item["fitted"]]
    assert row["fitted_pump"] == own["part"]["name"]
    assert row["fitted_grade"] == own["judgement"]["grade"]
    assert row["pump"] == answer["pumps"][0]["part"]["name"]
    told = run(KETCH, CATAMARAN).stdout
    assert "fitted pump" in told and f"flow, {Show().unit('flow')}" in told


@pytest.mark.parametrize("command", ["improve", "energy", "survey"])
def test_other_questions_are_asked_of_several_cases_too(command, tmp_path):
    broken = tmp_path / "broken.toml"
    broken.write_text("schema = 1\n[boat\n", encoding="utf-8")
    file = tmp_path / "all.jsonl"
    few = ("--samples", "16") if command == "improve" else ()
    words = [command, str(broken), KETCH, "--summary", str(file), *few]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 2
    assert "F05" in done.stdout
    bad, good = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]
    assert (bad["problem"]["code"], bad["grade"]) == ("F05", "")
    alone = json.loads(CliRunner().invoke(main, [command, KETCH, "--json", *few]).stdout)
    grades = {"fit": "yes", "not fit": "no", "not seen": "tight"}
    assert good["grade"] == (alone.get("grade") or grades[alone["fitness"]])


def copies(folder, count):
    """Boats of one kind in files of their own."""
    files = [folder / f"boat-{number}.toml" for number in range(count)]
    for file in files:
        file.write_bytes(Path(KETCH).read_bytes())
    return [str(file) for file in files]


def test_each_boat_has_the_sheet_that_stands_beside_it(tmp_path):
    """Two sheets may call their pump by one name, as boats that were told of do."""
    files = copies(tmp_path, 2)
    for file, head in zip(files, ("4.2 m", "8 m"), strict=True):
        text = Path(file).read_text(encoding="utf-8").replace("demo-mag-medium-230", "told pump")
        Path(file).write_text(text, encoding="utf-8")
        sheet = '[[pump]]\nname = "told pump"\nsource = "told"\nsupply = "ac"\nvoltage = "230 V"\n'
        curve = f'frequency = "50 Hz"\nshut_off_head = "{head}"\nfree_flow = "30 L/min"\n'
        Path(file).with_name(f"{Path(file).stem}-pump.toml").write_text(sheet + curve)
    one, other = json.loads(run(*files, "--json").stdout)
    assert one["fitted_pump"] == other["fitted_pump"] == "told pump"
    assert one["fitted_flow"]["value"] < other["fitted_flow"]["value"]


@pytest.mark.parametrize("ending", [".csv", ".jsonl"])
def test_an_interrupt_keeps_the_rows_done_and_going_on_does_the_rest(tmp_path, monkeypatch, ending):
    files = copies(tmp_path, 5)
    whole, file = tmp_path / f"whole{ending}", tmp_path / f"part{ending}"
    run(*files, "--jobs", "1", "--summary", str(whole))
    read = fleet_command.read_case
    stop = [files[2]]

    def interrupted(name, **more):
        if name in stop:
            raise KeyboardInterrupt
        return read(name, **more)

    monkeypatch.setattr(fleet_command, "read_case", interrupted)
    words = (*files, "--jobs", "1", "--summary", str(file))
    first = run(*words)
    assert first.exit_code == 130
    assert "Interrupted after 2 of 5" in first.stderr and "--go-on" in first.stderr
    assert len(file.read_text(encoding="utf-8").splitlines()) == 2 + (ending == ".csv")
    assert run(*words).exit_code == 2  # never written over unasked
    stop.clear()
    assert run(*words, "--go-on").exit_code == run(*files).exit_code
    assert file.read_bytes() == whole.read_bytes()
    assert run(*words, "--go-on", "--units", "us").exit_code == (2 if ending == ".csv" else 0)
    for other in (("--seed", "21"), ("--samples", "32")):  # days of another draw
        refused = run(*words, "--go-on", *other)
        assert refused.exit_code == 2 and refused.stderr.startswith("F18")
        assert other[1] in refused.stderr
    assert file.read_bytes() == whole.read_bytes()


def test_going_on_does_a_case_again_that_could_not_be_used(tmp_path):
    files, file = copies(tmp_path, 2), tmp_path / "fleet.csv"
    good = Path(files[0]).read_bytes()
    Path(files[0]).write_text("schema = 1\n[boat\n", encoding="utf-8")
    assert run(*files, "--summary", str(file)).exit_code == 2
    Path(files[0]).write_bytes(good)
    assert run(*files, "--summary", str(file), "--go-on").exit_code == 0
    assert run(files[0], "--go-on").exit_code == 2  # there is nothing that it could go on with
    assert len(file.read_text(encoding="utf-8").splitlines()) == 3
    assert run(*files, "--go-on").exit_code == 2


@pytest.mark.parametrize("ending", [".csv", ".jsonl"])
def test_going_on_does_a_case_again_that_was_edited_since(tmp_path, ending):
    """Also one beside which a sheet of its pump stands by now."""
    files, file = copies(tmp_path, 3), tmp_path / f"fleet{ending}"
    run(*files, "--summary", str(file))
    text = Path(files[1]).read_text(encoding="utf-8")
    Path(files[1]).write_text(text.replace('warmest = "30 degC"', 'warmest = "24 degC"'))
    sheet = Path(files[2]).with_name("boat-2-pump.toml")
    sheet.write_text(
        '[[pump]]\nname = "own"\nsource = "told"\nsupply = "ac"\nvoltage = "230 V"\n'
        'frequency = "50 Hz"\nshut_off_head = "9 m"\nfree_flow = "60 L/min"\n'
    )
    again = run(*files, "--summary", str(file), "--go-on")
    assert [one in again.stderr for one in files] == [False, True, True]
    fresh = tmp_path / f"fresh{ending}"
    run(*files, "--summary", str(fresh))
    assert sorted(file.read_text().splitlines()) == sorted(fresh.read_text().splitlines())
    assert run(*files, "--summary", str(file), "--go-on").stderr.count("again") == 0


def test_going_on_ends_by_the_cases_asked_for_alone(tmp_path):
    good, file = copies(tmp_path, 1)[0], tmp_path / "fleet.csv"
    hot = tmp_path / "hot.toml"
    hot.write_text(Path(good).read_text().replace('"16000 BTU/h"', '"40000 BTU/h"'))
    assert run(good, str(hot), "--summary", str(file)).exit_code == 1
    for _ in range(2):  # done again once it was edited, and kept
        assert run(good, "--summary", str(file), "--go-on").exit_code == 0
        Path(good).write_text(Path(good).read_text() + "\n")
    assert run(str(hot), "--summary", str(file), "--go-on").exit_code == 1


def test_going_on_keeps_what_another_run_has_added_meanwhile(tmp_path, monkeypatch):
    mine, other = copies(tmp_path, 2)
    file, read, left = tmp_path / "fleet.csv", fleet_command.read_case, [other]

    def beside(name, **more):
        while left:
            assert run(left.pop(), "--jobs", "1", "--summary", str(file), "--go-on").exit_code == 0
        return read(name, **more)

    monkeypatch.setattr(fleet_command, "read_case", beside)
    assert run(mine, "--jobs", "1", "--summary", str(file), "--go-on").exit_code == 0
    with file.open(encoding="utf-8") as rows:
        assert {row["file"] for row in csv.DictReader(rows)} == {mine, other}


@pytest.mark.skipif(sys.platform != "linux", reason="names are bytes there")
@pytest.mark.parametrize("ending", [".csv", ".jsonl"])
def test_names_that_are_not_utf8_stay_apart_and_are_known_again(tmp_path, ending):
    files = [os.fsdecode(os.fsencode(tmp_path) + name) for name in (b"/\xfe.toml", b"/\xff.toml")]
    for name in files:
        Path(name).write_bytes(Path(KETCH).read_bytes())
    file = tmp_path / f"fleet{ending}"
    run(files[0], "--summary", str(file))
    run(*files, "--summary", str(file), "--go-on")
    whole = file.read_bytes()
    run(*files, "--summary", str(file), "--go-on")
    assert file.read_bytes() == whole
    assert len(whole.splitlines()) == 2 + (ending == ".csv")


def test_a_summary_that_cannot_be_written_leaves_the_rows_one_document(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("seaflow.cli.files.os.fsync", full)
    done = run(KETCH, "--json", "--summary", str(tmp_path / "fleet.jsonl"))
    assert done.exit_code == 2 and done.stderr.startswith("W03")
    assert len(json.loads(done.stdout)) == 1
    assert "Nothing was calculated" not in done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device here")
def test_a_summary_is_kept_where_the_answer_cannot_be_shown(tmp_path):
    file = tmp_path / "fleet.csv"
    words = ("size", KETCH, BAD, *FEW, "--summary", str(file))
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "seaflow", *words], check=False, stdout=full, stderr=full
        )
    assert done.returncode == 74
    assert len(file.read_text(encoding="utf-8").splitlines()) == 3


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

    def shared(files, question, jobs):
        asked.append(jobs)
        return (None for _ in files)

    monkeypatch.setattr(fleet, "_shared", shared)
    monkeypatch.setattr(fleet, "_cores", lambda: 4)
    monkeypatch.setattr(fleet, "ask_one", lambda *_: None)
    for count in (1, 3, 6, 100):
        assert len(list(fleet.ask_fleet(("x",) * count, asked_of(int)))) == count
    assert asked == [2, 4]


def asked_of(load):
    """What `size` asks, of cases that are read by another function."""
    ask = partial(size_fleet.size_rows, sampling=(0, 20))
    return fleet.FleetQuestion(size_fleet.SizeRow, ask, load)


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_fault_of_the_program_in_one_boat_keeps_the_others(jobs):
    # the name of a boat as a number is no boat, which the program does not expect
    found = list(fleet.ask_fleet(["1", "2", "no number"], asked_of(int), jobs))
    assert [one.file for one in found] == ["1", "2", "no number"]
    assert all(one.fault and one.rows[0].problem for one in found)
    assert found[0].fault.place.startswith("AttributeError")
    assert found[2].fault.place.startswith("ValueError")
    assert "Traceback" in found[2].fault.trace


def test_a_process_that_is_killed_loses_no_row():
    found = list(fleet.ask_fleet([1, 1], asked_of(os._exit), 2))
    assert [one.rows[0].problem.kind for one in found] == ["design.fault_of_the_program"] * 2


def test_a_fault_is_reported_once_the_rows_are_said(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    sized = size_fleet.size

    def faulty(case, *sampling):
        if case.boat.name.startswith("Demo cat"):
            raise ZeroDivisionError
        return sized(case, *sampling)

    monkeypatch.setattr(size_fleet, "size", faulty)
    done = run(CATAMARAN, KETCH, "--jobs", "1")
    assert done.exit_code == 70
    assert "cooling intake" in done.stdout
    assert "ZeroDivisionError" in done.stdout
    (report,) = tmp_path.iterdir()
    assert CATAMARAN in done.stderr and str(report) in done.stderr
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")


def heeds_interrupts():
    """Heed them even where the tests run in the background, which shells make deaf to them."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="an interrupt of a group of processes")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_an_interrupt_ends_all_processes_and_keeps_what_is_done(tmp_path, jobs):
    file = tmp_path / "fleet.csv"
    files = copies(tmp_path, 400)
    words = ["size", *files, "--jobs", jobs, "--summary", str(file)]
    with subprocess.Popen(
        [sys.executable, "-m", "seaflow", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=heeds_interrupts,  # noqa: PLW1509 - no other thread runs here
    ) as process:
        assert process.stderr.read(4) == b"size"  # the bar stands once the work is shared out
        time.sleep(1.0)
        os.killpg(process.pid, signal.SIGINT)
        _, heard = process.communicate(timeout=60)
    # a Python that was still loading ends by the signal itself, which a shell shows as 130 too
    assert process.returncode in (130, -signal.SIGINT)
    assert b"Traceback" not in heard and b"Interrupted" in heard
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert [row["file"] for row in rows] == files[: len(rows)]
    assert len(rows) < len(files)
    few = files[: len(rows) + 2]
    words = [*few, "--jobs", jobs, "--summary", str(file), "--go-on"]
    assert CliRunner().invoke(main, ["size", *words]).exit_code == 0
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert [row["file"] for row in rows] == few
    assert all(row["grade"] == "yes" for row in rows)
