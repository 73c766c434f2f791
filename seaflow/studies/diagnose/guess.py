"""Where boats that were weighed point: from them the next round is drawn.

All rounds so far point together, each boat by what she weighs among all of them (adaptive multiple
importance sampling: Cornuet, Marin, Mira and Robert 2012).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seaflow.base.arrays import Array
from seaflow.studies.diagnose.cabins import rows_of_cabins
from seaflow.studies.diagnose.hypotheses import NONE, OWN_STEPS, STEPS, Guess, listed, places_of
from seaflow.studies.diagnose.simulate import Flotilla

POINTED = 150.0  # boats that must carry what all of them point at
POWERS = 0.85 ** np.arange(24)  # to which their weights are taken for that, until they do
LEAN = 200.0  # boats of one first fault, below which its own figures lean on those of all


def guess_from(weighed: Sequence[tuple[Flotilla, Array]]) -> Guess:
    """Return where boats of these weights point together.

    Their severities and own figures are a little smoothed.
    """
    setup = weighed[0][0].setup
    weight = _evened(np.concatenate([one for _, one in weighed]))
    ends = np.cumsum([one.size for _, one in weighed])
    sums = [
        _sums(flotilla, part)
        for (flotilla, _), part in zip(weighed, np.split(weight, ends[:-1]), strict=True)
    ]
    chances, severity, units, counts, squares = (sum(of) for of in zip(*sums, strict=True))
    units = (units + 1e-9) / (units + 1e-9).sum(axis=1, keepdims=True)
    own = _own_guess(counts, squares)
    for row, _ in rows_of_cabins(setup):
        own[:, row] = 1.0 / OWN_STEPS  # drawn anew on each boat
    return Guess(chances, _smoothed(severity + 1e-9), units, own)


def _evened(weight: Array) -> Array:
    """Return weights taken to the highest power at which enough boats carry what they point at."""
    log = np.log(np.maximum(weight, 1e-300) / weight.max())
    for power in POWERS:
        found = np.where(weight > 0.0, np.exp(power * log), 0.0)
        if found.sum() ** 2 >= POINTED * float((found**2).sum()):
            break
    return np.asarray(found / found.sum())


def _sums(flotilla: Flotilla, weight: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Return what boats weigh by hypothesis, by severity, by unit, and by step of own figures.

    The last have a group for each first fault and one for none; then come their squared weights.
    """
    boats, setup = flotilla.hypotheses, flotilla.setup
    n_faults, n_units = len(setup.faults), len(setup.places.units)
    places = places_of(setup.faults, boats.first, boats.second)
    chances = np.bincount(places, weight, listed(setup.faults)[0].size).astype(float)
    severity, units = np.zeros((n_faults, STEPS)), np.zeros((n_faults, n_units))
    steps = (boats.severity_shares * STEPS).astype(int)
    for row, which in enumerate((boats.first, boats.second)):
        has = which != NONE
        for sums, step in ((severity, steps[row]), (units, boats.units(n_units)[row])):
            np.add.at(sums, (which[has], step[has]), weight[has])
    group = np.where(boats.first == NONE, n_faults, boats.first)
    shares = flotilla.shares[:-1]
    counts = np.empty((n_faults + 1, len(shares), OWN_STEPS))
    for row, share in enumerate(shares):
        step = np.minimum((share * OWN_STEPS).astype(int), OWN_STEPS - 1)
        found = np.bincount(group * OWN_STEPS + step, weight, (n_faults + 1) * OWN_STEPS)
        counts[:, row] = found.reshape(n_faults + 1, OWN_STEPS)
    squares = np.bincount(group, weight**2, n_faults + 1).astype(float)
    return chances, severity, units, counts, squares


def _own_guess(counts: Array, squares: Array) -> Array:
    """Return where the own figures lie for each first fault; those of few boats lean on all."""
    sums = counts[:, 0].sum(axis=-1)
    boats = sums**2 / np.maximum(squares, 1e-300)
    own = counts / np.maximum(sums, 1e-300)[:, np.newaxis, np.newaxis]
    trust = (boats / (boats + LEAN))[:, np.newaxis, np.newaxis]
    return _smoothed(trust * own + (1.0 - trust) * counts.sum(axis=0))


def _smoothed(rows: Array) -> Array:
    padded = np.concatenate([rows[..., :1], rows, rows[..., -1:]], axis=-1)
    found = 0.25 * padded[..., :-2] + 0.5 * padded[..., 1:-1] + 0.25 * padded[..., 2:]
    return np.asarray(found / found.sum(axis=-1, keepdims=True))
