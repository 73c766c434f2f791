"""A survey as one page of HTML that needs nothing else: to read on a phone, to print, to sign."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.style import STYLE
from seaflow.present.survey.tables import (
    LEG_HEAD,
    OPENING_HEAD,
    PLACE_HEAD,
    TRIM_HEAD,
    head_lines,
    leg_row,
    opening_rows,
    place_row,
    place_title,
    trim_row,
    trim_words,
)
from seaflow.present.survey.text import (
    OVERRULED,
    STRAINER_HEAD,
    angle,
    assumed,
    bilge_words,
    finding_rows,
    limit_lines,
    overruled_lines,
    record_rows,
    sentence,
    strainer_note,
    strainer_rows,
    strainer_title,
    strainer_words,
    summary,
)
from seaflow.present.survey.units import SurveyShow
from seaflow.studies.survey.findings import Finding, LookAt, Survey
from seaflow.studies.survey.rules import SEVERITIES

KEPT = 14  # rows of a table that is not broken over two pages
MANY = 4  # columns beyond which a table scrolls on a phone, its first column held
BLANK = '<span class="blank"></span>'
SHORT = 12  # letters of a value with its unit, which is not broken over two lines


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
    yield f"<p>{escape(answer.boat)}, {escape(answer.hull)}</p>"
    yield _head(record_rows(answer))
    yield f"<p><strong>{escape(summary(answer))}</strong></p>"
    if answer.overruled:
        yield _title(OVERRULED)
        yield _list(overruled_lines(answer))
    yield from _in_short(answer, show)
    yield _title("Cautions")
    yield _list(f"{item.title}: {item.text}" for item in answer.cautions)
    yield _title("Findings")
    if not answer.findings:
        yield "<p>None. That says nothing about what was not recorded: see below.</p>"
    yield '<div class="findings">'
    for number, item in enumerate(answer.findings, 1):
        yield _finding(number, item, show)
    yield "</div>"
    yield _title("Heeled waterlines")
    yield _list(
        f"{line.name}: {angle(line.angle)}; {line.words}. Check the current edition."
        for line in answer.waterlines
    )
    yield _title(place_title(answer))
    yield _table(PLACE_HEAD, (place_row(item, show) for item in answer.places))
    yield _title("The same, heeled and trimmed")
    yield f'<p class="lead">{escape(trim_words(answer))}</p>'
    if answer.trim_is_known:
        yield _table(TRIM_HEAD, (trim_row(item, show) for item in answer.trimmed))
    yield _title("Runs, upright")
    yield _table(LEG_HEAD, (leg_row(item, show) for item in answer.legs))
    yield _list(head_lines(answer, show))
    if answer.openings:
        yield _title("If a hose lets go")
        yield _table(OPENING_HEAD, opening_rows(answer, show))
        yield f"<p>{escape(bilge_words(answer, show))}</p>"
    yield from _strainers(answer, show)
    yield from _questions(answer, show)
    yield from _end(answer, show)


def _end(answer: Survey, show: SurveyShow) -> Iterator[str]:
    """Yield what was assumed, and where to sign."""
    yield _title("What was assumed")
    yield _list(assumed(answer, show))
    names = ("Surveyor", "Owner or master", "Place and date")
    yield '<div class="sign">' + "".join(f"<div>{name}</div>" for name in names) + "</div>"


def _in_short(answer: Survey, show: SurveyShow) -> Iterator[str]:
    """Yield the critical and major findings, one line each, for the first sheet."""
    rows = [
        f"<li><em>{escape(item.severity)}</em> <strong>{escape(item.where)}</strong>: "
        f"{escape(sentence(_short(item.found), show))}</li>"
        for item in answer.findings
        if item.severity in SEVERITIES[:2]
    ]
    if rows:
        title = _title("Critical and major, in short")
        yield f'<section class="short">{title}<ol>{"".join(rows)}</ol></section>'


def _short(found: str) -> str:
    """Return what was found up to where it goes into detail."""
    return found.partition("; ")[0].partition(": ISO")[0]


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


def _table(head: Iterable[str], rows: Iterable[Iterable[str | None]]) -> str:
    """Return a table; a cell of None is left blank for writing."""
    head, rows = tuple(head), tuple(tuple(row) for row in rows)
    wide = " many" if len(head) > MANY else ""
    keep = " keep" if len(rows) <= KEPT else ""
    top = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    top = f"<thead><tr>{top}</tr></thead>" if top else ""
    lines = "".join(f"<tr>{''.join(_cell(cell) for cell in row)}</tr>" for row in rows)
    return f'<div class="wide{wide}{keep}"><table>{top}<tbody>{lines}</tbody></table></div>'


def _cell(text: str | None) -> str:
    if text is None:
        return f"<td>{BLANK}</td>"
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


def _strainers(answer: Survey, show: SurveyShow) -> Iterator[str]:
    for item in answer.strainers:
        yield '<section class="keep">'
        yield _title(strainer_title(item))
        yield f"<p>{escape(strainer_words(item, show))}</p>"
        if item.at:
            yield _table(STRAINER_HEAD, strainer_rows(item, show))
            yield f"<p>{escape(strainer_note(item, show))}</p>"
        yield _list((*limit_lines(item, show), item.basis))
        yield "</section>"


def _questions(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield _title("Look at on board")
    if not answer.look_at:
        yield "<p>Nothing is left open.</p>"
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
