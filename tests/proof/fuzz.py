"""Hostile runs of all commands by hand, with fresh seeds.

    python tests/proof/fuzz.py RUNS SEED FILE     # batches, each told on a line of FILE
    python tests/proof/fuzz.py report FILE...     # what they come to

A batch has a seed of its own, the next one has the next. A batch that FILE tells of is not run
again, so what was stopped goes on. A run that fails is made small, printed and saved in a folder
fuzz-<seed> beside FILE. FILE.stop, whatever is in it, ends the work after the batch.
"""

import gc
import json
import subprocess
import sys
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from hostile import check, few_draws, folder_for, random_boats, random_run, smaller

BATCH, BOATS = 250, 12  # runs with one seed, and random boats for them


def batch(number, folder, done):
    """Run one batch: how often each command ended with each exit code, and what failed, small.

    A run that was `done` already is passed over.
    """
    ended, failed, known = Counter(), [], random_boats(BOATS, number)
    for one in range(BATCH):
        run = random_run(Random(f"{number} {one}"), known)
        key = hash((run.words, tuple(run.files.items()), run.typed))
        if key in done:
            continue
        done.add(key)
        for path in folder.iterdir():
            path.unlink()
        try:
            ended[f"{run.words[0]} {check(run, folder)}"] += 1
        except Exception:
            ended[f"{run.words[0]} failed"] += 1
            failed.append(smaller(run, folder))
    return ended, failed


def save(run, folder):
    """Write the files of a run that fails, and its words."""
    folder.mkdir(exist_ok=True)
    for name, content in run.files.items():
        (folder / name).write_bytes(content)
    (folder / "run.txt").write_text(f"{list(run.words)!r}\n{run.typed!r}\n", encoding="utf-8")


def told(files):
    """The batches that files tell of."""
    lines = [line for file in files if file.exists() for line in file.read_text().splitlines()]
    return [json.loads(line) for line in lines]


def main(count, number, file):
    """Run batches from a seed until so many runs of it stand in a file."""
    state = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"],
        cwd=Path(__file__).parent,
        capture_output=True,
        text=True,
        check=False,
    ).stdout.strip()
    made = {row["seed"]: row for row in told([file]) if row["seed"] >= number}
    runs, done = sum(sum(row["ended"].values()) for row in made.values()), set()
    gc.set_threshold(100_000, 50, 50)  # a run leaves few circles
    with few_draws(), folder_for() as folder:
        while runs < count and not Path(f"{file}.stop").exists():
            if number not in made:
                began = time.process_time()
                ended, failed = batch(number, folder, done)
                runs += ended.total()
                for one, (run, error) in enumerate(failed):
                    save(run, file.parent / f"fuzz-{number}-{one}")
                    print(f"fuzz-{number}-{one}: {list(run.words)}\n  {error!s:.600}", flush=True)
                row = {"seed": number, "ended": ended, "failed": len(failed), "state": state}
                row |= {"took": round(time.process_time() - began, 1)}
                row |= {"at": datetime.now(UTC).isoformat(timespec="seconds")}
                with file.open("a", encoding="utf-8") as stream:
                    stream.write(json.dumps(row) + "\n")
            number += 1


def report(files):
    """Print what batches come to."""
    rows, by_command = told(files), {}
    for row in rows:
        for key, many in row["ended"].items():
            command, code = key.split(" ")
            by_command.setdefault(command, Counter())[code] += many
    total = sum(ended.total() for ended in by_command.values())
    took, failed = sum(row["took"] for row in rows), sum(row["failed"] for row in rows)
    print(f"{total} runs in {len(rows)} batches, {took:.0f} s of processor time, {failed} failed")
    seeds, states = [row["seed"] for row in rows], sorted({row["state"] for row in rows})
    if rows:
        print(f"seeds {min(seeds)} to {max(seeds)}, states {', '.join(states)}")
    for command, ended in sorted(by_command.items()):
        print(f"{command:10} {ended.total():6}  {dict(sorted(ended.items()))}")


if __name__ == "__main__":
    if sys.argv[1] == "report":
        report([Path(name) for name in sys.argv[2:]])
    else:
        main(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]).resolve())
