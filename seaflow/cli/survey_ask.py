"""The checklist of `survey --ask` at the terminal: one question at a time, each answer kept."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence

import click

from seaflow.boat.case import Case
from seaflow.cli.survey_answering import (
    Asking,
    StoppedError,
    count_of,
    kept_in,
    said_before,
    spot_of,
    take,
    taken_back,
    typed_answer,
)
from seaflow.cli.survey_first import ask_first
from seaflow.forms.answers import read_answers
from seaflow.forms.interview import BACK, HELP, WORDS
from seaflow.present.interview_text import ARROW
from seaflow.present.survey.board_text import (
    DONE,
    FIRST,
    FOR_ALL,
    LEFT,
    arrival,
    asked_text,
    kept_text,
    opening,
    taken_text,
    why_text,
)
from seaflow.present.survey.walk import Line, Station, lines, walk
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.findings import Survey, survey


def ask_on_board(case: Case, before: tuple[str, ...], file: str, given: tuple[str, str]) -> None:
    """Ask what is open until nothing is, or somebody stops; the answers are in the file then.

    `given` are the command to go on with, and the units of bare numbers if they were named.

    Raises
    ------
    SeaflowError
        If the file bears something else than answers of this kind, or cannot be written.
    """
    asking = Asking(case, before, file, *given, [kept_in(file)])
    if os.path.lexists(file):
        read_answers((*before, file), case)  # what is wrong in it is told at its place
    click.echo(opening(file, count_of(asking.now)))
    try:
        ask_first(asking)
        _walked(asking)
    except StoppedError:
        has_head = os.path.lexists(file)
        click.echo(kept_text(file, count_of(asking.now), asking.command, has_head))


def _walked(asking: Asking) -> None:
    """Ask what is open, stop by stop, until nothing is.

    Raises
    ------
    StoppedError
        If somebody stops, or the input ends.
    """
    last: tuple[str, str] = ("", "")
    system = asking.units or "metric"
    while True:
        told = asking.read(asking.now)
        answer = survey(told.case, told.record, told.partial)
        open_ = [*_open(asking, answer, told.case)]
        if not open_:
            left = sum(not item.not_accessible for item in answer.look_at)
            click.echo(LEFT.format(count=left) if asking.passed else DONE)
            return
        number, stop, line = open_[0]
        alike = [one for at, _, one in open_ if at == number and _is_alike(one, line)]
        if last[0] != stop.title:
            click.echo(arrival(number, stop))
        again = last == (stop.title, line.thing)
        click.echo(asked_text(line, len(answer.look_at), SurveyShow(system), asking.units, again))
        last = (stop.title, line.thing)
        _answer(asking, alike)


def _open(asking: Asking, answer: Survey, case: Case) -> Iterator[tuple[int, Station, Line]]:
    for number, stop in enumerate(walk(answer, case), 1):
        for _, _, asked in stop.asked:
            for line in lines(answer, case, asked):
                spot = spot_of(line)
                with_type = spot.block == "seacock" and spot.path == ("bore",)
                if (
                    not with_type
                    and spot not in asking.passed
                    and said_before(asking.now, line) is None
                ):
                    yield number, stop, line


def _is_alike(one: Line, other: Line) -> bool:
    """Return whether two lines ask the same of two things."""
    return (one.block, one.path, one.choices) == (other.block, other.path, other.choices)


def _answer(asking: Asking, alike: Sequence[Line]) -> None:
    """Put the first of some questions alike until it is answered or passed over.

    Raises
    ------
    StoppedError
        If somebody stops, or the input ends.
    """
    line = alike[0]
    while True:
        typed = typed_answer(asking, ARROW)
        meant = alike if typed.lower().startswith(FOR_ALL) else alike[:1]
        typed = typed[len(FOR_ALL) :].strip() if typed.lower().startswith(FOR_ALL) else typed
        does = WORDS.get(typed.lower(), BACK if typed.lower() == BACK else "")
        if does == HELP:
            click.echo(why_text(line))
        elif does == BACK:
            if taken_back(asking):
                return
            click.echo(FIRST)
        elif not typed:
            asking.passed.add(spot_of(line))
            return
        elif take(asking, meant, typed):
            if len(meant) > 1:
                click.echo(taken_text(meant))
            return
