"""The bill of materials as text and as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from seaflow.base.facts import fact
from seaflow.present.csv_text import csv_text
from seaflow.present.layout import bullet, labelled
from seaflow.present.quantities import Show
from seaflow.studies.size.item import Item
from seaflow.studies.size.materials import LoopMaterials

AMOUNT = 13  # columns
STATES = {False: "materials.to_buy", None: "materials.not_told", True: "materials.aboard"}
TOLD = {False: "to buy", None: "not recorded", True: "aboard"}
HEAD = (
    *("loop", "kind", "item", "pieces", "length with slack [m]", "length with slack [ft]"),
    *("length as it lies [m]", "bore [mm]", "bore [in]", "for", "state", "rule", "question"),
)


def materials_text(show: Show, items: Sequence[Item]) -> list[str]:
    """Return the list as lines: to buy, not told, aboard; then rules, then what to find out."""
    lines: list[str] = []
    nothing_told = all(item.aboard is not True for item in items)
    for state, kind in STATES.items():
        here = [item for item in items if item.aboard is state]
        if here:
            title = "materials.consists" if nothing_told and state is None else kind
            lines.append(f"  {show.sentence(fact(title))}:")
            lines += [_line(show, item) for item in here]
    rules = dict.fromkeys(show.sentence(item.rule) for item in items if item.rule is not None)
    lines += [bullet(rule) for rule in rules]
    if not nothing_told:
        lines.append(bullet(show.sentence(fact("materials.old_parts"))))
    asked = [show.sentence(item.question) for item in items if item.question is not None]
    if asked:
        title = show.sentence(fact("materials.questions"))
        lines.append(f"  {title}:")
        lines += [bullet(question, mark="?") for question in dict.fromkeys(asked)]
    return lines


def _line(show: Show, item: Item) -> str:
    length = item.length if item.aboard else item.to_cut
    amount = "" if item.count is None else str(item.count)
    if length is not None:
        amount = show.away("length", length, up=True)
    what = show.sentence(item.what)
    return labelled(f"{amount:>9}", f"{what} ({', '.join(item.where)})", AMOUNT)


def materials_csv(lists: Iterable[LoopMaterials]) -> str:
    """Return the lists of all loops as one table, lengths and bores in both systems."""
    return csv_text(HEAD, (row for one in lists for row in _rows(one)))


def _rows(one: LoopMaterials) -> Iterator[tuple[object, ...]]:
    metric, american = Show("metric"), Show("us")
    for item in one.items:
        bores = [show.number("bore", item.bore) if item.bore else "" for show in (metric, american)]
        cuts = [
            "" if item.to_cut is None else show.away("length", item.to_cut, up=True).split()[0]
            for show in (metric, american)
        ]
        lies = "" if item.length is None else f"{item.length:.3g}"
        told = (one.loop, item.kind.replace("_", "-"), item.what, item.count, *cuts, lies, *bores)
        yield (*told, ", ".join(item.where), TOLD[item.aboard], item.rule, item.question)
