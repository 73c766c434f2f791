"""Many boats in one run: the loop of a case with every bore picked by number, along one axis."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Fitting, Hose, Intake, Outlet
from seaflow.model.branching import make_branching
from seaflow.model.build import Built, built_with
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Element
from seaflow.model.loop import Loop
from seaflow.model.make_elements import (
    Maker,
    make_fitting,
    make_hose,
    make_intake,
    make_outlet,
    make_pump,
)
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.design.certainty.inputs import assumed_of, inputs_of
from seaflow.studies.design.certainty.sample import drawn_of
from seaflow.studies.design.certainty.spreads import spread
from seaflow.studies.design.changes import network_named, with_pump
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.improve.groups import CABLE
from seaflow.studies.improve.options import AS_IT_IS, Group, Level

Picks = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Pick:
    """One boat: the number of its pump, of its strainer and of the level of each bore group."""

    pump: int
    strainer: int
    bores: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """Everything that can be picked for one loop; number 0 is always the boat as it is.

    Where no pump is `fitted` one is bought in any case, and is no change. `labels` names every
    uncertain input that any of the boats has, `touched` the elements that groups change, each with
    the numbers of those groups.
    """

    case: Case
    network: Network
    needs: Mapping[str, UnitNeed]
    pumps: tuple[PumpPart, ...]
    strainers: tuple[Level, ...]
    groups: tuple[Group, ...]
    base: Built
    strained: tuple[tuple[Case, Loop], ...]
    labels: tuple[str, ...]
    touched: Mapping[str, tuple[int, ...]]
    fitted: bool = True
    made: dict[object, Mapping[str, Element]] = field(default_factory=dict)
    parted: dict[tuple[int, int], Case] = field(default_factory=dict)

    def levels(self, pick: Pick) -> tuple[Level, ...]:
        """Return what is changed on one boat but for its pump."""
        chosen = [self.strainers[pick.strainer]]
        chosen += [
            group.levels[number] for group, number in zip(self.groups, pick.bores, strict=True)
        ]
        return tuple(level for level in chosen if level.n_changes)

    def buys_a_pump(self, pick: Pick) -> bool:
        """Return whether a pump is bought for one boat: another than hers, or her first."""
        return bool(pick.pump) or not self.fitted

    def case_of(self, pick: Pick) -> Case:
        """Return the case of one boat."""
        return self._changed(pick.pump, pick.strainer, dict(enumerate(pick.bores)))

    def _changed(self, pump: int, strainer: int, levels: Mapping[int, int]) -> Case:
        """Return the case with a pump, a strainer and the levels of some groups."""
        case = self._with_parts(pump, strainer)
        for group, level in levels.items():
            case = self.groups[group].levels[level].apply(case)
        return case

    def _with_parts(self, pump: int, strainer: int) -> Case:
        """Return the case with a pump and a strainer; kept, since every boat starts from one."""
        if (pump, strainer) not in self.parted:
            case = self.strained[strainer][0]
            if pump:
                case = with_pump(case, self.network, self.pumps[pump])
            self.parted[pump, strainer] = case
        return self.parted[pump, strainer]

    def draws(self, n_samples: int, seed: int) -> dict[str, Array]:
        """Return the draws of each input by its label, so that every boat meets the same ones.

        They are those of `size` for the boat as it is. A strainer with other data has other
        inputs; those it shares keep their draws.
        """
        inputs, shares = drawn_of(self.case, self.base, n_samples, seed)
        found = {item.label: row for item, row in zip(inputs, shares, strict=True)}
        labels = (spread("pump_exponent").meaning, *self.labels)  # another pump may have a shape
        others = [label for label in dict.fromkeys(labels) if label not in found]
        numbered = sum(item.path is None for item in inputs)
        for number, label in enumerate(others, numbered):
            found[label] = sobol_points(1, n_samples, seed, first=number)[0]
        return found

    def boats(self, pump: int, strainer: int, bores: Picks, times: int = 1) -> tuple[Case, Built]:
        """Return the loops of many boats at once, each `times` in a row.

        `bores` has the shape (groups, boats).
        """
        case, loop = self.strained[strainer]
        part, names = self.pumps[pump], {place.name for place in self.network.pumps}
        places = self._with_parts(pump, strainer).pump
        changed: dict[str, Element] = {
            place.name: make_pump(place, part) for place in places if place.name in names
        }
        for link in loop.links:
            for element in link.elements:
                groups = self.touched.get(element.name)
                if groups is not None:
                    changed[element.name] = self._many(
                        element, (pump, strainer), groups, (bores, times)
                    )
        return case, replace(self.base, loop=_with_elements(loop, changed))

    def _many(
        self,
        element: Element,
        parts: tuple[int, int],
        groups: tuple[int, ...],
        boats: tuple[Picks, int],
    ) -> Element:
        """Return an element with each number that groups change picked for every boat."""
        ways, found = np.unique(boats[0][list(groups)], axis=1, return_inverse=True)
        which = np.repeat(found.ravel(), boats[1])
        variants = [
            self._elements(*parts, tuple(zip(groups, way, strict=True))).get(element.name, element)
            for way in ways.T.tolist()
        ]
        changes: dict[str, Any] = {}
        for entry in dataclasses.fields(element):
            was = getattr(element, entry.name)
            values = [getattr(other, entry.name) for other in variants]
            if not any(value != was for value in values):
                continue
            if isinstance(was, (int, float)):
                changes[entry.name] = np.asarray(values)[which]
            elif entry.name == "barb_bores":
                changes[entry.name] = tuple(np.asarray(values)[which].T)
        return replace(element, **changes) if changes else element

    def _elements(
        self, pump: int, strainer: int, levels: tuple[tuple[int, int], ...]
    ) -> Mapping[str, Element]:
        """Return the elements that the levels of some groups make different, by name."""
        key = (pump, strainer, levels)
        if key not in self.made:
            before = self._with_parts(pump, strainer)
            after = self._changed(pump, strainer, dict(levels))
            self.made[key] = changed_elements(before, after, self.network)
        return self.made[key]

    def volts(self, pump: int, conductors: Picks, now: Conditions) -> Array | float:
        """Return the volts at the pump of each boat; `conductors` is (groups, boats)."""
        names = [group.name for group in self.groups]
        name, start = self.network.pumps[0].name, self._with_parts(pump, 0)
        row = names.index(CABLE) if CABLE in names else None
        found = []
        for level in (AS_IT_IS,) if row is None else self.groups[row].levels:
            case = level.apply(start)
            mine = next(item for item in case.pump if item.name == name)
            found.append(cable_drop(case, mine, self.pumps[pump], now))
        if row is None:
            return found[0]
        at_pump: Array = np.asarray(found)[conductors[row]]
        return at_pump


def make_space(
    case: Case,
    built: Built,
    needs: Mapping[str, UnitNeed],
    parts: tuple[tuple[PumpPart, ...], tuple[Level, ...], tuple[Group, ...]],
    fitted: bool,
) -> Space:
    """Return the space of these pumps, strainers and groups; `built` is the boat as it is."""
    pumps, strainers, groups = parts
    strained = [(case, built.loop)]
    for level in strainers[1:]:
        changed = level.apply(case)
        loop = built_with(changed, network_named(changed, built.network.name), pumps[0]).loop
        strained.append((changed, loop))
    labels = _labels((changed, replace(built, loop=loop)) for changed, loop in strained)
    return Space(
        case=case,
        network=built.network,
        needs=needs,
        pumps=pumps,
        strainers=strainers,
        groups=groups,
        base=built,
        strained=tuple(strained),
        labels=labels,
        touched=_touched(case, built.network, groups),
        fitted=fitted,
    )


def _touched(case: Case, network: Network, groups: tuple[Group, ...]) -> dict[str, tuple[int, ...]]:
    """Return the elements that each group changes, and the hoses at the things it changes."""
    found: dict[str, list[int]] = {}
    for number, group in enumerate(groups):
        names: set[str] = set()
        for level in group.levels[1:]:
            changed = level.apply(case)
            names |= set(changed_elements(case, changed, network))
        things = names & set(network.things)
        ends = {hose.label for hose in network.hoses if {hose.from_, hose.to} & things}
        for name in names | ends:
            found.setdefault(name, []).append(number)
    return {name: tuple(numbers) for name, numbers in found.items()}


def changed_elements(before: Case, after: Case, network: Network) -> dict[str, Element]:
    """Return the elements of a loop that differ between two cases, by name."""
    maker = Maker(network=network, seacocks=after.seacock, catalogue=after.catalogue)
    tied = {hose.row: hose for hose in network.hoses}
    cocks = {
        cock.on for cock, was in zip(after.seacock, before.seacock, strict=True) if cock is not was
    }
    now, then = ({thing.name: thing for thing in case.things} for case in (after, before))
    found: list[Element] = []
    for hose, old in zip(after.hose, before.hose, strict=True):
        if hose is not old and hose.row in tied:
            found += _hose_and_leg(hose, tied[hose.row], maker)
    for name in network.things:
        thing = now[name]
        if thing is then[name] and name not in cocks:
            continue
        if isinstance(thing, Intake):
            found += make_intake(thing, maker)
        elif isinstance(thing, Outlet):
            found += make_outlet(thing, maker)
        elif isinstance(thing, Fitting):
            found.append(make_fitting(thing, maker))
    return {element.name: element for element in found}


def _hose_and_leg(hose: Hose, was: Hose, maker: Maker) -> list[Element]:
    """Return a changed hose, with the leg of a shared intake that it starts from."""
    hose = replace(hose, from_=was.from_, to=was.to, name=was.label)
    start = maker.network.things[hose.from_]
    if isinstance(start, Intake) and len(maker.network.leaving(start.name)) > 1:
        return [make_hose(hose, maker), make_branching(start, hose, maker)]
    return [make_hose(hose, maker)]


def _with_elements(loop: Loop, changed: Mapping[str, Element]) -> Loop:
    links = tuple(
        replace(link, elements=tuple(changed.get(item.name, item) for item in link.elements))
        for link in loop.links
    )
    return replace(loop, links=links)


def _labels(boats: Iterable[tuple[Case, Built]]) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for case, built in boats:
        every = (*inputs_of(case, built), *assumed_of(case, built))
        found |= dict.fromkeys(item.label for item in every)
    return tuple(found)
