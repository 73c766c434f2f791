"""The page of a boat, section by section, from the answers of all commands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from markupsafe import Markup

from seaflow.boat.case import Case
from seaflow.present.faces import faces_of
from seaflow.present.page.answer import LoopAnswer, answers_of
from seaflow.present.page.behind import Behind, behind, found
from seaflow.present.page.both import Two, both, drawn, painted, said, told
from seaflow.present.page.html import PageSheet, filled
from seaflow.present.size.card import size_title
from seaflow.present.size.curve_svg import curve_chart, curve_keys, where_said
from seaflow.studies.page.study import BoatPage
from seaflow.studies.size.curves import LoopCurves

WIDE, NARROW = 600.0, 380.0  # pixels of a drawing on a desk and on a phone


def page_html(case: Case, page: BoatPage, system: str) -> str:
    """Return the page of a boat as HTML; `system` is that of the units shown first."""
    parts = _Parts(case, page)
    title = both(lambda show: size_title(page.asked.size, show))
    more = {"title": title, "invented": page.asked.size.invented_parts}
    return filled(page.boat, parts.sheets(), system, more)


@dataclass(frozen=True, slots=True)
class _Parts:
    """The sections of one page."""

    case: Case
    page: BoatPage

    def sheets(self) -> Iterator[PageSheet]:
        """Yield the sections in the order in which they are read."""
        size = behind(partial(faces_of("size", self.case).lines, self.page.asked.size))
        answers, hazard = answers_of(self.page)
        given = {"answers": answers, "hazard": hazard}
        yield PageSheet("answer", "The answer", "answer.html", given)
        yield from self._buy(answers, size)
        yield from self._curves(size)

    def _buy(self, answers: list[LoopAnswer], size: list[Behind]) -> Iterator[PageSheet]:
        details = found(size, "Pumps", "What each unit needs")
        given = {"answers": answers, "details": details}
        yield PageSheet("buy", "What to buy", "buy.html", given)

    def _curves(self, size: list[Behind]) -> Iterator[PageSheet]:
        charts = [_chart(one, len(self.page.asked.curves) > 1) for one in self.page.asked.curves]
        given = {"charts": charts, "details": found(size, "Worst cases", "How sure")}
        aside = Two(*(2 * ("where the two lines cross, the pump runs",)))
        yield PageSheet("curve", "Pump and loop", "curve.html", given, aside, starts=True)


def _chart(one: LoopCurves, several: bool) -> dict[str, object]:
    keys = [(Markup(painted(key.sign)), told(key.said)) for key in curve_keys(one)]
    return {
        "name": one.loop if several else "",
        "where": said(where_said(one)),
        "desk": drawn(lambda show: curve_chart(one, show, WIDE), "curve"),
        "phone": drawn(lambda show: curve_chart(one, show, NARROW), "curve"),
        "key": keys,
    }
