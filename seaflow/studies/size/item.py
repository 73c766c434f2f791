"""One line of a bill of materials, and how lines that say the same become one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.facts import Fact
from seaflow.base.measured import measured

KINDS = (
    *("hose", "clamp", "through_hull", "seacock", "strainer", "tail", "adapter", "fitting"),
    *("valve", "manifold", "vent", "pump", "unit", "outlet", "cable", "protection", "terminal"),
)


@dataclass(frozen=True, slots=True)
class Item:
    """One line: what it is, where it goes, how many or how long, and by which rule.

    `aboard` is True where the case says that it is on the boat, False where it is to be bought,
    None where the case does not tell. `length` is as it lies and `to_cut` with slack. `question`
    asks for what is not recorded.
    """

    kind: str
    what: Fact
    where: tuple[str, ...]
    aboard: bool | None = None
    count: int | None = None
    length: float | None = measured("m", None)
    to_cut: float | None = measured("m", None)
    bore: float | None = measured("m", None)
    rule: Fact | None = None
    question: Fact | None = None


def merged(items: Iterable[Item]) -> tuple[Item, ...]:
    """Return items with like ones as one, in the order of `KINDS` and by falling bore."""
    found: dict[object, Item] = {}
    for item in items:
        key = (item.kind, item.what, item.aboard, item.rule, item.question)
        found[key] = _together(found[key], item) if key in found else item
    return tuple(sorted(found.values(), key=lambda one: (KINDS.index(one.kind), -(one.bore or 0))))


def _together(one: Item, other: Item) -> Item:
    return replace(
        one,
        where=tuple(dict.fromkeys((*one.where, *other.where))),
        count=_sum(one.count, other.count),
        length=_sum(one.length, other.length),
        to_cut=_sum(one.to_cut, other.to_cut),
    )


def _sum(one: Any, other: Any) -> Any:
    return other if one is None else one if other is None else one + other
