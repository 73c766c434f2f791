"""The interview of `new --ask` at the terminal, and the file that keeps its answers."""

from __future__ import annotations

import os
import sys
import tempfile
import tomllib
from pathlib import Path

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.asking.interview import (
    BACK,
    HELP,
    LAST,
    REFUSED,
    STOP,
    State,
    answered_case,
    current,
    step,
    taken_up,
)
from seaflow.boat.asking.starter import case_text, value_text
from seaflow.boat.load import load_case
from seaflow.cli.common import EXIT_UNUSABLE
from seaflow.cli.files import write_new, write_whole
from seaflow.present.interview_text import (
    ARROW,
    explanation,
    kept_text,
    question_text,
    welcome,
)
from seaflow.present.problems import problems_text

ENDING = ".answers.toml"
LARGEST_KEPT = 1_000_000  # bytes; a boat with six units needs twenty thousand
_HEAD = "# Answers of an interview that is not finished. To go on: seaflow new {file} --ask\n"


def interview(file: str) -> None:
    """Ask until the case is written; leaving it ends the program and keeps the answers.

    Raises
    ------
    SeaflowError
        If the kept answers cannot be read, or a file cannot be written.
    """
    kept = file + ENDING
    state = _kept_state(kept)
    click.echo(welcome(file, kept, len(state.answers)))
    while True:
        state = _ask_to_the_end(file, kept, state)
        text = case_text(answered_case(state.answers), "ask_head")
        problems = _problems(file, text)
        if not problems:
            break
        click.echo(problems, err=True)
        click.echo("Nothing is written yet: go back to what is wrong, or stop.")
        state = State({name: old for name, old in state.answers.items() if name != LAST})
    write_new(file, text)
    Path(kept).unlink(missing_ok=True)
    click.echo(f"\nThe case is written to {file}.\n")


def _ask_to_the_end(file: str, kept: str, state: State) -> State:
    while current(state) is not None:
        click.echo(question_text(state))
        try:
            typed = click.prompt(ARROW, default="", show_default=False, prompt_suffix="")
        except click.Abort:
            click.echo()
            _leave(file, kept, state)
        state = _answered(file, kept, state, typed)
    return state


def _answered(file: str, kept: str, state: State, typed: str) -> State:
    taken = step(state, typed.encode("utf-8", "replace").decode("utf-8"))
    if taken.outcome == STOP:
        _leave(file, kept, state)
    if taken.outcome == HELP:
        click.echo(explanation(state))
    elif taken.outcome == REFUSED:
        click.echo(_refusal(taken.problems))
    elif taken.outcome == BACK and taken.state is state:
        click.echo("This is the first question.")
    else:
        _keep(file, kept, taken.state)
        if taken.problems:
            click.echo(_refusal(taken.problems))
            click.echo("It is taken as it was written; back changes it.")
    return taken.state


def _refusal(problems: tuple[Problem, ...]) -> str:
    """Return what is wrong with one answer, without the count that stands below a file's."""
    return problems_text(problems).rpartition("\n\n")[0]


def _leave(file: str, kept: str, state: State) -> None:
    if state == State():
        click.echo("Nothing was answered, so nothing is kept.")
        sys.exit(EXIT_UNUSABLE)
    _keep(file, kept, state)
    click.echo(kept_text(file, kept, len(state.answers)))
    sys.exit(EXIT_UNUSABLE)


def _keep(file: str, kept: str, state: State) -> None:
    lines = [_HEAD.format(file=file), "[answers]"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in state.answers.items()]
    lines += ["", "[earlier]  # gone back over"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in state.earlier.items()]
    write_whole(kept, "\n".join(lines) + "\n")


def _kept_state(kept: str) -> State:
    if not os.path.lexists(kept):
        return State()
    try:
        if Path(kept).stat().st_size > LARGEST_KEPT:
            raise ValueError("it is too large")
        content = tomllib.loads(Path(kept).read_text(encoding="utf-8"))
        return taken_up(_texts(content["answers"]), _texts(content.get("earlier", {})))
    except (OSError, ValueError, KeyError, AttributeError):
        what = "the kept answers of an earlier interview cannot be read"
        why = "Beginning anew would write over what was answered."
        write = "Move this file away to begin anew, or mend it."
        raise SeaflowError([Problem("W04", what, why=why, write=write, file=kept)]) from None


def _texts(table: dict[str, object]) -> dict[str, str]:
    return {name: text for name, text in table.items() if isinstance(text, str)}


def _problems(file: str, text: str) -> str:
    """Return what is wrong with a case that is not written yet, or nothing."""
    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / Path(file).name
        trial.write_text(text, encoding="utf-8")
        try:
            load_case(str(trial))
        except SeaflowError as error:
            return problems_text(error.problems).replace(str(trial), file)
    return ""
