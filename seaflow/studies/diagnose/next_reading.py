"""Which test would tell most for its effort, and what each outcome would mean."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.studies.diagnose.faults import NOTHING_TITLE
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import chances_of, predicted
from seaflow.studies.diagnose.readings import Instrument, Readings, instruments, shown, signs

LEAST_TELLS = 0.02  # bit; a test that tells less is no help; own choice
LEAST_MOVED = 0.03  # of the odds of the first cause, between outcomes; own choice
THIRDS = (1.0 / 3.0, 2.0 / 3.0)
LEAST_CHANCE = 0.005  # of an outcome worth telling
SAME = (("condensing", "high_side"),)  # two readings of one thing
LOGIT = 1.702  # makes the logistic curve the normal one to within 0.01


@dataclass(frozen=True, slots=True)
class Outcome:
    """One outcome of a test: how likely, and the cause that would then lead."""

    words: str
    chance: float = measured("-")
    leads: str = ""
    then: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True)
class Test:
    """A test not done yet: what it is, what it tells, and its outcomes.

    `tells` is the information expected of it, in bits.
    """

    __test__ = False

    kind: str
    place: str
    title: str
    how: str
    effort: float = measured("-")
    tells: float = measured("-", 0.0)
    outcomes: tuple[Outcome, ...] = ()

    @property
    def helps(self) -> bool:
        """True if it can be expected to tell something, and some outcome would change the odds."""
        leads = {outcome.leads for outcome in self.outcomes}
        then = [outcome.then for outcome in self.outcomes]
        moves = len(leads) > 1 or max(then, default=0.0) - min(then, default=0.0) >= LEAST_MOVED
        return self.tells >= LEAST_TELLS and moves

    @property
    def is_hands_on(self) -> bool:
        """True if something is opened or touched for it."""
        known = instruments().get(self.kind) or signs()[self.kind]
        return known.hands_on

    @property
    def is_fitted(self) -> bool:
        """True if it takes a gauge or display that few boats have."""
        known = instruments().get(self.kind)
        return known is not None and known.fitted

    @property
    def worth(self) -> float:
        """What it tells for each minute."""
        return self.tells / self.effort


def open_tests(posterior: Posterior, readings: Readings) -> tuple[Test, ...]:
    """Return every test not done yet, the most telling for its effort first.

    What takes a gauge that few boats have fitted comes after all else.
    """
    found = [*_numbers(posterior, readings), *_signs(posterior, readings)]
    return tuple(
        sorted(found, key=lambda test: (test.is_fitted, -test.worth, test.kind, test.place))
    )


def _signs(posterior: Posterior, readings: Readings) -> Iterator[Test]:
    known = {kind for kind, _ in readings.signs}
    for kind, sign in signs().items():
        if kind in known or (kind == "basket" and not posterior.flotilla.point.loop.strainers):
            continue
        chances = chances_of(posterior.flotilla, kind)
        tells, outcomes = _judged(posterior, chances)
        yield Test(kind, "", sign.ask, "", sign.effort, tells, outcomes)


def _numbers(posterior: Posterior, readings: Readings) -> Iterator[Test]:
    known = {(item.kind, item.place) for item in readings.numbers}
    for one, other in SAME:
        known |= {(other, place) for kind, place in known if kind == one}
        known |= {(one, place) for kind, place in known if kind == other}
    for kind, instrument in instruments().items():
        if kind == "sea":
            continue
        for place in _where(posterior, instrument):
            if (kind, place) in known:
                continue
            seen = predicted(posterior.flotilla, kind, place)
            if seen is None:
                continue
            tells, outcomes = _judged(posterior, _bands(posterior, instrument, seen))
            title = instrument.title + (f' at "{place}"' if place else "")
            yield Test(kind, place, title, instrument.how, instrument.effort, tells, outcomes)


def _where(posterior: Posterior, instrument: Instrument) -> tuple[str, ...]:
    places = posterior.flotilla.setup.places
    return places.units if instrument.where == "unit or outlet" else places.at(instrument.where)


def _bands(posterior: Posterior, instrument: Instrument, seen: Array) -> dict[str, Array]:
    """Return how likely each third of the values to be expected is on each boat."""
    known = np.isfinite(seen)
    found: dict[str, Array] = {}
    if not np.all(known[posterior.weight > 0]):
        found["no reading"] = (~known).astype(float)
    values = np.where(known, seen, 0.0)
    weight = np.where(known, posterior.weight, 0.0)
    if weight.sum() <= 0:
        return found
    order = np.argsort(values)
    steps = np.cumsum(weight[order]) / weight.sum()
    low, high = (float(values[order][np.searchsorted(steps, third)]) for third in THIRDS)
    deviation = np.asarray(instrument.deviation(np.abs(values)))
    if high - low < 1e-9:
        high = low + float(np.mean(deviation))
    below, above = (_below(edge - values, deviation) for edge in (low, high))
    ends = [shown(instrument, edge) for edge in (low, high)]
    found[f"below {ends[0]}"] = np.where(known, below, 0.0)
    found[f"{ends[0]} to {ends[1]}"] = np.where(known, np.maximum(above - below, 0.0), 0.0)
    found[f"above {ends[1]}"] = np.where(known, 1.0 - above, 0.0)
    return found


def _below(room: Array, deviation: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(-LOGIT * room / deviation, -60.0, 60.0))))


def _judged(posterior: Posterior, chances: dict[str, Array]) -> tuple[float, tuple[Outcome, ...]]:
    """Return what a test tells [bit], and its outcomes."""
    labels = posterior.flotilla.hypotheses
    n_causes = len(posterior.flotilla.setup.faults) + 1
    titles = [fault.title for fault in posterior.flotilla.setup.faults] + [NOTHING_TITLE]
    table, outcomes = [], []
    for words, chance in chances.items():
        weight = posterior.weight * chance
        total = float(weight.sum())
        # the last place is for boats without a fault, where NONE = -1 points
        first = np.bincount(labels.first % n_causes, weights=weight, minlength=n_causes)
        second = np.where(labels.second >= 0, labels.second, n_causes - 1)
        pairs = np.where(labels.second >= 0, weight, 0.0)
        other = np.bincount(second, weights=pairs, minlength=n_causes)
        halved = np.bincount(labels.first % n_causes, weights=pairs, minlength=n_causes)
        table.append(first - 0.5 * halved + 0.5 * other)
        if total >= LEAST_CHANCE:
            present = (first + other) / total
            best = int(np.argmax(present))
            outcomes.append(Outcome(words, total, titles[best], float(present[best])))
    return _information(np.asarray(table)), tuple(outcomes)


def _information(table: Array) -> float:
    """Return the mutual information of outcomes and causes [bit]."""
    table = table / max(float(table.sum()), 1e-300)
    apart = table.sum(axis=0, keepdims=True) * table.sum(axis=1, keepdims=True)
    some = (table > 0) & (apart > 0)
    return float((table[some] * np.log2(table[some] / apart[some])).sum())
