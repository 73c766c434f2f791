"""The command `parts`, and --parts on the commands that read a case."""

import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import TABLES, Catalogue
from seaflow.boat.parts.own_parts import load_parts
from seaflow.cli import sheets
from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
OWN = str(ROOT / "docs" / "examples" / "own-parts.toml")
CSV = str(ROOT / "docs" / "examples" / "own-pump.csv")
CASE = ROOT / "cases" / "ketch-one-unit.toml"
BAD = ROOT / "tests" / "messages" / "parts"
SVG = "{http://www.w3.org/2000/svg}"
GALLON = 231 * 0.0254**3  # m3, exact


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_all_tables_are_listed_with_their_sources():
    answer = run("parts")
    assert answer.exit_code == 0
    for table in TABLES:
        for name in Catalogue().rows(table):
            assert name in answer.stdout
    assert "invented" in answer.stdout
    assert "trade page, publisher withheld" in answer.stdout
    assert all(len(line) <= 100 for line in answer.stdout.splitlines())


def test_one_table_in_the_singular_or_plural():
    assert run("parts", "pump").stdout == run("parts", "pumps").stdout
    assert run("parts", "entry").stdout == run("parts", "entries").stdout
    assert run("parts", "alloy").stdout == run("parts", "alloys").stdout
    assert "demo-strainer-25" not in run("parts", "pumps").stdout


def test_an_empty_table_says_how_to_fill_it():
    answer = run("parts", "units")
    assert answer.exit_code == 0
    assert "--parts" in answer.stdout


def test_one_part_in_full_as_typed():
    answer = run("parts", "pump", "yard-pump-230", "--parts", OWN)
    assert answer.exit_code == 0
    for text in ("12.8 ft", "3/4 in", "48 dB", "210 EUR", "Sheet of the yard pump, edition 2"):
        assert text in answer.stdout


def test_a_part_is_named_by_a_beginning_of_its_name_alone_and_two_are_asked_back():
    full = run("parts", "pumps", "demo-mag-medium-230")
    assert run("parts", "pumps", "demo-mag-medium-2").output == full.output
    drawn = run("parts", "pumps", "DEMO-mag-medium-230", "--curve").output
    assert run("parts", "pumps", "demo-mag-medium-2", "--curve").output == drawn
    two = run("parts", "pumps", "demo-mag")
    assert two.exit_code == 2
    assert "demo-mag-medium-230" in two.output and "demo-mag-large-230" in two.output


def test_own_parts_are_listed_as_own():
    answer = run("parts", "pumps", "--parts", OWN, "--parts", CSV)
    lines = [line for line in answer.stdout.splitlines() if "own part" in line]
    assert len(lines) >= 3
    assert "yard-pump-230" in answer.stdout


def test_json_lists_the_same():
    found = json.loads(run("parts", "--json", "--parts", OWN).stdout)["parts"]
    assert all(part["source"] for part in found)
    assert sum(part["own"] for part in found) == 6
    assert {part["table"] for part in found} == set(TABLES)
    one = json.loads(run("parts", "pump", "yard-pump-230", "--parts", OWN, "--json").stdout)
    assert one["figures"]["voltage"] == "230 V"


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("parts", "sails"), "F10"),
        (("parts", "pumps", "no-such-pump"), "S16"),
        (("parts", "strainers", "demo-strainer-25", "--curve"), "F11"),
        (("parts", "--curve"), "F11"),
        (("parts", "pumps", "demo-mag-small-230", "-o", "curve.png"), "F12"),
        (("parts", "--parts", BAD / "P09-rising.toml"), "P09"),
        (("size", CASE, "--parts", BAD / "P09-rising.toml"), "P09"),
        (("check", CASE, "--parts", BAD / "P09-rising.toml"), "P09"),
        (("size", CASE, "--parts", BAD / "none.toml"), "F01"),
    ],
    ids=str,
)
def test_what_cannot_be_done_is_said(words, code):
    answer = run(*words)
    assert answer.exit_code == 2
    assert answer.stderr.startswith(f"{code}  ")
    assert answer.stdout == ""
    data = run(*words, "--json")
    assert data.exit_code == 2
    assert json.loads(data.stdout)["problems"][0]["code"] == code


def test_remarks_on_own_parts_go_to_standard_error():
    answer = run("parts", "pumps", "--parts", BAD / "P10-small-hump.toml")
    assert answer.exit_code == 0
    assert answer.stderr.startswith("P10  ")


# --- the curve ----------------------------------------------------------------------------------


def test_the_drawing_marks_the_given_points_and_falls():
    text = run("parts", "pump", "yard-pump-230", "--parts", OWN, "--curve").stdout
    rows = [line[9:] for line in text.splitlines() if re.match(r"[ \d.]{9}[|+]", line)]
    assert sum(row.count("o") for row in rows) == 5
    assert "head, m" in text
    assert "flow, L/min" in text
    assert "Sheet of the yard pump" in text
    first = [next(i for i, c in enumerate(row) if c in "·o") for row in rows if set(row) & {*"·o"}]
    assert first == sorted(first)  # further down, further right


def test_the_drawing_in_us_units_reads_as_the_sheet():
    text = run("parts", "pump", "yard-pump-230", "--parts", OWN, "--curve", "--units", "us").stdout
    assert "head, ft" in text
    assert "flow, gpm" in text


def test_json_of_a_curve_goes_through_the_given_points():
    words = ("parts", "pump", "yard-pump-230", "--parts", OWN, "--curve", "--json")
    curve = json.loads(run(*words).stdout)
    assert (curve["flow"]["unit"], curve["head"]["unit"]) == ("m3/s", "m")
    given = dict(zip(curve["given_flow"]["value"], curve["given_head"]["value"], strict=True))
    assert max(given) == pytest.approx(8 * GALLON / 60)
    assert max(given.values()) == pytest.approx(12.8 * 0.3048)
    line = dict(zip(curve["flow"]["value"], curve["head"]["value"], strict=True))
    for flow, head in given.items():
        assert line[flow] == pytest.approx(head)


@pytest.fixture
def picture(tmp_path):
    file = tmp_path / "curve.svg"
    answer = run("parts", "pump", "yard-pump-230", "--parts", OWN, "-o", file)
    assert answer.exit_code == 0
    assert str(file) in answer.stdout
    return file


def test_the_picture_has_dots_line_units_and_source(picture):
    root = ElementTree.parse(picture).getroot()
    dots = root.findall(f".//{SVG}circle")
    assert len(dots) == 5 + 1  # the points, and the one of the legend
    texts = [element.text for element in root.findall(f"{SVG}text")]
    for text in ("head, m", "flow, L/min", "given on the sheet", "curve that is used"):
        assert text in texts
    assert any(text.startswith("Source: invented: Sheet of the yard pump") for text in texts)
    line = root.findall(f"{SVG}polyline")[0].get("points").split()
    places = [tuple(float(number) for number in pair.split(",")) for pair in line]
    for dot in dots[:5]:
        assert (float(dot.get("cx")), float(dot.get("cy"))) in places


def test_a_picture_is_never_written_over(picture):
    before = picture.read_bytes()
    answer = run("parts", "pump", "demo-mag-small-230", "-o", picture)
    assert answer.exit_code == 2
    assert answer.stderr.startswith("W01")
    assert picture.read_bytes() == before


def test_a_folder_that_is_not_there(tmp_path):
    answer = run("parts", "pump", "demo-mag-small-230", "-o", tmp_path / "no" / "curve.svg")
    assert answer.exit_code == 2
    assert answer.stderr.startswith("W02")


@pytest.mark.parametrize("name", Catalogue().rows("pumps"))
def test_every_shipped_pump_can_be_drawn(name, tmp_path):
    assert run("parts", "pumps", name, "--curve").exit_code == 0
    assert run("parts", "pumps", name, "-o", tmp_path / "curve.svg").exit_code == 0
    ElementTree.parse(tmp_path / "curve.svg")


# --- a plain sheet -------------------------------------------------------------------------------

SHEET = "GPM  PSI\n0.0  5.97\n4.0  4.90\n8.0  0.0\n"  # of an invented pump


@pytest.fixture
def sheet(tmp_path):
    file = tmp_path / "pump.txt"
    file.write_text(SHEET, encoding="utf-8")
    return file


def test_a_plain_sheet_is_looked_at_before_use(sheet):
    assert "P18" in run("parts", sheet).stderr
    told = f"{sheet}, 230 V 50 Hz"
    answer = run("parts", told, "--curve", "--units", "us")
    assert answer.exit_code == 0
    assert "flow, gpm" in answer.stdout and "head, ft" in answer.stdout
    assert (
        sum(line.count("o") for line in answer.stdout.splitlines() if "|" in line or "+" in line)
        == 3
    )
    data = json.loads(run("parts", told, "--json").stdout)["parts"]
    assert [part["name"] for part in data] == ["pump"]
    drawn = sheet.with_suffix(".svg")
    assert run("parts", told, "-o", drawn).exit_code == 0
    assert drawn.exists()


def test_a_plain_sheet_is_the_pump_of_a_question(sheet):
    answer = run("size", CASE, "--pump", f"{sheet}, 230/50", "--samples", 0, "--json")
    assert answer.exit_code in (0, 1, 3)
    assert json.loads(answer.stdout)["loops"][0]["pumps"][0]["part"]["name"] == "pump"
    for words in (("--pump", sheet), ("--parts", sheet)):  # on the supply of the case
        taken = run("size", CASE, *words, "--samples", 0)
        assert taken.exit_code == answer.exit_code and "P22" in taken.stderr
    refused = run("parts", sheet, "--json")
    assert refused.exit_code == 2
    assert json.loads(refused.stdout)["problems"][0]["code"] == "P18"


def test_what_a_sheet_leaves_out_is_asked_at_a_terminal(sheet, monkeypatch):
    monkeypatch.setattr(sheets, "at_a_terminal", lambda: True)
    words = [str(word) for word in ("parts", sheet)]
    answer = CliRunner().invoke(main, words, input="230 V\n50 Hz\n")
    assert answer.exit_code in (0, 1, 3)
    assert f"'{sheet}, supply: 230 V, frequency: 50 Hz'" in answer.stderr
    left = CliRunner().invoke(main, words, input="\n")
    assert left.exit_code == 2
    assert "P18" in left.stderr


def test_files_of_parts_are_checked_without_a_case(sheet):
    assert run("check").exit_code == 2
    assert run("check", "--parts", OWN).exit_code == 0
    assert run("check", "--parts", sheet).exit_code == 2
    assert run("check", "--parts", f"{sheet}, 12 V").stdout.endswith("can be used.\n")


UNIT = """[[unit]]
name = "my-unit"
source = "plate of an invented unit"
cooling = "16000 BTU/h"
input_power = "1.4 kW"
refrigerant = "R-410A"
least_load = "40 %"
heating = { capacity = "17000 BTU/h", input_power = "1.35 kW", water = "10 degC" }
water_loss = [{ at = "15 L/min", head = "1.3 m" }]
"""


def test_what_the_sheet_of_a_unit_supplies_is_told_in_its_file(tmp_path):
    text = CASE.read_text(encoding="utf-8")
    start = text.index("[[unit]]")
    at = re.search(r"(?m)^at = .*$", text[start:])[0]
    model = f'[[unit]]\nname = "saloon unit"\nmodel = "my-unit"\n{at}\n'
    case, unit = tmp_path / "boat.toml", tmp_path / "unit.toml"
    case.write_text(text[:start] + model + text[text.index("\n\n", start) :], encoding="utf-8")
    unit.write_text(UNIT, encoding="utf-8")
    (read,) = load_case(str(case), load_parts([str(unit)]).catalogue).case.unit
    assert (read.least_load, read.heating.water) == (0.4, 10.0)
    unit.write_text(UNIT.replace(', head = "1.3 m"', ""), encoding="utf-8")
    checked = json.loads(run("check", case, "--parts", unit, "--json").stdout)
    (problem,) = checked["files"][0]["problems"]
    assert (problem["file"], problem["line"]) == (str(unit), len(UNIT.splitlines()))


# --- in a case ----------------------------------------------------------------------------------


@pytest.fixture
def own_case(tmp_path):
    text = CASE.read_text(encoding="utf-8").replace("demo-mag-medium-230", "bench-pump-230")
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_size_finds_own_parts_only_if_they_are_read(own_case):
    without = run("size", own_case, "--samples", 0)
    assert without.exit_code == 2
    assert "bench-pump-230" in without.stderr
    answer = run("size", own_case, "--samples", 0, "--full", "--parts", CSV)
    assert answer.exit_code in (0, 1)
    assert "bench-pump-230" in answer.stdout
    assert "kind of motor of an AC pump whose sheet does not say" in " ".join(answer.stdout.split())


def test_check_takes_own_parts(own_case):
    assert run("check", own_case).exit_code == 2
    assert run("check", own_case, "--parts", CSV).exit_code == 0


METRIC = re.compile(r"\b(?:mm|m|L/min|kPa)\b")


def test_every_pump_is_told_in_us_units_where_these_are_asked_for():
    """By hand: the figures of one pump; no figure of any other is left in metric units."""
    for name in Catalogue().rows("pumps"):
        told = CliRunner().invoke(main, ["parts", "pumps", name, "--units", "us"]).output
        figures = re.sub(r"\[.*?\]", "", told.partition("table of pumps")[2], flags=re.S)
        assert not METRIC.search(figures.partition("- Source")[0].replace("at 1 m", "")), name
    answer = CliRunner().invoke(main, ["parts", "pumps", "demo-mag-medium-115", "--units", "us"])
    told = " ".join(answer.output.split())
    assert "3/4 in" in told
    for litres, metres in ((7.6, 4.46), (22.8, 2.94)):
        gallons, feet = litres / 3.785411784, metres / 0.3048
        assert f"flow {gallons:.2f} gpm, head {feet:.1f} ft" in told


def test_a_part_is_told_as_it_was_typed_where_no_units_are_asked_for():
    plain = CliRunner().invoke(main, ["parts", "pumps", "demo-mag-medium-115"]).output
    metric = ["parts", "pumps", "demo-mag-medium-115", "--units", "metric"]
    assert CliRunner().invoke(main, metric).output == plain
    assert "19 mm" in plain and "4.46 m" in plain
