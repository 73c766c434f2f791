"""The command `size`: exit codes, text, data, units, bad files, and files left as they were."""

import hashlib
import json
import math
import re
import subprocess
import sys
from functools import cache

import pytest
from click.testing import CliRunner
from sizing import BAD, CATAMARAN, KETCH, MOTOR, NAMES, SLOOP, edited, path_of, text_of, written

from seaflow.base.constants import MOST_DRAWS, MOST_OF_CHOICES
from seaflow.cli.main import main
from seaflow.present.words.size import WORDS

pytestmark = pytest.mark.usefixtures("asked_once")

FEW = ("--samples", "64")  # the text of a size has all its parts with so few
ENDS = ("low", "middle", "high")
# Metric units that must not stand in an answer for US readers, but for what is shown both ways.
METRIC = r"\d ?(?:L/min|m|mm|cm|kW|kPa|°C|K|m/s)(?![\w/])"
FLOW = 0.05 / 60000  # m3/s, half a unit of the last digit printed


def run(*arguments):
    return CliRunner().invoke(main, ["size", *map(str, arguments)])


@cache
def shown(name, *options):
    """The answer for a shipped case, which does not change between tests."""
    return run(*FEW, *options, path_of(name))


def data_of(name):
    return json.loads(shown(name, "--json").stdout)


def numbers_without_unit(value, path=""):
    """Every number outside a value with its unit, by its path."""
    if isinstance(value, dict):
        if set(value) == {"value", "unit"}:
            assert isinstance(value["unit"], str) and value["unit"], path
            return
        for name, item in value.items():
            yield from numbers_without_unit(item, f"{path}.{name}")
    elif isinstance(value, list):
        for item in value:
            yield from numbers_without_unit(item, path)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path


def units_in(value):
    if isinstance(value, dict):
        if set(value) == {"value", "unit"}:
            yield value["unit"]
            return
        for item in value.values():
            yield from units_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from units_in(item)


# -------------------------------------------------------------------------------- exit codes


@pytest.mark.parametrize("name", NAMES)
def test_exit_code_says_whether_the_need_is_met(name):
    result = shown(name)
    assert result.exit_code == {BAD: 1, CATAMARAN: 3}.get(name, 0)
    assert "Traceback" not in result.output
    assert ("\nNo  " in result.stdout) == (name == BAD)


def test_a_remark_on_the_file_goes_to_standard_error_and_not_into_the_answer():
    result = shown(BAD)
    assert "S25" in result.stderr and "1 warning" in result.stderr
    assert "S25" not in result.stdout


def bad_inputs(folder):
    yield "missing", folder / "nowhere.toml", "no such file"
    yield "folder", folder, "folder"
    yield "no TOML", written(folder, "this is = not [toml", "no.toml"), ""
    yield "empty", written(folder, "", "empty.toml"), ""
    text = edited(text_of(KETCH), ('voltage = "230 V"\nfreq', "voltage = 230\nfreq"))
    yield "bare number", written(folder, text, "bare.toml"), '"230 V"'
    (folder / "bytes.toml").write_bytes(b"\xff\xfe\x00name")
    yield "bytes", folder / "bytes.toml", "UTF-8"


def test_bad_input_is_told_on_standard_error_with_exit_code_two(tmp_path):
    for what, file, words in bad_inputs(tmp_path):
        result = run(file)
        assert result.exit_code == 2, what
        assert result.stdout == "", what
        assert "Nothing was calculated." in result.stderr, what
        assert words in result.stderr, what
        assert "Traceback" not in result.stderr, what


def test_bad_input_is_given_as_data_if_data_are_asked_for(tmp_path):
    for what, file, _ in bad_inputs(tmp_path):
        result = run("--json", file)
        assert result.exit_code == 2, what
        problems = json.loads(result.stdout)["problems"]
        assert problems, what
        for problem in problems:
            assert {"code", "what", "why", "write", "file", "line"} <= set(problem)
            assert problem["what"] and not problem["warning"]


def test_every_problem_of_a_file_is_told_at_once(tmp_path):
    text = edited(
        text_of(KETCH),
        ('voltage = "230 V"\nfreq', "voltage = 230\nfreq"),
        ('warmest = "30 degC"', 'warmest = "30 furlong"'),
        ('length = "2.4 m"\n', ""),
    )
    result = run("--json", written(tmp_path, text))
    codes = {problem["code"] for problem in json.loads(result.stdout)["problems"]}
    assert {"K02", "K03", "K06"} <= codes


def test_a_wrong_option_is_refused_without_a_traceback():
    for arguments in (("--units", "nautical"), ("--samples", "-1"), ("--nonsense",)):
        result = run(*arguments, path_of(KETCH))
        assert result.exit_code == 2
        assert "Traceback" not in result.output
    assert run().exit_code == 2


@pytest.mark.parametrize("command", ["size", "page", "improve", "diagnose"])
def test_more_boats_than_memory_carries_are_refused_with_what_to_write(tmp_path, command):
    option = "--draws" if command == "diagnose" else "--samples"
    most = MOST_OF_CHOICES if command == "improve" else MOST_DRAWS
    words = [command, str(path_of(KETCH)), option, str(most + 1)]
    words += ["-o", str(tmp_path / "boat.html")] if command == "page" else []
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert option in result.output and f"write {most} or fewer" in result.output


# -------------------------------------------------------------------------------------- text


@pytest.mark.parametrize("name", NAMES)
def test_the_card_names_pump_unit_band_and_what_to_ask_of_a_pump(name):
    card, data = " ".join(shown(name).stdout.split()), data_of(name)
    for loop in data["loops"]:
        best, asks = loop["pumps"][0], loop["asks"]
        assert best["part"]["name"] in card
        shortest = min(best["at"][0]["units"], key=lambda unit: unit["margin"]["value"])
        assert shortest["name"].casefold() in card.casefold()
        low, _, high = (loop["certainty"]["pumps"][0]["bands"][0][end] for end in ENDS)
        assert f"{low * 60e3:.1f} to {high * 60e3:.1f} L/min" in card
        assert (asks is None) == (name == BAD)  # a loop to be changed first
        if asks is not None:
            least = math.ceil(asks["flow"]["value"] * 600e3) / 10  # never less than is needed
            assert f"at least {least:.1f} L/min" in card
    for caution in data["cautions"]:
        assert caution["brief"] in card


@pytest.mark.parametrize("name", NAMES)
def test_everything_stands_in_the_full_answer(name):
    text, data = shown(name, "--full").stdout, data_of(name)
    assert text.startswith(shown(name).stdout.rstrip())
    flat = " ".join(text.split())
    for loop in data["loops"]:
        for remark in (*loop["remarks"], *loop["pumps"][0]["judgement"]["remarks"]):
            assert said(remark) in flat
        for item in loop["pumps"]:
            for reason in item["judgement"]["reasons"][:1]:
                assert f"not {item['part']['name']}: {said(reason)}" in flat
    for caution in data["cautions"]:
        assert f"! {caution['title']}." in text


def test_a_section_can_be_asked_for_by_words_of_its_title():
    whole = shown(KETCH, "--full").stdout
    bores = shown(KETCH, "--section", "bores").stdout
    assert bores.startswith("Bores\n-----\n") and bores.strip() in whole
    both = shown(KETCH, "--section", "Worst", "--section", "bores").stdout
    assert both.index("Worst cases") < both.index("Bores")
    wrong = shown(KETCH, "--section", "anchors")
    assert wrong.exit_code == 2 and "A04" in wrong.stderr and "Bores" in wrong.stderr


def said(fact):
    """What stands in the text for a fact of the data."""
    return " ".join((fact if isinstance(fact, str) else fact["text"]).split())


def inside(fact, kind):
    """The fact of a kind inside another, or that one itself."""
    if fact["kind"] == kind:
        return fact
    return next(
        inner
        for item in fact.values()
        if isinstance(item, dict) and "kind" in item
        for inner in [inside(item, kind)]
    )


@pytest.mark.parametrize("name", [KETCH, SLOOP, MOTOR, BAD])
def test_the_verdict_tells_the_numbers_of_the_pump_put_first(name):
    loop = data_of(name)["loops"][0]
    at, verdict = loop["pumps"][0]["at"][0], loop["verdict"]
    runs = inside(verdict["runs_at"], "size.runs_at")
    for told, known in (
        ("share", "share_of_free_flow"),
        *((k, k) for k in ("flow", "head", "power")),
    ):
        assert runs[told] == at[known]
    for need, unit, said in zip(loop["needs"], at["units"], verdict["units"], strict=True):
        needs = inside(said, "size.unit_needs")
        assert (needs["unit"], needs["flow"]) == (need["name"], need["flow"])
        assert (needs["cooling"], needs["set_by"]) == (need["cooling"], need["set_by"])
        assert said["flow"] == unit["flow"]
        assert said["leaves"] == unit["outlet_temperature"]
        assert said["rise"] == unit["temperature_rise"]
    sure, mine = verdict["how_sure"], loop["certainty"]["pumps"][0]
    assert mine["pump"] == loop["pumps"][0]["part"]["name"]
    assert (sure["running"], sure["rise"]) == (mine["keeps_running"], mine["keeps_rise"])
    assert verdict["measure"] == loop["certainty"]["decides"]


@pytest.mark.parametrize("name", NAMES)
def test_the_text_says_every_sentence_of_the_verdict(name):
    flat = " ".join(shown(name, "--full").stdout.split())
    for loop in data_of(name)["loops"]:
        for said in loop["verdict"].values():
            for fact in said if isinstance(said, list) else [said] if said else []:
                if isinstance(fact, str):
                    continue  # the grade, which the label tells
                assert " ".join(fact["text"].split()) in flat


PINNED = (
    "Fit this kind of pump: self-priming centrifugal AC, 230 V (demo-self-priming-230, invented).",
    "A pump that gives at least",
    "230 V 50 Hz, continuous duty, 19 mm (3/4 in) ports, dry-run protection;",
    "Pump self-priming centrifugal AC, 230 V (demo-self-priming-230)",
    "Why 2 pumps do: every unit supplied in all 7 worst cases. Of these it has the fewest "
    "warnings, then takes least in a day, pump and units together. The one fitted now is tight: it "
    "keeps the permitted rise",
    "Runs at 21.4 L/min (5.65 gpm) against 3.97 m, in the middle of its curve (57% of its open "
    "flow), 153 W",
    "Unit saloon unit: 4.69 kW (16 000 BTU/h) cooling needs 14.9 L/min (permitted rise of 6.0 K), "
    "gets 21.4 L/min (+44%); water leaves at 34.2 °C, 4.2 K warmer",
    "Once full, the hose down to the outlet pulls like a siphon, and only 0.15 m is left.",
    "The pump must give 2.06 m at 14.9 L/min.",
    "not demo-pedestal-230: it forces 28.8 L/min through saloon unit, whose maker allows 24.0 "
    "L/min (sea at 14.0 °C, all clean, 240 V).",
    "Cable of 7.0 m one way: at least 1 mm² or 16 AWG (the smallest size allowed; drop 0%).",
)


@pytest.mark.parametrize("sentence", PINNED)
def test_sentences_read_as_they_are_meant(sentence):
    assert sentence in " ".join(shown(KETCH, "--full").stdout.split())


def test_the_ranking_in_the_text_is_that_of_the_data():
    text, loop = shown(KETCH, "--full").stdout, data_of(KETCH)["loops"][0]
    table = text.split("best first")[1].split("Worst cases")[0]
    rows = re.findall(r"^ +\d+  (\S+)( \*)? +([\d.]+) L/min .*(yes|tight|no)$", table, re.MULTILINE)
    assert [row[0] for row in rows] == [item["part"]["name"] for item in loop["pumps"]]
    for row, item in zip(rows, loop["pumps"], strict=True):
        assert float(row[2]) / 60000 == pytest.approx(item["at"][0]["flow"]["value"], abs=FLOW)
        assert row[3] == item["judgement"]["grade"]
        assert (row[1] == " *") == item["fitted"]


@pytest.mark.parametrize("name", NAMES)
def test_sentences_of_the_full_answer_are_as_wide_as_a_page(name):
    text = shown(name, "--section", "choice", "--section", "assumed").stdout
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize("name", NAMES)
def test_no_mark_nan_or_none_is_left_in_the_text(name):
    for units in ("metric", "us"):
        text = shown(name, "--full", "--units", units).stdout
        assert not re.search(r"\bnan\b|\binf\b|None|[\ue000\ue001]|\{\w+\|", text)


@pytest.mark.parametrize("name", NAMES)
def test_american_answers_show_metric_only_beside_american_units(name):
    answer = shown(name, "--units", "us").stdout
    both = r"(?:gpm|BTU/h|ft|in)\s+\([\d.\s]+(?:L/min|kW|mm|m)\)"
    assert re.search(both, answer)
    assert not re.search(METRIC, re.sub(both, "", answer)), re.findall(METRIC, answer)
    assert re.search(METRIC, shown(name).stdout)


# -------------------------------------------------------------------------------------- data


@pytest.mark.parametrize("name", NAMES)
def test_data_are_json_with_a_unit_on_every_measured_number(name):
    result = shown(name, "--json")

    def refuse(word):
        raise AssertionError(word)

    data = json.loads(result.stdout, parse_constant=refuse)
    assert result.stderr == ""
    # Bands carry their unit beside the three numbers; inputs are factors, or offsets in the unit
    # of what they move; the rest are counts, of which facts have some too.
    counts = (
        "n_samples",
        "seed",
        ".tried",
        ".pumps",
        ".n_pumps",
        ".worst_cases",
        ".days",
        ".count",
        ".version",
        ".drawn_boats",
    )
    beside = (".certainty.inputs.low", ".certainty.inputs.high")
    for path in numbers_without_unit(data):
        assert path.endswith(counts) or path.endswith(beside) or ".bands." in path, path
    assert set(units_in(data)) <= {
        *(
            "m3/s",
            "m",
            "m/s",
            "degC",
            "K",
            "J",
            "W",
            "Pa",
            "V",
            "A",
            "Hz",
            "m2",
            "g/kg",
            "-",
            "dB",
            "rad",
        ),
        "m3/s, W",
    }


def test_data_do_not_hang_on_the_units_of_the_text():
    metric = shown(KETCH, "--json").stdout
    assert run("--json", *FEW, "--units", "us", path_of(KETCH)).stdout == metric


def test_the_same_case_twice_gives_the_same_answer_and_another_seed_other_bands():
    first, again = shown(KETCH).stdout, run(*FEW, path_of(KETCH)).stdout
    assert first == again
    other = run(*FEW, "--seed", "7", path_of(KETCH)).stdout
    assert other != first
    assert other.splitlines()[:3] == first.splitlines()[:3]


def test_without_samples_nothing_is_said_of_likelihoods():
    result = run("--samples", "0", path_of(KETCH))
    assert result.exit_code == 0
    assert not re.search(r"[\d.]+ to [\d.]+ L/min", result.stdout)
    (loop,) = json.loads(run("--json", "--samples", "0", path_of(KETCH)).stdout)["loops"]
    assert loop["certainty"] is None
    # without days she is fine, with them tight: so the card says on what her grade rests
    assert loop["verdict"]["how_sure"]["kind"] == "size.how_sure_without_days"


def test_days_that_speak_against_water_that_is_enough_all_clean_are_explained():
    """Else a boat that "gets 13% more" than she needs and is "tight" contradicts itself."""
    told = []
    for name in NAMES:
        enough = 0
        for loop in data_of(name)["loops"]:
            first = loop["pumps"][0]
            held = [one["said"]["kind"] for one in first["judgement"]["rulings"]]
            margins = [unit["margin"]["value"] for unit in first["at"][0]["units"]]
            enough += held[:1] == ["design.seldom_keeps_rise"] and min(margins) >= 0.0
        said = " ".join(shown(name).stdout.split()).count(WORDS["card_enough_clean"].strip())
        assert said == enough, name
        told.append(enough)
    assert 0 in told and max(told) > 0


def test_every_ratio_in_the_data_is_finite(tmp_path):
    def numbers(value):
        if isinstance(value, dict):
            for item in value.values():
                yield from numbers(item)
        elif isinstance(value, list):
            for item in value:
                yield from numbers(item)
        elif isinstance(value, float):
            yield value

    # no pump lifts that
    text = edited(text_of(KETCH), ('"1.10 m", height = "0.35 m"', '"1.10 m", height = "9 m"'))
    result = run("--json", *FEW, written(tmp_path, text))
    assert result.exit_code == 1
    assert all(math.isfinite(value) for value in numbers(json.loads(result.stdout)))


# ----------------------------------------------------------------------------------- the rest


def test_case_files_are_left_as_they_were():
    def prints():
        return {name: hashlib.sha256(path_of(name).read_bytes()).hexdigest() for name in NAMES}

    before = prints()
    for name in NAMES:
        run("--samples", "0", path_of(name))
        run("--samples", "0", "--json", path_of(name))
    assert prints() == before


def test_odd_boats_end_without_a_traceback(tmp_path):
    cut_out = 'cut_out = { gauge_pressure = "41 bar" }'
    vented = 'length = "2.4 m"\nvia = [{ height = "1.2 m" }]'
    for number, (codes, change) in enumerate(
        (
            ((1,), (cut_out, 'cut_out = { temperature = "31 degC" }')),
            ((1,), (cut_out, f"{cut_out}\nbranch_shut = true")),
            ((0,), ('length = "2.4 m"', vented)),
            ((0,), ('cable = { length = "7 m"', 'cable = { length = "190 m"')),
            ((0,), ('cable = { length = "7 m", conductor = "1.5 mm2" }\n', "")),
            ((0,), ('salinity = "36 g/kg"', 'salinity = "0 g/kg"')),
            ((0,), ('least = "9 L/min", ', "")),
            ((0, 1), ('fitted = "demo-mag-medium-230"', 'fitted = "demo-dc-small-12"')),
            ((1,), ('cooling = "16000 BTU/h"', 'cooling = "40000 BTU/h"')),
        )
    ):
        file = written(tmp_path, edited(text_of(KETCH), change), f"{number}.toml")
        for units in ("metric", "us"):
            result = run(*FEW, "--units", units, file)
            assert result.exception is None or isinstance(result.exception, SystemExit), change
            assert result.exit_code in codes, (change, result.stdout[:900])
        assert json.loads(run("--json", *FEW, file).stdout)["loops"]


def test_a_cable_too_long_for_any_conductor_is_said_so(tmp_path):
    text = edited(
        text_of(SLOOP),
        ('cable = { length = "8.5 m"', 'cable = { length = "190 m"'),
        ('fitted = "demo-dc-variable-12"', 'fitted = "demo-impeller-12"'),
        ("[design]", '[design]\npumps = ["demo-impeller-12"]'),
    )
    result = run("--full", "--samples", "0", written(tmp_path, text))
    assert result.exit_code == 1
    flat = " ".join(result.stdout.split())
    assert WORDS["cable_too_long"].partition(": ")[2] in flat
    assert flat.count("too thin") == 1
    loop = json.loads(run("--json", "--samples", "0", tmp_path / "case.toml").stdout)["loops"][0]
    assert loop["supply"]["conductor_metric"] is None
    assert loop["pumps"][0]["judgement"]["reasons"][0]["kind"] == "design.does_not_turn"


def test_two_loops_have_two_answers():
    text = shown(CATAMARAN).stdout
    assert (text.count("\nTight "), text.count("\nYes ")) == (1, 1)
    assert text.index("\nPort hull\n") < text.index("\nStarboard hull\n")


def test_it_runs_as_a_program_of_its_own():
    def program(*arguments):
        return subprocess.run(
            [sys.executable, "-m", "seaflow", *map(str, arguments)],
            capture_output=True,
            text=True,
            encoding="utf-8",
            env={"PYTHONIOENCODING": "utf-8"},
            check=False,
        )

    fine = program("size", *FEW, path_of(KETCH))
    assert fine.returncode == 0 and fine.stderr == ""
    assert fine.stdout == shown(KETCH).stdout
    bad = program("size", "nowhere.toml")
    assert bad.returncode == 2 and bad.stdout == "" and "no such file" in bad.stderr
    assert program("size", "--samples", "0", path_of(BAD)).returncode == 1
    assert "0.1" in program("--version").stdout or program("--version").returncode == 0
