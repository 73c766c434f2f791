"""Sample a loop: every uncertain input at once, through the one forward model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.design.certainty.inputs import Input, inputs_of


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """The sampled operating points, with the share drawn of each input: (inputs, samples)."""

    inputs: tuple[Input, ...]
    shares: Array
    point: OperatingPoint


def sample(case: Case, built: Built, now: Conditions, n_samples: int, seed: int) -> Sample:
    """Return the loop run under `n_samples` draws of all its uncertain inputs.

    `now` gives what is not drawn. The same seed gives the same draws for every pump in a loop, so
    that pumps are compared on the same boats.
    """
    inputs = inputs_of(case, built)
    shares = sobol_points(len(inputs), n_samples, seed)
    loop = built.loop
    for item, row in zip(inputs, shares, strict=True):
        loop, now = item.apply(loop, now, item.spread.at(row))
    return Sample(inputs, shares, operate(loop, now))


def quantiles(values: Array, levels: tuple[float, ...] = (0.05, 0.5, 0.95)) -> tuple[float, ...]:
    """Return quantiles of the finite values; nan if there are none."""
    known = values[np.isfinite(values)]
    if not known.size:
        return tuple(float("nan") for _ in levels)
    return tuple(float(item) for item in np.quantile(known, levels))
