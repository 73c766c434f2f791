"""A survey as plain text: the record, and what stands behind the card."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import Heading, Line, bullet, labelled, page, table
from seaflow.present.quantities import Show
from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.sections import (
    Section,
    after_findings,
    assumed,
    before_findings,
    finding_rows,
    record_rows,
)
from seaflow.present.survey.units import SurveyShow
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.hung import Finding

BLANK = "______________________________"


def survey_text(answer: Survey, system: str) -> str:
    """Return the record of a survey as text."""
    show = SurveyShow(system)
    return page(
        (
            f"{answer.boat}: survey of the seawater loop, {show.hull(answer.hull)}",
            show.whole(answer.counted),
            *_record(answer),
            *_sections(answer, show),
        )
    )


def survey_lines(answer: Survey, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    yield Heading(words.RECORD)
    yield from _record(answer)
    yield from _sections(answer, SurveyShow(show.system))


def _record(answer: Survey) -> Iterator[Line]:
    for name, value in record_rows(answer):
        yield labelled(name, value or BLANK, 24)


def _sections(answer: Survey, show: SurveyShow) -> Iterator[Line]:
    for section in before_findings(answer):
        yield from _section(section)
    yield Heading(words.CAUTIONS)
    yield from (bullet(f"{item.title}. {item.text}", mark="!") for item in answer.cautions)
    yield Heading(words.FINDINGS)
    if not answer.findings:
        yield f"  {words.NO_FINDINGS}"
    for number, item in enumerate(answer.findings, 1):
        yield from _finding(number, item, show)
    for section in after_findings(answer, show):
        yield from _section(section)
    yield from _look_at(answer, show)
    yield from _section(assumed(answer, show))
    yield ""
    yield f"Signed {BLANK}   Date {BLANK}"


def _section(section: Section) -> Iterator[Line]:
    yield Heading(section.title)
    if section.lead:
        yield bullet(section.lead)
    if section.rows:
        yield table(section.head, section.rows, range(section.names, len(section.head)))
        yield from [bullet(section.note)] if section.note else []
    yield from (bullet(line) for line in section.lines)


def _finding(number: int, item: Finding, show: SurveyShow) -> Iterator[Line]:
    yield f"  {number}. {item.severity.upper()}: {item.where}"
    for label, text in finding_rows(item, show):
        yield labelled(f"   {label}", text, 17)
    yield ""


def _look_at(answer: Survey, show: SurveyShow) -> Iterator[Line]:
    yield Heading(words.LOOK_AT)
    if not answer.look_at:
        yield f"  {words.NOTHING_OPEN}"
    for (_, thing), asked in grouped(answer.look_at).items():
        yield f"  {thing}"
        for item in asked:
            yield bullet(f"{show.text(item.ask)} ({item.severity}; {item.key})", "[ ]", 4)
            choices = "   ".join(f"[ ] {word}" for word in item.answers)
            yield f"        {choices or BLANK}"
