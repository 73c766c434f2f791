"""The interview of `new --ask` at the terminal, and the file that keeps its answers."""

from __future__ import annotations

import os
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.bounds import acting
from seaflow.boat.reader.text import CaseText, acting_problem, read_text
from seaflow.cli.common import EXIT_INTERRUPTED, EXIT_UNUSABLE, is_interrupt
from seaflow.cli.files import write_new, write_whole
from seaflow.forms.bare import with_unit
from seaflow.forms.interview import (
    BACK,
    HELP,
    LAST,
    REFUSED,
    STOP,
    Progress,
    answered_case,
    current,
    step,
    taken_up,
)
from seaflow.forms.starter import case_text, value_text
from seaflow.present.interview_text import (
    ARROW,
    explanation,
    kept_text,
    question_text,
    unit_of_bare,
    welcome,
)
from seaflow.present.problems import problems_text

ENDING = ".answers.toml"
_HEAD = "# Answers of an interview that is not finished. To go on: {command}\n"


@dataclass(frozen=True, slots=True)
class _Goal:
    """The case to be written, and where the answers are kept until it is."""

    file: str
    parts: tuple[str, ...]
    units: str = ""  # in which bare numbers are read; they are asked about if it is empty

    @property
    def kept(self) -> str:
        return self.file + ENDING

    @property
    def options(self) -> str:
        parts = "".join(f" --parts {part}" for part in self.parts)
        return f"{parts} --units {self.units}" if self.units else parts

    @property
    def command(self) -> str:
        return f"seaflow new {self.file} --ask{self.options}"


def interview(file: str, parts: tuple[str, ...], catalogue: Catalogue, units: str = "") -> None:
    """Ask until the case is written; leaving it ends the program and keeps the answers.

    `catalogue` holds the parts that are offered, those of the files `parts` among them; bare
    numbers are read in `units`, if these were asked for.

    Raises
    ------
    SeaflowError
        If the kept answers cannot be read, or a file cannot be written.
    """
    goal = _Goal(file, parts, units)
    progress = _kept_progress(goal.kept, catalogue)
    click.echo(welcome(file, goal.kept, len(progress.answers)))
    while True:
        progress = _ask_to_the_end(goal, progress)
        text = case_text(answered_case(progress.answers, catalogue), "ask_head")
        problems = _problems(file, text, catalogue)
        if not problems:
            break
        click.echo(problems, err=True)
        click.echo("Nothing is written yet: go back to what is wrong, or stop.")
        answers = {name: old for name, old in progress.answers.items() if name != LAST}
        progress = progress.with_answers(answers, {})
    write_new((file, text))
    Path(goal.kept).unlink(missing_ok=True)
    click.echo(f"\nThe case is written to {file}.")
    if parts:
        click.echo(f"It needs your parts: seaflow size {file}{goal.options}")
    click.echo()


def _ask_to_the_end(goal: _Goal, progress: Progress) -> Progress:
    while current(progress) is not None:
        click.echo(question_text(progress, goal.units))
        try:
            typed = click.prompt(ARROW, default="", show_default=False, prompt_suffix="")
        except click.Abort as stopped:
            click.echo()
            _leave(goal, progress, by_interrupt=is_interrupt(stopped))
        progress = _answered(goal, progress, typed)
    return progress


def _answered(goal: _Goal, progress: Progress, typed: str) -> Progress:
    typed = typed.strip().encode("utf-8", "replace").decode("utf-8")
    if acting(typed):
        click.echo(_refusal((acting_problem(CaseText(""), (), typed),)))
        return progress
    taken = step(progress, with_unit(typed, unit_of_bare(progress, goal.units)))
    if taken.outcome == STOP:
        _leave(goal, progress)
    if taken.outcome == HELP:
        click.echo(explanation(progress))
    elif taken.outcome == REFUSED:
        click.echo(_refusal(taken.problems))
    elif taken.outcome == BACK and taken.progress is progress:
        click.echo("This is the first question.")
    else:
        _keep(goal, taken.progress)
        if taken.problems:
            click.echo(_refusal(taken.problems))
            click.echo("It is taken as it was written; back changes it.")
    return taken.progress


def _refusal(problems: tuple[Problem, ...]) -> str:
    """Return what is wrong with one answer, without the count that stands below a file's."""
    return problems_text(problems).rpartition("\n\n")[0]


def _leave(goal: _Goal, progress: Progress, by_interrupt: bool = False) -> None:
    code = EXIT_INTERRUPTED if by_interrupt else EXIT_UNUSABLE
    if progress == Progress():
        click.echo("Nothing was answered, so nothing is kept.")
        sys.exit(code)
    _keep(goal, progress)
    click.echo(kept_text(goal.command, goal.kept, len(progress.answers)))
    sys.exit(code)


def _keep(goal: _Goal, progress: Progress) -> None:
    lines = [_HEAD.format(command=goal.command), "[answers]"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in progress.answers.items()]
    lines += ["", "[earlier]  # gone back over"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in progress.earlier.items()]
    write_whole(goal.kept, "\n".join(lines) + "\n")


def _kept_progress(kept: str, catalogue: Catalogue) -> Progress:
    if not os.path.lexists(kept):
        return Progress(catalogue=catalogue)
    try:
        content = read_text(kept)[1]
        answers, earlier = _texts(content["answers"]), _texts(content.get("earlier", {}))
        return taken_up(answers, earlier, catalogue)
    except (SeaflowError, ValueError, KeyError, AttributeError):
        what = "the kept answers of an earlier interview cannot be read"
        why = "Beginning anew would write over what was answered."
        write = "Move this file away to begin anew, or mend it."
        raise SeaflowError([Problem("W04", what, why=why, write=write, file=kept)]) from None


def _texts(table: dict[str, object]) -> dict[str, str]:
    return {name: text for name, text in table.items() if isinstance(text, str)}


def _problems(file: str, text: str, catalogue: Catalogue) -> str:
    """Return what is wrong with a case that is not written yet, or nothing."""
    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / Path(file).name
        trial.write_text(text, encoding="utf-8")
        try:
            load_case(str(trial), catalogue)
        except SeaflowError as error:
            return problems_text(error.problems).replace(str(trial), file)
    return ""
