"""From readings to odds: every simulated boat is weighed by how well it agrees with them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import RandomState

from seaflow.base.arrays import Array
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.diagnose.hypotheses import NONE, STEPS, Guess, listed, spread_evenly
from seaflow.studies.diagnose.predict import log_of_number, log_of_sign, log_of_tried
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import Flotilla, Setup, met_by, own_shares, run

DEFAULT_DRAWS = 16384
LEAST_EFFECTIVE = 40.0  # boats that must carry the answer; else the instruments count as coarser
ENOUGH = 300.0  # with as many a second round is spared
COARSER = 1.3  # each time
MOST_ROUNDS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """The weight of every boat after the readings.

    `effective` is how many equally weighed boats would tell as much; `wider` by how much the
    instruments had to be taken as coarser for that.
    """

    flotilla: Flotilla
    weight: Array
    effective: float
    wider: float

    @property
    def present(self) -> Array:
        """How likely each fault is, alone or with another."""
        where = [
            self.flotilla.hypotheses.present(i) for i in range(len(self.flotilla.setup.faults))
        ]
        return np.asarray([float(self.weight[one].sum()) for one in where])

    @property
    def by_hypothesis(self) -> Array:
        """How likely each hypothesis is, in the order of `listed`."""
        hypotheses, n_faults = self.flotilla.hypotheses, len(self.flotilla.setup.faults)
        starts, others, _ = listed(self.flotilla.setup.faults)
        width = n_faults + 1  # NONE = -1 counts as nought
        codes = (hypotheses.first + 1) * width + hypotheses.second + 1
        sums = np.bincount(codes, weights=self.weight, minlength=width * width)
        return np.asarray(sums[(starts + 1) * width + others + 1])

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
    """What is known before: the boat's own figures, and roughly how likely each hypothesis is."""

    shares: Array | None = None
    guess: Guess | None = None


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
    hypotheses = spread_evenly(setup.faults, n_draws, stream, known.guess)
    met = met_by(setup, hypotheses, readings, stream)
    own = known.shares
    if own is None:
        own = own_shares(setup, n_draws, seed + 1)
    return run(setup, hypotheses, met, own, readings)


def infer(
    setup: Setup,
    readings: Readings,
    n_draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    shares: Array | None = None,
) -> Posterior:
    """Return the odds after the readings.

    Where too few of the first boats agree with the readings, a second round goes where the first
    one points, so that the answer rests on more of them.
    """
    flotilla = simulate(setup, readings, n_draws, seed, Known(shares))
    found = weigh(flotilla, readings)
    if found.effective >= ENOUGH and found.wider == 1.0:
        return found
    guess = guess_from(found)
    flotilla = simulate(setup, readings, n_draws, seed + 2, Known(shares, guess))
    return weigh(flotilla, readings)


def guess_from(found: Posterior) -> Guess:
    """Return where the first round points; its severities a little smoothed."""
    hypotheses = found.flotilla.hypotheses
    rows = []
    for number in range(len(found.flotilla.setup.faults)):
        sums = np.full(STEPS, 1e-9)
        for row, which in enumerate((hypotheses.first, hypotheses.second)):
            where = which == number
            step = (hypotheses.severity_shares[row, where] * STEPS).astype(int)
            sums += np.bincount(step, weights=found.weight[where], minlength=STEPS)[:STEPS]
        rows.append(np.convolve(np.pad(sums, 1, mode="edge"), (0.25, 0.5, 0.25), mode="valid"))
    severity = np.asarray(rows)
    return Guess(found.by_hypothesis, severity / severity.sum(axis=1, keepdims=True))


def log_likelihood(flotilla: Flotilla, readings: Readings, wider: float = 1.0) -> Array:
    """Return the logarithm of how likely all readings are on each boat."""
    found = np.zeros(flotilla.hypotheses.size)
    for number in readings.numbers:
        found = found + log_of_number(flotilla, number, wider)
    for kind, word in readings.signs:
        found = found + log_of_sign(flotilla, kind, word)
    for place, word in readings.streams:
        found = found + log_of_sign(flotilla, "stream", word, place)
    for remedy in readings.tried:
        found = found + log_of_tried(flotilla, remedy)
    return np.asarray(found)


def weigh(flotilla: Flotilla, readings: Readings) -> Posterior:
    """Return the odds after the readings."""
    wider = 1.0
    for _ in range(MOST_ROUNDS):
        log_weight = flotilla.log_prior + log_likelihood(flotilla, readings, wider)
        most = float(log_weight.max())
        weight = np.exp(log_weight - most)
        total = float(weight.sum())
        effective = total**2 / float((weight**2).sum())
        if effective >= LEAST_EFFECTIVE or not readings.numbers:
            break
        wider *= COARSER
    return Posterior(flotilla, weight / total, effective, wider)
