"""Hostile runs of all commands by hand, with fresh seeds: python tests/proof/fuzz.py RUNS SEED

A run that fails is made small, printed and saved beside in a folder fuzz-<seed>.
"""

import itertools
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from hostile import check, runs

BATCH = 250  # runs with one seed, fewer where some were made before: the next begins anew


def batch(count, number, codes, done):
    """Run so many with a seed; return the smallest run that fails, and how.

    A run that was `done` already is passed over, and not counted again.
    """
    worst = []

    @seed(number)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )
    @given(run=runs())
    def hold(run):
        key = hash((run.words, tuple(run.files.items()), run.typed))
        if key in done:
            return
        with tempfile.TemporaryDirectory() as folder:
            try:
                codes[check(run, Path(folder))] += 1
            except Exception:
                worst[:] = [run]
                raise
        done.add(key)

    try:
        hold()
    except Exception as error:
        return worst[0], error
    return None


def save(run, number):
    """Write the files of a run that fails, and its words."""
    folder = Path(f"fuzz-{number}")
    folder.mkdir(exist_ok=True)
    for name, content in run.files.items():
        (folder / name).write_bytes(content)
    (folder / "run.txt").write_text(f"{list(run.words)!r}\n{run.typed!r}\n", encoding="utf-8")


def main(count, number):
    codes, failed, begun, done = Counter(), 0, time.process_time(), set()
    for this in itertools.count(number):
        found = batch(BATCH, this, codes, done)
        if found is not None:
            failed += 1
            run, error = found
            save(run, this)
            print(f"fuzz-{this}: {list(run.words)}\n  {error!s:.600}", flush=True)
        if (this - number) % 20 == 0:
            print(f"{codes.total()} runs, {failed} failed", flush=True)
        if codes.total() >= count:
            break
    took = time.process_time() - begun
    print(f"{codes.total()} runs from seed {number}, {took:.0f} s: {failed} batches failed")
    print("exit codes:", dict(sorted(codes.items())))
    return failed


if __name__ == "__main__":
    sys.exit(1 if main(int(sys.argv[1]), int(sys.argv[2])) else 0)
