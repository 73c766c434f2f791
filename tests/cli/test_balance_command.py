"""The command `balance`: exit codes, text, data, units, pumps by name, bad input."""

import json

import pytest
from click.testing import CliRunner
from sizing import BAD, CATAMARAN, KETCH, MOTOR, NAMES, SLOOP, edited, path_of, text_of

from seaflow.cli.main import main


def run(*arguments):
    return CliRunner().invoke(main, ["balance", *map(str, arguments)])


def whole(*arguments):
    return " ".join(run(*arguments, "--full").stdout.split())


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_case_gets_an_answer(name):
    result = run(path_of(name), "--full")
    assert result.exit_code == {BAD: 1, SLOOP: 0}.get(name, 3)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "None" not in result.stdout
    assert "nan" not in result.stdout.split()
    assert max(map(len, result.stdout.splitlines())) <= 110


def test_the_text_says_who_starves_and_what_to_set():
    text = whole(path_of(MOTOR))
    assert "Tight Wheelhouse unit" in text
    assert "just short of the" in text
    assert "turns open" in text
    assert "leave wheelhouse branch wide open" in text
    assert "saloon unit shut" in text
    assert "Switching a unit off changes none of these flows" in text


def test_a_pump_that_cannot_is_said_to_be_none():
    result = run(path_of(MOTOR), "--pump", "demo-mag-medium-230", "--full")
    assert result.exit_code == 1
    assert "cannot bring all to need" in " ".join(result.stdout.split())
    assert "demo-mag-medium-230" in result.stdout


def test_series_and_single_branches():
    text = whole(path_of(BAD))
    assert "fore cabin unit stands behind saloon unit" in text
    assert "Pipe the units in parallel" in text
    assert "nothing to balance" in whole(path_of(KETCH))
    assert "Outlets and intakes, port hull" in whole(path_of(CATAMARAN))


def test_the_card_sets_valves_and_says_how_to_check_them_where_streams_mix(tmp_path):
    """With one branch far off valves help; as shipped they do not, and the card says so."""
    far = ('bore = "19 mm"\nlength = "5.8 m"', 'bore = "19 mm"\nlength = "40 m"')
    (tmp_path / "far.toml").write_text(edited(text_of(MOTOR), far), encoding="utf-8")
    asked = (tmp_path / "far.toml", "--pump", "demo-pedestal-230", "--json")
    card = json.loads(run(*asked).stdout)["card"]
    near = json.loads(run(path_of(MOTOR), "--json").stdout)["card"]
    assert "Set" not in [block["label"] for block in near["blocks"]]
    assert "Setting the valves alone does not do." in near["blocks"][0]["says"]
    blocks = {block["label"]: block["says"] for block in card["blocks"]}
    labels = list(blocks)
    assert labels.index("Careful") < labels.index("Set") < labels.index("Check")
    assert len(blocks["Set"]) == 3  # every valve, with the flow and the rise it makes
    assert all("gpm" in said and "warmer" in said for said in blocks["Set"])
    assert "Saloon unit and guest cabin unit share an outlet" in blocks["Check"][0]


def test_a_pump_with_water_to_spare_is_left_alone():
    card = json.loads(run(path_of(MOTOR), "--pump", "demo-pedestal-230", "--json").stdout)["card"]
    assert "Set" not in [block["label"] for block in card["blocks"]]


def test_the_data_are_si_with_units():
    data = json.loads(run(path_of(MOTOR), "--json").stdout)
    loop = data["loops"][0]
    rows = {row["branch"]: row for row in loop["setting"]["branches"]}
    assert rows["wheelhouse unit"]["extra_loss"] == {"value": 0.0, "unit": "-"}
    assert rows["saloon unit"]["turns"]["value"] > 0.0
    assert rows["saloon unit"]["flow"]["unit"] == "m3/s"
    assert [bool(shared["shut"]) for shared in loop["sharing"]] == [False, True, True, True]


def test_us_units():
    text = run(path_of(MOTOR), "--units", "us", "--section", "valves").stdout
    assert "gpm" in text
    assert "L/min" not in text
    assert "°C" not in text


@pytest.mark.parametrize("arguments", [("no-such.toml",), (path_of(KETCH), "--pump", "no-such")])
def test_what_cannot_be_used_is_refused(arguments):
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert json.loads(run(*arguments, "--json").stdout)["problems"]
