"""The card of `page`: that of `size`, with what comes next."""

from __future__ import annotations

from seaflow.present.card import Card, card, more
from seaflow.present.quantities import Show
from seaflow.present.size.card import size_blocks, size_title
from seaflow.studies.page.study import BoatPage


def page_card(answer: BoatPage, show: Show) -> Card:
    """Return the card of a page."""
    sized = answer.asked.size
    blocks = [*size_blocks(sized, show), more("size", "place", "survey")]
    return card(size_title(sized, show), blocks, len(sized.loops))
