"""Whether readings agree with the plan and with each other; what does not is said, not hidden."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.sentence import quantity
from seaflow.studies.diagnose.impossible import question
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import (
    LEAST_LOG,
    log_of_number,
    log_of_sign,
    predicted,
)
from seaflow.studies.diagnose.readings import Number, Readings, instruments, shown
from seaflow.studies.diagnose.written import BUCKET, plain

MET = ("sea", "volts")  # the boats are drawn to meet these two
RARE = 0.05  # how likely a reading is given all others, over how likely it is by itself
RARE_PAIR = 0.1  # and of two readings alone, below which the other one is named
LEAST_OVER = 0.3  # K over the design sea, below which nothing is said; own choice


@dataclass(frozen=True, slots=True, eq=False)
class _Item:
    words: str
    log: Array


def refuse_unseen(posterior: Posterior, readings: Readings) -> None:
    """Refuse a number that no simulated boat shows, with faults or without.

    Raises
    ------
    SeaflowError
        With a question back about the first such reading.
    """
    flotilla = posterior.flotilla
    for item in readings.numbers:
        seen = None if item.kind in MET else predicted(flotilla, item.kind, item.place)
        if seen is None or float(log_of_number(flotilla, item).max()) > LEAST_LOG:
            continue
        instrument = instruments()[item.kind]
        of = (instrument.unit, item.kind)
        place = f' at "{item.place}"' if item.place else ""
        known = seen[np.isfinite(seen)]
        why = "No boat of this plan gives such a reading while its units run."
        if known.size:
            low, high = (plain(float(end), *of) for end in (known.min(), known.max()))
            why = (
                f"Boats of this plan, healthy or with any fault of the list, read {low} to {high}."
            )
        what = f"{instrument.title}{place} of {plain(item.value, *of)} cannot be explained"
        raise question(what, why)


def contradictions(posterior: Posterior, readings: Readings) -> tuple[str, ...]:
    """Return which readings do not go with the others, in words."""
    flotilla = posterior.flotilla
    items = [
        _Item(_number_words(number), log_of_number(flotilla, number, posterior.wider))
        for number in readings.numbers
        if number.kind not in MET and predicted(flotilla, number.kind, number.place) is not None
    ]
    items += [
        _Item(f"{kind.replace('_', ' ')}: {word}", log_of_sign(flotilla, kind, word))
        for kind, word in readings.signs
    ]
    if len(items) < 2:
        return ()
    total = np.sum([item.log for item in items], axis=0)
    found: dict[frozenset[int], str] = {}
    for number, item in enumerate(items):
        rest = total - item.log
        alone = _log_mean(flotilla.log_prior, item.log)
        if _log_mean(flotilla.log_prior + rest, item.log) - alone > np.log(RARE):
            continue
        others = [k for k in range(len(items)) if k != number]
        apart = [_log_mean(flotilla.log_prior + items[k].log, item.log) - alone for k in others]
        worst = others[int(np.argmin(apart))]
        if min(apart) < np.log(RARE_PAIR):
            words = f'"{item.words}" does not go with "{items[worst].words}": look again'
            found.setdefault(frozenset((number, worst)), words)
        else:
            words = f'"{item.words}" does not go with all the other readings: look again'
            found.setdefault(frozenset((number,)), words)
    return tuple(found.values())


def _log_mean(log_weight: Array, log: Array) -> float:
    """Return the logarithm of the mean of exp(log) under weights."""
    most = float(log_weight.max())
    weight = np.exp(log_weight - most)
    top = float(log.max())
    return top + float(np.log(max(float(weight @ np.exp(log - top)), 1e-300) / weight.sum()))


def _number_words(number: Number) -> str:
    instrument = instruments()[number.kind]
    place = f" at {number.place}" if number.place else ""
    words = f"{instrument.title}{place} {shown(instrument, number.value)}"
    if number.kind == "flow" and number.value > 0.0:
        words += f", a bucket of 10 L in {BUCKET / number.value:.0f} s"
    return words


def warm_sea(posterior: Posterior, readings: Readings) -> tuple[str, ...]:
    """Return what a sea warmer than the design means, where it was read."""
    sea, design = readings.of("sea"), posterior.flotilla.setup.case.sea.warmest
    if sea is None or sea <= design + LEAST_OVER or readings.mode != "cooling":
        return ()
    return (
        f"the sea is {quantity('rise', sea - design)} warmer than the design sea of "
        f"{quantity('temperature', design)}: that alone breaks nothing, margins shrink",
    )
