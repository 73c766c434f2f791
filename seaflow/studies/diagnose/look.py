"""Where to look first: the places of the likeliest causes, in order, each with its cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution, named_cautions
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import LOADS

SHOWN = 3
LOAD = "load"  # the reading
AFTER_LOAD = ("low_refrigerant", "not_pumping")  # looked for only where the load is known
# What is left to the last as long as something milder is likely enough: a hose loosened, then
# acid, then what only licensed people open. By the cautions of a fault.
LATER = ("bleeding", "acid", "refrigerant")
LIKELY_ENOUGH = 0.5  # of the odds of what is left for it; our assumption
LEAST = 0.05  # how likely something must be wrong at a place for it to be named; our assumption
ODDS = (
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

    The first of the `cautions` belongs just before what is to be done; `leads` is the likeliest
    fault of the place.
    """

    place: str
    act: str
    odds: Fact
    chance: float = measured("-")
    cautions: tuple[Caution, ...] = ()
    leads: str = ""


def looks(
    posterior: Posterior, pump: str, readings: Readings, stopped: bool = False
) -> tuple[Look, ...]:
    """Return up to three places to look at, the likeliest first; `pump` is the kind of the pump.

    Where all is `stopped`, nothing is told of what takes a pump or unit that runs.

    What loosens a hose, takes acid or a licensed person waits for what is at least half as likely.
    The load comes before the machine that it looks like, as long as nobody has told it.
    """
    faults, hypotheses = posterior.flotilla.setup.faults, posterior.flotilla.hypotheses
    present = posterior.present
    by_chance = sorted(range(len(faults)), key=lambda number: -present[number])
    places: dict[str, list[int]] = {}
    for number in by_chance:
        places.setdefault(faults[number].look, []).append(number)
    found, late = [], {}
    for place, numbers in places.items():
        any_of_them = np.any([hypotheses.present(number) for number in numbers], axis=0)
        chance, first = float(posterior.weight[any_of_them].sum()), faults[numbers[0]]
        if stopped and first.running:
            continue
        cautions = named_cautions(first.cautions, [pump])
        found.append(Look(place, first.act, in_words(chance), chance, cautions, first.name))
        late[place] = lateness(first.cautions)
    found = _milder_first(sorted(found, key=lambda one: -one.chance), late)
    found = _load_first(found) if not load_is_told(readings) else found
    likely = [one for one in found if one.chance >= LEAST] or found[:1]
    return tuple(likely[:SHOWN])


def lateness(cautions: Sequence[str]) -> int:
    """Return how late work with these cautions comes, as long as something milder is likely."""
    return max((LATER.index(one) + 1 for one in cautions if one in LATER), default=0)


def _milder_first(found: list[Look], late: Mapping[str, int]) -> list[Look]:
    ordered: list[Look] = []
    for one in found:
        place = len(ordered)
        while place and late[ordered[place - 1].place] > late[one.place]:
            if one.chance < LIKELY_ENOUGH * ordered[place - 1].chance:
                break
            place -= 1
        ordered.insert(place, one)
    return ordered


def wants_load(places: Sequence[Look], readings: Readings) -> bool:
    """Tell whether the load is to be asked for: nobody told it, and it looks like what is named."""
    named = any(one.leads in (*LOADS, *AFTER_LOAD) for one in places)
    return named and not load_is_told(readings)


def load_is_told(readings: Readings) -> bool:
    """Tell whether somebody said how hard the units work."""
    return readings.load_read or any(kind == LOAD for kind, _ in readings.signs)


def _load_first(found: list[Look]) -> list[Look]:
    """Put the place of the load before the first one of a machine that moves too little heat."""
    loads = [place for place, one in enumerate(found) if one.leads in LOADS]
    machines = [place for place, one in enumerate(found) if one.leads in AFTER_LOAD]
    if not loads or not machines or loads[0] < machines[0]:
        return found
    load = found.pop(loads[0])
    return [*found[: machines[0]], load, *found[machines[0] :]]


def in_words(chance: float) -> Fact:
    """Return odds as people say them, by the per cent that stands beside the word."""
    return next(said for least, said in ODDS if round(chance, 2) >= least)
