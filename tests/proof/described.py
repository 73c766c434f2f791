"""Prove that a case and stored days sharpen odds: python tests/proof/described.py BOATS SEED.

The boats are those of tests/helpers/other_hand.py. docs/diagnosis.md shows what it printed.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [
    str(Path(__file__).resolve().parents[1] / "helpers"),
    str(Path(__file__).parents[2]),
]

from described import STEPS, doubts  # noqa: E402 - found by the line above
from diagnosis_proof import BUCKET, GAUGE  # noqa: E402


def main(n_boats: int, seed: int) -> None:
    """Print how open the causes are and how likely the truth, step by step."""
    for which in (BUCKET, GAUGE):
        found = doubts(n_boats, seed, which, (4096, 5))
        print(f"{n_boats} boats, seed {seed}, {which}")
        for step, rows in zip(STEPS, found, strict=True):
            print(f"  {step:16}{rows[:, 0].mean():5.2f} bit open, truth {rows[:, 1].mean():.0%}")
        for number, step in enumerate(STEPS[1:], 1):
            apart = found[number] - found[number - 1]
            error = apart.std(axis=0) / n_boats**0.5
            print(f"    with {step}: {apart.mean(axis=0).round(3)} +/- {error.round(3)}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
