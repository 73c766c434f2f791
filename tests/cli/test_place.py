"""The command `place`: exit codes, text, data, units, and a drawing that is to scale."""

import json
import math
import re
import xml.etree.ElementTree as ElementTree
from functools import cache

import pytest
from click.testing import CliRunner
from sizing import KETCH, MOTOR, edited, path_of, shipped, text_of, written

from seaflow.cli.main import main
from seaflow.present.place_drawing import place_svg
from seaflow.studies.placing.study import place

HALF_A_TENTH = 0.05  # pixels: positions are written to a tenth
SVG = "{http://www.w3.org/2000/svg}"
METRIC = r"\d ?(?:L/min|m|mm|cm|kW|kPa|°C|K|m/s)(?![\w/])"


def run(*arguments):
    return CliRunner().invoke(main, ["place", *map(str, arguments)])


@cache
def shown(name, *options):
    return run(path_of(name), *options)


@cache
def drawing(name, system="metric"):
    sketch = place(shipped(name)).pumps[0].sketch
    return sketch, ElementTree.fromstring(place_svg(sketch, system))


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_answer_comes_first_and_has_its_parts(name):
    result = shown(name)
    assert result.exit_code == 0, result.stderr
    lines = result.stdout.split("\n")
    assert any("Put the pump here" in line for line in lines[:8])
    for words in ("The places", "Why not the others", "Sound at each berth", "Cautions"):
        assert words in result.stdout
    for words in ("drilled below the waterline", "seacock", "clamps", "petrol", "duct"):
        assert words in result.stdout


def test_the_quietest_place_is_named_with_its_reason():
    text = " ".join(shown(MOTOR).stdout.split())
    assert "The quietest place of all, lazarette" in text
    assert "out for a hydraulic reason" in text


def test_a_difference_below_the_uncertainty_is_said():
    text = " ".join(shown(MOTOR).stdout.split())
    assert "By sound it cannot be told from engine room, aft bulkhead" in text
    assert "but not for its sound" in text


def test_data():
    result = shown(MOTOR, "--json")
    data = json.loads(result.stdout)
    (pump,) = data["pumps"]
    first = pump["outcomes"][0]
    assert first["rank"] == 1
    assert first["sound"][0]["level"]["unit"] == "dB"
    assert first["water"]["flow"]["unit"] == "m3/s"
    assert {cure["kind"] for cure in first["cures"]} >= {"mount", "locker", "hose", "speed", "all"}


def test_american_units():
    text = shown(MOTOR, "--units", "us").stdout.split("What was assumed")[0]
    text = text.replace("dB(A) at 1 m", "")  # the distance at which makers state it
    assert re.findall(METRIC, text) == []


def test_no_place_holds(tmp_path):
    text = text_of(KETCH).replace('access = "good"', 'access = "none"')
    text = text.replace('access = "poor"', 'access = "none"')
    result = run(written(tmp_path, text))
    assert result.exit_code == 1
    assert "None of the 5 places holds" in " ".join(result.stdout.split())


def test_a_case_without_places(tmp_path):
    text = text_of(KETCH).split("# From here on: for `seaflow place`")[0]
    result = run(written(tmp_path, text))
    assert result.exit_code == 2
    assert result.stderr.startswith("S55")


def test_a_drawing_is_written_and_never_over_another(tmp_path):
    file = tmp_path / "place.svg"
    result = run(path_of(KETCH), "-o", file)
    assert result.exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert ElementTree.fromstring(text).tag == f"{SVG}svg"
    again = run(path_of(KETCH), "-o", file)
    assert again.exit_code == 2
    assert again.stderr.startswith("W01")
    assert file.read_text(encoding="utf-8") == text


def test_another_ending_is_refused(tmp_path):
    result = run(path_of(KETCH), "-o", tmp_path / "place.png")
    assert result.exit_code == 2
    assert result.stderr.startswith("F12")


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_drawing_names_everything(name):
    sketch, root = drawing(name)
    words = " ".join(item.text or "" for item in root.iter(f"{SVG}text"))
    for part in (*(mark.name for mark in sketch.marks), *(run.name for run in sketch.runs)):
        assert part in words
    for part in ("invented", "water, upright", "1 m", "Plan", "Side view", "someone sleeps here"):
        assert part in words
    for box in sketch.boxes:
        assert box.name.split()[0] in words
    for item in (item for item in sketch.boxes if item.sleeps):
        assert f"berth, {item.level:.0f} dB(A)" in words


@pytest.mark.parametrize("name", [KETCH, MOTOR])
@pytest.mark.parametrize(
    ("system", "length", "word"), [("metric", 1.0, "1 m"), ("us", 0.9144, "3 ft")]
)
def test_the_drawing_is_to_scale(name, system, length, word):
    sketch, root = drawing(name, system)
    assert any(item.text == word for item in root.iter(f"{SVG}text"))
    bar = root.find(f".//{SVG}g[@id='scale-bar']/{SVG}line")
    scale = (float(bar.get("x2")) - float(bar.get("x1"))) / length
    widths = [float(item.get("width")) / scale for item in root.iter(f"{SVG}rect")]
    for box in sketch.boxes:
        long = box.aft[1] - box.aft[0]
        # Both ends of the width and, in proportion, both ends of the bar are written to a tenth.
        error = 2 * HALF_A_TENTH / scale * (1.0 + long / length)
        assert any(math.isclose(wide, long, abs_tol=error) for wide in widths)


def test_heel_is_drawn_at_its_angle():
    sketch, root = drawing(KETCH)
    dashed = [item for item in root.iter(f"{SVG}line") if item.get("stroke-dasharray") == "7 4"]
    slopes = set()
    for item in dashed:
        x1, y1, x2, y2 = (float(item.get(key)) for key in ("x1", "y1", "x2", "y2"))
        slopes.add(round(math.atan2(y1 - y2, x2 - x1), 2))
    assert {round(sketch.heel, 2), -round(sketch.heel, 2)} <= slopes


def test_odd_names_do_not_break_the_picture(tmp_path):
    text = edited(text_of(KETCH), ('name = "bilge, by the strainer"', 'name = "a <b> & \\"c\\""'))
    file = tmp_path / "place.svg"
    result = run(written(tmp_path, text), "-o", file)
    assert result.exit_code == 0
    ElementTree.fromstring(file.read_text(encoding="utf-8"))
