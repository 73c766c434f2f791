"""Where to look first: the places of the likeliest causes, in order, each with its cautions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution, named_cautions
from seaflow.studies.diagnose.infer import Posterior

SHOWN = 3
LEAST = 0.05  # how likely something must be wrong at a place for it to be named; our assumption
_ODDS = (
    (0.95, fact("diagnose.almost_certain")),
    (0.8, fact("diagnose.very_likely")),
    (0.6, fact("diagnose.likely")),
    (0.4, fact("diagnose.about_even")),
    (0.2, fact("diagnose.possible")),
    (0.07, fact("diagnose.unlikely")),
    (0.0, fact("diagnose.very_unlikely")),
)


@dataclass(frozen=True, slots=True)
class Look:
    """A place to look at, what to do there, and how likely something is wrong there.

    The first of the `cautions` belongs just before what is to be done.
    """

    place: str
    act: str
    odds: Fact
    chance: float = measured("-")
    cautions: tuple[Caution, ...] = ()


def looks(posterior: Posterior, pump: str) -> tuple[Look, ...]:
    """Return up to three places to look at, the likeliest first; `pump` is the kind of the pump."""
    faults, hypotheses = posterior.flotilla.setup.faults, posterior.flotilla.hypotheses
    present = posterior.present
    by_chance = sorted(range(len(faults)), key=lambda number: -present[number])
    places: dict[str, list[int]] = {}
    for number in by_chance:
        places.setdefault(faults[number].look, []).append(number)
    found = []
    for place, numbers in places.items():
        any_of_them = np.any([hypotheses.present(number) for number in numbers], axis=0)
        chance, first = float(posterior.weight[any_of_them].sum()), faults[numbers[0]]
        cautions = named_cautions(first.cautions, [pump])
        found.append(Look(place, first.act, in_words(chance), chance, cautions))
    found.sort(key=lambda one: -one.chance)
    likely = [one for one in found if one.chance >= LEAST] or found[:1]
    return tuple(likely[:SHOWN])


def in_words(chance: float) -> Fact:
    """Return odds as people say them."""
    return next(said for least, said in _ODDS if chance >= least)
