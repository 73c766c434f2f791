"""The checklist as one page of HTML to print and take along: a box to tick or a blank on each line.

It needs nothing else, no network and no script, and prints on A4 and Letter.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from typing import Any

from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.tables.recorded_record import Record
from seaflow.forms.checklist import question_of
from seaflow.present.page.html import record_page
from seaflow.present.survey import titles
from seaflow.present.survey.look_again import look_again
from seaflow.present.survey.record import made_by
from seaflow.present.survey.walk import Line, good_of, lines, title_of, walk
from seaflow.present.survey_units import SurveyShow
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.questions import LookAt

HEAD = ("identity", "date", "place", "lay", "surveyor", "scope", "not_seen")


def checklist_page(
    answer: Survey, case: Case, system: str = "metric", visited: bool = False
) -> str:
    """Return the open questions as a page to be printed and filled in by hand.

    If she was `visited` before, what was found stands first, to be looked at again.
    """
    show, numbers = SurveyShow(system), count(1)
    known = {spelled: declared for _, spelled, declared in keys_of(Record)}
    stops = [
        {
            "title": stop.title,
            "about": stop.about,
            "careful": " ".join(caution.brief for caution in stop.careful),
            "things": [
                (
                    title_of(thing),
                    list(_rows((answer, case, asked), show, numbers)),
                    [item.ask for item in asked if item.table == "point"],
                )
                for _, thing, asked in stop.asked
            ],
        }
        for stop in walk(answer, case)
    ]
    return record_page(
        "checklist.html",
        boat=answer.boat,
        title=titles.CHECKLIST.format(boat=answer.boat),
        head=[question_of("record", key, known[key]) for key in HEAD],
        again=list(look_again(answer, case, show)) if visited or case.visit or case.finding else (),
        stops=stops,
        made_by=made_by(),
        titles=titles,
        words=words,
    )


def _rows(
    asked: tuple[Survey, Case, tuple[LookAt, ...]], show: SurveyShow, numbers: Iterator[int]
) -> Iterator[dict[str, Any]]:
    for line in lines(*asked):
        yield {
            "number": next(numbers),
            "ask": show.text(line.ask),
            "severity": line.severity,
            "ticks": list(_ticks(line)),
            "example": show.text(line.example) if line.example else "",
        }


def _ticks(line: Line) -> Iterator[tuple[str, bool]]:
    """Yield the words to tick, those that are good first."""
    good = good_of(line)
    for word in sorted(line.ticks, key=lambda word: word not in good):
        yield word, word in good
