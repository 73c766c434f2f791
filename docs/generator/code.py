"""Pages of the code: functions with their sources, the register of sources, commands, modules."""

from __future__ import annotations

import ast
import importlib
import pkgutil

import click

import seaflow.physics
from generator.docstrings import told
from generator.text import ROOT, page, table
from seaflow.base.sources import CITATIONS, Citation, source
from seaflow.base.tables import read_folder
from seaflow.cli.main import main

COMMANDS = """
What `seaflow --help` says of each command.

With `--json` an answer is data in SI units. A number that was worked out is an object of `value`
and `unit`; where several share a unit (a band, the least flow of each unit by its name) one `unit`
stands beside them. What does not exist is `null`. `size` of one case is an object, of several cases
a list. Input that cannot be used gives `problems`, each with code, file, line, what, why and what
to write.

A name that is typed, of a unit, an outlet, a loop, a part, a shipped example or a choice, may be
cut short: what it begins is taken, whole words before parts of one, in any letter case. What begins
several gets a question back with all of them. In a case file names stand in full.
"""
COMPLETION = """
## On a terminal

Sentences and tables are folded to the width of the terminal, and headings and labels are bold
unless `NO_COLOR` is set. A file or a pipe gets plain text, its tables as wide as they need.

## Completion in the shell

The shell completes commands, options, names of files, and words: units, a word for each section
of an answer, kinds of sheets and boats that ship with seaflow, pumps and tables, what a reading may
say, codes and pages. zsh and fish also show what each word stands for. Put one line into the file
that the shell reads at its start:

| shell | file | line |
| --- | --- | --- |
| bash 4.4 or later | `~/.bashrc` | `eval "$(_SEAFLOW_COMPLETE=bash_source seaflow)"` |
| zsh | `~/.zshrc` | `eval "$(_SEAFLOW_COMPLETE=zsh_source seaflow)"` |
| fish | `~/.config/fish/config.fish` | `_SEAFLOW_COMPLETE=fish_source seaflow \\| source` |
"""


def _load_physics() -> None:
    for found in pkgutil.walk_packages(seaflow.physics.__path__, "seaflow.physics."):
        importlib.import_module(found.name)


def functions() -> str:
    """Return every formula with what it takes, gives and refuses, and where it comes from."""
    _load_physics()
    modules: dict[str, list[tuple[str, ...]]] = {}
    for full, cited in sorted(CITATIONS.items()):
        module, _, name = full.rpartition(".")
        modules.setdefault(module, []).append((f"`{name}`", *_row(module, name), *_cited(cited)))
    head = ("function", "what it gives", "takes", "returns", "refuses", "source", "valid")
    blocks = []
    for module, rows in modules.items():
        words = (importlib.import_module(module).__doc__ or "").partition("\n")[0]
        blocks += [f"## {module}\n", words + "\n", table(head, rows)]
    intro = """
Every formula of the physics with its source, from the marks and the docstrings in the code. A name
is explained in the [glossary](glossary.md); a number may be an array, and arrays broadcast. "own"
is a derivation or a bridging choice of this project; the docstring of the function says which.
"""
    return page("Functions and their sources", intro, *blocks)


def _row(module: str, name: str) -> tuple[str, ...]:
    found = told(getattr(importlib.import_module(module), name))
    takes = ", ".join(f"{one} [{unit}]" for one, (unit, _) in found.takes.items())
    gives = "" if found.gives is None else f"[{found.gives[0]}]: {found.gives[1]}"
    refuses = "; ".join(f"{error}: {words}" for error, words in found.refuses)
    return found.summary, takes, gives, refuses


def _cited(cited: Citation) -> tuple[str, str]:
    valid = "; ".join(f"{key} {low:g} to {high:g}" for key, (low, high) in cited.valid.items())
    return f"[{cited.source}](sources.md#{cited.source}): {cited.where}", valid


def sources() -> str:
    """Return the register of references."""
    _load_physics()
    blocks = []
    for key in sorted(read_folder("sources")):
        entry = source(key)
        users = sorted(name.rpartition(".")[2] for name, c in CITATIONS.items() if c.source == key)
        used = ", ".join(f"`{name}`" for name in users) or "the tables of data"
        blocks += [f"## {key}\n", f"{entry.text}. Seen: {entry.seen}. Used by {used}.\n"]
    intro = """
How a source was seen is said of each: "read" in the document or in published code of it,
"second-hand" in a copy or summary, "memory" not seen. What is from memory should be checked before
anybody relies on it.
"""
    return page("Sources", intro, *blocks)


def commands() -> str:
    """Return the help of every command."""
    blocks = [f"```text\n{_help(main, 'seaflow')}\n```\n"]
    for name, command in sorted(main.commands.items()):
        blocks += [f"## seaflow {name}\n", f"```text\n{_help(command, f'seaflow {name}')}\n```\n"]
    return page("Commands", COMMANDS, *blocks, COMPLETION.lstrip("\n"))


def _help(command: click.Command, name: str) -> str:
    # As click makes it below `seaflow`, so that -h is shown whichever is asked first.
    context = click.Context(
        command,
        info_name=name,
        terminal_width=90,
        max_content_width=90,
        help_option_names=main.context_settings["help_option_names"],
    )
    return command.get_help(context).rstrip()


def modules() -> str:
    """Return every module with its first sentence and what it imports of ours."""
    blocks = []
    for folder in sorted({path.parent for path in (ROOT / "seaflow").rglob("*.py")}):
        rows = []
        for path in sorted(folder.glob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            words = (ast.get_docstring(tree) or "").partition("\n")[0]
            rows.append((f"`{path.stem}`", words, ", ".join(_ours(tree))))
        name = folder.relative_to(ROOT).as_posix()
        blocks += [f"## {name}\n", table(("module", "what it does", "imports"), rows)]
    intro = "Imports go one way: cli, present, studies, model, boat, physics, base."
    return page("Modules", intro, *blocks)


def _ours(tree: ast.Module) -> list[str]:
    found = {
        node.module.removeprefix("seaflow.")
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("seaflow.")
        if node.module
    }
    return sorted(found)
