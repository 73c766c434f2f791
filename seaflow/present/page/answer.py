"""The first sheet: for each loop the decision, the water window, the figures, and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from markupsafe import Markup

from seaflow.base.facts import amount, fact
from seaflow.present.card import GRADE
from seaflow.present.charts.svg import Picture
from seaflow.present.page.both import NOTHING, Two, amount_of, both, drawn, said
from seaflow.present.page.card import Saying, WholeCard
from seaflow.present.page.window import tally, window
from seaflow.present.quantities import Show
from seaflow.studies.page.study import BoatPage
from seaflow.studies.size.curves import LoopCurves
from seaflow.studies.size.demand import Demand
from seaflow.studies.size.size import LoopSize
from seaflow.studies.size.to_buy import UNEVEN

DESK, PHONE = 520.0, 358.0  # pixels of the water window


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One of the figures: what it is, its number, and what stands below."""

    what: str
    number: Two
    below: Two


@dataclass(frozen=True, slots=True)
class LoopAnswer:
    """The answer for one loop; `name` is empty where it is the only one."""

    name: str
    grade: str
    word: str
    lead: Two
    rest: tuple[Two, ...]
    window: tuple[Markup, ...]
    tally: Markup | None
    days: int | None
    figures: tuple[KeyFigure, ...]
    told: tuple[Saying, ...]


def answers_of(page: BoatPage, card: WholeCard) -> list[LoopAnswer]:
    """Return the answer of each loop, from the card of all."""
    several = len(page.asked.size.loops) > 1
    groups: list[list[Saying]] = [] if several else [[]]
    for told in card.told:
        if not told.says:
            groups.append([])
        else:
            groups[-1].append(told)
    curves = {item.loop: item for item in page.asked.curves}
    return [
        _answer(loop, curves.get(loop.name), told, several)
        for loop, told in zip(page.asked.size.loops, groups, strict=True)
    ]


def _answer(
    loop: LoopSize, curves: LoopCurves | None, told: list[Saying], several: bool
) -> LoopAnswer:
    decision, *rest = told
    certain = None if loop.certainty is None or loop.chosen is None else loop.certainty
    mine = None if certain is None or loop.chosen is None else certain.of(loop.chosen.part.name)
    days = None if mine is None else round(100 * mine.keeps_rise)
    # of several pump places the curves are those of one
    asked = None if curves is None or curves.places > 1 else curves.asked
    picture: tuple[Markup, ...] = ()
    if loop.chosen is not None and curves is not None and asked is not None:
        at = loop.chosen.design.flow
        band = curves.flow_band
        picture = tuple(
            drawn(partial(_window, asked, at, band, wide), "window") for wide in (DESK, PHONE)
        )
    return LoopAnswer(
        name=loop.name if several else "",
        grade=loop.grade,
        word=GRADE[loop.grade],
        lead=decision.says[0],
        rest=decision.says[1:],
        window=picture,
        tally=None if days is None else Markup(tally(days)),
        days=days,
        figures=tuple(_figures(loop, asked)),
        told=tuple(rest),
    )


def _window(
    asked: Demand, at: float, band: tuple[float, float] | None, wide: float, show: Show
) -> Picture:
    return window(asked, at, band, show, wide)


def _figures(loop: LoopSize, asked: Demand | None) -> Iterator[KeyFigure]:
    best, need = loop.chosen, loop.flow_needed if asked is None else asked.flow
    if best is None:
        yield KeyFigure("Water needed", amount_of("flow", need), NOTHING)
        return
    at = best.design
    head = amount("head", at.head)
    yield KeyFigure(
        "Water it gives", amount_of("flow", at.flow), said(fact("page.at_head", head=head))
    )
    over = at.flow / need - 1.0 if need else 0.0
    more = fact("page.over_need" if over >= 0.0 else "page.under_need", share=abs(over))
    many = len(loop.needs) > 1
    if need > UNEVEN * loop.flow_needed:
        more = fact("page.uneven", more=more, units=amount("flow", loop.flow_needed))
    yield KeyFigure("Water needed", amount_of("flow", need), said(more))
    cooling = [unit for unit in at.units if unit.state == "cooling"]
    if cooling:
        hot = max(cooling, key=lambda unit: unit.outlet_temperature)
        rise = fact("page.warmer", rise=amount("rise", hot.temperature_rise))
        leaves = amount_of("temperature", hot.outlet_temperature)
        yield KeyFigure("Water leaves at", leaves, _of_unit(hot.name, said(rise), many))
    margins = [unit for unit in cooling if unit.cut_out_margin is not None]
    if margins:
        near = min(margins, key=lambda unit: unit.cut_out_margin or 0.0)
        room = amount_of("rise", near.cut_out_margin)
        yield KeyFigure("Room to the cut-out", room, _of_unit(near.name, NOTHING, many))
    else:
        yield KeyFigure("Pump takes", both(lambda show: show("power", at.power)), NOTHING)


def _of_unit(name: str, words: Two, many: bool) -> Two:
    """Return words with the unit they are of, where there are several."""
    if not many:
        return words
    return Two(*(f"{text}, {name}" if text else name for text in (words.metric, words.american)))
