"""The same readings of one boat: with only her kind known, with her case, with stored days."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.random import RandomState
from other_hand import days_before, fleet, readings_of, setup_with

from seaflow.boat import network
from seaflow.forms.typical.boat import spoken_boat
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.infer import Posterior, infer
from seaflow.studies.diagnose.next_reading import by_cause
from seaflow.studies.diagnose.own_boat import learn
from seaflow.studies.diagnose.readings import Readings

STEPS = ("no case", "case", "stored readings")
SEED = 20
# What somebody at the dock knows of the shipped ketch.
SAID = {"boat": "sailing monohull, 12 m", "unit": ["16000 BTU/h"], "sea": "30 degC"}


@cache
def undescribed():
    """The ketch as a few words tell of her."""
    case = spoken_boat(SAID | {"supply": "230 V 50 Hz"}).loaded.case
    return setup_of(case, network.loops(case)[0])


def of_typical(readings: Readings) -> Readings:
    """The same readings at the places of the typical boat."""
    mine, typical = setup_with(1).places, undescribed().places
    there = dict(zip(mine.units + mine.outlets, typical.units + typical.outlets, strict=True))
    numbers = (replace(one, place=there.get(one.place, one.place)) for one in readings.numbers)
    return replace(readings, numbers=tuple(numbers))


def doubt(found: Posterior, true: set[str]) -> tuple[float, float]:
    """How open the causes are [bit], and how likely what is wrong with the boat is held to be."""
    odds, _ = by_cause(found, found.weight)
    odds = np.maximum(odds / odds.sum(), 1e-12)
    names = [fault.name for fault in found.flotilla.setup.faults] + ["nothing"]
    right = sum(odds[names.index(name)] for name in true if name in names)
    return -float((odds * np.log2(odds)).sum()), float(right)


def doubts(n_boats: int, seed: int, which: str, how_many: tuple[int, int]) -> np.ndarray:
    """Of each step and boat how open the causes are, and how likely the truth: (3, boats, 2).

    `how_many` boats are simulated, and days stored.
    """
    draws, n_days = how_many
    setup, plain = setup_with(1), undescribed()
    boats = fleet(setup, n_boats, seed)
    days, found = days_before(boats, n_days, seed + 1), []
    for boat in range(n_boats):
        readings, true = readings_of(boats, boat, which, RandomState(boat)), boats.causes(boat)
        own = learn(setup, days[boat], SEED).drawn(draws, SEED + 1)
        answers = (
            infer(plain, of_typical(readings), draws, SEED),
            infer(setup, readings, draws, SEED),
            infer(setup, readings, draws, SEED, own),
        )
        found.append([doubt(answer, true) for answer in answers])
    return np.swapaxes(np.array(found), 0, 1)
