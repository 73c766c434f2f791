"""A hose one size up with a smaller pump, beside a pump that would do alone."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.groups import DELIVERY, OF_UNIT, SHARED, SUCTION
from seaflow.studies.improve.space import Pick, Space
from seaflow.studies.improve.winner import WORTH

OF_HOSES = (SUCTION, DELIVERY, SHARED, OF_UNIT)
SMALLER = 0.8  # of what is asked of a pump, flow times head, from which one is clearly smaller


def pair_picks(space: Space) -> tuple[Pick, ...]:
    """Return the boats with one group of hoses one size up and any pump that is bought."""
    return tuple(
        pick
        for number, group in enumerate(space.groups)
        if group.name in OF_HOSES and len(group.levels) > 1
        for pick in _with_each_pump(space, number)
        if space.buys_a_pump(pick)
    )


def _with_each_pump(space: Space, group: int) -> Iterator[Pick]:
    bores = tuple(int(number == group) for number in range(len(space.groups)))
    for pump in range(len(space.pumps)):
        yield Pick(pump, 0, bores)


def thriftiest(rated: dict[Pick, Choice], enough: float) -> list[Pick]:
    """Return of each group of hoses the boat that takes least energy, of those that are enough."""
    found: dict[tuple[int, ...], Pick] = {}
    for pick, choice in rated.items():
        if choice.keeps_rise < enough or choice.too_much:
            continue
        best = found.setdefault(pick.bores, pick)
        if choice.energy_per_day < rated[best].energy_per_day:
            found[pick.bores] = pick
    return list(found.values())


def is_better(pair: Choice, alone: Choice) -> bool:
    """Return whether hoses with a pump ask for a clearly smaller one than a pump alone, or save."""
    if pair.asks is None or alone.asks is None or pair.asks.n_pumps != alone.asks.n_pumps:
        return False
    saves = pair.energy_per_day < (1.0 - WORTH) * alone.energy_per_day
    return saves or in_the_water(pair) <= SMALLER * in_the_water(alone)


def in_the_water(choice: Choice) -> float:
    """Return what is asked of a new pump, as flow times head [m4/s]; infinite where nothing is."""
    return np.inf if choice.asks is None else choice.asks.flow * choice.asks.head
