"""A file of one's own in the place of another kind gets one problem, and its own option."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

GOOD = Path(__file__).parents[1] / "messages" / "good.toml"
SHEET = "supply: 230 V 50 Hz\nQ l/min;H m\n0;5\n10;4\n20;2\n26;0\n"
READINGS = '[[reading]]\ndate = "2026-05-31"\nsea = "24 degC"\ndischarge = ["29 degC"]\n'
INTERVIEW = '[answers]\nname = "Demo"\n\n[earlier]\n'
OPTION = {
    "checklist": "--answers",
    "readings": "--readings",
    "parts": "--parts",
    "sheet": "--parts",
}


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """One file of each kind."""
    folder = tmp_path_factory.mktemp("kinds")
    found = {kind: folder / f"{kind}.toml" for kind in ("case", "checklist", "readings", "parts")}
    found |= {"sheet": folder / "sheet.csv", "interview": folder / "interview.toml"}
    found["case"].write_text(GOOD.read_text(encoding="utf-8"), encoding="utf-8")
    found["readings"].write_text(READINGS, encoding="utf-8")
    found["sheet"].write_text(SHEET, encoding="utf-8")
    found["interview"].write_text(INTERVIEW, encoding="utf-8")
    assert run("survey", found["case"], "--checklist", found["checklist"]).exit_code != 2
    assert run("example", "own-parts", "-o", found["parts"]).exit_code == 0
    return found


@pytest.mark.parametrize("command", ["size", "survey", "check"])
@pytest.mark.parametrize("kind", ["checklist", "readings", "parts", "sheet", "interview"])
def test_in_place_of_a_case(files, kind, command):
    answer = run(command, files[kind])
    assert answer.exit_code == 2
    assert answer.output.count("problem:") == answer.output.count("F20  ") == 1
    assert OPTION.get(kind, "--ask" if kind == "interview" else "--parts") in answer.output


@pytest.mark.parametrize(
    ("command", "option", "kinds"),
    [
        ("size", "--parts", ("case", "checklist", "readings", "interview")),
        ("diagnose", "--readings", ("case", "checklist", "parts", "sheet", "interview")),
        ("survey", "--answers", ("case", "readings", "parts", "interview")),
    ],
)
def test_behind_an_option(files, command, option, kinds):
    for kind in kinds:
        answer = run(command, files["case"], option, files[kind])
        assert answer.exit_code == 2, kind
        assert answer.output.count("problem:") == answer.output.count("F20  ") == 1, kind


def test_each_kind_in_its_own_place_is_taken(files):
    case = files["case"]
    for words in (
        ("check", case),
        ("survey", case, "--answers", files["checklist"]),
        ("diagnose", case, "--readings", files["readings"]),
        ("parts", "pumps", "--parts", files["parts"]),
        ("parts", "pumps", "--parts", files["sheet"]),
    ):
        assert "F20" not in run(*words).output, words
        assert run(*words).exit_code != 2, words


def test_half_a_case_is_no_other_kind(tmp_path):
    half = tmp_path / "half.toml"
    half.write_text('schema = 1\n[sea]\nwarmest = "30 degC"\n[[pump]]\nname = "pump"\n')
    assert "F20" not in run("check", half).output
