"""A survey as one page of HTML that needs nothing else: to read on a phone, to print, to sign."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from seaflow.present.quantities import Show
from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.tables import (
    LEG_HEAD,
    OPENING_HEAD,
    PLACE_HEAD,
    TRIM_HEAD,
    head_lines,
    leg_row,
    opening_rows,
    place_row,
    trim_row,
    trim_words,
)
from seaflow.present.survey.text import (
    STRAINER_HEAD,
    angle,
    assumed,
    bilge_words,
    finding_rows,
    limit_lines,
    record_rows,
    sentence,
    strainer_note,
    strainer_rows,
    strainer_words,
    summary,
)
from seaflow.studies.survey.findings import Finding, Survey
from seaflow.studies.survey.rules import SEVERITIES

SHORT = 12  # letters of a value with its unit, which is not broken over two lines
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
.finding { border: 1px solid #000; padding: .6rem .8rem; margin: 0 0 .8rem; break-inside: avoid; }
.finding dl { display: grid; grid-template-columns: 6.5rem 1fr; gap: .15rem .6rem; margin: 0; }
.finding dt { font-style: italic; }
.finding dd { margin: 0; }
td:first-child { width: 9rem; }
.blank { display: block; min-height: 1.5rem; border-bottom: 1px dotted #000; }
.ask { break-inside: avoid; margin: 0 0 .7rem; }
.box { display: inline-block; width: .8rem; height: .8rem; border: 1px solid #000;
  margin: 0 .25rem 0 0; vertical-align: -.05rem; }
.choice { white-space: nowrap; margin-right: .9rem; }
.sign { display: flex; flex-wrap: wrap; gap: 2rem; margin-top: 2.5rem; break-inside: avoid; }
.sign div { flex: 1 1 12rem; border-top: 1px solid #000; padding-top: .2rem; }
code { font-size: .85em; }
@media (max-width: 30rem) {
  body { padding: .7rem; }
  td:first-child { width: auto; }
  table { font-size: .82rem; }
  th, td { padding-right: .3rem; }
  .finding dl { grid-template-columns: 1fr; gap: 0; }
  .finding dd { margin-bottom: .35rem; }
}
@media print {
  @page { margin: 16mm; }
  body { font-size: 10.5pt; max-width: none; padding: 0; }
  h2, h3, .lead { break-after: avoid; }
  .wide { overflow: visible; }
  .finding { margin-right: 1px; }
  tr { break-inside: avoid; }
}
"""


def survey_page(answer: Survey, system: str) -> str:
    """Return the whole survey as a page."""
    body = "\n".join(_body(answer, Show(system)))
    title = escape(f"Survey of {answer.boat}")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _body(answer: Survey, show: Show) -> Iterator[str]:
    yield "<h1>Survey of the seawater loop</h1>"
    yield f"<p>{escape(answer.boat)}, {escape(answer.hull)}</p>"
    rows = ((name, value or None) for name, value in record_rows(answer))
    yield _table((), rows)
    yield f"<p><strong>{escape(summary(answer))}</strong></p>"
    yield from _in_short(answer, show)
    yield _title("Cautions")
    yield _list(f"{item.title}: {item.text}" for item in answer.cautions)
    yield _title("Findings")
    if not answer.findings:
        yield "<p>None. That says nothing about what was not recorded: see below.</p>"
    for number, item in enumerate(answer.findings, 1):
        yield _finding(number, item, show)
    yield _title("Heeled waterlines")
    yield _list(
        f"{line.name}: {angle(line.angle)}; {line.words}. Check the current edition."
        for line in answer.waterlines
    )
    yield _title("Where openings and pumps lie")
    yield _table(PLACE_HEAD, (place_row(item, show) for item in answer.places))
    yield _title("The same, heeled and trimmed")
    yield f'<p class="lead">{escape(trim_words(answer))}</p>'
    if answer.working_trim is not None:
        yield _table(TRIM_HEAD, (trim_row(item, show) for item in answer.trimmed))
    yield _title("Runs, upright")
    yield _table(LEG_HEAD, (leg_row(item, show) for item in answer.legs))
    yield _list(head_lines(answer, show))
    if answer.openings:
        yield _title("If a hose lets go")
        yield _table(OPENING_HEAD, opening_rows(answer, show))
        yield f"<p>{escape(bilge_words(answer, show))}</p>"
    yield from _strainers(answer, show)
    yield from _questions(answer)
    yield _title("What was assumed")
    yield _list(assumed(answer, show))
    names = ("Surveyor", "Owner or master", "Place and date")
    yield '<div class="sign">' + "".join(f"<div>{name}</div>" for name in names) + "</div>"


def _in_short(answer: Survey, show: Show) -> Iterator[str]:
    """Yield the critical and major findings, one line each, for the first sheet."""
    rows = [
        (item.severity, item.where, sentence(item.found, show))
        for item in answer.findings
        if item.severity in SEVERITIES[:2]
    ]
    if rows:
        yield _title("Critical and major, in short")
        yield _table((), rows)


def _title(text: str) -> str:
    return f"<h2>{escape(text)}</h2>"


def _list(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def _table(head: Iterable[str], rows: Iterable[Iterable[str | None]]) -> str:
    """Return a table; a cell of None is left blank for writing."""
    top = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    top = f"<thead><tr>{top}</tr></thead>" if top else ""
    lines = "".join(f"<tr>{''.join(_cell(cell) for cell in row)}</tr>" for row in rows)
    return f'<div class="wide"><table>{top}<tbody>{lines}</tbody></table></div>'


def _cell(text: str | None) -> str:
    if text is None:
        return '<td><span class="blank"></span></td>'
    kept = text.replace(" ", "\u00a0") if len(text) <= SHORT else text
    return f"<td>{escape(kept)}</td>"


def _finding(number: int, item: Finding, show: Show) -> str:
    rows = "".join(
        f"<dt>{escape(label)}</dt><dd>{escape(text)}</dd>"
        for label, text in finding_rows(item, show)
    )
    return (
        f'<section class="finding"><h3>{number}. {escape(item.severity.capitalize())}: '
        f"{escape(item.where)}</h3><dl>{rows}</dl></section>"
    )


def _strainers(answer: Survey, show: Show) -> Iterator[str]:
    for item in answer.strainers:
        yield _title(f"Strainer {item.name}")
        yield f"<p>{escape(strainer_words(item, show))}</p>"
        if item.at:
            yield _table(STRAINER_HEAD, strainer_rows(item, show))
            yield f"<p>{escape(strainer_note(show))}</p>"
        yield _list((*limit_lines(item, show), item.basis))


def _questions(answer: Survey) -> Iterator[str]:
    yield _title("Look at on board")
    if not answer.look_at:
        yield "<p>Nothing is left open.</p>"
    for (_, thing), asked in grouped(answer.look_at).items():
        yield f"<h3>{escape(thing)}</h3>"
        for item in asked:
            boxes = "".join(
                f'<span class="choice"><span class="box"></span>{escape(word)}</span> '
                for word in item.answers
            )
            yield (
                f'<div class="ask">{escape(item.ask)} <em>{escape(item.severity)}</em> '
                f'<code>{escape(item.key)}</code><br>{boxes}<span class="blank"></span></div>'
            )
