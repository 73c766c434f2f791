"""Change one operator, word, sign, number or index at a time and see whether a test notices.

Not part of the suite. From the top of the repository:

    python tests/architecture/mutate.py --record                   at first, and when tests changed
    python tests/architecture/mutate.py --count 100 --seed 1       then as often as wanted

What tests run through which line is kept outside the tree (--store). Changes are made in a copy.
Frozen numbers, exact texts and the tests of the architecture are left out, for they notice that
something moved, not that it is wrong. A change that nothing notices is a survivor: either it
changes no answer, and then equivalents.toml says why, or a test is missing. So is one whose tests
ran out of time.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import tempfile
import time
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "helpers"))

import trials  # noqa: E402
from changes import Change, changes_of  # noqa: E402
from trials import OUT_OF_TIME  # noqa: E402

LAYERS = ("physics", "model", "boat", "studies")
EQUIVALENTS = HERE / "equivalents.toml"
EVERY = 60.0  # s between what is kept of a record
STORE = Path(tempfile.gettempdir()) / "seaflow-mutations"


@dataclass(frozen=True)
class Verdict:
    """How one change went: noticed (and by which test), the same (and why), or survived."""

    change: Change
    kind: str
    note: str = ""


def possible(tree: Path, layers: list[str], words: list[str]) -> list[Change]:
    """Every change that can be made to the layers asked for, in modules whose path has a word."""
    paths = sorted(path for layer in layers for path in (tree / "seaflow" / layer).rglob("*.py"))
    return [
        change
        for path in paths
        if not words or any(word in path.as_posix() for word in words)
        for change in changes_of(path.relative_to(tree), path.read_bytes())
    ]


def equivalents() -> dict[tuple[str, int, str, str], str]:
    """Why a change makes no difference, by the line it stands in and its place there."""
    rows = tomllib.loads(EQUIVALENTS.read_text(encoding="utf-8")).get("equivalent", [])
    return {(row["line"], row["column"], row["old"], row["new"]): row["reason"] for row in rows}


class Session:
    """Tries changes in one copy, with what was recorded."""

    def __init__(self, store: Path, folder: Path, budget: float) -> None:
        content = json.loads((store / "record.json").read_text(encoding="utf-8"))
        self.record = trials.Record(content, trials.ROOT)
        self.stale = content["state"] != trials.fingerprint(trials.ROOT)
        self.folder, self.budget = folder, budget
        self.known = equivalents()
        self.sound: dict[str, bool] = {}
        trials.copy_of(trials.ROOT, folder)

    def judge(self, change: Change) -> Verdict:
        """Try one change."""
        if change.key in self.known:
            return Verdict(change, "same", self.known[change.key])
        tests = trials.chosen_tests(self.record, change, self.budget)
        while tests:
            test = trials.tried(change, self.folder, tests, self.record.seconds)
            if test in ("", "loading", OUT_OF_TIME) or self._is_sound(test):
                survived = test in ("", OUT_OF_TIME)
                return Verdict(change, "survived" if survived else "noticed", test)
            tests.remove(test)
        return Verdict(change, "survived", "no test runs through it")

    def _is_sound(self, test: str) -> bool:
        """Whether a test passes without the change, by itself and in its time."""
        if test not in self.sound:
            self.sound[test] = trials.passes(test, self.folder, self.record.seconds)
        return self.sound[test]


def summary(verdicts: list[Verdict]) -> str:
    """A table by folder, and the kill rate of changes that are not known to make no difference."""
    count = Counter((_folder(one.change), one.kind) for one in verdicts)
    kinds = ("noticed", "survived", "same")
    lines = [f"| folder | {' | '.join(kinds)} |", "| --- | --- | --- | --- |"]
    for folder in sorted({folder for folder, _ in count}):
        lines.append(f"| {folder} | {' | '.join(str(count[folder, kind]) for kind in kinds)} |")
    total = Counter(one.kind for one in verdicts)
    tried = total["noticed"] + total["survived"]
    rate = f"{total['noticed'] / tried:.0%}" if tried else "none"
    lines.append(f"\n{total['noticed']} of {tried} changes noticed: {rate}")
    return "\n".join(lines)


def _folder(change: Change) -> str:
    return "/".join(change.module.parts[1:-1])


def main() -> int:
    """Record, list or try a sample of changes and print those that no test notices."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--record", action="store_true", help="record which test runs through what")
    parser.add_argument("--jobs", type=int, default=1, help="processes that record")
    parser.add_argument("--count", type=int, default=30, help="changes to try")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--layer", nargs="*", default=list(LAYERS), choices=LAYERS)
    parser.add_argument("--module", nargs="*", default=[], help="words of a path")
    parser.add_argument("--minutes", type=float, default=60.0, help="try no more after so long")
    parser.add_argument("--budget", type=float, default=60.0, help="seconds of tests for each")
    parser.add_argument("--store", type=Path, default=STORE, help="folder outside the tree")
    parser.add_argument("--list", action="store_true", help="only list what would be changed")
    asked = parser.parse_args()
    asked.store.mkdir(parents=True, exist_ok=True)
    every = possible(trials.ROOT, asked.layer, asked.module)
    sample = random.Random(asked.seed).sample(every, min(asked.count, len(every)))
    if asked.list:
        print("\n".join(map(str, sample)))
        return 0
    trials.load_libraries()
    with tempfile.TemporaryDirectory() as name:
        if asked.record:
            return record(asked.store / "record.json", Path(name), (asked.module, asked.jobs))
        return attempt(sample, Session(asked.store, Path(name), asked.budget), asked.minutes)


def record(kept: Path, folder: Path, asked: tuple[list[str], int]) -> int:
    """Record what is not recorded yet, and keep it every minute and at the end."""
    old = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    found, last = old, time.monotonic()

    def say(said: str) -> None:
        print(said, flush=True)

    for found in trials.record(trials.ROOT, folder, old, asked, say):
        if time.monotonic() - last > EVERY:
            kept.write_text(json.dumps(found), encoding="utf-8")
            last = time.monotonic()
    kept.write_text(json.dumps(found), encoding="utf-8")
    return 0


def attempt(sample: list[Change], session: Session, minutes: float) -> int:
    """Try the sample in its order until the time is up, say how each goes, and sum up."""
    start, verdicts = time.monotonic(), []
    if session.stale:
        print("recorded on another state of the tree: lines are found by content")
    for change in sample:
        if time.monotonic() - start > 60.0 * minutes:
            print(f"time is up: {len(verdicts)} of {len(sample)} tried")
            break
        verdict = session.judge(change)
        verdicts.append(verdict)
        print(f"{verdict.kind:9} {change}   [{verdict.note}]", flush=True)
    print(f"\n{summary(verdicts)} ({(time.monotonic() - start) / 60.0:.0f} min)\n")
    for one in verdicts:
        if one.kind == "survived":
            print(f"{_folder(one.change)}  {one.change}")
    return 1 if any(one.kind == "survived" for one in verdicts) else 0


if __name__ == "__main__":
    sys.exit(main())
