"""Where to sample: a Latin hypercube, the same on every machine.

Each input gets one draw in every one of n equal slices of its distribution, in an order shuffled
apart from the others (McKay, Beckman and Conover 1979). Against plain draws of the same number
that cuts the error of the bands several times; docs/certainty.md shows the figures.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Array

DEFAULT_SAMPLES = 512
DEFAULT_SEED = 20


def latin_hypercube(n_inputs: int, n_samples: int, seed: int) -> Array:
    """Return shares from 0 to 1 of the shape (inputs, samples).

    RandomState is used because its streams are frozen for good (NumPy enhancement proposal 19);
    those of the newer generators may change between versions.
    """
    stream = np.random.RandomState(seed)
    rows = [
        (stream.permutation(n_samples) + stream.random_sample(n_samples)) / n_samples
        for _ in range(n_inputs)
    ]
    return np.stack(rows) if rows else np.empty((0, n_samples))


REPLICATES = 8


def replicated_hypercube(n_inputs: int, n_samples: int, seed: int) -> Array:
    """Return several whole designs one after another, so that their spread tells the error."""
    if n_samples < 2 * REPLICATES:
        return latin_hypercube(n_inputs, n_samples, seed)
    sizes = [n_samples // REPLICATES] * REPLICATES
    sizes[-1] += n_samples - sum(sizes)
    parts = [latin_hypercube(n_inputs, size, seed + number) for number, size in enumerate(sizes)]
    return np.concatenate(parts, axis=1)
