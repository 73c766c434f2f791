"""Processes that store readings in one file, and are killed at random moments.

By hand: python tests/helpers/storing.py FOLDER KILLS SEED
"""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from seaflow.cli.stored import rows_in, store

LONGEST = 0.15  # s that a process lives after its first row


def store_many(file, name, count, told=sys.stdout):
    """Store rows, and tell each once it is stored."""
    for number in range(count):
        store(file, {"date": f"{name}-{number}", "loop": "x" * 400})
        print(f"{name}-{number}", file=told, flush=True)


def storing(file, name, count):
    """A process that does so."""
    words = [sys.executable, __file__, str(file), name, str(count)]
    return subprocess.Popen(words, stdout=subprocess.PIPE, text=True)


def killed(folder, kills, seed):
    """Kill a process at each of so many moments; return how many rows were stored.

    A process is a fork of this one, which has no threads.

    Raises
    ------
    AssertionError
        If a row that was told is lost, or the file cannot be read.
    """
    rng, file, told, stored = random.Random(seed), Path(folder) / "boat.readings.toml", [], 0
    for kill in range(kills):
        told += _killed(str(file), f"p{kill}", rng.uniform(0.0, LONGEST))
        dates = [row["date"] for row in rows_in(str(file))]
        assert len(dates) == len(set(dates))
        assert set(told) <= set(dates), sorted(set(told) - set(dates))
        if len(dates) > 200:  # start anew before there are more rows than are read
            stored += len(told)
            file.unlink()
            told.clear()
    return stored + len(told)


def _killed(file, name, seconds):
    """What a process tells that is killed so long after it has stored its first row."""
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(out)
            with os.fdopen(into, "w") as told:
                store_many(file, name, 10_000, told)
        finally:
            os._exit(1)
    os.close(into)
    with os.fdopen(out) as told:
        first = told.readline()
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
        rest = told.read()
    os.waitpid(child, 0)
    assert first, "nothing was stored"
    return [first.strip(), *rest.split()]


if __name__ == "__main__":
    if sys.argv[3].isdigit() and Path(sys.argv[1]).is_dir():
        stored = killed(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
        print(f"killed {sys.argv[2]} times with seed {sys.argv[3]}: of {stored} rows nothing lost")
    else:
        store_many(sys.argv[1], sys.argv[2], int(sys.argv[3]))
