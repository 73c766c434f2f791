"""The command `new` without asking: the starter, and what is refused."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli import files
from seaflow.cli.main import main
from seaflow.forms.starter import starter_text

OWN = str(Path(__file__).parents[2] / "docs" / "examples" / "own-parts.toml")


def run(*arguments, lines=None):
    typed = None if lines is None else "".join(f"{line}\n" for line in lines)
    return CliRunner().invoke(main, ["new", *arguments], input=typed)


@pytest.fixture
def boat(tmp_path):
    return tmp_path / "boat.toml"


def kept(boat):
    return Path(f"{boat}.answers.toml")


# The starter.


def test_the_starter_is_written_and_runs_as_it_stands(boat):
    answer = run(str(boat))
    assert answer.exit_code == 0, answer.output
    assert boat.read_text(encoding="utf-8") == starter_text()
    assert f"seaflow size {boat}" in answer.output
    sized = CliRunner().invoke(main, ["size", str(boat), "--samples", "0"])
    assert sized.exit_code == 0, sized.output
    assert CliRunner().invoke(main, ["check", str(boat)]).exit_code == 0


@pytest.mark.parametrize("ask", [[], ["--ask"]])
def test_an_existing_file_is_left_as_it_is(boat, ask):
    boat.write_text("mine", encoding="utf-8")
    answer = run(str(boat), *ask, lines=["x"])
    assert answer.exit_code == 2
    assert f"W01  {boat}  problem: there is such a file already" in answer.output
    assert boat.read_text(encoding="utf-8") == "mine"
    assert not kept(boat).exists()


def test_a_link_to_nowhere_is_an_existing_file(boat):
    boat.symlink_to(boat.parent / "nowhere.toml")
    answer = run(str(boat))
    assert answer.exit_code == 2
    assert "W01" in answer.output
    assert not boat.exists()


@pytest.mark.parametrize("ask", [[], ["--ask"]])
def test_a_folder_that_is_missing(tmp_path, ask):
    answer = run(str(tmp_path / "none" / "boat.toml"), *ask, lines=["x"])
    assert answer.exit_code == 2
    assert "W02" in answer.output
    assert "there is no folder" in answer.output


def test_a_folder_instead_of_a_file(tmp_path):
    answer = run(str(tmp_path))
    assert answer.exit_code == 2
    assert "this is a folder" in answer.output


def test_a_file_that_cannot_be_written(boat, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    answer = run(str(boat))
    assert answer.exit_code == 2
    assert "W03" in answer.output
    assert "No space left on device" in answer.output


def test_own_parts_go_with_asking(boat):
    answer = run(str(boat), "--parts", OWN)
    assert answer.exit_code == 2
    assert "it goes with --ask" in answer.output
    assert not boat.exists()
