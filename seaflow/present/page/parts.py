"""The bill of materials on the page: rows to tick, the rules behind them, and open questions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from seaflow.present.page.both import Two, both, said
from seaflow.studies.size.item import Item

# Sorted by these words, what is to be bought comes first.
STATES = {False: "1 buy", None: "2 look", True: "3 aboard"}


def item_rows(items: Iterable[Item]) -> Iterator[dict[str, Any]]:
    """Yield the rows of the list."""
    for item in items:
        length = item.length if item.aboard else item.to_cut
        count = "" if item.count is None else str(item.count)
        amount_ = Two(count, count)
        if length is not None:
            amount_ = both(lambda show, metres=length: show.away("length", metres, up=True))  # type: ignore[misc]
        yield {
            "state": STATES[item.aboard],
            "what": said(item.what),
            "amount": amount_,
            "where": ", ".join(item.where),
        }


def item_notes(items: Iterable[Item]) -> dict[str, list[Two]]:
    """Return the rules behind the list, and what to find out before anything is ordered."""
    every = tuple(items)
    rules = dict.fromkeys(item.rule for item in every if item.rule is not None)
    asked = dict.fromkeys(item.question for item in every if item.question is not None)
    return {"rules": [said(rule, ".") for rule in rules], "asked": [said(q) for q in asked]}
