"""The pages say what is so: generated ones are fresh, blocks run, links lead somewhere."""

import ast
import doctest
import os
import re
import subprocess
from pathlib import Path

import click
import make
import pytest
from generator import console

import seaflow
from seaflow.base.tables import read_table
from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
PAGES = console.pages()
BLOCKS = console.blocks()
LINK = re.compile(r"\[[^\]]+\]\(([^)\s]+)\)")
CODE = re.compile(r'"([A-Z]\d\d)"')


def text_of(name):
    return (ROOT / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", make.PAGES)
def test_generated_page_is_fresh(name):
    shown, now = text_of(f"docs/{name}").split("\n"), make.PAGES[name]().split("\n")
    hint = f"docs/{name} is stale: run python docs/make.py"
    assert len(shown) == len(now), hint
    for old, new in zip(shown, now, strict=True):
        assert console.same(old, new), f"{hint}\n- {old}\n+ {new}"


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: f"{block.page}: {block.command}")
def test_console_block_shows_what_is_printed(block):
    missing = console.missing(block.shown, console.output(block.command))
    assert not missing, f"run python docs/make.py --console; not printed like this:\n{missing}"


def test_blocks_run_the_command_of_this_checkout(tmp_path, monkeypatch):
    other = tmp_path / "seaflow"
    other.write_text("#!/bin/sh\necho another\n", encoding="utf-8")
    other.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    assert f"version {seaflow.__version__}" in console.output("seaflow --version")


def test_there_are_console_blocks():
    assert {"README.md", "size.md"} <= {block.page for block in BLOCKS}


class Near(doctest.OutputChecker):
    """Compares numbers to the last digit shown."""

    def check_output(self, want, got, optionflags):
        return console.same(want, got)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_python_block_runs(path, monkeypatch):
    monkeypatch.chdir(ROOT)
    runner = doctest.DocTestRunner(checker=Near(), verbose=False)
    found = re.findall(r"^```python\n(.*?)^```$", path.read_text(encoding="utf-8"), re.M | re.S)
    for block in found:
        test = doctest.DocTestParser().get_doctest(block, {}, path.name, str(path), 0)
        assert runner.run(test).failed == 0


def slugs(text):
    """The anchors that the headings of a page make."""
    bare = re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)
    titles = re.findall(r"^#+ (.+)$", bare, re.M)
    return {re.sub(r"[^\w\- ]", "", title.lower()).strip().replace(" ", "-") for title in titles}


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_links_lead_somewhere(path):
    for target in LINK.findall(path.read_text(encoding="utf-8")):
        if re.match(r"https?:", target):
            continue
        name, _, anchor = target.partition("#")
        goal = (path.parent / name).resolve() if name else path
        assert goal.exists(), target
        assert not anchor or anchor in slugs(goal.read_text(encoding="utf-8")), target


def test_every_page_is_listed():
    listed = {target.partition("#")[0] for target in LINK.findall(text_of("docs/index.md"))}
    pages = {path.name for path in (ROOT / "docs").glob("*.md")} - {"index.md"}
    assert pages - listed == set()


def test_every_problem_code_is_in_the_table_and_raised():
    raised = set()
    for path in (ROOT / "seaflow").rglob("*.py"):
        raised |= set(CODE.findall(path.read_text(encoding="utf-8")))
    assert set(read_table("problems.toml")) == raised
    for code, row in read_table("problems.toml").items():
        assert set(row) == {"title", "meaning", "mend", "exit"}, code
        assert all(row[part].endswith(".") for part in ("meaning", "mend")), code
        assert row["exit"] in (0, 2), code


def test_every_command_is_documented():
    page = text_of("docs/commands.md")
    for name, command in main.commands.items():
        assert f"## seaflow {name}\n" in page
        assert command.help
        for option in command.params:
            if isinstance(option, click.Option):
                assert all(spelled in page for spelled in option.opts), option.name


def test_every_folder_of_the_package_is_on_the_map():
    page = text_of("DEVELOPERS.md")
    for folder in {path.parent for path in (ROOT / "seaflow").rglob("*.py")} - {ROOT / "seaflow"}:
        assert f"`{folder.relative_to(ROOT).as_posix()}`" in page, folder


def test_every_module_says_what_it_is():
    for path in (ROOT / "seaflow").rglob("*.py"):
        assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), path


def test_ci_runs_the_test_command_of_the_readme():
    shown = subprocess.run(
        [ROOT / ".ci" / "run", "--print"], capture_output=True, text=True, check=True
    ).stdout.strip()
    assert f"```sh\n{shown}\n```" in text_of("README.md")
    assert "pytest" in shown
    assert shown in text_of("DEVELOPERS.md")


def test_the_comparison_notices_a_difference():
    assert console.same("flow  15.0 L/min", "flow 15.1 L/min")
    assert not console.same("flow 15.0 L/min", "flow 15.9 L/min")
    assert not console.same("5 corners", "6 corners")
    assert console.same("72% at 62 W", "73% at 61 W")
    assert not console.same("flow 15.0", "head 15.0")
    assert console.missing("a\n...\nc\n", "a\nb\nc\n") == ""
    assert console.missing("a\n...\nx\n", "a\nb\nc\n") == "x"
    assert console.missing("a\n", "a\nb\n")
