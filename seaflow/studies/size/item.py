"""One line of a bill of materials, and how lines that say the same become one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.bores import same_size
from seaflow.base.facts import Amount, Fact, amount
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
    sizes: list[float] = []
    for item in items:
        key = (item.kind, _as_sold(item.what, sizes), item.aboard, item.rule, item.question)
        found[key] = _together(found[key], item) if key in found else item
    return tuple(sorted(found.values(), key=lambda one: (KINDS.index(one.kind), -(one.bore or 0))))


def _as_sold(told: object, sizes: list[float]) -> object:
    """Return a fact with bores that are sold as one size as one; `sizes` grows by new ones."""
    if isinstance(told, Fact):
        return Fact(told.kind, tuple((name, _as_sold(one, sizes)) for name, one in told.values))
    if isinstance(told, tuple):
        return tuple(_as_sold(one, sizes) for one in told)
    if not isinstance(told, Amount) or told.kind != "bore":
        return told
    size = next((one for one in sizes if same_size(one, told.value)), told.value)
    if size not in sizes:
        sizes.append(size)
    return amount("bore", size)


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
