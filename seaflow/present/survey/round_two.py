"""What a checklist carries on to the next visit: findings, and how earlier answers are known."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from seaflow.boat.case import Case
from seaflow.boat.reader.known import NOT_ACCESSIBLE, HowKnown, mark_of
from seaflow.forms.starter import value_text
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.findings import Survey

WIDTH = 96
FINDINGS = (
    'Findings so far, by numbers that stay. Write state = "done" or "accepted" (by the owner), '
    "and the day behind on. What was done counts as cured once its fact is answered anew."
)


def finding_blocks(answer: Survey, show: SurveyShow) -> Iterator[str]:
    """Yield a block for each finding, and for each of an earlier visit that is not yet cured."""
    found = {item.number: show.text(show.sentence(item.found)) for item in answer.findings}
    told = [(item.number, item.where, item.rule, item.state, item.on) for item in answer.findings]
    numbers = {one[0] for one in told}
    told += [
        (item.number, item.thing, item.rule, item.state, item.on)
        for item in answer.changes
        if item.number not in numbers
    ]
    for number, thing, rule, state, on in told:
        yield from (f"# {line}" for line in textwrap.wrap(found.get(number, ""), WIDTH))
        yield "[[finding]]"
        yield f"number = {value_text(number)}"
        yield f"thing = {value_text(thing)}"
        yield f"rule = {value_text(rule)}"
        yield f"state = {value_text(state)}"
        yield f"on = {value_text(on)}"
        yield ""


def with_mark(case: Case, address: tuple[str, str, str], value: Any) -> Any:
    """Return an earlier answer with how it is known before it, so that its day is not lost.

    What says so itself, has no day, or could not be read back so, stays as it is.
    """
    known = case.known.get(address)
    plain = isinstance(value, (str, bool, int, float))
    if known is None or not known.date or not plain or value == "":
        return value
    own = mark_of(value) if isinstance(value, str) else None
    if NOT_ACCESSIBLE in (known.how, own and own[0].how):
        is_same = own is not None and own[0].why == known.why
        return known.mark if is_same else value
    if own is not None and own[0].date:
        return value
    text = ("yes" if value else "no") if isinstance(value, bool) else str(value)
    text = text if own is None else own[1]
    marked = f"{known.mark}: {text}"
    return marked if _reads_back(marked, known, text) else value


def _reads_back(marked: str, known: HowKnown, text: str) -> bool:
    return mark_of(marked) == (replace(known, visit="", why=""), text)
