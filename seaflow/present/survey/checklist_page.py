"""The checklist as one page of HTML to print and take along: a box to tick or a blank on each line.

It needs nothing else, no network and no script, and prints on A4 and Letter.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from itertools import count

from seaflow import __version__
from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.tables.recorded_record import Record
from seaflow.present.survey.units import SurveyShow
from seaflow.present.survey.walk import Line, Station, good_of, lines, title_of, walk
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.questions import LookAt

HEAD = ("identity", "date", "place", "surveyor")
STYLE = """
@page { size: auto; margin: 14mm 13mm 16mm;
  @bottom-right { font: 9pt Georgia, serif;
    content: "page " counter(page) " of " counter(pages); } }
body { font: 16px/1.35 Georgia, serif; color: #000; background: #fff; margin: 0 auto;
  max-width: 46rem; padding: 1rem; }
h1 { font-size: 1.4rem; margin: 0 0 .3rem; }
h2 { font-size: 1.1rem; border-bottom: 2px solid #000; margin: 1.4rem 0 .3rem;
  break-after: avoid; }
p { margin: .2rem 0 .4rem; }
h2 + p { break-after: avoid; }
.careful { border: 1px solid #000; padding: .3rem .6rem; margin: .4rem 0; break-inside: avoid;
  break-after: avoid; }
.head { display: grid; grid-template-columns: 1fr 1fr; gap: .5rem 1.5rem; margin: .6rem 0; }
.head div { border-bottom: 1px solid #000; min-height: 1.5rem; }
table { border-collapse: collapse; width: 100%; table-layout: fixed; }
tbody { break-inside: auto; }
tr { break-inside: avoid; }
th, td { text-align: left; vertical-align: top; padding: .22rem .4rem .22rem 0;
  border-bottom: 1px solid #999; font-weight: normal; }
th.thing { font-weight: bold; padding-top: .6rem; border-bottom: 1px solid #000;
  break-after: avoid; }
col.number { width: 2rem; } col.answer { width: 42%; } col.shut { width: 6rem; }
td:last-child { white-space: nowrap; }
.box { display: inline-block; width: .8rem; height: .8rem; border: 1px solid #000;
  margin-right: .25rem; vertical-align: -.05rem; }
.choice { margin-right: .7rem; display: inline-block; }
.blank { display: inline-block; min-width: 8rem; border-bottom: 1px dotted #000; }
.critical { font-weight: bold; }
small { font-size: .85em; }
@media print { body { font-size: 10.5pt; max-width: none; padding: 0; } small { font-size: 9pt; } }
@media screen and (max-width: 30rem) {
  body { padding: .6rem; } .head { grid-template-columns: 1fr; }
  table, tbody, tr, td, th { display: block; border: 0; } colgroup { display: none; }
  td { padding: .05rem 0; } tr { border-bottom: 1px solid #999; padding: .3rem 0; }
}
"""


def checklist_page(answer: Survey, case: Case, system: str = "metric") -> str:
    """Return the open questions as a page to be printed and filled in by hand."""
    return "\n".join(_page(answer, case, SurveyShow(system))) + "\n"


def _page(answer: Survey, case: Case, show: SurveyShow) -> Iterator[str]:
    title = escape(words.CHECKLIST.format(boat=answer.boat))
    yield '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{title}</title><style>{STYLE}</style></head><body>"
    yield f"<h1>{title}</h1>"
    yield f'<div class="head">{"".join(_blanks())}</div>'
    yield f"<p>{escape(words.HOW_TO_TICK)}</p>"
    numbers, stations = count(1), walk(answer, case)
    if not stations:
        yield f"<p>{words.NOTHING_OPEN}</p>"
    for number, stop in enumerate(stations, 1):
        yield from _stop(number, stop, answer, case, show, numbers)
    yield f"<p><small>seaflow {escape(__version__)}</small></p></body></html>"


def _blanks() -> Iterator[str]:
    known = {spelled: declared for _, spelled, declared in keys_of(Record)}
    yield from (f"<div>{escape(known[key].meaning)}</div>" for key in HEAD)


def _stop(
    number: int, stop: Station, answer: Survey, case: Case, show: SurveyShow, numbers: Iterator[int]
) -> Iterator[str]:
    yield f"<h2>{number}. {escape(stop.title)}</h2><p>{escape(stop.about)}</p>"
    heed = " ".join(escape(caution.brief) for caution in stop.careful)
    yield f'<p class="careful"><strong>Careful.</strong> {heed}</p>'
    yield '<table><colgroup><col class="number"><col><col class="answer"><col class="shut">'
    yield "</colgroup>"
    for _, thing, asked in stop.asked:
        yield from _thing(thing, (answer, case, asked), show, numbers)
    yield "</table>"


def _thing(
    thing: str,
    asked: tuple[Survey, Case, tuple[LookAt, ...]],
    show: SurveyShow,
    numbers: Iterator[int],
) -> Iterator[str]:
    yield f'<tbody><tr><th class="thing" colspan="4">{escape(title_of(thing))}</th></tr>'
    for line in lines(*asked):
        yield _row(next(numbers), line, show)
    yield from (_in_the_file(item) for item in asked[2] if item.table == "point")
    yield "</tbody>"


def _row(number: int, line: Line, show: SurveyShow) -> str:
    good = good_of(line)
    boxes = "".join(
        f'<span class="choice"><span class="box"></span>{_word(word, word in good)}</span> '
        for word in sorted(line.ticks, key=lambda word: word not in good)
    )
    such = f" <small>such as {escape(show.text(line.example))}</small>" if line.example else ""
    blank = f'<span class="blank">&nbsp;</span>{such}'
    ask, grave = escape(show.text(line.ask)), escape(line.severity)
    return (
        f'<tr><td>{number}</td><td>{ask} <small class="{grave}">{grave}</small></td>'
        f'<td>{boxes or blank}</td><td><span class="box"></span>{words.NOT_REACHED}</td></tr>'
    )


def _word(word: str, is_good: bool) -> str:
    return f"<b>{escape(word)}</b>" if is_good else escape(word)


def _in_the_file(item: LookAt) -> str:
    return f'<tr><td></td><td colspan="3">{escape(item.ask)}</td></tr>'
