"""Search pumps, strainers and bores together for the few choices that none of the others beats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from seaflow.studies.design.limits import limit
from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.options import VALVES
from seaflow.studies.improve.rate import brief
from seaflow.studies.improve.space import Pick, Space

LEAST_GAIN = 0.01  # of need; a further change that brings less is not worth looking at
MOST_NEEDED = 1.6  # times the need, half dirty: more water than that makes nothing likelier
HOPELESS = 0.6  # times the need, half dirty; with less no draw can bring enough
MOST_SHOWN = 8


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
    ways = np.asarray(list(product(*(range(len(group.levels)) for group in space.groups))))
    ways = ways.reshape(-1, len(space.groups)).astype(np.intp)
    changes = _n_changes(space, ways)
    found: list[Pick] = []
    for pump, strainer in product(range(len(space.pumps)), range(len(space.strainers))):
        at = brief(space, pump, strainer, ways.T)
        share = np.where(at.too_much, 0.0, at.half)
        for mask in _apart(space, ways):
            worth = _worth(ways[mask], changes[mask], share[mask])
            found += [Pick(pump, strainer, way) for way in worth]
    return found, len(ways) * len(space.pumps) * len(space.strainers)


def _n_changes(space: Space, ways: NDArray[np.intp]) -> NDArray[np.intp]:
    total = np.zeros(len(ways), dtype=np.intp)
    for column, group in enumerate(space.groups):
        counts = np.asarray([level.n_changes for level in group.levels], dtype=np.intp)
        total += counts[ways[:, column]]
    return total


def _apart(space: Space, ways: NDArray[np.intp]) -> Iterator[NDArray[np.bool_]]:
    """Yield the boats without valves set, then those with."""
    names = [group.name for group in space.groups]
    if VALVES not in names:
        yield np.ones(len(ways), dtype=bool)
        return
    is_set = ways[:, names.index(VALVES)] > 0
    yield ~is_set
    yield is_set


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


def unbeaten(choices: Sequence[Choice]) -> list[Choice]:
    """Return the choices that none of the others beats, fewest changes first, each kind once."""
    front = [one for one in choices if not any(other.beats(one) for other in choices)]
    once: dict[tuple[float, ...], Choice] = {}
    for choice in sorted(front, key=_order):
        once.setdefault(choice.measures, choice)
    return list(once.values())


def _order(choice: Choice) -> tuple[object, ...]:
    return (choice.n_changes, -choice.keeps_rise, choice.energy_per_day, choice.changes)


def few(front: Sequence[Choice], winner: Choice) -> list[Choice]:
    """Return the winner and the surest for each number of changes, then others, a few in all."""
    kept = [winner]
    by_count = sorted(front, key=lambda choice: (-choice.keeps_rise, *_order(choice)))
    counts: set[int] = {winner.n_changes}
    for choice in by_count:
        if choice.n_changes not in counts:
            counts.add(choice.n_changes)
            kept.append(choice)
    kept += [choice for choice in by_count if choice not in kept]
    return sorted(kept[:MOST_SHOWN], key=_order)


def winner_of(front: Sequence[Choice], enough: float) -> Choice:
    """Return the choice to take.

    Of those that are likely enough and that size has nothing against, only those with at most one
    change more than the fewest count; of these the one that takes least energy wins, then the
    cheaper, then the one with fewer changes. Where none is likely enough it is the surest.
    """
    good = [choice for choice in front if choice.keeps_rise >= enough]
    sound = [choice for choice in good if not choice.reasons] or good
    if not sound:
        return min(
            front, key=lambda item: (*item.measures[:2], item.n_changes, item.energy_per_day)
        )
    fewest = min(choice.n_changes for choice in sound)
    near = [choice for choice in sound if choice.n_changes <= fewest + 1]
    return min(near, key=lambda item: (item.measures[2], item.price or 0.0, item.n_changes))


def better(choices: Sequence[Choice], now: Choice, enough: float) -> list[Choice]:
    """Return the choices that are not less likely to be enough than the boat as it is.

    A boat that is more than likely enough already may give up some of that; units that stop more
    often are only worth it if all is enough more often.
    """
    rise, running = min(now.keeps_rise, enough), min(now.keeps_running, limit("likely_running"))
    return [
        item
        for item in choices
        if item is now
        or item.keeps_rise > now.keeps_rise
        or (item.keeps_rise >= rise and item.keeps_running >= running)
    ]
