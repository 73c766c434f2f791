"""What ships with seaflow: examples written into an empty folder, pages of help, schemas."""

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from seaflow.base.shipped import example_text, examples, page_of, pages, schemas
from seaflow.cli.main import main
from seaflow.present.layout import WIDTH
from seaflow.present.shipped_text import page_text

ROOT = Path(__file__).parents[2]
BOATS = [name for name in examples() if not name.startswith("own-")]


def run(*arguments):
    return CliRunner().invoke(main, list(arguments))


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_the_list_has_a_line_for_every_file_there_is():
    said = run("example")
    assert said.exit_code == 0
    assert [
        name for name in examples() if not re.search(rf"^  {name} +\S", said.stdout, re.M)
    ] == []
    assert {path.stem for path in (ROOT / "cases").glob("*.toml")} == set(BOATS)


@pytest.mark.parametrize("name", examples())
def test_an_example_is_written_once_and_never_over_a_file(name):
    file = Path(examples()[name].name)
    assert run("example", name).exit_code == 0
    assert file.read_text(encoding="utf-8") == example_text(examples()[name])
    file.write_text("mine", encoding="utf-8")
    assert run("example", name).exit_code == 2
    assert file.read_text(encoding="utf-8") == "mine"
    assert run("example", name, "-o", "other.toml").exit_code == 0
    assert Path("other.toml").exists()


def test_what_an_example_says_to_type_works():
    for name in ("ketch-one-unit", "own-parts"):
        said = run("example", name).stdout
        typed = said.partition("seaflow ")[2].split()
        typed = ["ketch-one-unit.toml" if word == "BOAT" else word for word in typed]
        assert run(*typed, "--samples", "0").exit_code in (0, 1, 3)


def test_a_name_for_no_example_and_an_example_there_is_not():
    assert run("example", "-o", "boat.toml").exit_code == 2
    assert run("example", "nonsense").exit_code == 2


def test_a_shipped_boat_that_was_not_written_yet_is_told_how_to_get():
    said = run("size", "cases/ketch-one-unit.toml").output
    assert "seaflow example ketch-one-unit" in said
    assert "seaflow example" not in run("size", "cases/another.toml").output


@pytest.mark.parametrize("name", pages())
def test_every_page_can_be_read(name):
    said = run("explain", name)
    assert said.exit_code == 0
    title = re.search(r"^# (.*)", pages()[name].read_text(encoding="utf-8"), re.M)[1]
    assert said.stdout.splitlines()[0] == title.replace("`", "")
    assert "](" not in said.stdout and "<!--" not in said.stdout
    for asked in re.findall(r"seaflow explain ([\w-]+)\)", said.stdout):
        assert page_of(asked) in pages()


def test_a_page_is_laid_out():
    text = "# Title\n\nOne\ntwo [three](size.md#x) `four`.\n\n- a\n  b\n- c\n\n"
    text += "| h | i |\n| --- | --- |\n| j | k |\n\n```text\n# l\n\nm\n```\n"
    lines = page_text(text).splitlines()
    assert lines[:4] == ["Title", "-----", "", "One two three (seaflow explain size) four."]
    assert lines[5:7] == ["  - a b", "  - c"]
    assert lines[8:10] == ["  h  i", "  j  k"]
    assert lines[11:] == ["    # l", "", "    m"]


@pytest.mark.parametrize("command", main.commands)
def test_every_command_has_a_page(command):
    assert page_of(command) in pages(), command


def test_codes_and_pages_may_be_asked_for_together():
    told = json.loads(run("explain", "k02", "PLACE", "--json").stdout)
    assert [one["code"] for one in told["codes"]] == ["K02"]
    assert [one["name"] for one in told["pages"]] == ["placing"]
    told = json.loads(run("explain", "--json").stdout)
    assert told["pages"] == list(pages())


@pytest.mark.parametrize("kind", schemas())
def test_a_schema_is_printed_and_written(kind):
    printed = run("schema", kind).stdout
    jsonschema.Draft202012Validator.check_schema(json.loads(printed))
    assert run("schema", kind, "-o", "s.json").exit_code == 0
    assert Path("s.json").read_text(encoding="utf-8") == printed
    assert run("schema", kind, "-o", "s.json").exit_code == 2


@pytest.mark.parametrize("name", [*BOATS, "own-parts"])
def test_every_example_names_its_schema_and_keeps_it(name):
    """Where it ships, and again where it was written."""
    path = examples()[name]
    first, _, text = path.read_text(encoding="utf-8").partition("\n")
    goal = (path.parent / first.removeprefix("#:schema ")).resolve()
    kind = "case" if name in BOATS else "parts"
    assert goal == schemas()[kind].resolve()
    jsonschema.validate(tomllib.loads(text), json.loads(goal.read_text(encoding="utf-8")))
    written = example_text(path).partition("\n")
    assert written[0] == f"#:schema ./{kind}.schema.json"
    assert written[2] == text


@pytest.mark.parametrize("write", [["new", "boat.toml"], ["example", "ketch-one-unit"]])
def test_a_written_case_finds_the_schema_beside_it(write):
    run(*write)
    (case,) = Path().glob("*.toml")
    named = case.read_text(encoding="utf-8").partition("\n")[0].removeprefix("#:schema ")
    assert run("schema", "case", "-o", named).exit_code == 0
    schema = json.loads(Path(named).read_text(encoding="utf-8"))
    jsonschema.validate(tomllib.loads(case.read_text(encoding="utf-8")), schema)


def test_no_text_names_a_file_that_only_a_checkout_has():
    shown = [*(ROOT / "seaflow").rglob("*.py"), *(ROOT / "seaflow" / "data").rglob("*.toml")]
    found = re.compile(r"(?<![/\w])(?:docs|cases)/[\w-]+\.(?:md|toml)")
    named = {
        path.name: hits
        for path in shown
        if (hits := found.findall(path.read_text(encoding="utf-8"))) and path.name != "draws.py"
    }
    assert named == {}


@pytest.mark.parametrize("name", pages())
def test_a_page_is_folded_but_for_what_a_command_prints(name):
    """Also in a pipe, where an answer keeps its tables as wide as they are."""
    bare = re.sub(r"^```.*?^```$", "", pages()[name].read_text(encoding="utf-8"), flags=re.M | re.S)
    assert [line for line in page_text(bare).split("\n") if len(line) > WIDTH] == []
