"""What is bought for a change: what the bill of materials has more than that of the boat now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from seaflow.base.facts import amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network, runs_of
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, built_with
from seaflow.model.elements import HoseRun
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.start import first_start
from seaflow.studies.design.supply import supply_of
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.improve.space import Pick, Space
from seaflow.studies.size.item import Item, merged
from seaflow.studies.size.materials import Bill
from seaflow.studies.size.pump_materials import electric_items
from seaflow.studies.size.to_buy import ToBuy
from seaflow.studies.survey.evidence import Evidence, SurveyedLoop
from seaflow.studies.survey.waterlines import waterlines


@dataclass(frozen=True, slots=True, eq=False)
class Shop:
    """The boat as it is, against which each change is held: what it consists of."""

    space: Space
    evidence: Evidence
    aboard: Counter[tuple[object, ...]]

    def parts(self, pick: Pick, asks: ToBuy | None = None, gives: bool = True) -> tuple[Item, ...]:
        """Return what is bought for one boat of the space, as lines of a bill of materials.

        `asks` is what a new pump must give, and `gives` whether the one picked does.
        """
        space, part = self.space, self.space.pumps[pick.pump]
        case = space.case_of(pick)
        left, bought = Counter(self.aboard), []
        for item in _items(case, space, part, self.evidence, not pick.pump):
            if left[_key(item)] and not (pick.pump and self._on_the_pump(item)):
                left[_key(item)] -= 1
            else:
                bought.append(replace(item, aboard=False, question=None))
        if space.buys_a_pump(pick):
            bought += _pump(case, self, part, (asks, gives))
        elif case.pump != space.case.pump:
            bought += _cable(space.case, self, part)
        return merged(bought)

    def _on_the_pump(self, item: Item) -> bool:
        """Return whether a tail goes with the pump that it is on."""
        places = {place.name for place in self.space.network.pumps}
        return item.kind == "tail" and not places.isdisjoint(item.where)


def shop_of(space: Space) -> Shop:
    """Return what the bills of all changes of a loop are held against."""
    case, part = space.case, space.pumps[0]
    start = first_start(case, space.base, part, full_supply(case, space.network, part))
    here = SurveyedLoop(space.network, space.base, part, None, None, start, start)
    evidence = Evidence(case, (here,), waterlines(case.boat))
    now = _items(case, space, part, evidence, True)
    return Shop(space, evidence, Counter(_key(item) for item in now))


def _key(item: Item) -> tuple[object, ...]:
    return (item.kind, item.what, item.where)


def _items(
    case: Case, space: Space, part: PumpPart, evidence: Evidence, fitted: bool
) -> Iterator[Item]:
    found = network_named(case, space.network.name)
    built = built_with(case, found, part)
    fitted, seams = fitted and space.fitted, set(_seams(found, built))
    for item in Bill(replace(evidence, case=case), found, built, part, fitted, fitted).items():
        if not seams.intersection(item.where):
            yield item


def _seams(found: Network, built: Built) -> Iterator[str]:
    """Yield the joints of a run without barbs on both sides: a new hose is laid in one there."""
    n_barbs = {run.name: len(run.barb_bores) for run in built.loop.elements(HoseRun)}
    for run in runs_of(found, found.hoses):
        for before, after in pairwise(run):
            joint = found.things[before.to].table == "reducer"
            if joint and min(n_barbs[before.label], n_barbs[after.label]) < 2:
                yield before.to


def _pump(
    case: Case, shop: Shop, part: PumpPart, asked: tuple[ToBuy | None, bool]
) -> Iterator[Item]:
    """Yield a pump, and what of its cable and protection does not suit it."""
    asks, gives = asked
    for place in shop.space.network.pumps:
        what = fact("improve.pump", pump=part.name)
        if asks is not None:
            flow, head = amount("flow", asks.flow), amount("head", asks.head)
            kind = "improve.pump_to_buy" if gives else "improve.pump_to_find"
            what = fact(kind, flow=flow, head=head, pump=part.name)
        yield Item("pump", what, (place.name,), False, place.in_parallel or 1)
    yield from _cable(case, shop, part)


def _cable(case: Case, shop: Shop, part: PumpPart) -> Iterator[Item]:
    """Yield the lines of cable, protection and terminals that the fitted ones do not meet."""
    evidence = replace(shop.evidence, case=case)
    for place in shop.space.network.pumps:
        supply = supply_of(case, place, part, 0.0)
        for item in electric_items(evidence, place, part, supply):
            if item.aboard is False:
                yield replace(item, question=None)
