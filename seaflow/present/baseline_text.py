"""The commissioning sheet of `baseline` as text, with a blank for each reading."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import Heading, Line, bullet, labelled, page, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.baseline.sheet import BaselineSheet, Expected

BLANK = "________"


def baseline_text(answer: BaselineSheet, system: str) -> str:
    """Return the whole sheet as text."""
    return page(_lines(answer, Show(system)))


def _lines(answer: BaselineSheet, show: Show) -> Iterator[Line]:
    why = show.sentence(answer.why_pump)
    yield f"{answer.boat}, loop of {answer.loop}, with {answer.pump} ({why})"
    yield (
        f"Healthy and clean, {answer.mode} at {percent(answer.load)} load, sea at "
        f"{show('temperature', answer.sea_temperature)}, "
        f"{show('voltage', answer.volts)} at the pump"
    )
    yield Heading("Cautions")
    for caution in answer.cautions:
        yield labelled(caution.title, caution.text, 26)
    yield Heading("First fill and priming")
    for said in answer.first_fill:
        yield bullet(show.sentence(said))
    for number, step in enumerate(answer.steps, 1):
        yield bullet(step, mark=f"{number}.")
    yield Heading("What it should read, and what it does")
    rows = [_row(item, show) for item in answer.expected]
    yield table(("reading", "where", "should be", "nine in ten", "read"), rows, right=(2,))
    yield Heading("Also to note")
    yield table(("what", "noted"), [(title, BLANK) for title in answer.blanks])
    yield Heading("What this rests on")
    for fact in answer.basis:
        indent = 6 if fact.kind == "baseline.learnt" else 2
        yield bullet(show.sentence(fact), indent=indent)


def _row(item: Expected, show: Show) -> tuple[str, ...]:
    if item.show == "seconds":
        middle, low, high = (f"{value:.0f} s" for value in (item.middle, item.low, item.high))
    elif item.show == "sound":
        middle, low, high = (f"{value:.0f}" for value in (item.middle, item.low, item.high))
        middle, high = f"{middle} dB(A)", f"{high} dB(A)"
    else:
        middle, high = show(item.show, item.middle), show(item.show, item.high)
        low = show.number(item.show, item.low)
    title = show.sentence(item.what)
    if item.show == "seconds" and show.system == "us":
        title = f"{title} (2.64 gal)"
    return title, item.place, middle, f"{low} to {high}", BLANK
