"""The command `heating`: exit codes, text, data, units and bad input."""

import json
import re

from answer_data import METRIC, bare_numbers
from click.testing import CliRunner
from sizing import KETCH, MOTOR, edited, path_of, text_of, written

from seaflow.cli.main import main


def run(*arguments):
    return CliRunner().invoke(main, ["heating", *map(str, arguments)])


def test_the_ketch_has_an_answer():
    result = run(path_of(KETCH), "--full")
    assert result.exit_code == 0, result.output
    for label in ("Heats", "Coldest", "Worst cases", "What was assumed", "Ice in the coil"):
        assert label in result.stdout
    assert "nan" not in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 125


def test_data_has_units():
    answer = json.loads(run("--json", path_of(KETCH)).stdout)
    assert list(bare_numbers(answer)) == []
    unit = answer["loops"][0]["at"][0]["units"][0]
    assert unit["outlet_temperature"]["unit"] == "degC"
    assert unit["heating"]["value"] > 4000.0


def test_units_for_american_readers():
    text = run("--units", "us", path_of(KETCH), "--full").stdout
    block = text.partition("How cold the sea may be")[2].partition("What was assumed")[0]
    block = block.replace("(16.0 L/min)", "").replace("kW)", ")")
    assert re.findall(METRIC, block) == []


def test_a_sea_too_cold_is_not_met(tmp_path):
    change = ('heating_from = "8 degC"', 'heating_from = "2 degC"')
    file = written(tmp_path, edited(text_of(KETCH), change))
    result = run(file)
    assert result.exit_code == 1
    assert "must not heat in a sea of 2.0 °C" in result.stdout
    assert "ice" in run(file, "--section", "worst cases").stdout


def test_a_boat_without_heaters_is_refused():
    result = run(path_of(MOTOR))
    assert result.exit_code == 2
    assert "M02" in result.output
    data = run("--json", path_of(MOTOR))
    assert json.loads(data.stdout)["problems"][0]["code"] == "M02"


def test_another_pump():
    result = run("--pump", "demo-mag-small-230", path_of(KETCH))
    assert result.exit_code in (0, 1)
    assert "(demo-mag-small-230, invented), the pump asked for" in " ".join(result.stdout.split())
