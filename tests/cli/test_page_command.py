"""The command `page`: what it writes, refuses, prints and ends with."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli import progress
from seaflow.cli.main import main

CASES = Path(__file__).parents[2] / "cases"
SLOOP = CASES / "battery-sloop-variable.toml"


def run(*words):
    return CliRunner().invoke(main, ["page", *map(str, words)])


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    """A page that was written with --json, and what was printed."""
    file = tmp_path_factory.mktemp("page") / "sloop.html"
    return file, run(SLOOP, "-o", file, "--json", "--samples", "0")


def test_it_writes_one_file_and_prints_data(done):
    file, result = done
    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    assert answer["format"] == {"answer": "page", "version": 0}
    assert [stop["kind"] for stop in answer["runs"][0]["stretches"][0]["stops"]] == [
        *("intake", "strainer", "pump", "unit", "outlet")
    ]
    assert [lack["part"] for lack in answer["lacks"]] == ["place"]
    assert file.name in result.stderr
    assert file.read_text(encoding="utf-8").rstrip().endswith("</html>")


def test_what_was_assumed_is_said_as_the_page_says_all_else_and_no_bar_is_of_letters(done):
    file, _ = done
    text = file.read_text(encoding="utf-8")
    assumed = re.search(r'<table class="stack assumed">.*?</table>', text, re.DOTALL)[0]
    assert "°C" in assumed and "°F" in assumed
    assert not re.search(r"\bdeg[CF]\b", re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL))
    assert "Where the head goes" in text and "##" not in re.sub(r"<script.*", "", text)


@pytest.mark.parametrize(("words", "of"), [(["--samples", "0"], 10), (["--owner"], 2)])
def test_whoever_waits_at_a_terminal_hears_of_every_part(tmp_path, monkeypatch, words, of):
    monkeypatch.setattr(progress, "is_watched", lambda: True)
    monkeypatch.setattr(progress, "PATIENCE", -1.0)
    result = run(SLOOP, "-o", tmp_path / "page.html", *words)
    assert result.exit_code == 0
    told = re.findall(r"\rpart (\d+) of (\d+)(\n?)", result.stderr)
    assert [(int(number), int(last)) for number, last, _ in told] == [
        (number + 1, of) for number in range(of)
    ]
    assert [end for *_, end in told] == [""] * (of - 1) + ["\n"]


def test_a_file_of_errors_holds_no_word_of_the_parts(tmp_path, monkeypatch):
    monkeypatch.setattr(progress, "PATIENCE", -1.0)
    result = run(SLOOP, "-o", tmp_path / "page.html", "--owner")
    assert result.exit_code == 0 and "part" not in result.stderr


def test_nothing_is_written_over_and_another_ending_is_refused(done):
    file, _ = done
    before = file.read_bytes()
    taken = run(SLOOP, "-o", file, "--json")
    assert taken.exit_code == 2
    assert json.loads(taken.stdout)["problems"][0]["code"] == "W01"
    assert file.read_bytes() == before
    other = run(SLOOP, "-o", file.with_suffix(".pdf"), "--json")
    assert json.loads(other.stdout)["problems"][0]["code"] == "F12"
    assert not file.with_suffix(".pdf").exists()


def test_without_a_file_to_write_it_does_nothing():
    result = run(SLOOP)
    assert result.exit_code == 2 and "--output" in result.stderr


def test_what_is_remarked_in_the_file_is_told_once(tmp_path):
    """Asked for with an ending that is refused, so that nothing need be calculated."""
    result = run(CASES / "badly-arranged.toml", "-o", tmp_path / "boat.pdf")
    assert result.stderr.count("S25  ") == 1


# A boat of which too little is told


@pytest.fixture
def half_told(tmp_path):
    """The sloop without the plate of her unit and the lengths of her hoses."""
    text = SLOOP.read_text(encoding="utf-8")
    text = re.sub(r'^(cooling|length) = ".*$', "", text, flags=re.M)
    file = tmp_path / "half.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_of_a_half_told_boat_it_says_what_to_add_and_has_the_rest(half_told, tmp_path):
    file = tmp_path / "half.html"
    result = run(half_told, "-o", file, "--json")
    assert result.exit_code == 3
    (lack,) = json.loads(result.stdout)["lacks"]
    lines = {problem["line"] for problem in lack["problems"]}
    page = file.read_text(encoding="utf-8")
    assert {problem["code"] for problem in lack["problems"]} == {"K02"} and len(lines) > 2
    assert page.count("not recorded</em>") >= len(lines) - 1
    assert all(problem["write"].split(" = ")[0] in page for problem in lack["problems"])
    for mark in ("answer", "run", "survey", "cautions"):
        assert f'<section id="{mark}"' in page
    assert 'id="curve"' not in page


def test_true_errors_are_refused_however_much_is_missing(half_told, tmp_path):
    text = half_told.read_text(encoding="utf-8")
    half_told.write_text(text.replace('warmest = "', 'warmest = "warm '), encoding="utf-8")
    result = run(half_told, "-o", tmp_path / "half.html", "--json")
    assert result.exit_code == 2 and not (tmp_path / "half.html").exists()
    codes = {problem["code"] for problem in json.loads(result.stdout)["problems"]}
    assert "K02" in codes and len(codes) > 1
