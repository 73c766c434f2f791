"""Processes that store readings in one file, and are killed at random moments.

By hand: python tests/helpers/storing.py FOLDER KILLS SEED
"""

import random
import subprocess
import sys
import time
from pathlib import Path

from seaflow.cli.stored import rows_in, store

LONGEST = 0.15  # s that a process lives after its first row


def store_many(file, name, count):
    """Store rows, and tell each once it is stored."""
    for number in range(count):
        store(file, {"date": f"{name}-{number}", "loop": "x" * 400})
        print(f"{name}-{number}", flush=True)


def storing(file, name, count):
    """A process that does so."""
    words = [sys.executable, __file__, str(file), name, str(count)]
    return subprocess.Popen(words, stdout=subprocess.PIPE, text=True)


def killed(folder, kills, seed):
    """Kill a process at each of so many moments; return how many rows were stored.

    Raises
    ------
    AssertionError
        If a row that was told is lost, or the file cannot be read.
    """
    rng, file, told = random.Random(seed), Path(folder) / "boat.readings.toml", []
    for kill in range(kills):
        with storing(file, f"p{kill}", 10_000) as process:
            told.append(process.stdout.readline().strip())
            time.sleep(rng.uniform(0.0, LONGEST))
            process.kill()
            told += process.stdout.read().split()
        dates = [row["date"] for row in rows_in(str(file))]
        assert len(dates) == len(set(dates))
        assert set(told) <= set(dates), sorted(set(told) - set(dates))
        if len(dates) > 200:  # start anew before there are more rows than are read
            file.unlink()
            told.clear()
    return len(told)


if __name__ == "__main__":
    if sys.argv[3].isdigit() and Path(sys.argv[1]).is_dir():
        killed(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
        print(f"killed {sys.argv[2]} times with seed {sys.argv[3]}: nothing lost")
    else:
        store_many(sys.argv[1], sys.argv[2], int(sys.argv[3]))
