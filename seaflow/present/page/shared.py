"""Sections that the page of a boat and that of a half-known one have alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.present.card import capital
from seaflow.present.faces import faces_of
from seaflow.present.page.behind import behind
from seaflow.present.page.both import AMERICAN, METRIC, Two
from seaflow.present.page.card import whole_card
from seaflow.present.page.html import PageSheet
from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.record import why_not
from seaflow.present.survey.units import SurveyShow
from seaflow.present.words.survey import LOOK_AT
from seaflow.studies.design.cautions import Caution
from seaflow.studies.survey.findings import Survey

TOLD_APART = ("Cautions", "The record", LOOK_AT)
YES = ("yes", "no")  # answers that the question itself says


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
        "check": (LOOK_AT, _things_asked_alike(answer)),
    }
    return PageSheet("survey", title, "survey.html", given, starts=True)


def _things_asked_alike(answer: Survey) -> list[tuple[str, list[tuple[Two, str, str, str]]]]:
    """Return what to look at, once for all things of which the same is asked.

    Each question is what to find out, how grave it is, its key, and answers to choose from.
    """
    shows = [SurveyShow(show.system) for show in (METRIC, AMERICAN)]
    found: dict[tuple[Any, ...], list[str]] = {}
    for (_, thing), asked in grouped(answer.look_at).items():
        rows = tuple(
            (
                Two(*(f"{show.text(one.ask)}{why_not(one.not_accessible)}" for show in shows)),
                one.severity,
                one.key,
                "" if one.answers == YES else ", ".join(one.answers),
            )
            for one in asked
        )
        found.setdefault(rows, []).append(thing)
    return [(capital(", ".join(things)), list(rows)) for rows, things in found.items()]


def cautions_sheet(answers: Iterable[Any]) -> PageSheet:
    """Return the cautions of all answers in full, each once."""
    every: dict[str, Caution] = {}
    for answer in answers:
        for item in answer.cautions:
            every.setdefault(item.title, item)
    given = {"cautions": list(every.values())}
    return PageSheet("cautions", "Cautions in full", "cautions.html", given)
