"""The card of `page` is that of `size`; and how the page takes cards apart."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.present.card import Card, block, capital, card
from seaflow.present.faces import faces_of
from seaflow.present.page.both import AMERICAN, METRIC, Two
from seaflow.present.quantities import Show
from seaflow.present.size.card import size_card
from seaflow.studies.page.half import HalfKnown
from seaflow.studies.page.study import BoatPage

CAREFUL, MORE = "Careful", "More"
OF_COMMAND = re.compile(r":? seaflow \w+ BOAT(?=\.)")  # said to whoever types commands


def page_card(answer: BoatPage | HalfKnown, show: Show) -> Card:
    """Return the card of a page."""
    if isinstance(answer, HalfKnown):
        return _half_card(answer, show)
    return size_card(answer.asked.size, show)


def _half_card(answer: HalfKnown, show: Show) -> Card:
    """Return the card of a page that has no answer yet: what to add to the case."""
    (lack,) = answer.lacks
    asked = [f"{capital(one.what)}. {one.write}" for one in lack.problems]
    told = show.sentence(fact("page.half_told", problems=len(asked)))
    blocks = [
        block("Not yet", capital(told)),
        block("Add", *asked, kept=1, listed=True, apart=True),
    ]
    return card(show.sentence(fact("page.half_title", boat=answer.boat)), blocks)


@dataclass(frozen=True, slots=True)
class Saying:
    """A block of a card: its label, and its sentences; without any it is a heading."""

    label: str
    says: tuple[Two, ...]
    listed: bool = False
    left: int = 0


@dataclass(frozen=True, slots=True)
class WholeCard:
    """A card with nothing cut: its title, its blocks, and the hazards of the next action."""

    title: Two
    told: tuple[Saying, ...]
    hazard: Two | None


def whole_card(command: str, case: Case, answer: Any) -> WholeCard:
    """Return the card of an answer in both systems of units, without what it says of commands."""
    one, other = (faces_of(command, case).card(answer, show) for show in (METRIC, AMERICAN))
    told = []
    for here, there in zip(one.whole, other.whole, strict=True):
        pairs = zip(here.says, there.says, strict=True)
        says = tuple(Two(*(OF_COMMAND.sub("", text) for text in pair)) for pair in pairs)
        told.append(Saying(here.label, says, here.listed, here.left))
    hazard = next((item.says[0] for item in told if item.label == CAREFUL), None)
    kept = tuple(item for item in told if item.label not in (CAREFUL, MORE))
    return WholeCard(Two(one.title, other.title), kept, hazard)
