"""Which inputs move the answer most, and so what to measure on board first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.sample import Sample

N_BINS = 16
FIRST = 3


@dataclass(frozen=True, slots=True)
class Dominant:
    """One input: the share of the answer's variance it explains alone, and how to measure it.

    `flow_low` and `flow_high` are the middle of the flow in its lowest and highest third;
    `enough_low` and `enough_high` how likely the pump is enough there.
    """

    label: str
    source: str | Fact
    measure: str
    explains: float = measured("-")
    flow_low: float = measured("m3/s", 0.0)
    flow_high: float = measured("m3/s", 0.0)
    enough_low: float = measured("-", 0.0)
    enough_high: float = measured("-", 0.0)

    @property
    def swing(self) -> float:
        """How far the likelihood of being enough moves with this input alone."""
        return abs(self.enough_high - self.enough_low)


def dominants(drawn: Sample, answer: Array, enough: Array) -> tuple[Dominant, ...]:
    """Return the inputs that explain most of `answer`, most first.

    The share explained is the first-order sensitivity index, estimated from the given sample by
    the variance of bin means (Plischke, Borgonovo and Smith 2013), less what bins explain by
    chance.
    """
    found = [_one(drawn, row, number, answer, enough) for number, row in enumerate(drawn.shares)]
    return tuple(sorted(found, key=lambda item: -item.explains))


def _one(drawn: Sample, row: Array, number: int, answer: Array, enough: Array) -> Dominant:
    item = drawn.inputs[number]
    flow = drawn.point.total_flow()
    low, high = row < 1.0 / 3.0, row > 2.0 / 3.0
    return Dominant(
        label=item.label,
        source=item.spread.source,
        measure=item.spread.measure,
        explains=explained_share(row, answer),
        flow_low=float(np.median(flow[low])),
        flow_high=float(np.median(flow[high])),
        enough_low=float(enough[low].mean()),
        enough_high=float(enough[high].mean()),
    )


def explained_share(row: Array, answer: Array) -> float:
    """Return the share of the variance of `answer` that the input explains alone, 0 to 1."""
    total = float(np.var(answer))
    if total <= 0.0:
        return 0.0
    bins = np.minimum((row * N_BINS).astype(int), N_BINS - 1)
    counts = np.bincount(bins, minlength=N_BINS)
    means = np.bincount(bins, weights=answer, minlength=N_BINS) / np.maximum(counts, 1)
    between = float(np.sum(counts * (means - answer.mean()) ** 2) / answer.size)
    by_chance = (N_BINS - 1) / answer.size
    return float(np.clip((between / total - by_chance) / (1.0 - by_chance), 0.0, 1.0))
