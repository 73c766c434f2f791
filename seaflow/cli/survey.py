"""The command `survey`."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked, with_parts
from seaflow.cli.common import (
    EXIT_FINE,
    EXIT_NOT_MET,
    EXIT_TIGHT,
    refuse,
    units_asked_for,
    warn,
)
from seaflow.cli.fleet import Fleet, ask_many, fleet_options
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from collections.abc import Callable

    from seaflow.boat.case import Case
    from seaflow.boat.tables.recorded_record import Followed
    from seaflow.forms.sheet import Answered
    from seaflow.studies.design.fleet import FleetQuestion
    from seaflow.studies.survey.findings import Survey

ENDINGS = (".html", ".txt")


_EXITS = {"fit": EXIT_FINE, "not fit": EXIT_NOT_MET, "not seen": EXIT_TIGHT}


@click.command()
@boat_options(many=True)
@fleet_options
@click.option(
    "-o", "--output", metavar="FILE", help="Write the record as a page, .html, or as text, .txt."
)
@click.option(
    "--checklist",
    metavar="FILE",
    help="Write the open questions as a walk through the boat: .html to print, else to type into.",
)
@click.option(
    "--ask",
    metavar="FILE",
    help="Ask the open questions one at a time, and keep each answer in FILE; go on there later.",
)
@click.option(
    "--answers",
    metavar="FILE",
    multiple=True,
    help="Read a checklist that was filled in; of several, later days count over earlier ones.",
)
@view_options
def survey(
    asked: Asked,
    view: View,
    fleet: Fleet,
    answers: tuple[str, ...],
    ask: str | None,
    **files: str | None,
) -> None:
    """Survey the seawater loops of CASE: findings by severity, and what to check on board.

    Anything not recorded is a question, not a pass. Exit code 1 says that a finding is critical or
    major, 3 that none is but a critical question is open. No file is written over. With --answers,
    a new --checklist holds all answers given so far beside what is still open.
    Several cases give a summary, one row for each.
    """
    if ask is not None and view.json_:
        raise click.UsageError("--ask talks to you. Read its file with --answers for --json.")
    if fleet.is_meant(asked) and (answers or ask or any(files.values())):
        raise click.UsageError("-o, --checklist, --answers and --ask go with one CASE.")
    ask_many(fleet, asked, view, _question, gaps=True)
    loaded = load_asked(asked, view.json_, gaps=True)
    try:
        if ask is not None:
            answers = _asked(loaded.case, answers, ask, asked)
        told = _told(loaded.case, answers)
        answer = _surveyed(told)
        text = answer_text(view, "survey", loaded.case, answer)
        written = _write(answer, told, view.units, **files)
    except SeaflowError as error:
        refuse(error, view.json_)
    if not view.json_:
        warn(told.questions)
    click.echo(text)
    for file in written:
        click.echo(f"Wrote {file}.", err=view.json_)
    sys.exit(_EXITS[answer.fitness])


def _asked(case: Case, answers: tuple[str, ...], file: str, asked: Asked) -> tuple[str, ...]:
    """Ask on board, and return the files of answers with the one that keeps the new ones."""
    from seaflow.cli.survey_ask import ask_on_board

    units = units_asked_for()
    before = "".join(f" --answers {one}" for one in answers)
    more = f" --units {units}" if units else ""
    command = f"seaflow survey {case.text.file}{before} --ask {file}{with_parts(asked.parts)}{more}"
    ask_on_board(case, answers, file, (command, units))
    return (*answers, file) if os.path.lexists(file) else answers


def _told(case: Case, answers: tuple[str, ...]) -> Answered:
    from seaflow.forms.answers import read_answers

    return read_answers(answers, case)


def _surveyed(told: Answered) -> Survey:
    from seaflow.studies.survey.findings import followed
    from seaflow.studies.survey.findings import survey as survey_case

    earlier: tuple[Followed, ...] = ()
    if told.before is not None:
        before = told.before
        earlier = followed(survey_case(before.case, before.record, before.partial))
    return survey_case(told.case, told.record, told.partial, told.overruled, earlier)


def _write(
    answer: Survey, told: Answered, units: str, output: str | None, checklist: str | None
) -> list[str]:
    """Write what was asked for and return the names; nothing is written if one cannot be."""
    from seaflow.cli.files import write_new

    texts = []
    if output is not None:
        texts.append((output, _record(answer, output, units)))
    if checklist is not None:
        texts.append((checklist, _checklist(answer, told, checklist, units)))
    write_new(*texts)
    return [file for file, _ in texts]


def _checklist(answer: Survey, told: Answered, file: str, units: str) -> str:
    """Return the checklist: a page to print, or answers to type in."""
    if file.lower().endswith(ENDINGS[0]):
        from seaflow.present.survey.checklist_page import checklist_page

        return checklist_page(answer, told.case, units, visited=bool(told.given))
    from seaflow.present.survey.checklist import checklist_text

    return checklist_text(answer, told.case, told.given, units)


def _record(answer: Survey, file: str, units: str) -> str:
    if not file.lower().endswith(ENDINGS):
        raise SeaflowError([_unknown_ending(file)])
    if file.lower().endswith(".html"):
        from seaflow.present.survey.page import survey_page

        return survey_page(answer, units)
    from seaflow.present.survey.text import survey_text

    return survey_text(answer, units) + "\n"


def _unknown_ending(file: str) -> Problem:
    return Problem(
        "A03",
        "the record ends neither in .html nor in .txt",
        why="The ending tells whether a page or plain text is wanted.",
        write="Give the file one of the two endings.",
        file=file,
    )


def _question(read: Callable[[str], Case]) -> FleetQuestion:
    from seaflow.studies.design.fleet import FleetQuestion
    from seaflow.studies.survey.fleet import SurveyRow, survey_rows

    return FleetQuestion(SurveyRow, survey_rows, read)
