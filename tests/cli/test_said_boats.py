"""A boat in a few words on the command line: the same answer as from the file it would write."""

import json
import os

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

KETCH = os.path.abspath("cases/ketch-one-unit.toml")
SAID = ["--boat", "sailing monohull, 12 m", "--unit", "16000 BTU/h", "--supply", "230 V 50 Hz"]
SEA = ["--sea", "Lesser Antilles"]
PUMP = ["--pump", "shut-off 4.2 m, open flow 30 L/min, 60 W"]
# Only the first three take a pump of figures here; readings are called so elsewhere.
ASKED = ("size", "place", "balance", "energy", "survey", "improve")
WITH_READINGS = ("baseline", "diagnose")


def run(*words):
    return CliRunner().invoke(main, list(words))


@pytest.mark.parametrize("command", (*ASKED, *WITH_READINGS))
def test_every_command_answers_of_a_boat_in_a_few_words(command):
    few = ["--samples", "64"] if command in ("size", "improve") else []
    few += ["--draws", "1024"] if command == "diagnose" else []
    told = run(command, *SAID, *SEA, *few)
    assert told.exit_code in (0, 1, 3), told.output
    assert told.output.splitlines()[0].startswith("Typical sailing monohull")


@pytest.mark.parametrize("command", ["size", "survey"])
def test_the_file_that_new_writes_gives_the_same_answer(command, tmp_path):
    file = str(tmp_path / "boat.toml")
    sheet = str(tmp_path / "boat-pump.toml")
    written = run("new", file, *SAID, *SEA, *PUMP)
    assert written.exit_code == 0, written.output
    # a pump that is asked about is the only one in question for size
    pump = ["--pump", sheet] if command == "size" else ["--parts", sheet]
    few = ["--samples", "64"] if command == "size" else []
    told = run(command, *SAID, *SEA, *PUMP, *few, "--json")
    same = run(command, file, *pump, *few, "--json")
    assert told.exit_code == same.exit_code
    told, same = (json.loads(one.stdout.replace(file, "the typical boat")) for one in (told, same))
    for answer in (told, same):  # where it is the file's, said beside it
        answer["assumptions"] = [
            one for one in answer["assumptions"] if "beside the file" not in one["source"]
        ]
        more = answer["card"]["blocks"].pop()  # its commands name a file, or what was typed
        assert more["label"] == "More"
    assert told == same


def test_new_tells_what_was_said_from_what_is_typical(tmp_path):
    file = tmp_path / "boat.toml"
    run("new", str(file), *SAID)
    text = file.read_text(encoding="utf-8")
    assert 'cooling = "16000 BTU/h"' in text and "typical +/-" in text
    again = run("new", str(file), *SAID)
    assert again.exit_code == 2 and file.read_text(encoding="utf-8") == text


def test_new_writes_neither_file_where_one_is_there(tmp_path):
    sheet = tmp_path / "boat-pump.toml"
    sheet.write_text("mine", encoding="utf-8")
    refused = run("new", str(tmp_path / "boat.toml"), *SAID, *PUMP)
    assert refused.exit_code == 2 and not (tmp_path / "boat.toml").exists()
    assert sheet.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "pump, will_not_do",
    [("shut-off 1 m, open flow 5 L/min", True), ("shut-off 12 m, open flow 60 L/min", False)],
)
def test_the_pump_asked_about_is_judged(pump, will_not_do):
    answer = json.loads(run("size", *SAID, "--pump", pump, "--json").stdout)
    assert (answer["card"]["blocks"][0]["label"] == "No") == will_not_do


def test_a_pump_asked_about_must_be_made_for_the_supply():
    refused = run(
        "size", "--boat", "12 m sloop", "--supply", "12 V", "--pump", "demo-mag-large-230"
    )
    assert refused.exit_code == 2 and "F13" in refused.output


def test_only_the_pump_asked_about_is_in_question():
    answer = json.loads(run("size", KETCH, "--pump", "demo-mag-medium-230", "--json").stdout)
    assert [pump["part"]["name"] for pump in answer["loops"][0]["pumps"]] == ["demo-mag-medium-230"]


@pytest.mark.parametrize("command", (*ASKED, *WITH_READINGS, "heating"))
def test_a_command_without_a_boat_says_what_to_type(command):
    refused = run(command)
    assert refused.exit_code == 2
    assert "T06" in refused.output and "--boat" in refused.output


@pytest.mark.parametrize("words", [["--boat", "12 m sloop"], ["--unit", "16k"]])
def test_a_file_and_a_boat_beside_it_are_refused(words):
    assert "T07" in run("size", KETCH, *words).output


def test_what_is_said_beside_a_file_changes_the_answer():
    few = ["--samples", "0", "--json"]
    cold = json.loads(run("size", KETCH, "--sea", "15 degC", *few).stdout)
    warm = json.loads(run("size", KETCH, *few).stdout)
    assert cold["assumptions"] != warm["assumptions"]
    assert "said beside the file" in json.dumps(cold["assumptions"])


def test_a_plain_sheet_is_not_asked_for_what_the_supply_says_already(tmp_path):
    """Of two frequencies the boat's is taken; watts that no sheet gives are said to be typical."""
    table = "flow [L/min],head 50 Hz [m],head 60 Hz [m]\n0,5,7.2\n15,4,6\n30,2.5,4.2\n40,0,2\n"
    both, one = tmp_path / "both.csv", tmp_path / "one.csv"
    both.write_text(table, encoding="utf-8")
    one.write_text("kind: magnet-drive centrifugal\nflow [L/min],head [m]\n0,5\n40,0\n")
    few = ("--samples", "16", "--json")
    for supply, name in (("230 V 60 Hz", "both 60 Hz"), ("230 V 50 Hz", "both 50 Hz")):
        words = [*SAID[:4], *SEA, "--supply", supply, "--pump"]
        answer = json.loads(run("size", *words, str(both), *few).stdout)
        (pump,) = answer["loops"][0]["pumps"]
        assert pump["part"]["name"] == name
        plain = json.loads(run("size", *words, str(one), *few).stdout)
        assert plain["loops"][0]["pumps"][0]["part"]["type"] == "magnet-drive centrifugal"
        said = json.dumps(plain["card"])
        assert "its sheet gives no watts" in said
    told = run("size", *words, str(one), "--samples", "16")
    assert "the curve has two points" in told.stderr
    asked = run("size", *SAID[:4], *SEA, "--pump", str(one), "--samples", "16")
    assert asked.exit_code == 2 and "P18" in asked.output  # nothing says what it runs on


def test_a_battery_in_a_few_words_has_a_night_and_none_speaks_of_one(tmp_path):
    without = run("energy", *SAID, *SEA)
    assert "batter" not in without.output.casefold()
    told = json.loads(run("energy", *SAID, *SEA, "--battery", "400 Ah 12 V", "--json").stdout)
    night, bank = told["night"], told["night"]["bank"]
    assert bank["capacity"] == {"value": 400.0 * 3600.0, "unit": "A s"}
    assert (bank["voltage"]["value"], bank["house"]["value"]) == (12.0, 60.0)
    assert "energy.house_typical" in [said["kind"] for said in night["says"]]
    assert night["limit"]  # two kilowatts of cooling outlast no 400 Ah
    kwh = json.loads(run("energy", *SAID, *SEA, "--battery", "5 kWh", "--json").stdout)
    assert kwh["night"]["bank"]["capacity"]["value"] * 12.8 == pytest.approx(5.0 * 3.6e6, rel=1e-3)
    file = str(tmp_path / "boat.toml")
    assert run("new", file, *SAID, *SEA, "--battery", "400 Ah 12 V").exit_code == 0
    assert json.loads(run("energy", file, "--json").stdout)["night"]["limit"] == night["limit"]


def test_a_sea_by_place_is_no_reading():
    place = run("baseline", *SAID, "--sea", "Bahamas")
    read = run("baseline", *SAID, "--sea", "24 degC")
    assert "32.3 °C" in place.output and "24.0 °C" in read.output


def test_many_cases_take_nothing_that_is_said():
    assert run("size", KETCH, KETCH, "--sea", "30 degC").exit_code == 2
    assert run("size", *SAID, "--summary", "x.csv").exit_code == 2


def test_a_name_of_several_waters_says_which_was_taken_and_what_the_others_are():
    said = run("diagnose", "--unit", "16k", "--sea", "Greece", "--draws", "512")
    assert "Ionian" in said.stderr and "Aegean" in said.stderr
    assert "Q03" not in run("diagnose", "--unit", "16k", "--sea", "Aegean", "--draws", "512").stderr


def test_the_supply_beside_the_figures_of_a_pump_is_hers_and_must_be_that_of_the_boat():
    pump = ["--pump", "shut-off 4.2 m, open flow 30 L/min, 120 V"]
    said = run("size", "--unit", "16k", *pump, "--samples", "64")
    assert "120 V 60" in said.output.splitlines()[0]
    assert run("size", "--unit", "16k", *pump, "--supply", "230 V").exit_code == 2


@pytest.mark.parametrize("volts", ["115 V 60 Hz", "12 V"])
def test_the_supply_beside_the_figures_of_a_pump_changes_no_boat_in_a_file(volts):
    pump = ["--pump", f"500 GPH at 4 ft, {volts}"]
    said = run("size", KETCH, *pump, "--samples", "0", "--json")  # a boat on 230 V
    assert said.exit_code == 2 and json.loads(said.stdout)["problems"][0]["code"] == "F13"


def test_the_sheet_beside_a_boat_is_found_by_itself(tmp_path):
    file = str(tmp_path / "boat.toml")
    run("new", file, *SAID, *PUMP)
    found = [
        run("size", file, "--samples", "64", *more)
        for more in ((), ("--parts", f"{file[:-5]}-pump.toml"))
    ]
    assert found[0].exit_code in (0, 1, 3) and found[0].output == found[1].output


def test_a_pump_told_to_a_diagnosis_is_fitted_and_a_sound_is_read():
    said = ["--unit", "16k", "--discharge", "35C", "--draws", "512", "--json"]
    told = json.loads(
        run("diagnose", *said, "--pump", "demo-pedestal-230", "--pump", "quiet").stdout
    )
    assert told["pump"] == "demo-pedestal-230" and told["pump_told"]
    assert told["n_readings"] == 2


@pytest.fixture(scope="module")
def weak():
    """What `size` says of a pump asked for that gives too little, and whose watts nobody told."""
    words = [*SAID, *SEA, "--pump", "shut-off 2 m, 10 L/min open"]
    days = ["--samples", "64"]
    card = run("size", *words, *days).output
    answer = json.loads(run("size", *words, *days, "--json").stdout)
    return words, card, answer["loops"][0]


def test_a_pump_asked_for_is_called_that_and_one_to_buy_is_told_in_its_place(weak):
    _, card, loop = weak
    assert loop["grade"] == "no" and loop["pumps"][0]["asked_for"]
    assert loop["verdict"]["pump"]["nearest"]["kind"] == "size.asked_pump"
    assert "The pump asked for" in card and "fitted now" not in card
    assert "\nBuy  " in card and loop["asks"] is not None
    assert "none of the simulated days" in card


def test_watts_that_nobody_told_are_marked_as_typical_wherever_they_count(weak):
    words, card, loop = weak
    kinds = [said["kind"] for said in loop["pumps"][0]["judgement"]["remarks"]]
    assert loop["pumps"][0]["part"]["power_is_typical"] and "design.typical_watts" in kinds
    assert loop["verdict"]["runs_at"]["kind"] == "size.runs_at_typical"
    assert "typical: its sheet" in " ".join(card.split())
    for command, more in (("energy", []), ("energy", ["--full"]), ("balance", ["--full"])):
        assert "its sheet gives no watts" in " ".join(
            run(command, *words, *more).output.lower().split()
        )
