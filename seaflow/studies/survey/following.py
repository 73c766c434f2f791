"""Findings from one visit to the next: their numbers, what became of them, and what is new."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from seaflow.boat.tables.recorded_record import OPEN, Followed

NEW, CURED, STILL_OPEN, NOT_SEEN_NOW = "new", "cured", "still open", "not seen"
NOT_AGAIN = "not again"  # looked at
Pair: TypeAlias = tuple[str, str, int]  # thing and rule, and which of several such findings


@dataclass(frozen=True, slots=True)
class Change:
    """What became of a finding since an earlier visit: new, cured, still open, not looked at again,
    or not seen now.

    `state` is what was written of it: open, done or accepted by the owner, `on` the day of that.
    """

    number: str
    thing: str
    rule: str
    became: str
    state: str = OPEN
    on: str = ""


def pairs_of(found: Iterable[tuple[str, str]]) -> Iterator[Pair]:
    """Yield things and rules, each with how many such stood before it."""
    counts: dict[tuple[str, str], int] = {}
    for one in found:
        yield (*one, counts.get(one, 0))
        counts[one] = counts.get(one, 0) + 1


def earlier_findings(*told: Sequence[Followed]) -> dict[Pair, Followed]:
    """Return findings of earlier visits; of several records of one, the last."""
    found: dict[Pair, Followed] = {}
    for items in told:
        found |= zip(pairs_of((item.thing, item.rule) for item in items), items, strict=True)
    return found


def numbered(
    pairs: Iterable[Pair], kept: Mapping[Pair, Followed], own: Callable[[Pair], str]
) -> dict[Pair, str]:
    """Return the number of each finding: the one kept of it, or else its `own`.

    A number that is kept for something else gets a stroke, so that no two findings share one.
    """
    found = {pair: item.number for pair, item in kept.items()}
    taken = set(found.values())
    for pair in pairs:
        if pair in found:
            continue
        number = own(pair)
        while number in taken:
            number += "'"
        taken.add(number)
        found[pair] = number
    return found


def changes(
    broken: Iterable[Pair],
    kept_now: frozenset[tuple[str, str]],
    kept: Mapping[Pair, Followed],
    numbers: Mapping[Pair, str],
    not_again: frozenset[tuple[str, str]] = frozenset(),
) -> tuple[Change, ...]:
    """Return what changed since earlier visits; nothing where none is known.

    `kept_now` are things and the rules that they keep this time, `not_again` those that still
    break one by what was seen before.
    """
    if not kept:
        return ()
    now = dict.fromkeys(broken)
    found = []
    for pair, item in kept.items():
        became = CURED if pair[:2] in kept_now else NOT_SEEN_NOW
        if pair in now:
            became = NOT_AGAIN if pair[:2] in not_again else STILL_OPEN
        state, on = item.state or OPEN, item.on or ""
        found.append(Change(numbers[pair], *pair[:2], became, state, on))
    found += [Change(numbers[pair], *pair[:2], NEW) for pair in now if pair not in kept]
    return tuple(found)
