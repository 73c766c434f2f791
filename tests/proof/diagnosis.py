"""Prove the diagnosis on simulated boats: python tests/proof/diagnosis.py 2000 same FILE.

FILE keeps one answer a line. With 0:1000 behind it only these of the 2,000 boats are run, so that
several processes can share one run: no seed hangs on the slice. "report FILE ..." prints the tables
of one or more files. "follow 140" shows instead how the hit rate grows with each next test.

Prints, for three sets of readings, how often the claims are right and how often the first cause and
the first three hold one that is really there; beside it what "always the commonest" and a tree
written by hand would have said. With "wider" for "same" the severities are half as wide again as
those that the diagnosis expects. docs/diagnosis.md shows what it printed.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path[:0] = [
    str(Path(__file__).resolve().parents[1] / "helpers"),
    str(Path(__file__).parents[2]),
]

import diagnosis_proof as proof  # noqa: E402 - found by the line above

TRUTH_SEED, NOISE_SEED, INFERENCE_SEED = 9001, 50021, 20
N_TESTS = 6  # suggested tests that are followed


def prove(n_boats: int, wider: float, file: str, slice_: tuple[int, int]) -> None:
    """Run the proof, a boat of each loop in turn, and keep each answer as a line of a file.

    Only the boats of `slice_` are run; which boats there are hangs on `n_boats` alone.
    """
    setups = proof.setups()
    share = -(-n_boats // len(setups))
    truths = [
        proof.truths(setup, share, TRUTH_SEED + number, wider)
        for number, setup in enumerate(setups)
    ]
    with open(file, "w", encoding="utf-8") as stream:
        for place in range(*slice_):
            boat, number = divmod(place, len(setups))
            for row in rows(truths[number], boat, NOISE_SEED + 7919 * number):
                stream.write(json.dumps([*row, place]) + "\n")
            stream.flush()


def rows(truth: proof.Truth, boat: int, noise: int) -> Iterator[list[Any]]:
    """Yield for each set of readings: the first causes with their odds, the truth, the rivals."""
    true = truth.causes(boat)
    common = proof.commonest(truth.setup)
    found = proof.answers(truth, boat, (noise, INFERENCE_SEED))
    for which, (readings, posterior) in found.items():
        tree = proof.by_tree(truth.setup, readings)
        rivals = [
            common[0] in true,
            bool(true & set(common[:3])),
            tree[0] in true,
            bool(true & set(tree)),
        ]
        yield [which, proof.ranked(posterior)[:3], sorted(true), rivals]


def report(files: list[str]) -> None:
    """Print the tables of the answers in one or more files."""
    lines = [line for file in files for line in Path(file).read_text("utf-8").splitlines()]
    found = [json.loads(line) for line in lines]
    boats = [(row[0], row[4]) for row in found]
    if len(set(boats)) < len(boats):
        sys.exit("Some boats stand in these files twice.")
    for which in proof.SETS:
        mine = [row for row in found if row[0] == which]
        scored = [
            proof.Scored(tuple((name, odds) for name, odds in row[1]), frozenset(row[2]))
            for row in mine
        ]
        show(which, scored, [row[3] for row in mine])


def follow(n_boats: int) -> None:
    """Print how the hit rate grows when each next test that is suggested is done."""
    setups = proof.setups()
    share = -(-n_boats // len(setups))
    truths = [proof.truths(s, share, TRUTH_SEED + 500 + k) for k, s in enumerate(setups)]
    found = []
    for place in range(n_boats):
        boat, number = divmod(place, len(setups))
        seed = NOISE_SEED + 31 * place
        found.append(proof.grown(truths[number], boat, seed, N_TESTS))
    print(f"\nfollowing the tests suggested, from a thermometer on: {n_boats} boats")
    print("  tests done   first cause right   among three")
    for step in range(N_TESTS + 1):
        first, three = (sum(row[step].hit(k) for row in found) / n_boats for k in (1, 3))
        print(f"  {step:10d}   {first:17.1%}   {three:11.1%}")


def show(which: str, scored: list[proof.Scored], rivals: list[tuple[bool, ...]]) -> None:
    """Print one set of readings."""
    n = len(scored)
    first, three = (sum(item.hit(k) for item in scored) / n for k in (1, 3))
    common, common_three, tree, tree_three = (sum(row[k] for row in rivals) / n for k in range(4))
    print(f"\n{which}: {n} boats")
    print(f"  first cause right {first:.1%}, among three {three:.1%}")
    print(f"  always the commonest {common:.1%}, {common_three:.1%}")
    print(f"  tree by hand {tree:.1%}, {tree_three:.1%}")
    print("  claim       boats   mean claim   right   agrees")
    for low, count, mean, share, agrees in proof.bins(scored):
        end = "yes" if agrees else "NO"
        print(f"  {low:.0%} to {low + 0.1:.0%}  {count:5d}   {mean:8.1%}   {share:6.1%}   {end}")


if __name__ == "__main__":
    if sys.argv[1] == "follow":
        follow(int(sys.argv[2]))
        sys.exit()
    if sys.argv[1] == "report":
        report(sys.argv[2:])
        sys.exit()
    total, file = int(sys.argv[1]), sys.argv[3] if len(sys.argv) > 3 else "answers.jsonl"
    start, _, stop = (sys.argv[4] if len(sys.argv) > 4 else f"0:{total}").partition(":")
    spread = proof.WIDER if sys.argv[2] == "wider" else 1.0
    prove(total, spread, file, (int(start), min(int(stop), total)))
    report([file])
