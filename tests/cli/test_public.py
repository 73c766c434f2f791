"""`import seaflow`: light, whole, with units, and the same as the data of the command line."""

import json
import math
import subprocess
import sys
import warnings
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

import seaflow
from seaflow.boat.case import Case
from seaflow.cli.main import main
from seaflow.present.answer_schema import RESULTS, answer_schema

ROOT = Path(__file__).parents[2]
CASES = sorted(ROOT.joinpath("cases").glob("*.toml"))
KETCH = ROOT / "cases" / "ketch-one-unit.toml"
FEW = {"size": {"samples": 16}, "improve": {"samples": 16}, "diagnose": {"draws": 512}}
ASKED = [name for name in RESULTS if hasattr(seaflow, name)]


@cache
def boat(file):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return seaflow.load(str(file))


@cache
def answered(command, file):
    """The answer, or None where this boat cannot be asked that."""
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
    assert len(answer.text("us")) > len(answer.card("us"))


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
