"""The page of a half-known boat: what to add, her loops as recorded, and her survey."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.present.card import capital
from seaflow.present.page.both import amount_of, said
from seaflow.present.page.html import PageSheet, filled
from seaflow.present.page.shared import cautions_sheet, survey_sheet
from seaflow.studies.page.half import HalfKnown, RecordedThing


def half_html(case: Case, page: HalfKnown, system: str) -> str:
    """Return the page as HTML; `system` is that of the units shown first."""
    more = {
        "title": said(fact("page.half_title", boat=page.boat)),
        "invented": False,
        "boats": Markup(""),
    }
    return filled(page.boat, _sheets(case, page), system, more)


def _sheets(case: Case, page: HalfKnown) -> Iterator[PageSheet]:
    (lack,) = page.lacks
    told = said(fact("page.half_told", problems=len(lack.problems)), ".")
    given: dict[str, Any] = {"told": told, "problems": lack.problems, "file": case.text.file}
    yield PageSheet("answer", "What to add first", "half.html", given)
    several = len(page.asked.loops) > 1
    loops = [
        {"name": name if several else "", "rows": [row for one in things for row in _rows(one)]}
        for name, things in page.asked.loops
    ]
    title = "The loop, as far as it is recorded"
    yield PageSheet("run", title, "recorded.html", {"loops": loops})
    yield survey_sheet(case, page.asked.survey)
    yield cautions_sheet([page.asked.survey])


def _rows(one: RecordedThing) -> Iterator[dict[str, Any]]:
    """Yield a row for a thing and its first hose onward, and one for each further hose."""
    told: dict[str, Any] = {"number": one.number, "name": capital(one.name), "height": None}
    if one.height is not None:
        told["height"] = amount_of("height", one.height)
    if not one.hoses:
        yield told | {"to": 0, "length": None, "bore": None}
    for hose in one.hoses:
        values = (("length", hose.length), ("bore", hose.bore))
        shown = {kind: None if it is None else amount_of(kind, it) for kind, it in values}
        yield told | {"to": hose.to} | shown
