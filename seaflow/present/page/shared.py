"""Sections that the page of a boat and that of a half-known one have alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.forms.checklist import YES_NO
from seaflow.present.card import capital
from seaflow.present.faces import faces_of
from seaflow.present.page.behind import behind
from seaflow.present.page.both import Two, both
from seaflow.present.page.card import whole_card
from seaflow.present.page.html import PageSheet
from seaflow.present.quantities import Show
from seaflow.present.survey_units import SurveyShow
from seaflow.present.words.survey import LOOK_AT, NOTHING_OPEN
from seaflow.studies.design.cautions import Caution
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.questions import LookAt, grouped

TOLD_APART = ("Cautions", "The record", LOOK_AT)


def survey_sheet(case: Case, answer: Survey | None, lacks: tuple[Problem, ...] = ()) -> PageSheet:
    """Return the survey of the loop, or what it lacks."""
    title = "Survey of the loop"
    if answer is None:
        return PageSheet("survey", title, "survey.html", {"lacks": lacks})
    details = behind(partial(faces_of("survey", case).lines, answer))
    kept = [part for part in details if part.title.metric not in TOLD_APART]
    given = {
        "lacks": (),
        "card": whole_card("survey", case, answer),
        "seen": answer.points_seen,
        "points": answer.points,
        "details": kept,
        "check": {"title": LOOK_AT, "asked": _asked_alike(answer.look_at), "none": NOTHING_OPEN},
    }
    return PageSheet("survey", title, "survey.html", given, starts=True)


def _asked_alike(look_at: tuple[LookAt, ...]) -> list[tuple[str, list[tuple[Two, str]]]]:
    """Return what to look at, once for all things of which the same is asked."""
    alike: dict[tuple[tuple[Two, str], ...], list[str]] = {}
    for (_, thing), items in grouped(look_at).items():
        alike.setdefault(tuple(map(_asked, items)), []).append(thing)
    return [(capital(", ".join(things)), list(asked)) for asked, things in alike.items()]


def _asked(item: LookAt) -> tuple[Two, str]:
    """Return a question, and the answers to choose from but for those the question says."""
    answers = () if item.answers == YES_NO else item.answers
    return both(lambda show: _question(item, show)), ", ".join(answers)


def _question(item: LookAt, show: Show) -> str:
    said = SurveyShow(show.system).question(item.ask, item.not_accessible)
    return f"{said} ({item.severity})"


def cautions_sheet(answers: Iterable[Any]) -> PageSheet:
    """Return the cautions of all answers in full, each once."""
    every: dict[str, Caution] = {}
    for answer in answers:
        for item in answer.cautions:
            every.setdefault(item.title, item)
    given = {"cautions": list(every.values())}
    return PageSheet("cautions", "Cautions in full", "cautions.html", given)
