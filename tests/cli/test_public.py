"""`import seaflow`: light, whole, with units, and the same as the data of the command line."""

import copy
import json
import math
import pickle
import subprocess
import sys
import warnings
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

import seaflow
from seaflow.base.constants import MOST_DRAWS
from seaflow.boat.case import Case
from seaflow.cli.main import main
from seaflow.present.answer_schema import RESULTS, answer_schema

ROOT = Path(__file__).parents[2]
CASES = sorted(ROOT.joinpath("cases").glob("*.toml"))
KETCH = ROOT / "cases" / "ketch-one-unit.toml"
FEW = {
    "size": {"samples": 16},
    "page": {"samples": 16},
    "improve": {"samples": 16},
    "diagnose": {"draws": 512},
}
ASKED = [name for name in RESULTS if hasattr(seaflow, name)]


@cache
def boat(file):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return seaflow.load(str(file))


@cache
def answered(command, file):
    """The answer, or None where this boat cannot be asked that."""
    if command == "page" and file != KETCH:  # it holds all others, and tests/browser has more
        return None
    try:
        return getattr(seaflow, command)(boat(file), **FEW.get(command, {}))
    except seaflow.SeaflowError as refused:
        assert refused.problems
        return None


def test_every_name_is_there_and_nothing_else():
    assert {name for name in seaflow.__all__} <= set(dir(seaflow))
    assert all(getattr(seaflow, name) is not None for name in seaflow.__all__)
    assert set(ASKED) == set(RESULTS)
    with pytest.raises(AttributeError):
        seaflow.sail  # noqa: B018


def test_importing_it_loads_no_library():
    code = "import sys, seaflow; print([m for m in ('numpy', 'pint', 'click') if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.stdout.strip() == "[]", done.stderr


def same(shown, data, path=""):
    """Whether a part of an answer says what the data say, number by number."""
    if isinstance(shown, seaflow.Said):
        assert (shown.kind, str(shown)) == (data["kind"], data["text"]), path
        for name, value in shown.values.items():
            same(value, data[name], f"{path}.{name}")
    elif isinstance(shown, seaflow.Facts):
        for name in dir(shown):
            if name in data:  # the model's own objects are no data
                same(getattr(shown, name), data[name], f"{path}.{name}")
    else:
        same_value(shown, data["value"] if is_measured(data) else data, path)


def is_measured(data):
    return isinstance(data, dict) and set(data) == {"value", "unit"}


def same_value(shown, data, path):
    if hasattr(shown, "magnitude"):
        assert data == shown.magnitude or not math.isfinite(shown.magnitude), path
    elif isinstance(shown, tuple):
        for number, (one, other) in enumerate(zip(shown, data, strict=True)):
            same(one, other, f"{path}[{number}]")
    elif isinstance(shown, dict):
        for name, value in shown.items():
            same(value, data[str(name)], f"{path}.{name}")
    else:
        assert data == shown or (isinstance(shown, float) and not math.isfinite(shown)), path


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
@pytest.mark.parametrize("command", ASKED)
def test_every_answer_keeps_to_its_schema_and_says_the_same_to_python(command, file):
    answer = answered(command, file)
    if answer is None:
        return
    data = json.loads(json.dumps(answer.data(), allow_nan=False))
    jsonschema.validate(data, answer_schema(command), jsonschema.Draft202012Validator)
    assert data["format"] == {"answer": command, "version": 0}
    same(answer, data)
    assert answer.card().startswith(data["card"]["title"][:40])
    assert command == "page" or len(answer.text("us")) > len(answer.card("us"))


@pytest.mark.parametrize("command", ["size", "diagnose", "survey"])
def test_the_command_line_prints_the_same_data(command):
    few = [
        word for name, value in FEW.get(command, {}).items() for word in (f"--{name}", str(value))
    ]
    printed = CliRunner().invoke(main, [command, str(KETCH), "--json", *few]).stdout
    assert json.loads(printed) == json.loads(json.dumps(answered(command, KETCH).data()))


@pytest.mark.parametrize("command", ASKED)
def test_the_schema_shipped_is_the_one_of_the_results(command):
    shipped = ROOT / "seaflow" / "data" / "schemas" / f"{command}.schema.json"
    assert json.loads(shipped.read_text(encoding="utf-8")) == json.loads(
        json.dumps(answer_schema(command))
    )


def test_a_page_is_made_by_the_answer_to_page_alone():
    page = answered("page", KETCH).html("us")
    assert page.startswith("<!doctype html>") and "Morning Tide" in page
    with pytest.raises(TypeError, match=r"seaflow\.page"):
        answered("survey", KETCH).html()


def test_the_schema_refuses_another_unit_and_a_strange_key():
    data = json.loads(json.dumps(answered("size", KETCH).data()))
    schema = jsonschema.Draft202012Validator(answer_schema("size"))
    data["sea_temperature"]["unit"] = "degF"
    data["loops"][0]["tide"] = 3
    assert len(list(schema.iter_errors(data))) == 2


def test_quantities_are_given_and_taken():
    flow = answered("size", KETCH).loops[0].asks.flow
    assert flow.check("[length]**3/[time]")
    quantity = seaflow.units().Quantity
    typed = {"sea": "27 degC", "discharge": "38 degC", "watts": "1300 W", "stream": "weak"}
    given = {
        **typed,
        "sea": quantity(80.6, "degF"),
        "discharge": quantity(38, "degC"),
        "watts": quantity(1.3, "kW"),
    }
    one, other = (
        seaflow.diagnose(boat(KETCH), draws=512, **readings).data() for readings in (typed, given)
    )
    assert one["verdict"]["word"] == other["verdict"]["word"]
    assert one["causes"][0]["chance"]["value"] == pytest.approx(
        other["causes"][0]["chance"]["value"], rel=1e-9
    )


def test_a_bad_file_is_refused_with_all_its_problems(tmp_path):
    file = tmp_path / "bad.toml"
    text = KETCH.read_text(encoding="utf-8")
    bad = text.replace('warmest = "30 degC"', "warmest = 30").replace(
        'salinity = "36 g/kg"', "s = 1"
    )
    file.write_text(bad, encoding="utf-8")
    with pytest.raises(seaflow.SeaflowError) as refused:
        seaflow.load(str(file))
    assert len(refused.value.problems) >= 2
    assert all(problem.line for problem in refused.value.problems)


def test_what_is_odd_in_a_file_is_warned_of():
    with pytest.warns(UserWarning, match="S25"):
        seaflow.load(str(ROOT / "cases" / "badly-arranged.toml"))


def test_an_answer_says_what_it_has():
    answer = answered("size", KETCH)
    assert isinstance(boat(KETCH), Case)
    assert "loops" in dir(answer) and "loops" in repr(answer)
    with pytest.raises(AttributeError, match="it has"):
        answer.anchors  # noqa: B018
    with pytest.raises(ValueError, match="us"):
        answer.card("nautical")


def changed(change):
    return seaflow.load(KETCH, change=change)


def test_what_is_wrong_with_a_change_of_what_no_file_has_is_told_at_its_top(tmp_path):
    file = tmp_path / "boat.toml"
    text = KETCH.read_text(encoding="utf-8")
    file.write_text(text.partition("[design]")[0], encoding="utf-8")
    with pytest.raises(seaflow.SeaflowError) as refused:
        seaflow.load(file, change={"design": {"growth": "3 furlongs"}})
    (problem,) = [one for one in refused.value.problems if one.code == "K06"]
    assert problem.line == 1


def test_what_is_wrong_in_the_file_is_told_at_its_column_whatever_is_changed(tmp_path):
    file = tmp_path / "boat.toml"
    text = KETCH.read_text(encoding="utf-8").replace('coldest = "', 'coldest = "about ')
    file.write_text(text, encoding="utf-8")
    found = []
    for change in (None, {"design": {"growth": "2 mm"}}):
        with pytest.raises(seaflow.SeaflowError) as refused:
            seaflow.load(file, change=change)
        (problem,) = refused.value.problems
        found.append((problem.code, problem.line, problem.column, problem.length))
    assert found[0] == found[1]
    line = text.splitlines()[found[0][1] - 1]
    assert line[found[0][2] - 1 :].startswith('"about ')


def test_a_change_is_the_same_as_writing_it_into_the_file(tmp_path):
    file = tmp_path / "boat.toml"
    text = KETCH.read_text(encoding="utf-8").replace('warmest = "30 degC"', 'warmest = "33 degC"')
    file.write_text(text.replace('length = "0.6 m"', 'length = "2.5 m"'), encoding="utf-8")
    length = seaflow.units().Quantity(250.0, "cm")
    hose = {"strainer to pump": {"length": length}}
    asked = changed({"sea": {"warmest": "33 degC"}, "hose": hose})
    written = seaflow.load(file)
    assert asked.hose[1].length == pytest.approx(written.hose[1].length)
    one, other = (seaflow.size(each, samples=16).data() for each in (asked, written))
    assert one == other
    assert asked.hose[0] is not asked.hose[1]
    assert seaflow.load(KETCH).sea.warmest == 30.0


def test_a_change_adds_what_the_file_leaves_out_and_takes_out_what_it_has():
    found = changed({"design": {"permitted_rise": "8 K"}, "pump": {"pump": {"fitted": None}}})
    assert found.design.permitted_rise == 8.0
    assert found.pump[0].fitted is None
    rise = seaflow.size(found, samples=0).loops[0].needs[0].criteria[0]
    assert rise.source == "case"  # and no longer common practice


@pytest.mark.parametrize(
    ("change", "code", "heard"),
    [
        ({"hose": {"pump to salon unit": {"length": "3 m"}}}, "S03", "pump to saloon unit"),
        ({"unit": {"galley": {"cooling": "3 kW"}}}, "S03", "saloon unit"),
        ({"hose": {"pump to saloon unit": "3 m"}}, "S03", "no table"),
        ({"hose": {"pump to saloon unit": {"lenght": "3 m"}}}, "K01", "length"),
        ({"see": {"warmest": "28 degC"}}, "K01", "see"),
        ({"sea": {"warmest": 28}}, "K03", "28 degC"),
        ({"sea": {"warmest": "28 m"}}, "K07", "temperature"),
        ({"sea": {"warmest": float("nan")}}, "K04", "number"),
        ({"hose": 3}, "K10", "list"),
    ],
)
def test_a_change_that_cannot_be_is_refused_with_what_to_write(change, code, heard):
    with pytest.raises(seaflow.SeaflowError) as refused:
        changed(change)
    assert code in [one.code for one in refused.value.problems]
    assert heard in str(refused.value) and code in str(refused.value)


NO_BOATS = [str(KETCH), KETCH, None, 3, seaflow]


@pytest.mark.parametrize("name", ASKED)
def test_what_is_no_boat_is_called_so(name):
    for wrong in (*NO_BOATS, answered("size", KETCH)):
        with pytest.raises(TypeError, match=r"seaflow\.load"):
            getattr(seaflow, name)(wrong)


def test_what_is_no_file_is_called_so():
    for wrong in (boat(KETCH), None, 3):
        with pytest.raises(TypeError, match="name of a file"):
            seaflow.load(wrong)
    with pytest.raises(TypeError, match="dictionary"):
        seaflow.load(KETCH, change=[("sea", "28 degC")])
    for one in ("none.toml", Path("none.toml"), ["none.toml"]):
        with pytest.raises(seaflow.SeaflowError, match=r"F01 none\.toml"):
            seaflow.load(KETCH, one)


@pytest.mark.parametrize("name", ["size", "improve", "diagnose"])
def test_draws_and_seeds_are_whole_numbers_within_bounds(name):
    ask, draws = getattr(seaflow, name), "draws" if name == "diagnose" else "samples"
    for wrong in ("64", "many", 64.5, None):
        with pytest.raises(TypeError, match=f"{draws} is a whole number"):
            ask(boat(KETCH), **{draws: wrong})
        with pytest.raises(TypeError, match="seed is a whole number"):
            ask(boat(KETCH), seed=wrong)
    for wrong in (-1, MOST_DRAWS + 1, 10**9):
        with pytest.raises(ValueError, match=f"{draws} is from"):
            ask(boat(KETCH), **{draws: wrong})


def test_a_name_is_text():
    for name in ("balance", "energy", "heating", "improve", "baseline", "diagnose"):
        with pytest.raises(TypeError, match="a name is text"):
            getattr(seaflow, name)(boat(KETCH), 3)


def test_an_answer_can_be_copied_and_its_data_sent():
    found = answered("size", KETCH)
    assert copy.copy(found).grade == found.grade
    assert pickle.loads(pickle.dumps(found.data())) == found.data()
    assert boat(KETCH).boat.name in repr(boat(KETCH))
    assert len(repr(boat(KETCH))) < 200


def test_several_threads_ask_at_once_and_hear_what_one_hears():
    files = [file for file in CASES if answered("size", file) is not None]
    alone = [answered("size", file).data() for file in files]
    with warnings.catch_warnings(), ThreadPoolExecutor(len(files)) as pool:
        warnings.simplefilter("ignore")
        asked = pool.map(lambda file: seaflow.size(seaflow.load(file), samples=16).data(), files)
        assert list(asked) == alone


def test_a_typical_boat_is_that_of_the_command_line():
    boat = seaflow.typical("12 m sloop", unit=["12k", "9k"], supply="120 V", sea="Bahamas")
    assert [round(unit.cooling) for unit in boat.unit] == [3517, 2638]
    assert boat.supply.frequency == 60.0 and ("sea", "warmest") in boat.typical
    words = ["--boat", "12 m sloop", "--unit", "12k", "--unit", "9k", "--supply", "120 V"]
    shown = CliRunner().invoke(main, ["balance", *words, "--sea", "Bahamas", "--json"]).stdout
    assert json.loads(shown) == seaflow.balance(boat).data()


def test_what_is_said_wrongly_is_refused():
    with pytest.raises(seaflow.SeaflowError, match="no kind of boat"):
        seaflow.typical("12 m")
    with pytest.raises(TypeError, match="volts"):
        seaflow.typical("12 m sloop", volts="12 V")
    with pytest.raises(TypeError):
        seaflow.typical(12)
    with pytest.warns(UserWarning, match="Q03"):
        seaflow.typical("25 m motor yacht", unit="5000 BTU/h")


def test_a_survey_takes_a_typical_boat_as_one_that_nobody_saw():
    seen, unseen = (seaflow.typical("12 m sloop", unit="16k", gaps=gaps) for gaps in (False, True))
    assert seen.seacock and not unseen.seacock
    assert seaflow.survey(unseen).fitness == "not seen"
