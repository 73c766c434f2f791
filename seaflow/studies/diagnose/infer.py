"""From readings to odds: every simulated boat is weighed by how well it agrees with them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.diagnose.cabins import with_cabins
from seaflow.studies.diagnose.crowd import Crowd, Round
from seaflow.studies.diagnose.guess import guess_from
from seaflow.studies.diagnose.hypotheses import (
    NONE,
    Guess,
    listed,
    own_oftener,
    parts_of,
    places_of,
    side_by_side,
    spread_evenly,
    steered_own,
)
from seaflow.studies.diagnose.predict import log_of_sign, log_of_tried
from seaflow.studies.diagnose.read_number import Seen, log_of_read, seen_on
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import Flotilla, Setup, met_by, own_shares, run

DEFAULT_DRAWS = 16384
LEAST_EFFECTIVE = 40.0  # boats that must carry the answer; else the instruments count as coarser
ROUGH_BELOW = 120.0  # boats that carry the answer: one in two is then sure to 5 points in a hundred
ENOUGH = 1500.0  # with as many one round of scouts will do
SPARSE = 300.0  # boats of a second, below which a third scouts as well
SCOUTS = ((0, ENOUGH), (2, SPARSE), (6, 0.0))  # each round's step of the seed, and what is enough
# Rounds for the odds: each one's step of the seed, into how many parts the draws are cut for it,
# and how many boats must carry all rounds together, so that no more is needed.
ANSWERS = ((4, 1, 800.0), (8, 2, 800.0), (12, 2, 0.0))
MOST_ROUNDS = 5  # of both together: where two scouted, three may answer
FEW = ENOUGH  # boats that carry all rounds, below which each is held to where either half points
LEAST_CROWD = 8.0  # boats that must carry all rounds, for their odds to stand; own choice
COARSER = 1.3  # each time
MOST_COARSER = 8
ASTRAY = (
    0.01  # how often readings are of another boat than the plan's, or another state; own choice
)


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """The weight of every boat after the readings.

    `effective` is how many equally weighed boats would tell as much; `wider` by how much the
    instruments had to be taken as coarser for that. `astray` is how likely it is that no boat of
    this plan explains the numbers: then the odds of its faults are those of before.
    """

    flotilla: Flotilla
    weight: Array
    effective: float
    wider: float
    astray: float = 0.0

    @property
    def present(self) -> Array:
        """How likely each fault is, alone or with another."""
        where = [
            self.flotilla.hypotheses.present(i) for i in range(len(self.flotilla.setup.faults))
        ]
        return np.asarray([float(self.weight[one].sum()) for one in where])

    @property
    def is_rough(self) -> bool:
        """Whether the odds may be ten points off, for so few boats carry them."""
        return self.effective < ROUGH_BELOW

    @property
    def by_hypothesis(self) -> Array:
        """How likely each hypothesis is, in the order of `listed`."""
        starts, _, _ = listed(self.flotilla.setup.faults)
        return np.asarray(
            np.bincount(self.listed_at, weights=self.weight, minlength=starts.size), dtype=float
        )

    @property
    def listed_at(self) -> NDArray[np.intp]:
        """The place of each boat's hypothesis in the order of `listed`."""
        boats = self.flotilla.hypotheses
        return places_of(self.flotilla.setup.faults, boats.first, boats.second)

    @property
    def nothing(self) -> float:
        """How likely nothing is wrong."""
        return float(self.weight[self.flotilla.hypotheses.healthy].sum())

    def pairs(self) -> dict[tuple[int, int], float]:
        """Return how likely each two faults together are."""
        starts, others, _ = listed(self.flotilla.setup.faults)
        found = zip(starts.tolist(), others.tolist(), self.by_hypothesis.tolist(), strict=True)
        return {(first, second): chance for first, second, chance in found if second != NONE}

    def mean_support(self) -> Array:
        """Return for each single fault, and last for none, how well it explains the readings.

        That is its weight after the readings over that before them, in logarithms.
        """
        hypotheses = self.flotilla.hypotheses
        alone = hypotheses.second == NONE
        before = np.exp(hypotheses.log_prior)
        found = []
        for number in (*range(len(self.flotilla.setup.faults)), NONE):
            where = alone & (hypotheses.first == number)
            found.append(self.weight[where].sum() / max(float(before[where].sum()), 1e-12))
        return np.asarray(np.log(np.maximum(np.asarray(found), 1e-12)))


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known before: the boat's own figures, and roughly how likely each hypothesis is.

    Of two guesses each is for half of the boats; None draws by the odds. `plain` are boats that
    were drawn without knowing the readings.
    """

    shares: Array | None = None
    guesses: tuple[Guess | None, ...] = (None,)
    plain: Flotilla | None = None


def simulate(
    setup: Setup,
    readings: Readings,
    n_draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    known: Known = Known(),
) -> Flotilla:
    """Return boats with all faults of the loop, met as the readings say.

    The same seed gives the same boats.
    """
    setup = setup.given(readings)
    stream = RandomState(seed)
    parts = parts_of(n_draws, len(known.guesses))
    drawn = zip(parts, known.guesses, strict=True)
    hypotheses = side_by_side(
        [spread_evenly(setup.faults, part.stop - part.start, stream, one) for part, one in drawn]
    )
    met = met_by(setup, hypotheses, readings, stream)
    own = known.shares
    if own is None:
        own = own_shares(setup, n_draws, seed + 1)
        toss, oftener = stream.random_sample(n_draws), np.zeros(n_draws)
        for part, guess in zip(parts, known.guesses, strict=True):
            if guess is not None:
                first = hypotheses.first[part]
                own[:, part] = steered_own(guess, first, own[:, part], toss[part])
                oftener[part] = own_oftener(guess, first, own[:, part])
        hypotheses = replace(hypotheses, log_prior=hypotheses.log_prior - oftener)
    found = run(setup, hypotheses, met, own, readings)
    found = replace(found, drawn_plainly=known.plain or found)
    return with_cabins(found, readings, stream)


def infer(
    setup: Setup,
    readings: Readings,
    n_draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    shares: Array | None = None,
) -> Posterior:
    """Return the odds after the readings.

    Up to three rounds of half as many boats scout where the boats lie that agree, each half of them
    going mostly where the other half of all before points; so do one of all the boats and, where
    too few agree, one or two more of half as many. The boats of all of them are the answer.
    """
    few = None if shares is None else shares[:, : n_draws // 2]
    crowd = Crowd()
    found: list[Posterior] = []
    for step, enough in SCOUTS:
        known = _pointed(crowd, few)
        scout, drawn = _round(setup, readings, (n_draws // 2, seed + step), known)
        crowd = crowd.joined_by(drawn)
        if scout.effective >= enough:
            break
    for step, parts, enough in ANSWERS:
        known = _pointed(crowd, shares if parts == 1 else few)
        told, drawn = _round(setup, readings, (n_draws // parts, seed + step), known)
        found, crowd = [*found, told], crowd.joined_by(drawn)
        if crowd.effective >= enough or len(crowd.rounds) == MOST_ROUNDS:
            break
    best = weigh(max(found, key=lambda one: one.effective).flotilla, readings)
    # odds of few boats of all rounds are rough; those of coarse instruments are of other causes
    return best if crowd.effective < LEAST_CROWD else _told_by_all(best, crowd)


def _round(
    setup: Setup, readings: Readings, drawn: tuple[int, int], known: Known
) -> tuple[Posterior, Round]:
    """Return the odds of one round of so many boats of this seed; instruments count as they are."""
    flotilla = simulate(setup, readings, *drawn, known)
    log, strays = _weighed(_Asked.of(flotilla), readings)
    log_weight = flotilla.log_prior + log
    told = Round(flotilla, log_weight, strays, known.guesses, known.shares is None)
    return _posterior(flotilla, log_weight, strays, 1.0), told


def _told_by_all(best: Posterior, crowd: Crowd) -> Posterior:
    """Return a round with the odds of its hypotheses as the boats of all rounds tell them."""
    known, astray = best.by_hypothesis, 0.0
    chances = np.zeros(known.size)
    told = crowd.weights if crowd.effective >= FEW else crowd.weights_of_few
    for one, weights in zip(crowd.rounds, told, strict=True):
        boats = one.flotilla.hypotheses
        places = places_of(best.flotilla.setup.faults, boats.first, boats.second)
        chances += np.bincount(places, weights, known.size)
        astray += float(weights @ one.strays)
    weight = best.weight * (chances / np.maximum(known, 1e-300))[best.listed_at]
    weight = weight / weight.sum()
    return replace(best, weight=weight, effective=_effective(weight), astray=astray)


def _pointed(crowd: Crowd, shares: Array | None) -> Known:
    """Return what is known before a round: where the boats of the other half point, for each."""
    if not crowd.rounds:
        return Known(shares, (None, None))
    plain = crowd.rounds[0].flotilla.as_they_come
    return Known(shares, tuple(map(guess_from, reversed(crowd.halves))), plain)


def log_likelihood(flotilla: Flotilla, readings: Readings, wider: float = 1.0) -> Array:
    """Return the logarithm of how likely all readings are on each boat."""
    return _weighed(_Asked.of(flotilla), readings, wider)[0]


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What instruments show on some boats and how likely signs are there, each asked once."""

    flotilla: Flotilla
    seen_on: Callable[[str, str], Seen | None]
    log_of_sign: Callable[[str, str, str], Array]

    @classmethod
    def of(cls, flotilla: Flotilla) -> _Asked:
        """Return what is asked of these boats."""
        return cls(
            flotilla,
            cache(partial(seen_on, flotilla)),
            cache(partial(log_of_sign, flotilla)),
        )


def _weighed(asked: _Asked, readings: Readings, wider: float = 1.0) -> tuple[Array, Array]:
    """Return the logarithm of how likely all readings are, and the share that nothing explains.

    Every number may have been misread by itself, and all of them may be of a boat that the plan
    does not describe: then they tell nothing of her faults.
    """
    found = np.zeros(asked.flotilla.hypotheses.size)
    astray = np.log(ASTRAY)
    for number in readings.numbers:
        seen = asked.seen_on(number.kind, number.place)
        if seen is not None:
            log, misread = log_of_read(seen, number.value, wider)
            found, astray = found + log, astray + misread
    by_plan = np.log1p(-ASTRAY) + found
    found = np.logaddexp(by_plan, astray) if readings.numbers else found
    share = np.exp(astray - found) if readings.numbers else np.zeros(found.size)
    for kind, word in readings.signs:
        found = found + asked.log_of_sign(kind, word, readings.place_of(kind))
    for place, word in readings.streams:
        found = found + asked.log_of_sign("stream", word, place)
    for unit in readings.spared:
        found = found + asked.log_of_sign("tripped", "no", unit)
    for remedy in readings.tried:
        found = found + log_of_tried(asked.flotilla, remedy)
    return np.asarray(found), np.asarray(share)


def weigh(flotilla: Flotilla, readings: Readings, most_coarser: int = MOST_COARSER) -> Posterior:
    """Return the odds after the readings; instruments count as coarser so many times at most."""
    return next(weigh_each(flotilla, [readings], most_coarser))


def weigh_each(
    flotilla: Flotilla, every: Iterable[Readings], most_coarser: int = MOST_COARSER
) -> Iterator[Posterior]:
    """Yield the odds after each of several readings, as if it were the only one."""
    asked = _Asked.of(flotilla)
    for readings in every:
        wider = 1.0
        for _ in range(most_coarser):
            log, strays = _weighed(asked, readings, wider)
            found = _posterior(flotilla, flotilla.log_prior + log, strays, wider)
            if found.effective >= LEAST_EFFECTIVE or not readings.numbers:
                break
            wider *= COARSER
        yield replace(found, wider=wider)


def _posterior(flotilla: Flotilla, log_weight: Array, strays: Array, wider: float) -> Posterior:
    weight = np.exp(log_weight - float(log_weight.max()))
    weight = weight / weight.sum()
    return Posterior(flotilla, weight, _effective(weight), wider, float(weight @ strays))


def _effective(weight: Array) -> float:
    """Return how many equally weighed boats tell as much as boats of these weights."""
    return 1.0 / float(weight @ weight)
