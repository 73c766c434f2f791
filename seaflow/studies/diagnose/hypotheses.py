"""Which fault, or which two, each simulated boat has, and how bad."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model.conditions import names_of
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.diagnose.faults import Fault, odds

Drawn: TypeAlias = tuple[NDArray[np.intp], NDArray[np.intp], Array]

NONE = -1  # in the place of a fault that a boat does not have
SHARES = (0.06, 0.56, 0.38)  # of the draws with no fault, one and two
GUESSED = 0.5  # of the draws of a further round that go where the one before points
BESIDE = 0.35  # and that have what it points at beside a fault that may change nothing
EVEN = 0.5  # how far draws are spread evenly over faults, instead of by their odds
STEPS = 20  # of the spread of a severity
OWN_STEPS = 10  # of the spread of an own figure
OWN_GUESSED = 0.85  # of an own figure's draws, of boats that are steered at all
PLAIN = 0.1  # of the boats whose own figures are drawn as they come
WIDE_RATIO = 5.0  # ends of a severity further apart than this are spread in logarithms
LEFT_STEPS = 401  # at which the spread of what is left open is turned around
MOST_SHARE = 0.998  # of anything that can be blocked or lost
DIMENSIONS = 4  # of the points drawn for faults: two severities, two units
MOST_KEPT = 8  # lists of faults whose hypotheses are kept
TURNS = np.array([[0, 0, 1, 1], [0, 1, 0, 1]], dtype=bool)  # both ways of two faults


@dataclass(frozen=True, slots=True, eq=False)
class Hypotheses:
    """The faults of each boat by their place in the list, or NONE; all arrays run over boats.

    `severity` has a row for each fault; `log_prior` is the odds of the boat's faults over how often
    they were drawn; `unit_shares` (2 rows, from 0 to 1) pick the unit that each fault strikes, and
    `severity_shares` are where in its spread the severity of the first and the second lies.
    """

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    severity: Array
    log_prior: Array
    unit_shares: Array
    severity_shares: Array

    @property
    def size(self) -> int:
        """The number of boats."""
        return int(self.first.size)

    def present(self, fault: int) -> NDArray[np.bool_]:
        """Return which boats have a fault."""
        return np.asarray((self.first == fault) | (self.second == fault))

    def units(self, n_units: int) -> NDArray[np.intp]:
        """Return the place of the unit that each of the two faults strikes: (2, boats)."""
        picked = (self.unit_shares * n_units).astype(np.intp)
        return np.asarray(np.minimum(picked, n_units - 1))

    @property
    def tosses(self) -> NDArray[np.bool_]:
        """Which way each of the two faults goes where it may go either way: (2, boats).

        Each four boats in a row have all four ways in some order, so that they come equally often
        among boats with one fault and hang on nothing else that is drawn.
        """
        order = RandomState(self.size).random_sample((-(-self.size // 4), 4)).argsort(axis=1)
        return TURNS[:, order.ravel()[: self.size]]

    @property
    def healthy(self) -> NDArray[np.bool_]:
        """Which boats have no fault."""
        return np.asarray(self.first == NONE)


@dataclass(frozen=True, slots=True, eq=False)
class Guess:
    """Where a round points: how likely each hypothesis is, how bad each fault, and at which unit.

    `severity` has a row for each fault and a column for each step of its spread, `units` a column
    for each unit; `own` has, for each first fault and last for none, a row of steps for every
    figure of the boat. `pointed` of the draws go there, and `beside` to pairs of what it points at.
    """

    chances: Array
    severity: Array
    units: Array
    own: Array
    pointed: float = GUESSED
    beside: float = BESIDE


def joined(guesses: Sequence[Guess], shares: Array) -> Guess:
    """Return several guesses as one, each to its share."""

    def mean(name: str) -> Array:
        return np.tensordot(shares, np.stack([getattr(guess, name) for guess in guesses]), 1)

    return Guess(mean("chances"), mean("severity"), mean("units"), mean("own"))


def parts_of(size: int, n_parts: int) -> tuple[slice, ...]:
    """Return boats in so many parts of one size, one after the other."""
    return tuple(slice(k * size // n_parts, (k + 1) * size // n_parts) for k in range(n_parts))


def side_by_side(parts: Sequence[Hypotheses]) -> Hypotheses:
    """Return draws of one plan as one, each part to its share."""
    size = sum(one.size for one in parts)
    shared = [replace(one, log_prior=one.log_prior + np.log(one.size / size)) for one in parts]
    names = names_of(Hypotheses)
    return Hypotheses(*(np.concatenate([getattr(one, of) for one in shared], -1) for of in names))


def healthy_boats(n_faults: int, n_boats: int) -> Hypotheses:
    """Return boats without any fault."""
    nobody = np.full(n_boats, NONE)
    flat = np.full(n_boats, -np.log(n_boats))
    return Hypotheses(
        nobody,
        nobody,
        np.zeros((n_faults, n_boats)),
        flat,
        np.zeros((2, n_boats)),
        np.zeros((2, n_boats)),
    )


def priors(faults: Sequence[Fault]) -> tuple[Array, Array]:
    """Return the odds of each single fault, and of each pair as an upper triangle."""
    return _priors(np.asarray([fault.weight for fault in faults]))


def _priors(weights: Array) -> tuple[Array, Array]:
    alone = odds().one * weights / weights.sum()
    both = np.triu(np.outer(weights, weights), 1)
    return alone, odds().two * both / max(float(both.sum()), 1e-300)


def prior_present(faults: Sequence[Fault]) -> Array:
    """Return how likely each fault is to be there before anything is read."""
    alone, both = priors(faults)
    return np.asarray(alone + both.sum(axis=0) + both.sum(axis=1))


def spread_evenly(
    faults: Sequence[Fault], n_draws: int, stream: RandomState, guess: Guess | None = None
) -> Hypotheses:
    """Return draws in which also unlikely faults come often, with the odds to weigh them by.

    Where a `guess` is given most draws go where it points, and a part is still spread evenly. A
    pair that few boats had before is drawn by what its faults do elsewhere, so that no rare pair
    hangs on a few boats of great weight.
    """
    starts, others, chances = listed(faults)
    drawn_as = _drawn_as(chances, len(faults), guess)
    steps = (np.arange(n_draws) + stream.random_sample()) / n_draws
    places = np.minimum(np.searchsorted(np.cumsum(drawn_as), steps), chances.size - 1)
    flat = np.full(n_draws, -np.log(n_draws))
    drawn = starts[places], others[places], flat
    shares = sobol_points(DIMENSIONS, n_draws, int(stream.randint(1 << 30)))
    if guess is not None:
        shares = _steered(drawn, shares, guess)
    found = with_severity(faults, drawn, shares)
    return replace(found, log_prior=flat - drawn_oftener(faults, found, guess))


def drawn_oftener(faults: Sequence[Fault], boats: Hypotheses, guess: Guess | None) -> Array:
    """Return how much oftener such faults are drawn with a guess than by the odds, in logarithms.

    The boats need not have been drawn with this guess.
    """
    chances = listed(faults)[2]
    places = places_of(faults, boats.first, boats.second)
    found = np.log(_drawn_as(chances, len(faults), guess) / chances)[places]
    if guess is None:
        return np.asarray(found)
    for row, which in enumerate((boats.first, boats.second)):
        has = np.flatnonzero(which != NONE)
        of = (boats.severity_shares, guess.severity), (boats.unit_shares, guess.units)
        for shares, likely in of:
            step = _step(shares[row, has], likely.shape[1])
            found[has] += np.log(_pointed(guess, likely))[which[has], step]
    return np.asarray(found)


def _drawn_as(chances: Array, n_faults: int, guess: Guess | None) -> Array:
    """Return how often each hypothesis is drawn."""
    evenly = _evenly(n_faults, chances)
    if guess is None:
        return evenly
    beside = _beside(guess.chances, chances, n_faults)
    rest = 1.0 - guess.pointed - guess.beside
    return np.asarray(guess.pointed * guess.chances + guess.beside * beside + rest * evenly)


def _beside(guessed: Array, chances: Array, n_faults: int) -> Array:
    """Return how likely each hypothesis is if pairs are no more than their faults make them.

    Either one of the two explains as much as alone, or each does what it does beside any other.
    """
    rows, columns = np.triu_indices(n_faults, 1)
    before, now = chances[n_faults + 1 :], guessed[n_faults + 1 :]
    alone = (guessed / chances)[1 : n_faults + 1]
    sums = [np.bincount(np.r_[rows, columns], np.r_[one, one], n_faults) for one in (now, before)]
    beside = sums[0] / np.maximum(sums[1], 1e-300)
    either = before * np.maximum(alone[rows], alone[columns])
    each = before * beside[rows] * beside[columns]
    each *= now.sum() / max(float(each.sum()), 1e-300)
    found = np.concatenate([guessed[: n_faults + 1], either + each])
    return np.asarray(found / found.sum())


def _steered(drawn: Drawn, shares: Array, guess: Guess) -> Array:
    """Return the shares of severities and units moved to where the guess has them."""
    moved = np.array(shares)
    for row, which in enumerate(drawn[:2]):
        has = np.flatnonzero(which != NONE)
        for place, likely in ((row, guess.severity), (row + 2, guess.units)):
            moved[place, has] = _moved(shares[place, has], _pointed(guess, likely), which[has])
    return moved


def _pointed(guess: Guess, likely: Array) -> Array:
    """Return how much oftener than evenly each step is drawn, from how likely the guess has it."""
    return np.asarray(guess.pointed * likely * likely.shape[1] + (1.0 - guess.pointed))


def _step(shares: Array, n_steps: int) -> NDArray[np.intp]:
    return np.asarray(np.minimum((shares * n_steps).astype(np.intp), n_steps - 1))


def _moved(shares: Array, density: Array, which: NDArray[np.intp]) -> Array:
    """Return shares moved so that each has the density of steps in the row `which` of it.

    `density` has a row of steps, 1 in the mean, for each thing that a share may be of.
    """
    n_steps = density.shape[1]
    upto = np.cumsum(density, axis=1) / n_steps
    step = np.zeros(shares.size, dtype=np.intp)
    for end in upto[:, :-1].T:  # many times faster here than to compare all steps and count
        step += shares >= end[which]
    inside = (shares - upto[which, step]) * n_steps / density[which, step] + 1.0
    return np.asarray(np.clip((step + inside) / n_steps, 0.0, 1.0 - 1e-9))


def steered_own(guess: Guess, first: NDArray[np.intp], shares: Array, toss: Array) -> Array:
    """Return the shares of the own figures moved to where the guess has them, for each first fault.

    A part of the boats, by their `toss`, stays as it was drawn, so that none is drawn much more
    rarely than it comes.
    """
    density, moved, steered = _own_density(guess), np.array(shares), toss >= PLAIN
    for row in range(guess.own.shape[1]):
        moved[row, steered] = _moved(shares[row, steered], density[:, row], first[steered])
    return moved


def own_oftener(guess: Guess, first: NDArray[np.intp], shares: Array) -> Array:
    """Return how much oftener such own figures are drawn with a guess than by themselves.

    In logarithms, of boats with these first faults, whether or not they were drawn with it.
    """
    density, found = np.log(_own_density(guess)), np.zeros(first.size)
    for row in range(guess.own.shape[1]):
        found += density[first, row, _step(shares[row], guess.own.shape[-1])]
    return np.asarray(np.logaddexp(np.log(PLAIN), np.log1p(-PLAIN) + found))


def _own_density(guess: Guess) -> Array:
    return np.asarray(OWN_GUESSED * guess.own * guess.own.shape[-1] + (1.0 - OWN_GUESSED))


def listed(faults: Sequence[Fault]) -> tuple[NDArray[np.intp], NDArray[np.intp], Array]:
    """Return all hypotheses in order: first fault, second fault, and the odds of the two."""
    return _listed(tuple(fault.weight for fault in faults))


@lru_cache(MOST_KEPT)
def _listed(weights: tuple[float, ...]) -> tuple[NDArray[np.intp], NDArray[np.intp], Array]:
    alone, both = _priors(np.asarray(weights))
    rows, columns = np.triu_indices(len(weights), 1)
    starts = np.concatenate([[NONE], np.arange(len(weights)), rows])
    others = np.concatenate([np.full(len(weights) + 1, NONE), columns])
    chances = np.concatenate([[odds().nothing], alone, both[rows, columns]])
    found = starts, others, chances / chances.sum()
    for one in found:
        one.flags.writeable = False  # whoever asks is given the same
    return found


def places_of(
    faults: Sequence[Fault], first: NDArray[np.intp], second: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Return the place of each boat's hypothesis in the order of `listed`."""
    width = len(faults) + 1
    starts, others, _ = listed(faults)
    places = np.zeros(width * width, dtype=np.intp)  # NONE = -1 counts as nought
    places[(starts + 1) * width + others + 1] = np.arange(starts.size)
    return np.asarray(places[(first + 1) * width + second + 1])


def _evenly(n_faults: int, chances: Array) -> Array:
    """Return how often each hypothesis is drawn: half by its odds and half evenly in its group."""
    found = []
    groups = (chances[:1], chances[1 : n_faults + 1], chances[n_faults + 1 :])
    for share, group in zip(SHARES, groups, strict=True):
        even = EVEN / max(group.size, 1)
        found.append(share * ((1.0 - EVEN) * group / max(group.sum(), 1e-300) + even))
    return np.asarray(np.concatenate(found) / np.concatenate(found).sum())


def with_severity(
    faults: Sequence[Fault], drawn: Drawn, shares: Array, wider: float = 1.0
) -> Hypotheses:
    """Return boats with these faults, each as bad as its share of the spread says.

    `shares` has a row for the severity of the first fault and of the second, and two for the units
    that they strike; severities may be `wider` than the table says.
    """
    first, second, log_prior = drawn
    severity = np.zeros((len(faults), first.size))
    for number, fault in enumerate(faults):
        for which, share in ((first, shares[0]), (second, shares[1])):
            where = which == number
            severity[number, where] = _severity(fault, share[where], wider)
    return Hypotheses(first, second, severity, log_prior, shares[2:], shares[:2])


def _severity(fault: Fault, share: Array, wider: float) -> Array:
    stretched = 0.5 + wider * (share - 0.5)
    if fault.open_share:
        found = 1.0 - _left_open(1.0 - fault.low, 1.0 - fault.high, stretched)
    elif fault.high > WIDE_RATIO * fault.low:
        found = fault.low * (fault.high / fault.low) ** stretched
    else:
        found = fault.low + (fault.high - fault.low) * stretched
    most = max(MOST_SHARE, fault.high) if fault.high <= 1.0 else np.inf
    return np.asarray(np.clip(found, 0.3 * fault.low, most))


def _left_open(most: float, least: float, share: Array) -> Array:
    """Return what is left open: half of the boats were shut in one go, the others bit by bit.

    In one go it is spread in logarithms, bit by bit evenly; beyond the ends in logarithms.
    """
    left = np.geomspace(most, least, LEFT_STEPS)
    upto = 0.5 * np.linspace(0.0, 1.0, LEFT_STEPS) + 0.5 * (most - left) / (most - least)
    inside = np.clip(share, 0.0, 1.0)
    beyond = (least / most) ** (share - inside)
    return np.asarray(np.exp(np.interp(inside, upto, np.log(left))) * beyond)
