"""Do the bands of typical boats hold the full answers, and narrow as facts come in?

By hand: `python tests/proof/typical.py 100` draws as many boats of our own hand and as many shipped
ones varied, and prints what docs/tests.md tells. With a first seed behind it, other boats.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from typical_proof import FACTS, holds, of_own_boat, of_shipped_boat, widths

N_SAMPLES = 256
LEAST, MOST = 0.85, 0.98  # of full answers in their bands

if __name__ == "__main__":
    many, first = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0
    seeds = range(first, first + many)
    with tempfile.TemporaryDirectory() as folder:
        own = [holds(*of_own_boat(seed, folder), N_SAMPLES) for seed in seeds]
    shipped = [holds(*of_shipped_boat(seed), N_SAMPLES) for seed in seeds]
    inside = sum(own) + sum(shipped)
    print(f"full answers in their bands: {inside} of {2 * many}")
    print(f"  boats of our own hand {sum(own)}, shipped ones varied {sum(shipped)}, of {many} each")
    mean = np.mean([widths(seed, N_SAMPLES) for seed in seeds[:24]], axis=0)
    names = ("nothing", *(name for name, _, _ in FACTS), "the full case")
    for name, width in zip(names, mean, strict=True):
        print(f"  {width:6.1%} of the flow  known: {name}")
    narrows = bool(np.all(np.diff(mean) <= 0.002))
    print("each fact narrows" if narrows else "NOT every fact narrows")
    sys.exit(0 if narrows and LEAST <= inside / (2 * many) <= MOST else 1)
