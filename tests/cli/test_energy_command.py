"""The command `energy`: exit codes, text, data, units and bad input."""

import json
import re

import pytest
from answer_data import METRIC, bare_numbers
from click.testing import CliRunner
from sizing import BAD, KETCH, NAMES, SLOOP, edited, path_of, text_of, written

from seaflow.cli.main import main

PARTS = ("compressor", "fans", "controls", "pump")


def run(*arguments):
    return CliRunner().invoke(main, ["energy", *map(str, arguments)])


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_case_has_an_answer(name):
    result = run(path_of(name), "--full")
    # hers does not start; the sloop alone has a pump aboard that is a plain yes
    assert result.exit_code == {BAD: 1}.get(name, 3), result.output
    for label in ("A day", "Left on", "Starts", "Slowest", "What was assumed", "Cautions"):
        assert label in result.stdout
    assert "nan" not in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 110


def test_data_has_units():
    answer = json.loads(run("--json", path_of(SLOOP)).stdout)
    assert list(bare_numbers(answer)) == []
    day = answer["loops"][0]["day"]
    assert day["compressor"]["unit"] == "J"
    assert answer["night"]["left_at_dawn"]["unit"] == "A s"
    assert answer["loops"][0]["starting"]["least_speed"]["value"] > 0.0


def test_text_and_data_agree():
    answer = json.loads(run("--json", path_of(KETCH)).stdout)
    day = answer["loops"][0]["day"]
    total = sum(day[name]["value"] for name in PARTS) / 3.6e6
    assert f"{total:.2f} kWh in 22.0 h" in run(path_of(KETCH)).stdout


def test_units_for_american_readers():
    text = run("--units", "us", path_of(SLOOP), "--full").stdout
    answer = text.partition("A day, the pump")[2].partition("Cautions")[0]
    assert re.findall(METRIC, answer) == []
    assert "gpm" in answer


def test_another_pump():
    result = run("--pump", "demo-mag-large-230", path_of(KETCH))
    assert result.exit_code == 0
    assert "The pump asked for" in result.stdout
    assert "(demo-mag-large-230, invented)" in result.stdout


@pytest.mark.parametrize(
    ("pump", "code"), [("demo-mag-larg-230", "T05"), ("demo-dc-variable-12", "F13")]
)
def test_a_pump_that_cannot_be(pump, code):
    result = run("--pump", pump, path_of(KETCH))
    assert result.exit_code == 2
    assert code in result.output
    data = run("--json", "--pump", pump, path_of(KETCH))
    assert json.loads(data.stdout)["problems"][0]["code"] == code


def test_a_crest_too_high_is_not_met(tmp_path):
    old = 'starboard = "1.10 m", height = "0.35 m"'
    file = written(tmp_path, edited(text_of(KETCH), (old, old.replace("0.35", "5.0"))))
    result = run(file)
    assert result.exit_code == 1
    assert result.stdout.split("\n")[2].startswith("No  ")
    assert "cannot start the water" in result.stdout
    assert "Watch out" in run(file, "--full").stdout


def test_own_parts_and_missing_files():
    assert run("no-such-file.toml").exit_code == 2
    assert run("--parts", "no-such-parts.toml", path_of(KETCH)).exit_code == 2
