"""What a command says of itself works as it stands, and a shell completes it."""

import re
import shlex
import subprocess
import sys

import click
import pytest
from click.shell_completion import ShellComplete
from click.testing import CliRunner

from seaflow.base.shipped import examples, page_of, pages
from seaflow.base.tables import read_table
from seaflow.boat.parts.catalogue import TABLES, Catalogue
from seaflow.cli.help import example_lines
from seaflow.cli.main import main

SIGNS = read_table("instruments.toml")["sign"]
SECTIONS = read_table("sections.toml")
FINE = {0, 1, 3}  # met, not met, tightly


def run(*words):
    return CliRunner().invoke(main, list(words))


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("command", main.commands)
def test_the_example_of_a_command_works_in_an_empty_folder(command):
    said = run(command, "--help").stdout
    *made, shown = example_lines(command)
    assert shown.split()[:2] == ["seaflow", command]
    for line in (*made, shown):
        assert f"\n  {line}\n" in said
        assert run(*shlex.split(line)[1:]).exit_code in FINE, line


@pytest.mark.parametrize("command", main.commands)
def test_the_page_it_names_is_there(command):
    (named,) = re.findall(r"^More: seaflow explain (\S+)$", run(command, "-h").stdout, re.M)
    assert named in pages() and page_of(command) == named


def test_what_the_program_says_to_try_works():
    tried = run("--help").stdout.split("Try:")[1]
    for line in re.findall(r"seaflow ([^,\n]+)", tried):
        assert run(*line.split()).exit_code in FINE, line


@pytest.mark.parametrize("command", main.commands)
def test_every_option_stands_in_one_group(command):
    said = run(command, "--help").stdout.partition(":\n")[2]  # behind the first heading
    for option in main.commands[command].params:
        if isinstance(option, click.Option):
            spelled = re.escape(max(option.opts, key=len))
            assert len(re.findall(rf"^  (?:-\w, )?{spelled}\b(?!-)", said, re.M)) == 1, spelled


def test_readings_stand_apart_from_what_is_asked_and_how_it_is_answered():
    heads = re.findall(r"^(\w[\w ]*):$", run("diagnose", "--help").stdout, re.M)
    assert heads == ["The boat", "Readings", "Options", "Answer", "Parts and draws", "Example"]


def completed(typed):
    """Words a shell is offered for the last word typed, or the kind of name."""
    *words, last = typed.split(" ")
    found = ShellComplete(main, {}, "seaflow", "_SEAFLOW_COMPLETE").get_completions(words, last)
    return {one.type if one.type != "plain" else one.value for one in found}


FILES = [f"{name} " for name in ("balance", "check", "diagnose", "new", "place", "size", "survey")]
FILES += ["size a.toml b", "size a.toml --parts ", "place a.toml -o p", "diagnose a --readings "]


@pytest.mark.parametrize("typed", FILES)
def test_names_of_files_are_completed(typed):
    assert completed(typed) == {"file"}


WORDS = [
    ("size --units ", {"metric", "us"}),
    ("example ", set(examples())),
    ("example own", {"own-parts", "own-pump"}),
    ("parts ", set(TABLES)),
    ("parts pumps ", set(Catalogue().rows("pumps"))),
    ("energy a.toml --pump ", set(Catalogue().rows("pumps"))),
    ("diagnose a.toml --pump ", set(SIGNS["pump"]["healthy"])),
    ("diagnose a.toml --mode h", {"heating"}),
    ("explain K0", {code for code in read_table("problems.toml") if code.startswith("K0")}),
    ("explain plac", {"placing"}),
    *((f"{command} a.toml --section ", set(words)) for command, words in SECTIONS.items()),
]


@pytest.mark.parametrize(("typed", "words"), WORDS, ids=[typed for typed, _ in WORDS])
def test_words_are_completed(typed, words):
    assert completed(typed) == words


def answered(monkeypatch, shell, typed):
    """What the program prints when a shell asks it, for a line with the cursor at its end."""
    *words, last = typed.split(" ")
    at = last if shell == "fish" else str(len(words))
    asked = {"COMP_WORDS": typed, "COMP_CWORD": at, "_SEAFLOW_COMPLETE": f"{shell}_complete"}
    for name, value in asked.items():
        monkeypatch.setenv(name, value)
    said = CliRunner().invoke(main, [], prog_name="seaflow")
    assert said.exit_code == 0 and said.stderr == ""
    return re.split(r"[\n\t,]", said.stdout.strip())  # versions of click frame them differently


def test_bash_is_answered(monkeypatch):
    assert answered(monkeypatch, "bash", "seaflow si") == ["plain", "size"]
    assert answered(monkeypatch, "bash", "seaflow size a.toml --section bo") == ["plain", "bores"]
    assert answered(monkeypatch, "bash", "seaflow size ke") == ["file", "ke"]


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_zsh_and_fish_are_answered_with_what_a_word_stands_for(monkeypatch, shell):
    kind, value, stands_for = answered(monkeypatch, shell, "seaflow place a.toml --section so")
    assert (kind, value) == ("plain", "sound") and stands_for == SECTIONS["place"]["sound"]
    assert answered(monkeypatch, shell, "seaflow size a.toml --units u")[:2] == ["plain", "us"]
    assert answered(monkeypatch, shell, "seaflow survey ke")[:2] == ["file", "ke"]
    kind, value, stands_for = answered(monkeypatch, shell, "seaflow impro")
    assert (kind, value) == ("plain", "improve") and stands_for != "_"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_gets_a_script_that_asks_the_program(monkeypatch, shell):
    monkeypatch.setenv("_SEAFLOW_COMPLETE", f"{shell}_source")
    said = CliRunner().invoke(main, [], prog_name="seaflow").stdout
    assert f"_SEAFLOW_COMPLETE={shell}_complete" in said


def test_sections_are_completed_without_what_is_slow_to_load():
    asked = "import os; os.environ.update(_SEAFLOW_COMPLETE='fish_complete', "
    asked += "COMP_WORDS='seaflow size a.toml --section ', COMP_CWORD='')\n"
    asked += "from seaflow.cli.main import main\ntry: main(prog_name='seaflow')\n"
    asked += "except SystemExit: pass\nimport sys; sys.exit('numpy' in sys.modules)"
    subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True)


def test_an_option_that_counts_once_is_not_given_twice_with_two_values():
    once = [
        (name, param)
        for name, command in main.commands.items()
        for param in command.params
        if isinstance(param, click.Option) and not (param.multiple or param.is_flag)
    ]
    assert len(once) > 40
    for name, param in once:
        refused = run(name, param.opts[0], "28 x", param.opts[-1], "30 x")
        assert refused.exit_code == 2
        assert {max(param.opts, key=len), '"28', '"30'} <= set(refused.stderr.split()), name


def test_an_option_may_be_given_twice_if_it_says_the_same_or_counts_each_time():
    run("example", "ketch-one-unit")
    words = ("--units", "us", "--units=us", "--section", "pump", "--section", "bore")
    assert run("size", "ketch-one-unit.toml", *words, "--full", "--full").exit_code in FINE
    assert run("size", "--sea", "28C", "--sea", "30C", "--help").exit_code == 0
