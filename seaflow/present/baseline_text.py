"""The commissioning sheet behind the card of `baseline`, with a blank for each reading."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.card import capital
from seaflow.present.layout import Heading, Line, bullet, labelled, table
from seaflow.present.quantities import Show
from seaflow.studies.baseline.sheet import BaselineSheet, Expected

BLANK = "________"
MOST = 78.0  # columns of a table of sentences


def baseline_lines(answer: BaselineSheet, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    yield Heading("Cautions")
    for caution in answer.cautions:
        yield labelled(caution.title, caution.text, 26)
    yield Heading("First fill and priming")
    for said in answer.first_fill:
        yield bullet(show.sentence(said))
    for number, step in enumerate(answer.steps, 1):
        yield bullet(step, mark=f"{number}.")
    yield Heading("What it should read, and what it does")
    lines = [_row(item, show) for item in answer.expected]
    yield table(("reading", "where", "should be", "nine in ten", "read"), lines, right=(2,))
    yield Heading("If a reading is out of its band")
    rows = [(capital(one.sees), one.look) for one in answer.astray]
    yield table(("if you see", "look here"), rows, most=MOST)
    if answer.trends:
        yield Heading("Over the stored days")
        yield from (bullet(capital(show.sentences(one.says))) for one in answer.trends)
    yield Heading("Also to note")
    yield table(("what", "noted"), [(title, BLANK) for title in answer.blanks])
    yield Heading("What this rests on")
    for fact in answer.basis:
        indent = 6 if fact.kind == "baseline.learnt" else 2
        yield bullet(show.sentence(fact), indent=indent)


def _row(item: Expected, show: Show) -> tuple[str, ...]:
    middle, band = in_band(item, show)
    return show.sentence(item.what), item.place, middle, band, BLANK


def in_band(item: Expected, show: Show) -> tuple[str, str]:
    """Return what it should be, and the band of nine boats in ten."""
    unit = {"seconds": "s", "sound": "dB(A)"}.get(item.show)
    if unit is not None:
        middle, high = f"{item.middle:.0f} {unit}", f"{item.high:.0f} {unit}"
        low = f"{item.low:.0f}"
    else:
        middle, high = show(item.show, item.middle), show(item.show, item.high)
        low = show.number(item.show, item.low)
    return middle, f"{low} to {high}"
