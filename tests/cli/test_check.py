"""The command `check`: every problem of every file at once, and nothing calculated."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
CASES = sorted(str(path) for path in (ROOT / "cases").glob("*.toml"))
MESSAGES = ROOT / "tests" / "messages"
GOOD = str(MESSAGES / "good.toml")


def check(*arguments):
    return CliRunner().invoke(main, ["check", *arguments])


@pytest.mark.parametrize("path", CASES, ids=lambda path: Path(path).stem)
def test_shipped_cases_can_be_used(path):
    answer = check(path)
    assert answer.exit_code == 0
    assert f"{path}: can be used." in answer.output


def test_all_shipped_cases_at_once():
    answer = check(*CASES)
    assert answer.exit_code == 0
    assert answer.output.endswith(f"{len(CASES)} cases, all of them can be used.\n")


def test_every_problem_of_a_file_is_told(tmp_path):
    text = Path(GOOD).read_text(encoding="utf-8")
    bad = tmp_path / "bad.toml"
    lengths = text.count("length = ")
    bad.write_text(text.replace("length = ", "lenght = "), encoding="utf-8")
    answer = check(str(bad))
    assert answer.exit_code == 2
    assert 'Did you mean "length"?' in answer.output
    assert f"{lengths} problems" in answer.output
    assert "can be used" not in answer.output
    (told,) = json.loads(check(str(bad), "--json").output)["files"]
    codes = [problem["code"] for problem in told["problems"]]
    assert codes == ["K01"] * lengths  # that length is missing is the same slip


def test_one_bad_file_does_not_hide_the_others(tmp_path):
    bare = str(MESSAGES / "K03-bare-number.toml")
    answer = check(str(tmp_path / "none.toml"), bare, GOOD)
    assert answer.exit_code == 2
    assert "F01" in answer.output
    assert f"K03  {bare}:" in answer.output
    assert f"{GOOD}: can be used." in answer.output
    assert answer.output.endswith("3 cases, 2 of them cannot be used.\n")


def test_a_warning_is_shown_and_changes_nothing():
    answer = check(str(MESSAGES / "S25-narrow-suction.toml"))
    assert answer.exit_code == 0
    assert "S25" in answer.output
    assert "warning" in answer.output
    assert "can be used" in answer.output


def test_as_data():
    bare = str(MESSAGES / "K03-bare-number.toml")
    answer = check(GOOD, bare, "--json")
    assert answer.exit_code == 2
    good, bad = json.loads(answer.output)["files"]
    assert good == {"file": GOOD, "usable": True, "problems": []}
    assert (bad["file"], bad["usable"]) == (bare, False)
    assert [problem["code"] for problem in bad["problems"]] == ["K03"]
    assert bad["problems"][0]["line"] is not None


def test_a_file_is_not_changed(tmp_path):
    copy = tmp_path / "boat.toml"
    shutil.copy(GOOD, copy)
    check(str(copy))
    assert copy.read_bytes() == Path(GOOD).read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["boat.toml"]


def test_no_file_is_a_wrong_call():
    assert check().exit_code == 2


def test_a_key_under_the_wrong_table_is_told_where_it_belongs(tmp_path):
    text, bad = Path(GOOD).read_text(encoding="utf-8"), tmp_path / "bad.toml"
    bad.write_text(text.replace("[boat]", '[boat]\nhull_material = "steel"'), encoding="utf-8")
    (told,) = json.loads(check(str(bad), "--json").output)["files"]
    (problem,) = (one for one in told["problems"] if one["code"] == "K01")
    assert "[seen]" in problem["write"]
