"""Sections that the page of a boat and that of a half-known one have alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.present.card import capital
from seaflow.present.faces import faces_of
from seaflow.present.page.behind import Behind, behind, found
from seaflow.present.page.both import Two
from seaflow.present.page.card import whole_card
from seaflow.present.page.html import PageSheet
from seaflow.present.words.survey import LOOK_AT
from seaflow.studies.design.cautions import Caution
from seaflow.studies.survey.findings import Survey

TOLD_APART = ("Cautions", "The record", LOOK_AT)
TICK, YES = "[ ]", ["yes", "no"]  # before each answer; answers that the question itself says


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
        "check": [(part.title, _asked_alike(part)) for part in found(details, LOOK_AT)],
    }
    return PageSheet("survey", title, "survey.html", given, starts=True)


def _asked_alike(part: Behind) -> list[tuple[str, list[tuple[Two, str]]]]:
    """Return what to look at, once for all things of which the same is asked.

    In the section a thing comes first, then each question and, in a line of its own, its answers.
    """
    of_thing: list[tuple[str, list[tuple[Two, str]]]] = []
    lines = iter([(piece.kind, row[0]) for piece in part.pieces for row in piece.rows])
    for kind, said in lines:
        if kind != "list":
            of_thing.append((said.metric, []))
            continue
        _, answers = next(lines)
        choices = [word.strip() for word in answers.metric.strip("_").split(TICK) if word.strip()]
        words = "" if choices == YES else ", ".join(choices)
        of_thing[-1][1].append((said, words))
    alike: dict[tuple[tuple[Two, str], ...], list[str]] = {}
    for thing, asked in of_thing:
        alike.setdefault(tuple(asked), []).append(thing)
    return [(capital(", ".join(things)), list(asked)) for asked, things in alike.items()]


def cautions_sheet(answers: Iterable[Any]) -> PageSheet:
    """Return the cautions of all answers in full, each once."""
    every: dict[str, Caution] = {}
    for answer in answers:
        for item in answer.cautions:
            every.setdefault(item.title, item)
    given = {"cautions": list(every.values())}
    return PageSheet("cautions", "Cautions in full", "cautions.html", given)
