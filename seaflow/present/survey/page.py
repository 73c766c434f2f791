"""A survey as one page of HTML that needs nothing else: to read on a phone, to print, to sign."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seaflow.present.page.html import record_page
from seaflow.present.survey import titles
from seaflow.present.survey.record import legend, made_by, says, sources
from seaflow.present.survey.sections import (
    PLACE_HEAD,
    TRIM_HEAD,
    Section,
    after_findings,
    assumed,
    before_findings,
    record_rows,
)
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import FIT, NOT_FIT, NOT_SEEN, Survey
from seaflow.studies.survey.questions import grouped

FLAGS = {FIT: "yes", NOT_SEEN: "tight", NOT_FIT: "no"}
KEPT = 14  # rows of a table that is not broken over two pages
SHORT = 12  # letters of a value with its unit, which is not broken over two lines


def survey_page(answer: Survey, system: str) -> str:
    """Return the whole survey as a page."""
    said = says(answer, system)
    show = said.show
    return record_page(
        "record.html",
        boat=answer.boat,
        hull=show.hull(answer.hull),
        head=record_rows(answer),
        flag=FLAGS[answer.fitness],
        headline=show.whole(answer.headline),
        coverage=show.whole(answer.coverage),
        counted=show.whole(answer.counted),
        seen=answer.points_seen / max(answer.points, 1),
        grave=said.grave(),
        asked=said.asked(),
        changed=said.changed(),
        before=list(before_findings(answer)),
        cautions=answer.cautions,
        ledger=list(said.ledger()),
        advice=list(said.advice()),
        after=[*_beside(tuple(after_findings(answer, show))), said.limits()],
        look_at=[
            (thing, [(show.question(one.ask, one.not_accessible), one) for one in asked])
            for (_, thing), asked in grouped(answer.look_at).items()
        ],
        last=[assumed(answer, show), legend(), sources(said)],
        made_by=made_by(),
        titles=titles,
        words=words,
        kept=KEPT,
        short=SHORT,
    )


def _beside(sections: tuple[Section, ...]) -> Iterator[Section]:
    """Yield sections; places heeled and places heeled and trimmed as one table where they can."""
    places = next(one for one in sections if one.head == PLACE_HEAD)
    trimmed = next(one for one in sections if one.head == TRIM_HEAD)
    pairs = list(zip(places.rows, trimmed.rows, strict=False))
    is_same = len(places.rows) == len(trimmed.rows) and all(a[:2] == b[:2] for a, b in pairs)
    for one in sections:
        if is_same and one is places:
            rows = tuple((row[0], *row[2:], *more[2:]) for row, more in pairs)
            head = ("", *places.head[2:], *trimmed.head[2:])
            yield replace(places, head=head, rows=rows, names=1, note=trimmed.lead)
        elif not (is_same and one is trimmed):
            yield one
