"""The interview of `new --ask` at the terminal, and the file that keeps its answers."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path as File

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.bounds import acting
from seaflow.boat.reader.text import CaseText, Path, acting_problem, read_characters, read_text
from seaflow.cli.boat import with_parts, write_boat
from seaflow.cli.common import EXIT_INTERRUPTED, EXIT_UNUSABLE, is_interrupt
from seaflow.cli.files import alone, write_whole
from seaflow.forms.bare import with_unit
from seaflow.forms.interview import (
    BACK,
    HELP,
    REFUSED,
    STOP,
    TAKEN,
    WRITE,
    Progress,
    Question,
    asked,
    current,
    name_of,
    question_at,
    step,
    taken_up,
)
from seaflow.forms.starter import value_text
from seaflow.present.card import card_text
from seaflow.present.interview_text import (
    ARROW,
    decision,
    explanation,
    kept_text,
    question_text,
    unit_of_bare,
    welcome,
    whole_text,
)
from seaflow.present.problems import problems_text
from seaflow.present.quantities import Show
from seaflow.present.size.card import size_card
from seaflow.studies.design.certainty.find_out import from_words
from seaflow.studies.size.size import Sizing, size

ENDING = ".answers.toml"
_HEAD = "# Answers of an interview that is not finished. To go on: {command}\n"


@dataclass(frozen=True, slots=True)
class _Goal:
    """The case to be written, and where the answers are kept until it is.

    The last of `known` is what this interview knows to stand there.
    """

    file: str
    parts: tuple[str, ...]
    units: str = ""  # in which bare numbers are read; they are asked about if it is empty
    known: list[str] = field(default_factory=list)

    @property
    def kept(self) -> str:
        return self.file + ENDING

    @property
    def options(self) -> str:
        parts = with_parts(self.parts)
        return f"{parts} --units {self.units}" if self.units else parts

    @property
    def command(self) -> str:
        return f"seaflow new {self.file} --ask{self.options}"


def interview(
    file: str, parts: tuple[str, ...], catalogue: Catalogue, units: str = ""
) -> tuple[str, ...]:
    """Ask until the case is written, and return the files of parts that go with it.

    Leaving it ends the program and keeps the answers. `catalogue` holds the parts that may be
    named, those of the files `parts` among them; bare numbers are read in `units`, if these were
    asked for.

    Raises
    ------
    SeaflowError
        If the kept answers cannot be read, or a file cannot be written.
    """
    goal = _Goal(file, parts, units)
    progress = _kept_progress(goal.kept, catalogue)
    goal.known.append(_standing(goal))
    click.echo(welcome(file, goal.kept, len(progress.answers)))
    show = Show(units or "metric")
    answer: Sizing | None = None
    while True:
        question = current(progress)
        if question is None:
            case = asked(progress).loaded.case
            if answer is None:
                answer = size(case)
                click.echo(f"\n{card_text(size_card(answer, show))}\n\n{whole_text()}")
            question = _next(progress, case, answer)
        if question is None:
            return _written(goal, progress)
        before, (progress, outcome) = progress, _put(goal, progress, question)
        if outcome == WRITE and current(progress) is None:
            return _written(goal, progress)
        if outcome == WRITE:
            click.echo("The first questions come before it.")
        elif current(progress) is not None:
            answer = None
        elif answer is not None and _told(before) != _told(progress):
            answer = size(asked(progress).loaded.case)
            click.echo(decision(answer, show))


def _told(progress: Progress) -> dict[str, str]:
    """Return the answers that say something: one that was passed over changes nothing."""
    return {name: text for name, text in progress.answers.items() if text}


def _put(goal: _Goal, progress: Progress, question: Question) -> tuple[Progress, str]:
    """Put one question until it is answered, or something else is wanted."""
    click.echo(question_text(progress, question, goal.units))
    while True:
        try:
            typed = click.prompt(ARROW, default="", show_default=False, prompt_suffix="")
        except click.Abort as stopped:
            click.echo()
            _leave(goal, progress, by_interrupt=is_interrupt(stopped))
        before = progress
        progress, outcome = _answered(goal, progress, question, typed)
        if outcome in (TAKEN, WRITE) or (outcome == BACK and progress is not before):
            return progress, outcome


def _answered(
    goal: _Goal, progress: Progress, question: Question, typed: str
) -> tuple[Progress, str]:
    typed = typed.strip().encode("utf-8", "replace").decode("utf-8")
    if acting(typed):
        click.echo(_refusal((acting_problem(CaseText(""), (), typed),)))
        return progress, REFUSED
    taken = step(progress, question, with_unit(typed, unit_of_bare(question, goal.units)))
    if taken.outcome == STOP:
        _leave(goal, progress)
    if taken.outcome == HELP:
        click.echo(explanation(question))
    elif taken.outcome == REFUSED:
        click.echo(_refusal(taken.problems))
    elif taken.outcome == BACK and taken.progress is progress:
        click.echo("This is the first question.")
    elif taken.outcome in (TAKEN, BACK):
        _keep(goal, taken.progress)
        if taken.problems:
            click.echo(_refusal(taken.problems))
            click.echo("It is taken as it was written; back changes it.")
    return taken.progress, taken.outcome


def _next(progress: Progress, case: Case, answer: Sizing) -> Question | None:
    """Return the question that narrows the answer most, or None if nothing is typical any more."""
    for path in _telling(case, answer):
        if name_of(path) not in progress.answers and path in case.typical:
            return question_at(case, path)
    return None


def _telling(case: Case, answer: Sizing) -> Iterator[Path]:
    """Yield what is typical, that first which narrows the answer most; rooms and places follow."""
    sure = [loop.certainty for loop in answer.loops if loop.certainty is not None]
    for found in sure:
        yield from (from_words(one.path) for one in found.find_out)
    for found in sure:
        yield from (from_words(one.path) for one in found.typical if one.moves is not None)
    yield from sorted(case.typical, key=list(case.spreads).index)


def _written(goal: _Goal, progress: Progress) -> tuple[str, ...]:
    """Write the case, and the sheet of a pump that was told by its figures."""
    pump = progress.answers.get("pump", "")
    parts = write_boat(goal.file, asked(progress), pump, goal.parts)
    File(goal.kept).unlink(missing_ok=True)
    click.echo(f"\nThe case is written to {goal.file}.")
    if parts:
        click.echo(f"It needs your parts: seaflow size {goal.file}{with_parts(parts)}")
    click.echo()
    return parts


def _refusal(problems: tuple[Problem, ...]) -> str:
    """Return what is wrong with one answer, without the count that stands below a file's."""
    return problems_text(problems).rpartition("\n\n")[0]


def _leave(goal: _Goal, progress: Progress, by_interrupt: bool = False) -> None:
    code = EXIT_INTERRUPTED if by_interrupt else EXIT_UNUSABLE
    if not progress.answers and not progress.earlier:
        click.echo("Nothing was answered, so nothing is kept.")
        sys.exit(code)
    _keep(goal, progress)
    click.echo(kept_text(goal.command, goal.kept, len(progress.answers)))
    sys.exit(code)


def _standing(goal: _Goal) -> str:
    """Return what stands where the answers are kept."""
    return read_characters(goal.kept) if os.path.lexists(goal.kept) else ""


def _keep(goal: _Goal, progress: Progress) -> None:
    """Write the answers, whole, unless those of another interview stand there meanwhile.

    Raises
    ------
    SeaflowError
        If they do, or if the file cannot be written.
    """
    lines = [_HEAD.format(command=goal.command), "[answers]"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in progress.answers.items()]
    lines += ["", "[earlier]  # gone back over"]
    lines += [f"{value_text(name)} = {value_text(text)}" for name, text in progress.earlier.items()]
    with alone(goal.kept):
        if _standing(goal) != goal.known[-1]:
            what = "another interview has kept its answers here meanwhile"
            why = "Both would write over each other, so this one ends and leaves them as they are."
            write = f"Go on with one of them alone: {goal.command}"
            raise SeaflowError([Problem("W04", what, why=why, write=write, file=goal.kept)])
        goal.known.append("\n".join(lines) + "\n")
        write_whole(goal.kept, goal.known[-1])


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
