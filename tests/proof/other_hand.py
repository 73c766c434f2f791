"""Prove the diagnosis on boats of another hand: python tests/proof/other_hand.py UNITS BOATS FILE.

UNITS is 1, 2, 3 or 4; FILE keeps one answer a line. "report FILE ..." prints the tables of one or
more files, all numbers of units together and each by itself. "seeds UNITS BOATS" shows instead how
far two seeds agree. docs/diagnosis.md shows what it printed. The boats are those of
tests/helpers/other_hand.py, which knows nothing of what the diagnosis takes for likely.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path[:0] = [
    str(Path(__file__).resolve().parents[1] / "helpers"),
    str(Path(__file__).parents[2]),
]

import diagnosis_proof as proof  # noqa: E402 - found by the line above
import numpy as np  # noqa: E402
import other_hand as hand  # noqa: E402
from numpy.random import RandomState  # noqa: E402

from seaflow.studies.diagnose.infer import infer  # noqa: E402

FLEET_SEED, INFERENCE_SEED, OTHER_SEED = 7001, 20, 520
SETS = (proof.BUCKET, proof.GAUGE)
CLOSE, LEAD, LEAST = 0.04, 0.05, 0.10  # of odds


def prove(units: int, n_boats: int, file: str) -> None:
    """Keep the answers for each boat as lines of a file."""
    setup = hand.setup_with(units, tempfile.mkdtemp())
    fleet, common = hand.fleet(setup, n_boats, FLEET_SEED + units), proof.commonest(setup)
    with open(file, "w", encoding="utf-8") as stream:
        for boat in range(n_boats):
            true = fleet.causes(boat)
            for which in SETS:
                readings = hand.readings_of(fleet, boat, which, RandomState(1000 * units + boat))
                found = infer(setup, readings, seed=INFERENCE_SEED)
                tree = proof.by_tree(setup, readings)
                hits = [common[0] in true, bool(true & set(common[:3]))]
                hits += [tree[0] in true, bool(true & set(tree))]
                row = [which, proof.ranked(found)[:3], sorted(true), hits, units]
                stream.write(json.dumps(row) + "\n")
            stream.flush()


def report(files: list[str]) -> None:
    """Print the tables of the answers in these files."""
    rows = [
        json.loads(line)
        for file in files
        for line in Path(file).read_text("utf-8").split("\n")
        if line
    ]
    show("all boats", rows)
    for units in sorted({row[4] for row in rows}):
        for which in SETS:
            mine = [row for row in rows if row[4] == units and row[0] == which]
            show(f"{units} on the loop, {which}", mine, tables=False)


def show(title: str, rows: list[Any], tables: bool = True) -> None:
    """Print how often the first cause and the first three are right, and the rivals' beside it."""
    scored = [
        proof.Scored(tuple((name, odds) for name, odds in row[1]), frozenset(row[2]))
        for row in rows
    ]
    first, three = (np.mean([item.hit(k) for item in scored]) for k in (1, 3))
    common, common_three, tree, tree_three = np.mean([row[3] for row in rows], axis=0)
    print(f"{title}: {len(rows)} answers")
    print(f"  first cause right {first:.0%}, among three {three:.0%}; ", end="")
    print(f"commonest {common:.0%}, {common_three:.0%}; tree {tree:.0%}, {tree_three:.0%}")
    if tables:
        print("  claim     answers   mean claim   right   agrees")
        for low, count, mean, share, agrees in proof.bins(scored):
            end = "yes" if agrees else "NO"
            print(
                f"  {low:.0%} to {low + 0.1:.0%}  {count:5d}   {mean:8.0%}   {share:6.0%}   {end}"
            )


def seeds(units: int, n_boats: int) -> None:
    """Print on how many sets of readings two seeds agree in the first cause and in the odds."""
    setup = hand.setup_with(units, tempfile.mkdtemp())
    fleet, first, apart = hand.fleet(setup, n_boats, FLEET_SEED + units), [], []
    for boat in range(n_boats):
        readings = hand.readings_of(fleet, boat, SETS[boat % 2], RandomState(boat))
        both = [
            proof.ranked(infer(setup, readings, seed=seed)) for seed in (INFERENCE_SEED, OTHER_SEED)
        ]
        leads = min(odds[0][1] - odds[1][1] for odds in both)
        first.append(both[0][0][0] == both[1][0][0] or leads < LEAD)
        one, other = (dict(odds) for odds in both)
        apart += [abs(one[k] - other[k]) for k in one if max(one[k], other[k]) >= LEAST]
    print(f"{units} on the loop, {n_boats} sets of readings: same first cause {np.mean(first):.0%}")
    print(
        f"  odds within 4 points on {np.mean(np.array(apart) <= CLOSE):.0%} of {len(apart)} causes"
    )


if __name__ == "__main__":
    if sys.argv[1] == "report":
        report(sys.argv[2:])
    elif sys.argv[1] == "seeds":
        seeds(int(sys.argv[2]), int(sys.argv[3]))
    else:
        prove(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
