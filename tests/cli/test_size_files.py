"""What `size` writes: the list of materials as CSV and data, and the picture of the curves."""

import csv
import io
import json
import re
import sys
import xml.etree.ElementTree as ElementTree

import pytest
from click.testing import CliRunner
from sizing import CATAMARAN, KETCH, edited, path_of, shipped, sized, text_of, written

from seaflow.cli.main import main
from seaflow.present.quantities import Show
from seaflow.present.size.curve_text import curves_text
from seaflow.present.size.materials import materials_text
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.materials import boat_materials
from seaflow.studies.size.size import size

FEW = ("--samples", "16")
FOOT = 0.3048  # m, exact
SVG = "{http://www.w3.org/2000/svg}"


def run(*words):
    return CliRunner().invoke(main, ["size", *FEW, *map(str, words)])


def rows_of(file):
    return list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8"))))


def test_list_and_picture_are_written_and_told(tmp_path):
    names = [tmp_path / name for name in ("list.csv", "curve.svg")]
    answer = run(path_of(CATAMARAN), "-o", names[0], "-o", names[1])
    assert answer.exit_code in (0, 3)
    assert [str(name) in answer.stdout for name in names] == [True, True]
    assert {row["loop"] for row in rows_of(names[0])} == {"port hull", "starboard hull"}
    root = ElementTree.parse(names[1]).getroot()
    assert root.tag == f"{SVG}svg"
    texts = " ".join(item.text for item in root.iter(f"{SVG}text"))
    assert "port hull" in texts and "starboard hull" in texts


def test_lengths_and_bores_of_the_list_are_in_both_systems(tmp_path):
    assert run(path_of(KETCH), "-o", tmp_path / "list.csv").exit_code in (0, 3)
    hoses = [row for row in rows_of(tmp_path / "list.csv") if row["kind"] == "hose"]
    assert [(row["bore [mm]"], row["bore [in]"]) for row in hoses] == [("25", "1"), ("19", "3/4")]
    for row in hoses:
        lies = float(row["length as it lies [m]"])
        metric, american = (float(row[f"length with slack [{unit}]"]) for unit in ("m", "ft"))
        assert 1.1 * lies - 1e-9 <= metric < 1.1 * lies + 0.1
        assert 1.1 * lies / FOOT - 1e-9 <= american < 1.1 * lies / FOOT + 0.1


def test_no_cell_of_the_list_is_run_by_a_spreadsheet(tmp_path):
    text = text_of(KETCH).replace('"strainer"', '"=HYPERLINK(1)"').replace('"pump"', '"@pump"')
    assert run(written(tmp_path, text), "-o", tmp_path / "list.csv").exit_code in (0, 3)
    rows = rows_of(tmp_path / "list.csv")
    cells = [cell for row in rows for cell in row.values()]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert any("HYPERLINK" in cell for cell in cells)


def test_the_data_hold_the_list_of_every_loop():
    data = json.loads(run(path_of(CATAMARAN), "--json").stdout)["materials"]
    assert [one["loop"] for one in data] == ["port hull", "starboard hull"]
    for one in data:
        for item in one["items"]:
            assert item["what"]["text"]
            assert item["length"]["unit"] == "m"
    lists = boat_materials(shipped(CATAMARAN), size(shipped(CATAMARAN), 16))
    assert [len(one["items"]) for one in data] == [len(one.items) for one in lists]


def test_with_json_the_files_are_told_on_standard_error(tmp_path):
    answer = run(path_of(KETCH), "--json", "-o", tmp_path / "curve.svg")
    assert json.loads(answer.stdout)["boat"]
    assert "curve.svg" in answer.stderr


def test_a_picture_in_points_where_the_extra_is_there(tmp_path):
    pytest.importorskip("resvg_py")
    assert run(path_of(KETCH), "-o", tmp_path / "curve.png").exit_code in (0, 3)
    assert (tmp_path / "curve.png").read_bytes().startswith(b"\x89PNG\r\n")


@pytest.mark.parametrize(
    ("file", "code"), [("curve.pdf", "F12"), ("boat.csv", "W01"), ("no/curve.svg", "W02")]
)
def test_nothing_is_calculated_for_a_file_that_cannot_be_written(tmp_path, file, code):
    (tmp_path / "boat.csv").write_text("kept", encoding="utf-8")
    answer = run(path_of(KETCH), "-o", tmp_path / "fresh.csv", "-o", tmp_path / file)
    assert answer.exit_code == 2
    assert answer.stderr.startswith(f"{code}  ")
    assert answer.stdout == ""
    assert not (tmp_path / "fresh.csv").exists()
    assert (tmp_path / "boat.csv").read_text(encoding="utf-8") == "kept"


def test_without_the_extra_a_png_is_refused_before_the_work(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    answer = run(path_of(KETCH), "-o", tmp_path / "curve.png")
    assert answer.exit_code == 2
    assert answer.stderr.startswith("F17  ")
    assert not list(tmp_path.iterdir())


def test_a_page_has_the_answer_the_curves_and_the_list_in_both_systems(tmp_path):
    answer = run(path_of(CATAMARAN), "-o", tmp_path / "size.html")
    assert "size.html" in answer.stdout
    text = (tmp_path / "size.html").read_text(encoding="utf-8")
    sections = re.findall(r'<section id="(\w+)"', text)
    assert sections == ["answer", "buy", "curve", "head", "parts", "basis", "cautions"]
    assert "Content-Security-Policy" in text and 'id="us"' in text
    for words in ("Port hull", "Starboard hull", "L/min", "gpm"):
        assert words in text


def test_many_cases_have_no_list_of_their_own(tmp_path):
    answer = run(path_of(KETCH), path_of(CATAMARAN), "-o", tmp_path / "list.csv")
    assert answer.exit_code == 2
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_sections_fit_the_page_and_say_every_line(system):
    show = Show(system)
    for one in boat_materials(shipped(KETCH), sized(KETCH)):
        lines = "\n".join(materials_text(show, one.items)).split("\n")
        assert all(len(line) <= 100 for line in lines)
        flat = " ".join(" ".join(lines).split())
        for item in one.items:
            for said in (item.what, item.rule, item.question):
                assert said is None or show.sentence(said) in flat
    for curves in boat_curves(shipped(KETCH), sized(KETCH)):
        lines = curves_text(show, curves)
        assert all(len(line) <= 100 for line in lines)
        assert sum("O" in line for line in lines[:18]) >= 1


def test_the_picture_shows_fitted_and_best_with_where_they_run(tmp_path):
    changed = edited(text_of(KETCH), ('growth = "0.5 mm"', 'growth = "0.7 mm"'))
    run(written(tmp_path, changed), "-o", tmp_path / "curve.svg", "--units", "us")
    texts = [
        "".join(item.itertext())
        for item in ElementTree.parse(tmp_path / "curve.svg").getroot().iter(f"{SVG}text")
    ]
    flat = " ".join(texts)
    assert "fitted now" in flat
    assert "head, ft" in texts and "flow, gpm" in texts
    assert any(text.startswith("needs ") for text in texts)
    assert any(text.startswith("most ") for text in texts)
