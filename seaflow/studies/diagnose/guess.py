"""Where boats that were weighed point: from them the next round is drawn.

All rounds so far point together, each boat by what she weighs among all of them (adaptive multiple
importance sampling: Cornuet, Marin, Mira and Robert 2012).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Truths
from seaflow.studies.diagnose.cabins import rows_of_cabins
from seaflow.studies.diagnose.hypotheses import NONE, OWN_STEPS, STEPS, Guess, listed, places_of
from seaflow.studies.diagnose.simulate import Flotilla, Setup

POINTED = 150.0  # boats that must carry what all of them point at
POWERS = 0.85 ** np.arange(24)  # to which their weights are taken for that, until they do
LEAN = 200.0  # boats of one first fault, below which its own figures lean on those of all


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """To which sums each boat counts, whatever it weighs.

    `places` are those of hypotheses. Of the two faults, as far as there `has` one, `severity` and
    `units` tell the fault with the step and with the unit. `group` is the first fault or none, and
    `own` tells it with the step of each own figure: (figures, boats).
    """

    setup: Setup
    places: NDArray[np.intp]
    has: Truths
    severity: NDArray[np.intp]
    units: NDArray[np.intp]
    group: NDArray[np.intp]
    own: NDArray[np.intp]

    @classmethod
    def of(cls, flotilla: Flotilla) -> Cells:
        """Return those of some boats."""
        boats, setup = flotilla.hypotheses, flotilla.setup
        n_faults, n_units = len(setup.faults), len(setup.places.units)
        which = np.stack([boats.first, boats.second])
        has = which != NONE
        steps = (boats.severity_shares * STEPS).astype(int)
        own = np.minimum((flotilla.shares[:-1] * OWN_STEPS).astype(int), OWN_STEPS - 1)
        group = np.where(boats.first == NONE, n_faults, boats.first)
        return cls(
            setup=setup,
            places=places_of(setup.faults, boats.first, boats.second),
            has=has,
            severity=(which * STEPS + steps)[has],
            units=(which * n_units + boats.units(n_units))[has],
            group=group,
            own=group * OWN_STEPS + own,
        )


def guess_from(weighed: Sequence[tuple[Flotilla, Array]]) -> Guess:
    """Return where boats of these weights point together.

    Their severities and own figures are a little smoothed.
    """
    return guess_by([(Cells.of(flotilla), weight) for flotilla, weight in weighed])


def guess_by(weighed: Sequence[tuple[Cells, Array]]) -> Guess:
    """Return the same of boats of which it is known to which sums they count."""
    setup = weighed[0][0].setup
    weight = _evened(np.concatenate([one for _, one in weighed]))
    ends = np.cumsum([one.size for _, one in weighed])
    sums = [
        _sums(cells, part)
        for (cells, _), part in zip(weighed, np.split(weight, ends[:-1]), strict=True)
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


def _sums(cells: Cells, weight: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Return what boats weigh by hypothesis, by severity, by unit, and by step of own figures.

    The last have a group for each first fault and one for none; then come their squared weights.
    """
    n_faults, n_units = len(cells.setup.faults), len(cells.setup.places.units)
    chances = np.bincount(cells.places, weight, listed(cells.setup.faults)[0].size).astype(float)
    struck = np.broadcast_to(weight, cells.has.shape)[cells.has]
    severity, units = (
        np.bincount(places, struck, n_faults * width).astype(float).reshape(n_faults, width)
        for places, width in ((cells.severity, STEPS), (cells.units, n_units))
    )
    n_groups = n_faults + 1
    counts = np.empty((n_groups, len(cells.own), OWN_STEPS))
    for row, places in enumerate(cells.own):
        found = np.bincount(places, weight, n_groups * OWN_STEPS)
        counts[:, row] = found.reshape(n_groups, OWN_STEPS)
    squares = np.bincount(cells.group, weight**2, n_groups).astype(float)
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
