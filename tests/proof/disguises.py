"""Many random boats in disguise, by hand: python tests/proof/disguises.py BOATS SEED [COMMANDS]

Every other boat is half known; a hose in two pieces is then one of which enough is sure, for each
half of a typical hose would be drawn by itself. COMMANDS is how many of the questions each boat is
asked, drawn at random; all if left out. What differs is printed, and the boat saved beside as
disguise-<number>.toml.
"""

import random
import sys
import tempfile
from pathlib import Path

from hypothesis import given, seed

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from boats import boats, drawn_only
from disguise import (
    COMMANDS,
    half_known,
    in_two_pieces,
    row_to_split,
    same_told_otherwise,
    written,
)

TOLD = 10  # boats after which it is told how far the work is


def disguises(raw, rng, folder, asked):
    """What differs on one boat: told otherwise, and with a hose in two."""
    yield from same_told_otherwise(folder, raw, rng, asked)
    row = row_to_split(raw, rng)
    if row is not None:
        kept = [name for name in asked if name != "place"]
        yield from in_two_pieces(folder, raw, row, kept)


def main(count, number, most):
    rng, found, tried = random.Random(number), 0, 0

    @seed(number)
    @drawn_only(count)
    @given(raw=boats() | boats(with_rooms=True))
    def same(raw):
        nonlocal found, tried
        tried += 1
        raw = raw if tried % 2 else half_known(raw, rng)
        texts = list(disguises(raw, rng, folder, rng.sample(list(COMMANDS), most)))
        if texts:
            found += 1
            Path(f"disguise-{found}.toml").write_text(written(raw), encoding="utf-8")
            print(f"disguise-{found}.toml", *texts[:5], sep="\n  ", flush=True)
        if tried % TOLD == 0:
            print(f"{tried} boats so far, {found} differ", flush=True)

    with tempfile.TemporaryDirectory() as folder:
        same()
    print(f"{tried} boats with seed {number}, {most} questions each: {found} differ")
    return found


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    sys.exit(1 if main(*numbers, *(len(COMMANDS),)[: 3 - len(numbers)]) else 0)
