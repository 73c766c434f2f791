"""Improve against brute force, by hand: python tests/proof/improve.py BOATS SEED [FIRST]

Every single change and every two of different things, on random boats after the FIRST; without
BOATS on those shipped. What differs is printed.
"""

import sys
import tempfile
import time
import tomllib
from pathlib import Path

from hypothesis import given, seed

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from boats import boats, drawn_only
from brute_force import Yard, complaints
from sizing import BAD, CATAMARAN, KETCH, MOTOR, SLOOP, text_of

from seaflow.base.problems import SeaflowError
from seaflow.studies.improve.study import improve

DAYS = (64, 20)
MOST = 200  # boats that are drawn, whichever of them are looked at


def differs(folder, raw):
    """What brute force finds against the answers about one boat, loop by loop."""
    for number, answer in enumerate(improve(Yard(folder, raw, 0, DAYS).case, sampling=DAYS).loops):
        yield from complaints(Yard(folder, raw, number, DAYS), answer)


def main(count, number, first=0):
    tried, found = 0, 0

    def look(raw, name):
        nonlocal tried, found
        started = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            try:
                texts = list(differs(Path(folder), raw))
            except SeaflowError:
                print(f"{name} is refused", flush=True)  # by the reader, or for its supply
                return
        tried += 1
        found += bool(texts)
        took = f"({time.process_time() - started:.0f} s)"
        print(f"{name} {took}", *texts, sep="\n  ", flush=True)

    @seed(number)
    @drawn_only(MOST)
    @given(raw=boats())
    def random_boats(raw):
        nonlocal drawn
        drawn += 1
        if first < drawn <= first + count:
            look(raw, f"boat {drawn}")

    drawn = 0
    if count:
        random_boats()
    else:
        for name in (KETCH, MOTOR, CATAMARAN, SLOOP, BAD):
            look(tomllib.loads(text_of(name)), name)
    print(f"{tried} boats, seed {number}: {found} with differences")
    return found


if __name__ == "__main__":
    words = [int(word) for word in sys.argv[1:]] or [0, 20]
    sys.exit(1 if main(*words) else 0)
