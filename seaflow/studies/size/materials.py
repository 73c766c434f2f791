"""The bill of materials of a loop, from its case: what it consists of and what is to be bought.

What the case records as seen, and a pump it names as fitted, is aboard and not bought twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.bores import same_size
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.boat.tables.balancing import Adapter
from seaflow.boat.tables.things import (
    Fitting,
    Hose,
    Intake,
    Outlet,
    Pump,
    Seacock,
    Strainer,
    Thing,
    Unit,
)
from seaflow.model.build import Built, built_with
from seaflow.model.elements import Basket, Element, HoseRun
from seaflow.studies.design.limits import limit
from seaflow.studies.size.item import Item, merged
from seaflow.studies.size.pump_materials import pump_is_aboard, pump_items
from seaflow.studies.size.size import LoopSize, Sizing
from seaflow.studies.survey.delivery import LEAST_CLAMPS
from seaflow.studies.survey.evidence import Evidence
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.openings import heeled_opening, seacock_missing
from seaflow.studies.survey.rules import Breach, Unknown

BARB, BEND = "barb", "swept bend"  # a bend is hose that is laid so, and no part
# Bought with a barb for each of their hoses.
HOLDS_ALL = {"manifold": "materials.manifold", "tee": "materials.tee"}
IN_THE_RUN = {
    "check_valve": ("valve", "materials.check_valve"),
    "flush_tee": ("valve", "materials.flush_tee"),
    "vented_loop": ("vent", "materials.vented_loop"),
}


@dataclass(frozen=True, slots=True)
class LoopMaterials:
    """The bill of materials of one loop."""

    loop: str
    items: tuple[Item, ...]


def boat_materials(case: Case, answer: Sizing) -> tuple[LoopMaterials, ...]:
    """Return the bill of materials of every loop of a boat that was sized."""
    found = {item.name: item for item in network.loops(case)}
    evidence = evidence_of(case, as_run=False)
    return tuple(
        LoopMaterials(loop.name, materials(evidence, found[loop.name], loop))
        for loop in answer.loops
    )


def materials(evidence: Evidence, found: Network, sized: LoopSize) -> tuple[Item, ...]:
    """Return what one loop consists of, with the pump that its sizing puts first."""
    case, chosen = evidence.case.on_supply_of(found.pumps[0]), sized.chosen
    evidence = replace(evidence, case=case)
    part = case.catalogue.any_pump() if chosen is None else chosen.part
    built = built_with(case, found, part)
    fitted = chosen is not None and chosen.fitted
    bill = Bill(
        evidence, found, built, None if chosen is None else part, fitted, pump_is_aboard(chosen)
    )
    items = [
        *bill.items(),
        *bill.missing_seacocks(),
        *pump_items(evidence, found, sized),
    ]
    return merged(items)


@dataclass(frozen=True, slots=True, eq=False)
class Bill:
    """One loop while its list is written; the pump is `part`, if any, `fitted` or to be bought.

    `pump_aboard` tells of one that is fitted and will do.
    """

    evidence: Evidence
    found: Network
    built: Built
    part: PumpPart | None
    fitted: bool
    pump_aboard: bool

    def items(self) -> Iterator[Item]:
        """Yield what the loop consists of but for its pump and cable."""
        for hose in self.found.hoses:
            yield from self.of_hose(hose)
        for thing in self.found.things.values():
            yield from self.of_thing(thing)

    def _element(self, name: str) -> Element:
        elements = (item for link in self.built.loop.links for item in link.elements)
        return next(item for item in elements if item.name == name)

    # ---------------------------------------------------------------- hoses and their ends

    def of_hose(self, hose: Hose) -> Iterator[Item]:
        """Yield a hose, its clamps, what sits on it, and the tails and adapters at its ends."""
        aboard = True if hose.seen is not None else None
        size, label = amount("bore", hose.bore), hose.label
        slack = limit("hose_slack")
        yield Item(
            "hose",
            fact("materials.hose", hose=hose.kind, bore=size),
            (label,),
            aboard,
            length=hose.length,
            to_cut=hose.length * (1.0 + slack),
            bore=hose.bore,
            rule=fact("materials.slack", share=slack),
            question=self._which_hose(hose),
        )
        yield self._clamps(hose)
        for name in hose.fittings:
            key, row = self.evidence.case.catalogue.find("fittings", name)
            if row.get("method") != BARB and key != BEND:
                what = fact("materials.fitting", name=key, bore=size)
                yield Item("fitting", what, (label,), aboard, 1, bore=hose.bore)
        if hose.balancing_valve is not None:
            valve = amount("bore", hose.balancing_valve.bore)
            what = fact("materials.balancing_valve", bore=valve)
            yield Item("valve", what, (label,), aboard, 1, bore=hose.balancing_valve.bore)
        for end, arriving in ((hose.from_, False), (hose.to, True)):
            yield from self._end(hose, self.found.things[end], arriving)

    def _which_hose(self, hose: Hose) -> Fact | None:
        """Return the question which hose it is, where neither kind nor label is recorded."""
        if self._is_told(hose, "kind") or (hose.seen is not None and hose.seen.label is not None):
            return None
        return fact("materials.which_hose", hose=hose.kind)

    def _is_told(self, thing: Thing, key: str) -> bool:
        """Return whether the case itself gives a key that has a default."""
        text = self.evidence.case.text
        return (thing.table, thing.row, key) in text.where or not text.lines

    def _clamps(self, hose: Hose) -> Item:
        """Return the clamps of a hose: two a barb where the survey asks for two."""
        run, floods = self._element(hose.label), self.evidence.floods(hose)
        assert isinstance(run, HoseRun)
        short = hose.seen is not None and hose.seen.short_barb
        rule = fact("materials.two_clamps" if self._each(hose) > 1 else "materials.one_clamp")
        question = None
        if floods is None:
            question = fact("materials.does_it_flood", hose=hose.label)
        elif short and floods:
            rule = fact("materials.short_barb")
        return Item(
            "clamp",
            fact("materials.clamps", bore=amount("bore", hose.bore)),
            (hose.label,),
            True if hose.seen is not None and hose.seen.clamps_at_each_end is not None else None,
            self._each(hose) * len(run.barb_bores),
            bore=hose.bore,
            rule=rule,
            question=question,
        )

    def _each(self, hose: Hose) -> int:
        """Return how many clamps a barb of a hose takes."""
        short = hose.seen is not None and hose.seen.short_barb
        return LEAST_CLAMPS if self.evidence.floods(hose) is not False and not short else 1

    def _end(self, hose: Hose, thing: Thing, arriving: bool) -> Iterator[Item]:
        """Yield the tail that carries the end of a hose, or an adapter where bores differ."""
        size = amount("bore", hose.bore)
        count = (thing.in_parallel or 1) if isinstance(thing, Pump) else 1
        if isinstance(thing, Pump) and self._pump_port(thing, arriving) is None:
            kind = "materials.tail_for_inlet" if arriving else "materials.tail_for_outlet"
            state = None if self.fitted else False
            yield Item("tail", fact(kind, hose=size), (thing.name,), state, count, bore=hose.bore)
        adapter = hose.adapter_at(arriving)
        if adapter is not None:
            yield from self._adapter(hose, adapter, thing)
            return
        port, own_barbs = self._port(thing, arriving)
        if port is None:
            return
        aboard = True if hose.seen is not None and self._is_aboard(thing) else None
        differs = not same_size(port, hose.bore)
        sizes = {"hose": size, "port": amount("bore", port)}
        if own_barbs and differs and thing.table not in HOLDS_ALL:
            what = fact("materials.adapter", **sizes)
            yield Item("adapter", what, (thing.name,), aboard, count, bore=hose.bore)
        elif not own_barbs:
            what = fact("materials.reducing_tail" if differs else "materials.tail", **sizes)
            yield Item("tail", what, (self._carries(thing),), aboard, count, bore=hose.bore)

    def _adapter(self, hose: Hose, adapter: Adapter, thing: Thing) -> Iterator[Item]:
        """Yield an adapter to a tail that stays, and the clamps of the short hose between them."""
        aboard = True if hose.seen is not None else None
        size = amount("bore", adapter.bore)
        what = fact("materials.adapter", hose=amount("bore", hose.bore), port=size)
        yield Item("adapter", what, (thing.name,), aboard, 1, bore=hose.bore)
        clamps, rule = fact("materials.clamps", bore=size), fact("materials.adapter_clamps")
        n_clamps = 2 * self._each(hose)
        yield Item("clamp", clamps, (thing.name,), aboard, n_clamps, bore=adapter.bore, rule=rule)

    def _is_aboard(self, thing: Thing) -> bool:
        """Return whether the case tells that a thing is on the boat."""
        if isinstance(thing, Pump):
            return self.pump_aboard
        return getattr(thing, "seen", None) is not None

    def _carries(self, thing: Thing) -> str:
        cock = self.evidence.cock_on(thing.name)
        return thing.name if cock is None else cock.name

    def _port(self, thing: Thing, arriving: bool) -> tuple[float | None, bool]:
        """Return the bore at which a hose meets a thing, and whether that has barbs of its own."""
        if isinstance(thing, (Intake, Outlet)):
            cock = self.evidence.cock_on(thing.name)
            return (thing.bore if cock is None else cock.bore), False
        if isinstance(thing, Pump):
            return self._pump_port(thing, arriving), False
        if isinstance(thing, Fitting):
            second = thing.second_bore if not arriving else None
            return second or thing.bore, True
        if isinstance(thing, Strainer):
            return float(np.asarray(self._element(thing.name).bore)), False
        return None, True  # a unit: its ports are asked for

    def _pump_port(self, place: Pump, arriving: bool) -> float | None:
        """Return the bore of a port, None of a pump that is still to be found and bought.

        A port that the case gives is that of the pump fitted.
        """
        if self.part is None or (self.part.invented and not self.fitted):
            return None
        if arriving and place.port is not None and self.fitted:
            return place.port
        sheet = self.evidence.case.catalogue.sheet("pumps", self.part.name)
        assert isinstance(sheet, PumpSheet)
        return sheet.inlet if arriving else sheet.outlet

    # ------------------------------------------------------------------------------- things

    def of_thing(self, thing: Thing) -> Iterator[Item]:
        """Yield a thing other than a pump, with the seacock on it."""
        aboard = True if self._is_aboard(thing) else None
        if isinstance(thing, Intake):
            kind = "materials.sea_chest" if thing.table == "sea_chest" else "materials.through_hull"
            what = fact(kind, bore=amount("bore", thing.bore), entry=thing.entry)
            asks = (
                None
                if self._is_told(thing, "entry")
                else fact("materials.which_entry", thing=thing.name, entry=thing.entry)
            )
            where = (thing.name,)
            yield Item("through_hull", what, where, aboard, 1, bore=thing.bore, question=asks)
            if thing.table == "sea_chest" and (thing.seen is None or thing.seen.vented is None):
                asks = fact("materials.is_it_vented", thing=thing.name)
                yield Item("vent", fact("materials.chest_vent"), (thing.name,), question=asks)
        elif isinstance(thing, Outlet):
            what = fact("materials.outlet", bore=amount("bore", thing.bore))
            yield Item("outlet", what, (thing.name,), aboard, 1, bore=thing.bore)
        elif isinstance(thing, Strainer):
            yield self._strainer(thing, aboard)
        elif isinstance(thing, Unit):
            yield self._unit(thing, aboard)
        elif isinstance(thing, Fitting):
            yield self._fitting(thing)
        yield from (self._seacock(cock) for cock in self._cocks(thing))

    def _cocks(self, thing: Thing) -> Iterator[Seacock]:
        cock = self.evidence.cock_on(thing.name)
        if cock is not None:
            yield cock

    def _seacock(self, cock: Seacock) -> Item:
        what = fact("materials.seacock", type=cock.type, bore=amount("bore", cock.bore))
        aboard = True if cock.seen is not None else None
        asks = None
        if not self._is_told(cock, "type"):
            asks = fact("materials.which_seacock", thing=cock.name, type=cock.type)
        return Item("seacock", what, (cock.name,), aboard, 1, bore=cock.bore, question=asks)

    def _strainer(self, strainer: Strainer, aboard: bool | None) -> Item:
        """Return a strainer by its ports and the open area of its basket."""
        basket = self._element(strainer.name)
        assert isinstance(basket, Basket)
        bore, question = float(np.asarray(basket.bore)), None
        port = amount("bore", bore)
        what = fact("materials.strainer_port", port=port)
        if basket.basket_area is None or basket.open_share is None:
            question = fact("materials.basket", thing=strainer.name)
        else:
            area = float(np.asarray(basket.basket_area)) * float(np.asarray(basket.open_share))
            what = fact("materials.strainer", port=port, area=amount("basket_area", area))
        return Item("strainer", what, (strainer.name,), aboard, 1, bore=bore, question=question)

    def _unit(self, unit: Unit, aboard: bool | None) -> Item:
        """Return the water ports of a unit, of which no case records the size."""
        hoses = (*self.found.arriving(unit.name), *self.found.leaving(unit.name))
        bores = tuple(dict.fromkeys(hose.bore for hose in hoses))
        sizes = tuple(_sized(bore) for bore in bores)
        asks = fact("materials.unit_ports", thing=unit.name, hoses=sizes)
        what = fact("materials.unit", cooling=amount("heat", unit.cooling))
        return Item("unit", what, (unit.name,), aboard, 1, question=asks)

    def _fitting(self, thing: Fitting) -> Item:
        """Return a tee, manifold, reducer, valve or vented loop; aboard if a hose on it is."""
        hoses = (*self.found.arriving(thing.name), *self.found.leaving(thing.name))
        aboard = True if hoses and all(hose.seen is not None for hose in hoses) else None
        size = amount("bore", thing.bore)
        if thing.table in HOLDS_ALL:
            ends = tuple(_sized(_size_at(hose, thing)) for hose in hoses)
            what = fact(HOLDS_ALL[thing.table], bore=size, ends=ends)
            return Item("manifold", what, (thing.name,), aboard, 1, bore=thing.bore)
        if thing.table == "reducer":
            other = amount("bore", thing.second_bore or thing.bore)
            what = fact("materials.reducer", bore=size, other=other)
            return Item("adapter", what, (thing.name,), aboard, 1, bore=thing.bore)
        kind, words = IN_THE_RUN[thing.table]
        what = fact(words, bore=size)
        return Item(kind, what, (thing.name,), aboard, 1, bore=thing.bore)

    def missing_seacocks(self) -> Iterator[Item]:
        """Yield the seacocks that the survey finds missing, and those it asks about."""
        checks = (seacock_missing(self.evidence), heeled_opening(self.evidence))
        for verdict in (one for check in checks for one in check):
            where = verdict.thing if isinstance(verdict, Unknown) else verdict.where
            thing = self.found.things.get(where)
            if not isinstance(thing, (Intake, Outlet)):
                continue
            what = fact("materials.seacock_wanted", bore=amount("bore", thing.bore))
            line = Item("seacock", what, (where,), False, 1, bore=thing.bore)
            if isinstance(verdict, Breach):
                yield replace(
                    line, rule=fact("materials.survey_finds", thing=where, found=verdict.found)
                )
            elif isinstance(verdict, Unknown):
                asks = fact("materials.is_there_a_seacock", thing=where)
                yield replace(line, aboard=None, question=asks)


def _size_at(hose: Hose, thing: Thing) -> float:
    """Return the size of hose that is on the tail of a thing."""
    adapter = hose.adapter_at(hose.from_ != thing.name)
    return hose.bore if adapter is None else adapter.bore


def _sized(bore: float) -> Fact:
    return fact("materials.size", bore=amount("bore", bore))
