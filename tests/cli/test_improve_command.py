"""The command `improve`: exit codes, text, data, units, progress, the same answer again."""

import json

import pytest
from click.testing import CliRunner
from sizing import BAD, CATAMARAN, KETCH, MOTOR, path_of

from seaflow.cli import improve as module
from seaflow.cli.main import main

FEW = ("--samples", "32")


def run(*arguments):
    return CliRunner().invoke(main, ["improve", *map(str, arguments), *FEW])


@pytest.mark.parametrize(("name", "code"), [(KETCH, 3), (MOTOR, 0), (BAD, 1)])
def test_exit_codes(name, code):
    result = run(path_of(name), "--full")
    assert result.exit_code == code
    assert "None" not in result.stdout
    assert "<- taken" in result.stdout


def test_the_text_explains_the_choice_in_two_sentences():
    text = run(path_of(KETCH), "--full").stdout
    for words in ("Now ", "Change ", "Why ", "One thing at a time", "Best trade-offs"):
        assert words in text
    flat = " ".join(text.split())
    assert "enough water on" in flat
    assert "32 simulated days for each choice, seed 20" in flat


def test_the_card_names_hoses_with_bore_and_length_in_both_systems_and_hazards_first():
    asked = (path_of(CATAMARAN), "--pump", "demo-mag-small-115", "--json")
    card = json.loads(run(*asked).stdout)["card"]
    labels = [block["label"] for block in card["blocks"]]
    assert labels.index("Careful") < labels.index("Change")
    changes = next(block["says"] for block in card["blocks"] if block["label"] == "Change")
    assert any("25 mm (1 in), 2.3 m (7.5 ft)" in said and "port outlet" in said for said in changes)
    assert any("2.5 m of hose, 3 tails, 1 adapter, 8 clamps" in said for said in changes)


def test_the_data_hold_the_front_and_the_winner():
    data = json.loads(run(path_of(KETCH), "--json").stdout)
    loop = data["loops"][0]
    assert loop["winner"] in loop["front"]
    assert loop["winner"]["energy_per_day"]["unit"] == "J"
    assert loop["winner"]["keeps_rise"]["unit"] == "-"
    assert loop["what"][0]["kind"] == "improve.leave_and_measure"
    assert loop["why"][0]["kind"] == "improve.otherwise"
    bought = [item["kind"] for item in loop["front"][1]["parts"]]
    assert bought == ["tail", "tail", "pump"]
    assert len(loop["singles"]) > 5


def test_us_units():
    text = run(path_of(KETCH), "--units", "us", "--section", "one thing").stdout
    assert "worst gpm" in text
    assert "L/min" not in text
    assert " mm" not in text


def test_the_same_answer_again_and_another_with_another_seed():
    first = run(path_of(KETCH)).stdout
    assert run(path_of(KETCH)).stdout == first
    assert run(path_of(KETCH), "--seed", "7").stdout != first


def test_progress_goes_to_standard_error_where_it_takes_long(monkeypatch):
    monkeypatch.setattr(module, "PATIENCE", -1.0)
    assert "choices sampled" not in run(path_of(KETCH)).stderr  # a file or a pipe, not a terminal
    monkeypatch.setattr(module, "is_watched", lambda: True)
    result = run(path_of(KETCH))
    assert "choices sampled" in result.stderr
    assert "choices sampled" not in result.stdout
    assert "choices sampled" not in run(path_of(KETCH), "--json").stderr


def test_a_pump_that_is_not_there_is_refused():
    result = run(path_of(KETCH), "--pump", "no-such")
    assert result.exit_code == 2
    assert "no-such" in result.stderr
