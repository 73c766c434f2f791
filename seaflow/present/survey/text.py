"""A survey as plain text: the record, and what stands behind the card."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import Heading, Line, bullet, labelled, page, table
from seaflow.present.quantities import Show
from seaflow.present.survey import titles
from seaflow.present.survey.record import (
    Advised,
    RecordRow,
    Says,
    legend,
    made_by,
    says,
    sources,
)
from seaflow.present.survey.sections import (
    Section,
    after_findings,
    assumed,
    before_findings,
    record_rows,
)
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.questions import grouped

SHORT = 13  # letters of a label beside its text
BLANK = "______________________________"


def survey_text(answer: Survey, system: str) -> str:
    """Return the record of a survey as text."""
    said = says(answer, system)
    head = f"{answer.boat}: survey of the seawater loop, {said.show.hull(answer.hull)}"
    verdict = said.show.whole(answer.headline, answer.coverage, answer.counted)
    return page((head, verdict, *_record(answer), *_sections(said)))


def survey_lines(answer: Survey, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    yield Heading(words.RECORD)
    yield from _record(answer)
    yield from _sections(says(answer, show.system))


def _record(answer: Survey) -> Iterator[Line]:
    for name, value in record_rows(answer):
        yield labelled(name, value or BLANK, 24)


def _sections(said: Says) -> Iterator[Line]:
    answer = said.answer
    yield from _section(Section(titles.GRAVE, lines=said.grave() or (titles.NO_GRAVE,)))
    if said.asked():
        yield from _section(Section(titles.GRAVE_ASKED, lines=said.asked()))
    if answer.changes:
        yield from _section(said.changed())
    for section in before_findings(answer):
        yield from _section(section)
    yield Heading(words.CAUTIONS)
    yield from (bullet(f"{item.title}. {item.text}", mark="!") for item in answer.cautions)
    yield Heading(titles.LEDGER)
    for row in said.ledger():
        yield from _row(row)
    yield Heading(words.FINDINGS)
    if not answer.findings:
        yield f"  {words.NO_FINDINGS}"
    for thing in said.advice():
        yield from _advised(thing)
    for section in (*after_findings(answer, said.show), said.limits()):
        yield from _section(section)
    for section in (assumed(answer, said.show), legend(), sources(said)):
        yield from _section(section)
    yield ""
    yield made_by()
    yield f"Signed {BLANK}   Date {BLANK}"
    yield from _look_at(said)


def _section(section: Section) -> Iterator[Line]:
    yield Heading(section.title)
    if section.lead:
        yield bullet(section.lead)
    if section.rows:
        yield table(section.head, section.rows, range(section.names, len(section.head)), most=100)
        yield from [bullet(section.note)] if section.note else []
    yield from (bullet(line) for line in section.lines)


def _row(row: RecordRow) -> Iterator[Line]:
    yield f"  {row.mark}  {row.thing}"
    for recorded in row.recorded:
        how, _, facts = recorded.partition(": ")
        if len(how) < SHORT:
            yield labelled(f"   {how}", facts, 17)
        else:
            yield labelled("   Recorded", recorded, 17)
    told = (
        ("In order", row.in_order),
        (titles.AS_TOLD, row.as_told),
        ("Found", row.found),
        ("Not seen", row.not_seen),
    )
    yield from (labelled(f"   {label}", text, 17) for label, text in told if text)


def _advised(thing: Advised) -> Iterator[Line]:
    yield f"  {thing.title}"
    yield labelled("   Do", f"{thing.do} {thing.cures}".rstrip(), 17)
    for title, rows in thing.findings:
        yield f"  {title}"
        for label, text in rows:
            yield labelled(f"   {label}", text, 17)
    yield ""


def _look_at(said: Says) -> Iterator[Line]:
    yield Heading(words.LOOK_AT)
    if not said.answer.look_at:
        yield f"  {words.NOTHING_OPEN}"
    for (_, thing), asked in grouped(said.answer.look_at).items():
        yield f"  {thing}"
        for item in asked:
            ask = said.show.question(item.ask, item.not_accessible)
            yield bullet(f"{ask} ({item.severity})", "[ ]", 4)
            choices = "   ".join(f"[ ] {word}" for word in item.answers)
            yield f"        {choices or BLANK}"
