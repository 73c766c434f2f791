"""Which reading would tell most for its effort, and what each reply to it would mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution, named_cautions
from seaflow.studies.design.certainty.sample import weighted_quantiles
from seaflow.studies.diagnose.faults import may_be_touched, nothing
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import chances_of, predicted
from seaflow.studies.diagnose.readings import (
    Instrument,
    Readings,
    instruments,
    shown,
    signs,
)
from seaflow.studies.diagnose.usual import WET

LEAST_TELLS = 0.02  # bit; a reading that tells less is no help; own choice
LEAST_MOVED = 0.03  # of the odds of the first cause, between replies; own choice
THIRDS = (1.0 / 3.0, 2.0 / 3.0)
LEAST_CHANCE = 0.005  # of a reply worth telling
SAME = (("condensing", "high_side"),)  # two readings of one thing
NOT_BY_HAND = ("watts",)  # of units on a bank above 60 V DC
OF_THE_BOAT = ("volts", "amps", "watts")  # what is usual of them differs from boat to boat
NONE_HELPS = fact("diagnose.no_reading_helps")
FIRST = ("sea", "discharge", "flow")
STREAM = "stream"
LOGIT = 1.702  # makes the logistic curve the normal one to within 0.01


@dataclass(frozen=True, slots=True)
class Reply:
    """One thing that may be read: how likely, and the cause that would then lead."""

    says: Fact
    chance: float = measured("-")
    leads: str = ""
    then: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading not taken yet: of what, where, how, and what it may say.

    `tells` is the information expected of it, in bits; `effort` is in minutes; there are `cautions`
    where something is opened or touched for it. `is_fitted` is true where it takes a gauge, display
    or meter that few boats have, or somebody qualified.
    """

    kind: str
    place: str
    title: str
    how: str
    effort: float = measured("-")
    tells: float = measured("-", 0.0)
    replies: tuple[Reply, ...] = ()
    cautions: tuple[Caution, ...] = ()
    is_fitted: bool = False

    @property
    def helps(self) -> bool:
        """True if it can be expected to tell something, and some reply would change the odds."""
        leads = {reply.leads for reply in self.replies}
        then = [reply.then for reply in self.replies]
        moves = len(leads) > 1 or max(then, default=0.0) - min(then, default=0.0) >= LEAST_MOVED
        return self.tells >= LEAST_TELLS and moves

    @property
    def running(self) -> bool:
        """True if it can be read only while pump or unit runs."""
        return (instruments().get(self.kind) or signs()[self.kind]).running

    @property
    def worth(self) -> float:
        """What it tells for each minute."""
        return self.tells / self.effort


def first_readings(readings: Readings) -> tuple[NextReading, ...]:
    """Return what is read before anything else, as far as it was not."""
    return tuple(
        NextReading(kind, "", one.title, one.how, one.effort)
        for kind, one in instruments().items()
        if kind in FIRST and readings.of(kind) is None
    )


def open_readings(posterior: Posterior, readings: Readings) -> tuple[NextReading, ...]:
    """Return every reading not taken yet, the most telling for its effort first.

    The stream comes before all else while nothing was told of the water, and what takes a gauge
    that few boats have fitted, or a qualified person, after it. None is asked for while salt water
    comes in: that is stopped first.
    """
    if WET in readings.signs:
        return ()
    found = [*_numbers(posterior, readings), *_signs(posterior, readings)]
    dry = not readings.is_empty and not _water_is_told(readings)

    def place(one: NextReading) -> tuple[bool, bool, float, str, str]:
        first = dry and one.kind == STREAM and one.helps
        return not first, one.is_fitted, -one.worth, one.kind, one.place

    return tuple(sorted(found, key=place))


def _water_is_told(readings: Readings) -> bool:
    signs_told = any(kind == STREAM for kind, _ in readings.signs)
    return signs_told or bool(readings.streams) or readings.of("flow") is not None


def _every_flow_is_read(posterior: Posterior, readings: Readings) -> bool:
    """Tell whether a flow was read at every outlet, from which the stream follows."""
    read = {item.place for item in readings.numbers if item.kind == "flow"}
    outlets = posterior.flotilla.setup.places.outlets
    return bool(outlets) and read >= set(outlets)


def _signs(posterior: Posterior, readings: Readings) -> Iterator[NextReading]:
    known = {kind for kind, _ in readings.signs}
    if readings.streams or _every_flow_is_read(posterior, readings):
        known.add(STREAM)
    for kind, sign in signs().items():
        if kind in known or (kind == "basket" and not posterior.flotilla.point.loop.strainers):
            continue
        if sign.after and sign.after not in known and not readings.tried:
            continue
        chances = chances_of(posterior.flotilla, kind)
        words = [(fact("diagnose.word", word=word), chance) for word, chance in chances.items()]
        tells, replies = _judged(posterior, words)
        cautions = named_cautions(sign.cautions)
        heats = posterior.flotilla.boats.now.mode == "heating"
        yield NextReading(kind, "", sign.asked(heats), "", sign.effort, tells, replies, cautions)


def _numbers(posterior: Posterior, readings: Readings) -> Iterator[NextReading]:
    known = {(item.kind, item.place) for item in readings.numbers}
    for one, other in SAME:
        known |= {(other, place) for kind, place in known if kind == one}
        known |= {(one, place) for kind, place in known if kind == other}
    live = not may_be_touched(posterior.flotilla.setup.case)
    shut = NOT_BY_HAND if posterior.flotilla.setup.case.high_voltage else ()
    for kind, instrument in instruments().items():
        if kind == "sea" or kind in shut:
            continue
        for place in posterior.flotilla.setup.places.at(instrument.where[:1]):
            if (kind, place) in known:
                continue
            seen = predicted(posterior.flotilla, kind, place)
            if seen is None:
                continue
            tells, replies = _judged(posterior, _bands(posterior, instrument, seen))
            title, effort = instrument.title, instrument.effort
            how = instrument.on_mains if live and instrument.on_mains else instrument.how
            cautions = named_cautions(instrument.cautions)
            last = instrument.fitted or how != instrument.how
            yield NextReading(kind, place, title, how, effort, tells, replies, cautions, last)


def _bands(posterior: Posterior, instrument: Instrument, seen: Array) -> list[tuple[Fact, Array]]:
    """Return how likely each third of the values to be expected is on each boat."""
    known = np.isfinite(seen)
    found: list[tuple[Fact, Array]] = []
    if not np.all(known[posterior.weight > 0]):
        found.append((fact("diagnose.no_reading"), (~known).astype(float)))
    values = np.where(known, seen, 0.0)
    weight = np.where(known, posterior.weight, 0.0)
    if weight.sum() <= 0:
        return found
    low, high = weighted_quantiles(values, weight, THIRDS)
    deviation = np.asarray(instrument.deviation(np.abs(values)))
    if high - low < 1e-9:
        high = low + float(np.mean(deviation))
    below, above = (_below(edge - values, deviation) for edge in (low, high))
    first, last = (shown(instrument.kind, edge) for edge in (low, high))
    between = fact("diagnose.between", low=first, high=last)
    found.append((fact("diagnose.below", edge=first), np.where(known, below, 0.0)))
    found.append((between, np.where(known, np.maximum(above - below, 0.0), 0.0)))
    found.append((fact("diagnose.above", edge=last), np.where(known, 1.0 - above, 0.0)))
    return found


def _below(room: Array, deviation: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(-LOGIT * room / deviation, -60.0, 60.0))))


def _judged(
    posterior: Posterior, chances: Sequence[tuple[Fact, Array]]
) -> tuple[float, tuple[Reply, ...]]:
    """Return what a reading tells [bit], and the replies to it."""
    titles = [fault.title for fault in posterior.flotilla.setup.faults] + [nothing().title]
    table, replies = [], []
    for says, chance in chances:
        weight = posterior.weight * chance
        total = float(weight.sum())
        shared, present = by_cause(posterior, weight)
        table.append(shared)
        if total >= LEAST_CHANCE:
            best = int(np.argmax(present))
            replies.append(Reply(says, total, titles[best], float(present[best] / total)))
    return information(np.asarray(table)), tuple(replies)


def by_cause(posterior: Posterior, weight: Array) -> tuple[Array, Array]:
    """Return weights by cause, the last for none: shared between two faults, and whole for each."""
    labels = posterior.flotilla.hypotheses
    n_causes = len(posterior.flotilla.setup.faults) + 1
    # the last place is for boats without a fault, where NONE = -1 points
    first = np.bincount(labels.first % n_causes, weights=weight, minlength=n_causes)
    second = np.where(labels.second >= 0, labels.second, n_causes - 1)
    pairs = np.where(labels.second >= 0, weight, 0.0)
    other = np.bincount(second, weights=pairs, minlength=n_causes)
    halved = np.bincount(labels.first % n_causes, weights=pairs, minlength=n_causes)
    return np.asarray(first - 0.5 * halved + 0.5 * other), np.asarray(first + other)


def information(table: Array) -> float:
    """Return the mutual information of replies and causes [bit]."""
    table = table / max(float(table.sum()), 1e-300)
    apart = table.sum(axis=0, keepdims=True) * table.sum(axis=1, keepdims=True)
    some = (table > 0) & (apart > 0)
    return float((table[some] * np.log2(table[some] / apart[some])).sum())


def usual_reading(posterior: Posterior, wanted: NextReading) -> float | None:
    """Return what a healthy boat of this plan reads, where that differs from boat to boat."""
    if wanted.kind not in OF_THE_BOAT:
        return None
    plain = posterior.flotilla.as_they_come
    found = predicted(plain, wanted.kind, wanted.place)
    if found is None or not np.isfinite(found).any():
        return None
    known = np.isfinite(found)
    healthy = found[known & plain.hypotheses.healthy]
    return float(np.median(healthy if healthy.size else found[known]))
