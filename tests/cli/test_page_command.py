"""The command `page`: what it writes, refuses, prints and ends with."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

CASES = Path(__file__).parents[2] / "cases"
SLOOP = CASES / "battery-sloop-variable.toml"


def run(*words):
    return CliRunner().invoke(main, ["page", *map(str, words)])


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    """A page that was written with --json, and what was printed."""
    file = tmp_path_factory.mktemp("page") / "sloop.html"
    return file, run(SLOOP, "-o", file, "--json", "--samples", "0")


def test_it_writes_one_file_and_prints_data(done):
    file, result = done
    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    assert answer["format"] == {"answer": "page", "version": 0}
    assert [stop["kind"] for stop in answer["runs"][0]["stretches"][0]["stops"]] == [
        *("intake", "strainer", "pump", "unit", "outlet")
    ]
    assert [lack["part"] for lack in answer["lacks"]] == ["place"]
    assert file.name in result.stderr
    assert file.read_text(encoding="utf-8").rstrip().endswith("</html>")


def test_nothing_is_written_over_and_another_ending_is_refused(done):
    file, _ = done
    before = file.read_bytes()
    taken = run(SLOOP, "-o", file, "--json")
    assert taken.exit_code == 2
    assert json.loads(taken.stdout)["problems"][0]["code"] == "W01"
    assert file.read_bytes() == before
    other = run(SLOOP, "-o", file.with_suffix(".pdf"), "--json")
    assert json.loads(other.stdout)["problems"][0]["code"] == "F12"
    assert not file.with_suffix(".pdf").exists()


def test_without_a_file_to_write_it_does_nothing():
    result = run(SLOOP)
    assert result.exit_code == 2 and "--output" in result.stderr
