"""The whole answer of a diagnosis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network, loops
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.which_pump import picked_loop
from seaflow.studies.diagnose.agreement import contradictions, refuse_unseen, warm_sea
from seaflow.studies.diagnose.faults import NOTHING_TITLE, odds, possible_faults
from seaflow.studies.diagnose.heat_check import HeatCheck, heat_check
from seaflow.studies.diagnose.hypotheses import NONE, listed, prior_present
from seaflow.studies.diagnose.infer import (
    DEFAULT_DRAWS,
    DEFAULT_SEED,
    Posterior,
    infer,
)
from seaflow.studies.diagnose.next_reading import Test, open_tests
from seaflow.studies.diagnose.own_boat import OwnBoat
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import Setup
from seaflow.studies.diagnose.verdict import Verdict, verdict_of

SHOWN = 6  # causes
LEAST_SHOWN = 0.03
ALIKE = 0.8  # of a factor in e by which readings must favour a cause to tell it from another
NOTHING_TO_DO = "Nothing needs doing; store these readings as a baseline."
TRIPPED = (
    "A healthy unit does not trip. If it was not the high-pressure switch, find out which it was; "
    "if it was, what stopped the water or the heat then has passed for now."
)
_WORDS = (
    (0.95, "almost certainly"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.4, "about even"),
    (0.2, "possible"),
    (0.07, "unlikely"),
    (0.0, "very unlikely"),
)


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause with its odds; nothing wrong is one of them. `do` is what to do about it."""

    name: str
    title: str
    words: str
    chance: float = measured("-")
    before: float = measured("-", 0.0)
    do: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two faults together."""

    titles: tuple[str, str]
    chance: float = measured("-")


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong with one loop, as far as the readings tell."""

    boat: str
    loop: str
    pump: str
    why_pump: str
    n_readings: int
    verdict: Verdict
    causes: tuple[Cause, ...]
    pairs: tuple[Pair, ...]
    alike: tuple[str, ...]
    heat: HeatCheck | None
    next_test: Test | None
    n_draws: int
    effective: float = measured("-")
    coarser: float = measured("-", 1.0)
    from_baseline: int = 0
    other_loops: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    mode: str = "cooling"
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Effort:
    """How many boats to simulate, and the seed."""

    n_draws: int = DEFAULT_DRAWS
    seed: int = DEFAULT_SEED


def setup_of(case: Case, network: Network, mode: str = "cooling") -> Setup:
    """Return a loop with the pump fitted, or else the one that size recommends.

    Raises
    ------
    SeaflowError
        If no pump fits the supply.
    """
    built, part, why = picked_loop(case, network, None)
    faults = possible_faults(case, built, mode)
    return Setup(case, built, network.pumps[0], part, faults, str(why))


def posterior_of(
    setup: Setup, readings: Readings, effort: Effort, own: OwnBoat | None = None
) -> Posterior:
    """Return the odds after the readings; `own` is what earlier readings told of the boat."""
    shares = None if own is None else own.drawn(effort.n_draws, effort.seed + 1)
    return infer(setup, readings, effort.n_draws, effort.seed, shares)


def diagnose(
    setup: Setup,
    readings: Readings,
    effort: Effort = Effort(),
    own: OwnBoat | None = None,
) -> Diagnosis:
    """Return verdict, causes, the next test and the cautions for these readings.

    Raises
    ------
    SeaflowError
        If no boat of this plan gives one of the readings.
    """
    posterior = posterior_of(setup, readings, effort, own)
    refuse_unseen(posterior, readings)
    tests = open_tests(posterior, readings)
    causes = _causes(posterior, readings)
    return Diagnosis(
        boat=setup.case.boat.name,
        loop=setup.built.network.name,
        pump=setup.part.name,
        why_pump=setup.why,
        n_readings=len(readings.numbers) + len(readings.signs) + len(readings.tried),
        verdict=verdict_of(posterior, readings),
        causes=tuple(causes[:SHOWN]),
        pairs=_pairs(posterior),
        alike=_alike(posterior, causes) if not readings.is_empty else (),
        heat=heat_check(posterior, readings),
        next_test=next((test for test in tests if test.helps), None),
        n_draws=effort.n_draws,
        mode=readings.mode,
        effective=posterior.effective,
        coarser=posterior.wider,
        from_baseline=0 if own is None else own.n_readings,
        other_loops=_other_loops(setup),
        cautions=cautions("diagnose"),
        notes=(*warm_sea(posterior, readings), *contradictions(posterior, readings)),
    )


def _other_loops(setup: Setup) -> tuple[str, ...]:
    return tuple(loop.name for loop in loops(setup.case) if loop.name != setup.built.network.name)


def _causes(posterior: Posterior, readings: Readings) -> list[Cause]:
    before = prior_present(posterior.flotilla.setup.faults)
    found = [
        Cause(
            fault.name,
            fault.title,
            in_words(chance),
            float(chance),
            float(before[number]),
            fault.do,
        )
        for number, (fault, chance) in enumerate(
            zip(posterior.flotilla.setup.faults, posterior.present, strict=True)
        )
    ]
    healthy = posterior.nothing
    rest = TRIPPED if ("tripped", "yes") in readings.signs else NOTHING_TO_DO
    found.append(Cause("nothing", NOTHING_TITLE, in_words(healthy), healthy, odds().nothing, rest))
    found.sort(key=lambda cause: (-cause.chance, cause.name))
    return [cause for cause in found if cause.chance >= LEAST_SHOWN] or found[:1]


def in_words(chance: float) -> str:
    """Return odds in words."""
    return next(words for least, words in _WORDS if chance >= least)


def _pairs(posterior: Posterior) -> tuple[Pair, ...]:
    faults = posterior.flotilla.setup.faults
    ordered = sorted(posterior.pairs().items(), key=lambda item: -item[1])
    return tuple(
        Pair((faults[first].title, faults[second].title), chance)
        for (first, second), chance in ordered[:2]
        if chance >= LEAST_SHOWN
    )


def _alike(posterior: Posterior, causes: list[Cause]) -> tuple[str, ...]:
    """Return the titles of the likeliest cause and of those that the readings favour as much."""
    if not causes:
        return ()
    support = posterior.mean_support()
    names = [fault.name for fault in posterior.flotilla.setup.faults] + ["nothing"]
    first = support[names.index(causes[0].name)]
    same = [
        cause.title
        for cause in causes[:SHOWN]
        if abs(support[names.index(cause.name)] - first) < ALIKE
    ]
    same += _pairs_alike(posterior, float(first))
    return tuple(same) if len(same) > 1 else ()


def _pairs_alike(posterior: Posterior, first: float) -> list[str]:
    """Return the likely pairs that the readings favour at least as much as the first cause."""
    faults = posterior.flotilla.setup.faults
    starts, others, chances = listed(faults)
    weights = posterior.by_hypothesis
    both = np.flatnonzero((others != NONE) & (weights >= LEAST_SHOWN))
    kept = [k for k in both if np.log(weights[k] / chances[k]) > first - ALIKE]
    kept = sorted(kept, key=lambda k: -weights[k])[:2]
    return [f"{faults[starts[k]].title}, with {faults[others[k]].title}" for k in kept]
