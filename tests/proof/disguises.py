"""Many random boats in disguise, by hand: python tests/proof/disguises.py BOATS SEED

What differs is printed, and the boat saved beside as disguise-<number>.toml.
"""

import random
import sys
import tempfile
from functools import partial
from pathlib import Path

from hypothesis import given, seed

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from boats import boats, drawn_only
from disguise import same_in_two_pieces, same_told_otherwise, written


def main(count, number):
    rng, found, tried = random.Random(number), 0, 0

    @seed(number)
    @drawn_only(count)
    @given(raw=boats() | boats(with_rooms=True))
    def same(raw):
        nonlocal found, tried
        tried += 1
        for disguise in (same_told_otherwise, partial(same_in_two_pieces, long=True)):
            texts = list(disguise(folder, raw, rng))
            if texts:
                found += 1
                Path(f"disguise-{found}.toml").write_text(written(raw), encoding="utf-8")
                print(f"disguise-{found}.toml", *texts[:5], sep="\n  ", flush=True)

    with tempfile.TemporaryDirectory() as folder:
        same()
    print(f"{tried} boats with seed {number}: {found} answers differ")
    return found


if __name__ == "__main__":
    sys.exit(1 if main(int(sys.argv[1]), int(sys.argv[2])) else 0)
