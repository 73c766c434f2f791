"""What readings taken on a healthy boat tell of its own figures: strainer, coil, heat and more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import RandomState

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.sample import quantiles
from seaflow.studies.diagnose.hypotheses import NONE, Hypotheses
from seaflow.studies.diagnose.infer import weigh
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import DIRT, Setup, clean_shares, met_by, own_shares, run

N_BOATS = 8192
JITTER = 0.02  # of a share, so that a boat drawn twice is not the same boat twice
MOVED = 0.85  # of the width of a band before, below which a reading has told something


@dataclass(frozen=True, slots=True)
class Learnt:
    """One own figure before and after: low, middle and high as a factor or an offset."""

    label: str
    before: tuple[float, ...] = measured("-")
    after: tuple[float, ...] = measured("-")

    @property
    def told(self) -> bool:
        """True if the readings narrowed it down."""
        width = self.before[2] - self.before[0]
        return width > 0 and self.after[2] - self.after[0] < MOVED * width


@dataclass(frozen=True, slots=True, eq=False)
class OwnBoat:
    """Shares of the own figures that agree with the stored readings: (inputs, boats)."""

    shares: Array
    learnt: tuple[Learnt, ...]
    n_readings: int

    def drawn(self, n_draws: int, seed: int) -> Array:
        """Return boats drawn from these, with the dirt between cleanings anew."""
        stream = RandomState(seed)
        picked = stream.randint(self.shares.shape[1], size=n_draws)
        shaken = self.shares[:, picked] + JITTER * stream.standard_normal(
            (self.shares.shape[0], n_draws)
        )
        return np.asarray(np.clip(shaken, 0.0, 1.0 - 1e-9))


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


def learn(setup: Setup, stored: Sequence[Readings], seed: int) -> OwnBoat:
    """Return the own figures of a boat after readings taken while it was healthy and clean.

    Each set of readings weighs the boats that were left by the one before.
    """
    before = shares = own_shares(setup, N_BOATS, seed)
    stream = RandomState(seed + 7)
    for readings in stored:
        hypotheses = healthy_boats(len(setup.faults), N_BOATS)
        met = met_by(setup, hypotheses, readings, stream)
        flotilla = run(setup, hypotheses, met, clean_shares(setup, shares), readings)
        weight = weigh(flotilla, replace(readings, signs=(), tried=())).weight
        steps = (np.arange(N_BOATS) + stream.random_sample()) / N_BOATS
        picked = np.minimum(np.searchsorted(np.cumsum(weight), steps), N_BOATS - 1)
        shares = shares[:, stream.permutation(picked)]
    shares = _with_dirt(setup, shares, seed)
    return OwnBoat(shares, _learnt(setup, before, shares), len(stored))


def _with_dirt(setup: Setup, shares: Array, seed: int) -> Array:
    """Put back the dirt that comes between cleanings, which no clean reading tells."""
    anew = own_shares(setup, shares.shape[1], seed + 3)
    found = np.array(shares)
    for row, item in enumerate(setup.inputs):
        if item.spread.name in DIRT:
            found[row] = anew[row]
    return found


def _learnt(setup: Setup, before: Array, after: Array) -> tuple[Learnt, ...]:
    found = []
    for row, item in enumerate(setup.inputs):
        if item.spread.name in DIRT or item.spread.shape not in ("factor", "offset"):
            continue
        then, now = (quantiles(item.spread.at(side[row])) for side in (before, after))
        found.append(Learnt(item.label, then, now))
    return tuple(found)
