"""Many boats in one run: the loop of a case with every bore picked by number, along one axis."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.elements import Element
from seaflow.model.loop import Loop
from seaflow.model.make_elements import make_pump
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.design.certainty.inputs import assumed_of, inputs_of
from seaflow.studies.design.certainty.sample import drawn_of
from seaflow.studies.design.certainty.spreads import spread
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.which_pump import built_with
from seaflow.studies.improve.options import Group, Level

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
    uncertain input that any of the boats has.
    """

    case: Case
    network: Network
    needs: Mapping[str, UnitNeed]
    pumps: tuple[PumpPart, ...]
    strainers: tuple[Level, ...]
    groups: tuple[Group, ...]
    base: Built
    variants: tuple[tuple[Loop, ...], ...]
    strained: tuple[tuple[Case, Loop], ...]
    labels: tuple[str, ...]
    fitted: bool = True

    def levels(self, pick: Pick) -> tuple[Level, ...]:
        """Return what is changed on one boat but for its pump."""
        chosen = [self.strainers[pick.strainer]]
        chosen += [
            group.levels[number] for group, number in zip(self.groups, pick.bores, strict=True)
        ]
        return tuple(level for level in chosen if level.n_changes)

    def case_of(self, pick: Pick) -> Case:
        """Return the case of one boat."""
        case = self.case
        for level in self.levels(pick):
            case = level.apply(case)
        return case

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

    def boats(self, pump: int, strainer: int, bores: Picks) -> tuple[Case, Built]:
        """Return the loops of many boats at once; `bores` has the shape (groups, boats)."""
        case, loop = self.strained[strainer]
        pumps = {place.name: make_pump(place, self.pumps[pump]) for place in self.network.pumps}
        loop = _with_elements(_merged(loop, self.base.loop, self.variants, bores), pumps)
        return case, replace(self.base, loop=loop)


def make_space(
    case: Case,
    network: Network,
    needs: Mapping[str, UnitNeed],
    parts: tuple[tuple[PumpPart, ...], tuple[Level, ...], tuple[Group, ...]],
    fitted: bool,
) -> Space:
    """Return the space of these pumps, strainers and bores."""
    pumps, strainers, groups = parts
    base = _built(case, network.name, pumps[0])
    variants = tuple(
        tuple(_built(level.apply(case), network.name, pumps[0]).loop for level in group.levels)
        for group in groups
    )
    strained = [(case, base.loop)]
    for level in strainers[1:]:
        changed = level.apply(case)
        strained.append((changed, _built(changed, network.name, pumps[0]).loop))
    labels = _labels((changed, replace(base, loop=loop)) for changed, loop in strained)
    return Space(
        case=case,
        network=network,
        needs=needs,
        pumps=pumps,
        strainers=strainers,
        groups=groups,
        base=base,
        variants=variants,
        strained=tuple(strained),
        labels=labels,
        fitted=fitted,
    )


def _built(case: Case, name: str, part: PumpPart) -> Built:
    return built_with(case, network_named(case, name), part)


def _with_elements(loop: Loop, changed: Mapping[str, Element]) -> Loop:
    links = tuple(
        replace(link, elements=tuple(changed.get(item.name, item) for item in link.elements))
        for link in loop.links
    )
    return replace(loop, links=links)


def _merged(loop: Loop, base: Loop, variants: tuple[tuple[Loop, ...], ...], bores: Picks) -> Loop:
    """Return the loop with each number that a group changes picked from its levels."""
    links = []
    for number, link in enumerate(loop.links):
        elements = []
        for place, element in enumerate(link.elements):
            original, changed = base.links[number].elements[place], element
            for levels, picks in zip(variants, bores, strict=True):
                others = [level.links[number].elements[place] for level in levels]
                changed = _picked(changed, original, others, picks)
            elements.append(changed)
        links.append(replace(link, elements=tuple(elements)))
    return replace(loop, links=tuple(links))


def _picked(
    element: Element, original: Element, others: Sequence[Element], picks: Picks
) -> Element:
    changes: dict[str, Any] = {}
    for entry in dataclasses.fields(original):
        was = getattr(original, entry.name)
        values = [getattr(other, entry.name) for other in others]
        if not isinstance(was, (int, float)) or all(value == was for value in values):
            continue
        changes[entry.name] = np.asarray(values)[picks]
    return replace(element, **changes) if changes else element


def _labels(boats: Iterable[tuple[Case, Built]]) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for case, built in boats:
        every = (*inputs_of(case, built), *assumed_of(case, built))
        found |= dict.fromkeys(item.label for item in every)
    return tuple(found)
