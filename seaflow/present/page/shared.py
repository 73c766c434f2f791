"""Sections that the page of a boat and that of a half-known one have alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.present.faces import faces_of
from seaflow.present.page.behind import behind
from seaflow.present.page.card import whole_card
from seaflow.present.page.html import PageSheet
from seaflow.studies.design.cautions import Caution
from seaflow.studies.survey.findings import Survey


def survey_sheet(case: Case, answer: Survey | None, lacks: tuple[Problem, ...] = ()) -> PageSheet:
    """Return the survey of the loop, or what it lacks."""
    title = "Survey of the loop"
    if answer is None:
        return PageSheet("survey", title, "survey.html", {"lacks": lacks})
    details = behind(partial(faces_of("survey", case).lines, answer))
    kept = [part for part in details if part.title.metric not in ("Cautions", "The record")]
    given = {
        "lacks": (),
        "card": whole_card("survey", case, answer),
        "seen": answer.points_seen,
        "points": answer.points,
        "details": kept,
    }
    return PageSheet("survey", title, "survey.html", given, starts=True)


def cautions_sheet(answers: Iterable[Any]) -> PageSheet:
    """Return the cautions of all answers in full, each once."""
    every: dict[str, Caution] = {}
    for answer in answers:
        for item in answer.cautions:
            every.setdefault(item.title, item)
    given = {"cautions": list(every.values())}
    return PageSheet("cautions", "Cautions in full", "cautions.html", given)
