"""What readings taken on a healthy boat tell of its own figures: strainer, coil, heat and more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import RandomState

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.sample import quantiles
from seaflow.studies.diagnose.doubts import DIRT, TODAY
from seaflow.studies.diagnose.hypotheses import healthy_boats
from seaflow.studies.diagnose.infer import Posterior, weigh
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import Setup, clean_shares, met_by, own_shares, run
from seaflow.studies.diagnose.verdict import NORMAL, Verdict, verdict_of

N_BOATS = 8192
N_HEALTHY = 2048  # by which stored readings are called those of a healthy boat
JITTER = 0.02  # of a share, by which boats that agree are shaken
COILS = ("coil_given", "coil_generic")
APART = 0.03  # from one, beyond which a factor is another than the sheet's
MOVED = 0.85  # of the width of a band before, below which a reading has told something


@dataclass(frozen=True, slots=True)
class Learnt:
    """One own figure before and after: low, middle and high as a factor or an offset.

    `name` is that of its spread.
    """

    label: str
    before: tuple[float, ...] = measured("-")
    after: tuple[float, ...] = measured("-")
    name: str = ""
    is_factor: bool = False

    @property
    def told(self) -> bool:
        """True if the readings narrowed it down, or say that it is another."""
        width = self.before[2] - self.before[0]
        narrowed = self.after[2] - self.after[0] < MOVED * width
        return width > 0 and (narrowed or self.apart)

    @property
    def apart(self) -> bool:
        """True of a factor that lies beyond one on nine boats in ten that agree, or below it."""
        clear = self.after[0] > 1.0 + APART or self.after[2] < 1.0 - APART
        return self.is_factor and clear


@dataclass(frozen=True, slots=True, eq=False)
class OwnBoat:
    """Shares of the own figures that agree with the stored readings: (inputs, boats).

    `by_gauge` is true where one of the readings was of a gauge after the pump, which tells a coil
    from a pump.
    """

    shares: Array
    learnt: tuple[Learnt, ...]
    n_readings: int
    by_gauge: bool = True

    def drawn(self, n_draws: int, seed: int) -> Array:
        """Return boats drawn from these, with the dirt between cleanings anew."""
        stream = RandomState(seed)
        picked = stream.randint(self.shares.shape[1], size=n_draws)
        return _shaken(self.shares[:, picked], stream)


def coils_apart(own: OwnBoat) -> Iterator[Fact]:
    """Yield of each coil that takes more or less than its sheet says by how much."""
    for item in own.learnt:
        if item.name in COILS and item.apart:
            low, times, high = item.after
            kind = "design.coil_takes_more" if times > 1.0 else "design.coil_takes_less"
            yield fact(kind, label=item.label, times=times, low=low, high=high)


@dataclass(frozen=True, slots=True)
class StoredDay:
    """Readings stored on a date, and the verdict on them if nothing were wrong with the boat."""

    date: str
    readings: Readings
    verdict: Verdict

    @property
    def is_healthy(self) -> bool:
        """True of readings that tell of the healthy boat: what is not known is not healthy."""
        return self.verdict.word == NORMAL


def stored_day(setup: Setup, date: str, readings: Readings, seed: int) -> StoredDay:
    """Return stored readings with the verdict of healthy boats alone on them."""
    hypotheses = healthy_boats(len(setup.faults), N_HEALTHY)
    met = met_by(setup, hypotheses, readings, RandomState(seed + 11))
    flotilla = run(setup, hypotheses, met, own_shares(setup, N_HEALTHY, seed), readings)
    likely = np.exp(flotilla.log_prior)
    posterior = Posterior(flotilla, likely / likely.sum(), float(N_HEALTHY), 1.0)
    return StoredDay(date, readings, verdict_of(posterior, readings))


def learn(setup: Setup, stored: Sequence[Readings], seed: int) -> OwnBoat:
    """Return the own figures of a boat after readings taken while it was healthy and clean.

    Each set of readings weighs the boats that were left by the one before, a little shaken; cabin
    and fan are those of another day each time.
    """
    before = shares = own_shares(setup, N_BOATS, seed)
    stream = RandomState(seed + 7)
    for readings in stored:
        shares = _anew(setup, shares, TODAY, stream)
        hypotheses = healthy_boats(len(setup.faults), N_BOATS)
        met = met_by(setup, hypotheses, readings, stream)
        flotilla = run(setup, hypotheses, met, clean_shares(setup, shares), readings)
        weight = weigh(flotilla, replace(readings, signs=(), tried=())).weight
        steps = (np.arange(N_BOATS) + stream.random_sample()) / N_BOATS
        picked = np.minimum(np.searchsorted(np.cumsum(weight), steps), N_BOATS - 1)
        shares = _shaken(shares[:, stream.permutation(picked)], stream)
    shares = _anew(setup, shares, (*DIRT, *TODAY), stream)
    by_gauge = any(readings.of("delivery") is not None for readings in stored)
    return OwnBoat(shares, _learnt(setup, before, shares), len(stored), by_gauge)


def _shaken(shares: Array, stream: RandomState) -> Array:
    """Return shares moved a little, so that a boat drawn twice is not the same boat twice."""
    moved = np.abs(shares + JITTER * stream.standard_normal(shares.shape))
    return np.asarray(np.clip(np.where(moved > 1.0, 2.0 - moved, moved), 0.0, 1.0 - 1e-9))


def _anew(setup: Setup, shares: Array, names: Sequence[str], stream: RandomState) -> Array:
    """Return shares of which those of these spreads are drawn again: dirt, or what a day brings."""
    found = np.array(shares)
    for row, item in enumerate(setup.inputs):
        if item.spread.name in names:
            found[row] = stream.random_sample(shares.shape[1])
    return found


def _learnt(setup: Setup, before: Array, after: Array) -> tuple[Learnt, ...]:
    found = []
    for row, item in enumerate(setup.inputs):
        varies = item.spread.name in (*DIRT, *TODAY)
        if varies or item.spread.shape not in ("factor", "offset"):
            continue
        then, now = (quantiles(item.spread.at(side[row])) for side in (before, after))
        is_factor = item.spread.shape == "factor"
        found.append(Learnt(item.label, then, now, item.spread.name, is_factor))
    return tuple(found)
