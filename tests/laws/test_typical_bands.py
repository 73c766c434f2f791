"""Bands of typical boats: they hold the full answers, and narrow with each fact that comes in.

The boats are drawn by another hand than the tables of typical boats (tests/helpers/own_boats.py).
`tests/proof/typical.py` does the same with 200 boats.
"""

import numpy as np
import pytest
from typical_proof import FACTS, holds, of_own_boat, of_shipped_boat, widths

N_SAMPLES, MORE_SAMPLES = 128, 256
ROUNDING = 0.006  # of the flow: standard error of a mean width of a few boats on so few samples


def test_full_answers_lie_in_their_nine_in_ten_bands(tmp_path):
    """Of twenty as many as of a fair nine in ten come with a chance of 99 in 100."""
    found = [holds(*of_own_boat(seed, tmp_path), N_SAMPLES) for seed in range(12)]
    found += [holds(*of_shipped_boat(seed), N_SAMPLES) for seed in range(8)]
    assert sum(found) >= 15


def test_bands_narrow_with_each_fact_and_end_at_that_of_the_full_case():
    mean = np.mean([widths(seed, MORE_SAMPLES) for seed in (0, 2, 3)], axis=0)
    assert len(mean) == len(FACTS) + 2
    assert np.all(np.diff(mean) <= ROUNDING), mean
    assert mean[-1] == pytest.approx(mean[-2], rel=1e-6)
    assert mean[-1] < 0.6 * mean[0]
    bores = [name for name, _, _ in FACTS].index("bores of hoses")
    assert mean[bores + 1] < 0.9 * mean[bores]  # a fact that tells most narrows by more than chance
