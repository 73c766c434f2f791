"""Which boats are worth sampling: each change alone, and the best of every number of changes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Truths
from seaflow.studies.improve.groups import CABLE, VALVES
from seaflow.studies.improve.rate import briefs
from seaflow.studies.improve.space import Pick, Space

MOST_WITH_ONE = 2  # changed groups, where in one of them one hose alone is changed
LEAST_GAIN = 0.01  # of need; a further change that brings less is not worth looking at
MOST_NEEDED = 1.6  # times the need, half dirty: more water than that makes nothing likelier
HOPELESS = 0.6  # times the need, half dirty; with less no draw can bring enough


def single_picks(space: Space) -> Iterator[Pick]:
    """Yield every boat with one thing changed."""
    none = (0,) * len(space.groups)
    for pump in range(1, len(space.pumps)):
        yield Pick(pump, 0, none)
    for strainer in range(1, len(space.strainers)):
        yield Pick(0, strainer, none)
    for number, group in enumerate(space.groups):
        for level in range(1, len(group.levels)):
            yield Pick(0, 0, (*none[:number], level, *none[number + 1 :]))


def shortlist(space: Space) -> tuple[list[Pick], int]:
    """Return the boats worth sampling, and how many there are to choose from.

    For each pump, strainer and number of changes only the boat whose worst unit gets most, half
    dirty, is worth it, and only while a further change still brings something. Boats with their
    valves set are looked at apart: they have all units near their need, not only the worst.
    """
    ways = _ways(space)
    changes = _n_changes(space, ways)
    found: list[Pick] = []
    parts = list(product(range(len(space.pumps)), range(len(space.strainers))))
    looks = briefs(space, [(*pair, ways.T) for pair in parts])
    for (pump, strainer), at in zip(parts, looks, strict=True):
        share = np.where(at.too_much, 0.0, at.half)
        for mask in _apart(space, ways):
            # another pump comes with a cable that suits it
            rows = mask & ~_has(space, CABLE, ways) if pump else mask
            worth = _worth(ways[rows], changes[rows], share[rows])
            found += [Pick(pump, strainer, way) for way in worth]
    return found, len(ways) * len(space.pumps) * len(space.strainers)


def _ways(space: Space) -> NDArray[np.intp]:
    """Return the levels of all groups worth looking at together: (boats, groups).

    One hose alone is combined with no more than one other change.
    """
    sizes = [range(len(group.levels)) for group in space.groups]
    alone = [[level.alone for level in group.levels] for group in space.groups]
    found = []
    for way in product(*sizes):
        changed = sum(level > 0 for level in way)
        if changed <= MOST_WITH_ONE or not any(a[n] for a, n in zip(alone, way, strict=True)):
            found.append(way)
    return np.asarray(found, dtype=np.intp).reshape(len(found), len(space.groups))


def _n_changes(space: Space, ways: NDArray[np.intp]) -> NDArray[np.intp]:
    total = np.zeros(len(ways), dtype=np.intp)
    for column, group in enumerate(space.groups):
        counts = np.asarray([level.n_changes for level in group.levels], dtype=np.intp)
        total += counts[ways[:, column]]
    return total


def _apart(space: Space, ways: NDArray[np.intp]) -> Iterator[Truths]:
    """Yield the boats without valves set, then those with."""
    is_set = _has(space, VALVES, ways)
    yield ~is_set
    if is_set.any():
        yield is_set


def _has(space: Space, name: str, ways: NDArray[np.intp]) -> Truths:
    """Return which boats have something of a group changed."""
    names = [group.name for group in space.groups]
    if name not in names:
        return np.zeros(len(ways), dtype=bool)
    changed: Truths = ways[:, names.index(name)] > 0
    return changed


def _worth(
    ways: NDArray[np.intp], changes: NDArray[np.intp], share: NDArray[np.float64]
) -> Iterator[tuple[int, ...]]:
    best = 0.0
    for count in np.unique(changes):
        rows = np.flatnonzero(changes == count)
        row = rows[int(np.argmax(share[rows]))]
        if share[row] < HOPELESS or share[row] < best + LEAST_GAIN:
            continue
        if best >= MOST_NEEDED:
            return
        best = float(share[row])
        yield tuple(int(number) for number in ways[row])
