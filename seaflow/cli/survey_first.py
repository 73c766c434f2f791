"""What is asked before the walk of `survey --ask`: who, where, when, and the findings so far."""

from __future__ import annotations

from collections.abc import Iterator

import click

from seaflow.base.near import called
from seaflow.cli.survey_answering import (
    FOLLOWED,
    Asking,
    count_of,
    said_before,
    take,
    taken_back,
    typed_answer,
)
from seaflow.forms.answers import read_answers
from seaflow.forms.checklist import YES_NO
from seaflow.forms.interview import BACK, HELP, WORDS
from seaflow.forms.on_board import AnswerPlace, with_answer
from seaflow.present.interview_text import ARROW
from seaflow.present.survey.board_text import (
    FIRST,
    HEAD,
    HEAD_WHY,
    STILL_SO,
    again_text,
    asked_text,
    head_text,
    why_text,
)
from seaflow.present.survey.look_again import Again, look_again
from seaflow.present.survey.walk import Line
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.findings import survey

LAYS = ("afloat", "ashore")
STATES = dict(zip(YES_NO, ("open", "done"), strict=True))  # of a finding that is, or is not, so


def ask_first(asking: Asking) -> None:
    """Ask for the head of a new record, and to look again at what earlier visits found.

    Raises
    ------
    StoppedError
        If somebody stops, or the input ends.
    """
    if not count_of(asking.now):
        _ask_head(asking)
    for again in _open_findings(asking):
        _look_again(asking, again)


def _ask_head(asking: Asking) -> None:
    """Ask who surveys, where, when, how she lies and what for; the clock's day is offered."""
    left = [key for key in HEAD if key == "date" or key not in asking.now["record"]]
    at = 0
    while at < len(left):
        key, record = left[at], asking.now["record"]
        click.echo(head_text(key, record["date"]))
        typed = typed_answer(asking, ARROW)
        word = typed.lower()
        if WORDS.get(word) == HELP:
            click.echo(HEAD_WHY)
        elif word == BACK:
            at = max(at - 1, 0) if taken_back(asking) else 0
        elif not typed:
            at += 1
        else:
            begun = called(word, LAYS) if key == "lay" else ()
            text = begun[0] if len(begun) == 1 else typed
            told = with_answer(asking.now, AnswerPlace("record", (), (key,)), text)
            at += asking.take(told)


def _open_findings(asking: Asking) -> Iterator[Again]:
    """Yield what earlier visits found and nobody has said anything of at this one."""
    told = read_answers(asking.before, asking.case)
    if not (asking.before or asking.case.visit or asking.case.finding):
        return
    answer = survey(told.case, told.record, told.partial)
    show = SurveyShow(asking.units or "metric")
    done = {row.get("number") for row in asking.now.get(FOLLOWED) or ()}
    for again in look_again(answer, told.case, show):
        said = any(said_before(asking.now, line) is not None for line in again.lines)
        if not said and again.number not in done:
            yield again


def _look_again(asking: Asking, again: Again) -> None:
    """Ask for what decides one finding, or whether it is still so."""
    click.echo(again_text(again))
    for line in again.lines:
        show = SurveyShow(asking.units or "metric")
        click.echo(asked_text(line, 0, show, asking.units, again=True))
        _answer(asking, line)
    if not again.lines:
        _ask_whether(asking, again)


def _answer(asking: Asking, line: Line) -> None:
    while True:
        typed = typed_answer(asking, ARROW)
        if WORDS.get(typed.lower()) == HELP:
            click.echo(why_text(line))
        elif typed.lower() == BACK:
            click.echo(FIRST if not taken_back(asking) else "")
        elif not typed or take(asking, (line,), typed):
            return


def _ask_whether(asking: Asking, again: Again) -> None:
    while True:
        click.echo(STILL_SO)
        typed = typed_answer(asking, ARROW).lower()
        if not typed:
            return
        begun = called(typed, YES_NO)
        if len(begun) == 1:
            row = {"number": again.number, "thing": again.thing, "rule": again.rule}
            row |= {"state": STATES[begun[0]], "on": asking.now["record"]["date"]}
            followed = [*(asking.now.get(FOLLOWED) or ()), row]
            if asking.take({**asking.now, FOLLOWED: followed}):
                return
