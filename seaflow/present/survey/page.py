"""A survey as one page of HTML that needs nothing else: to read on a phone, to print, to sign."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

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
from seaflow.studies.survey.questions import LookAt
from seaflow.studies.survey.severity import SEVERITIES

KEPT = 14  # rows of a table that is not broken over two pages
MANY = 4  # columns beyond which a table scrolls on a phone, its first column held
BLANK = '<span class="blank"></span>'
SHORT = 12  # letters of a value with its unit, which is not broken over two lines


# How it looks: on a screen, on a phone, and on paper.
STYLE = """
body { font: 16px/1.4 Georgia, serif; color: #000; background: #fff; margin: 0 auto;
  max-width: 46rem; padding: 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; border-bottom: 1px solid #000; margin: 1.6rem 0 .6rem; }
h3 { font-size: 1rem; margin: 0 0 .3rem; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .25rem .5rem .25rem 0;
  border-bottom: 1px solid #999; font-weight: normal; }
thead th { font-style: italic; }
.wide { overflow-x: auto; }
.head { display: grid; grid-template-columns: 1fr 1fr; gap: .2rem 1.5rem; margin: .5rem 0; }
.head div { display: grid; grid-template-columns: 8.5rem 1fr; border-bottom: 1px solid #999; }
.head dt, .finding dt { font-style: italic; }
.head dd, .finding dd { margin: 0; }
.short ol { margin: 0; padding-left: 2rem; }
.finding { border: 1px solid #000; padding: .6rem .8rem; margin: 0 0 .8rem; break-inside: avoid; }
.finding dl { display: grid; grid-template-columns: 6.5rem 1fr; gap: .15rem .6rem; margin: 0; }
.wide td:first-child { min-width: 9rem; }
.blank { display: block; min-height: 1.4rem; }
.asks .blank { border-bottom: 1px dotted #000; min-width: 9rem; }
.asks td:last-child { width: 40%; }
.asks .thing th { font-weight: bold; padding-top: .8rem; border-bottom: 1px solid #000; }
.box { display: inline-block; width: .8rem; height: .8rem; border: 1px solid #000;
  margin: 0 .25rem 0 0; vertical-align: -.05rem; }
.choice { white-space: nowrap; margin-right: .9rem; }
.sign { display: flex; flex-wrap: wrap; gap: 2rem; margin-top: 2.5rem; break-inside: avoid; }
.sign div { flex: 1 1 12rem; border-top: 1px solid #000; padding-top: .2rem; }
code { font-size: .8em; overflow-wrap: anywhere; }
@media screen and (max-width: 30rem) {
  body { padding: .7rem; }
  .head { grid-template-columns: 1fr; }
  table { font-size: .82rem; }
  th, td { padding-right: .4rem; }
  .many table { min-width: 36rem; }
  .many th:first-child, .many td:first-child { position: sticky; left: 0; background: #fff;
    min-width: 6rem; max-width: 8rem; border-right: 1px solid #999; }
  .finding dl { grid-template-columns: 1fr; gap: 0; }
  .finding dd { margin-bottom: .35rem; }
  .asks, .asks tbody, .asks tr, .asks td { display: block; }
  .asks thead { display: none; }
  .asks td { border: 0; padding: 0 0 .1rem; }
  .asks td:last-child { width: auto; }
  .asks tr { border-bottom: 1px solid #999; padding: .35rem 0; }
  .asks .thing th { display: block; border: 0; }
}
@media print {
  @page { margin: 12mm; }
  body { font-size: 8.5pt; line-height: 1.25; max-width: none; padding: 0; }
  h1 { font-size: 14pt; }
  h2 { font-size: 11pt; margin: .9rem 0 .35rem; }
  h3 { font-size: 9pt; margin: 0 0 .15rem; }
  h2, h3, .lead { break-after: avoid; }
  th, td { padding-top: .1rem; padding-bottom: .1rem; }
  p, ul, ol { margin: .25rem 0; orphans: 3; widows: 3; }
  .wide { overflow: visible; }
  .keep, .short { break-inside: avoid; }
  .short ol { columns: 2; column-gap: 6mm; font-size: 7.5pt; padding-left: 1.4rem; }
  .findings { columns: 2; column-gap: 5mm; font-size: 7.5pt; }
  .finding { padding: .25rem .4rem; margin: 0 1px .35rem; }
  .finding dl { grid-template-columns: 3.6rem 1fr; gap: 0 .3rem; }
  .blank { min-height: 1.1rem; }
  .asks { font-size: 8pt; }
  .asks .thing { break-after: avoid; }
  .asks .thing th { padding-top: .4rem; }
  .box { width: .6rem; height: .6rem; }
  .choice { margin-right: .5rem; }
  thead { display: table-header-group; }
  tr { break-inside: avoid; }
}
"""


def survey_page(answer: Survey, system: str) -> str:
    """Return the whole survey as a page."""
    body = "\n".join(_body(answer, SurveyShow(system)))
    title = escape(f"Survey of {answer.boat}")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _body(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield "<h1>Survey of the seawater loop</h1>"
    yield f"<p>{escape(answer.boat)}, {escape(show.hull(answer.hull))}</p>"
    yield _head(record_rows(answer))
    yield f"<p><strong>{escape(show.whole(answer.counted))}</strong></p>"
    yield from (_section(section) for section in before_findings(answer))
    yield from _in_short(answer, show)
    yield _title(words.CAUTIONS)
    yield _list(f"{item.title}. {item.text}" for item in answer.cautions)
    yield _title(words.FINDINGS)
    if not answer.findings:
        yield f"<p>{words.NO_FINDINGS}</p>"
    yield '<div class="findings">'
    for number, item in enumerate(answer.findings, 1):
        yield _finding(number, item, show)
    yield "</div>"
    yield from (_section(section) for section in after_findings(answer, show))
    yield from _questions(answer, show)
    yield _section(assumed(answer, show))
    names = ("Surveyor", "Owner or master", "Place and date")
    yield '<div class="sign">' + "".join(f"<div>{name}</div>" for name in names) + "</div>"


def _section(section: Section) -> str:
    parts = [_title(section.title)]
    if section.lead:
        parts.append(f'<p class="lead">{escape(section.lead)}</p>')
    if section.rows:
        parts.append(_table(section.head, section.rows))
        parts += [f"<p>{escape(section.note)}</p>"] if section.note else []
    parts += [_list(section.lines)] if section.lines else []
    text = "\n".join(parts)
    return f'<section class="keep">\n{text}\n</section>' if section.together else text


def _in_short(answer: Survey, show: SurveyShow) -> Iterator[str]:
    """Yield the critical and major findings, one line each, for the first sheet."""
    rows = [
        f"<li><em>{escape(item.severity)}</em> <strong>{escape(item.where)}</strong>: "
        f"{escape(show.whole(item.found))}</li>"
        for item in answer.findings
        if item.severity in SEVERITIES[:2]
    ]
    if rows:
        title = _title(words.IN_SHORT)
        yield f'<section class="short">{title}<ol>{"".join(rows)}</ol></section>'


def _head(rows: Iterable[tuple[str, str]]) -> str:
    """Return the head of the record, two entries to a line, blank where nothing was typed."""
    cells = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(value) or BLANK}</dd></div>"
        for name, value in rows
    )
    return f'<dl class="head">{cells}</dl>'


def _title(text: str) -> str:
    return f"<h2>{escape(text)}</h2>"


def _list(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def _table(head: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> str:
    wide = " many" if len(head) > MANY else ""
    keep = " keep" if len(rows) <= KEPT else ""
    top = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    lines = "".join(f"<tr>{''.join(map(_cell, row))}</tr>" for row in rows)
    table = f"<table><thead><tr>{top}</tr></thead><tbody>{lines}</tbody></table>"
    return f'<div class="wide{wide}{keep}">{table}</div>'


def _cell(text: str) -> str:
    kept = text.replace(" ", "\u00a0") if len(text) <= SHORT else text
    return f"<td>{escape(kept)}</td>"


def _finding(number: int, item: Finding, show: SurveyShow) -> str:
    rows = "".join(
        f"<dt>{escape(label)}</dt><dd>{escape(text)}</dd>"
        for label, text in finding_rows(item, show)
    )
    return (
        f'<section class="finding"><h3>{number}. {escape(item.severity.capitalize())}: '
        f"{escape(item.where)}</h3><dl>{rows}</dl></section>"
    )


def _questions(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield _title(words.LOOK_AT)
    if not answer.look_at:
        yield f"<p>{words.NOTHING_OPEN}</p>"
        return
    yield '<table class="asks"><thead><tr><th>what</th><th></th><th>answer</th></tr></thead>'
    for (_, thing), asked in grouped(answer.look_at).items():
        rows = "".join(_question(item, show) for item in asked)
        yield f'<tbody><tr class="thing"><th colspan="3">{escape(thing)}</th></tr>{rows}</tbody>'
    yield "</table>"


def _question(item: LookAt, show: SurveyShow) -> str:
    boxes = "".join(
        f'<span class="choice"><span class="box"></span>{escape(word)}</span> '
        for word in item.answers
    )
    ask = escape(show.text(item.ask))
    return (
        f"<tr><td>{ask} <code>{escape(item.key)}</code></td><td><em>{escape(item.severity)}</em>"
        f"</td><td>{boxes or BLANK}</td></tr>"
    )
