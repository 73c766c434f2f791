"""What a person reads: the whole text of every problem, as it stands beside its case."""

import re

import pytest
from click.testing import CliRunner
from said import FOLDER, names, said

from seaflow.base.problems import Problem
from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.present.problems import problems_text

HINT = "if it should read so, run: python tests/helpers/said.py"
TEXTS = {path.stem for path in FOLDER.glob("*.txt")}


@pytest.mark.parametrize("name", names())
def test_whole_text(name):
    path = FOLDER / f"{name}.txt"
    assert path.exists(), HINT
    assert said(name) + "\n" == path.read_text(encoding="utf-8"), HINT


def test_each_code_has_a_text_and_no_text_is_left_over():
    assert set(names()) == TEXTS
    codes = {code for name in TEXTS for code in re.findall(r"[A-Z]\d\d", name[:10])}
    assert codes == set(read_table("problems.toml"))


@pytest.mark.parametrize("name", names())
def test_the_exit_code_is_that_of_the_table(name):
    text = (FOLDER / f"{name}.txt").read_text(encoding="utf-8")
    code = re.findall(r"[A-Z]\d\d", name)[0]
    refused = any(f"Nothing was {done}." in text for done in ("calculated", "written"))
    left = read_table("problems.toml")[code]["exit"]
    assert left == (2 if refused else 0)
    assert "(exit code" not in text or f"(exit code {left})" in text


@pytest.mark.parametrize("name", names())
def test_each_problem_says_why_and_what_to_write(name):
    block = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").split("\n\n")[0]
    said_after = [line for line in block.split("\n")[1:] if line.startswith("    ")]
    sentences = [line for line in said_after if not re.match(r"\s*\d* \|", line)]
    assert len(sentences) >= 2, block


def good_with(tmp_path, *changes):
    text = (FOLDER / "good.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_one_slip_on_several_lines_is_told_once_and_kept_apart_in_json(tmp_path):
    changes = [(f'length = "{n} m"', f"length = {n}") for n in ("0.5", "0.6", "2.4", "1.9")]
    path = good_with(tmp_path, *changes)
    answer = CliRunner().invoke(main, ["check", str(path)])
    assert re.findall(r"^K\d\d", answer.stdout, re.M) == ["K03"]
    assert "The same on lines 65, 71, 78." in answer.stdout
    assert "4 problems. Nothing was calculated." in answer.stdout
    asked = CliRunner().invoke(main, ["check", "--json", str(path)])
    assert asked.stdout.count('"K03"') == 4


def test_two_slips_of_one_code_are_told_apart(tmp_path):
    path = good_with(
        tmp_path, ('length = "0.5 m"', "length = 0.5"), ('bore = "19 mm"', "bore = 19")
    )
    answer = CliRunner().invoke(main, ["check", str(path)])
    assert re.findall(r"^K\d\d", answer.stdout, re.M) == ["K03", "K03"]


def test_the_caret_stands_below_its_place_after_a_tab(tmp_path):
    path = good_with(tmp_path, ('length = "2.4 m"', "\tlength =\t2.4"))
    answer = CliRunner().invoke(main, ["check", str(path)])
    line, caret = answer.stdout.split("\n")[1:3]
    assert line.index("2.4") == caret.index("^")
    assert caret.count("^") == len("2.4")


def test_a_later_format_gets_one_sentence_and_nothing_else(tmp_path):
    path = good_with(tmp_path, ("schema = 1", "schema = 9\nengine = 3"), ("bore", "width"))
    answer = CliRunner().invoke(main, ["check", str(path)])
    assert re.findall(r"^[A-Z]\d\d", answer.stdout, re.M) == ["S01"]


def test_a_question_never_blocks(tmp_path):
    path = good_with(tmp_path, ('length = "2.4 m"', 'length = "60 m"'))
    loaded = load_case(str(path))
    assert [(item.code, item.warning) for item in loaded.warnings] == [("Q01", True)]
    assert CliRunner().invoke(main, ["size", "--samples", "0", str(path)]).exit_code in (0, 1)


def test_a_file_that_is_gone_still_has_a_text():
    text = problems_text([Problem("K03", "x has no unit", file="gone.toml", line=3, column=1)])
    assert text.startswith("K03  gone.toml:3  problem: x has no unit")
