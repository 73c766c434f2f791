"""Prove the diagnosis on boats of another hand, in pieces that add up.

"run FILE UNITS BOATS [FLEET [SEED ...]]" diagnoses boats of 1 to 4 units, one set of readings each,
and adds a line for each to FILE. Boats that stand there already are passed over, and after four
minutes it stops: run it again. FLEET is the seed of the boats, SEED that of the inference: of two
the answers are compared. "report FILE ..." prints the tables of one or more files, and how far two
seeds agree on boats that both have answered.

docs/diagnosis.md shows what it printed. The boats are those of tests/helpers/other_hand.py, which
knows nothing of what the diagnosis takes for likely. Each boat gives one answer, because a test of
many answers takes them for independent.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Sequence
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

INFERENCE_SEED, FLEET_SEED = 20, 7001
BLOCK = 50  # boats that are drawn together
SECONDS = 240.0
CLOSE, LEAD, LEAST = 0.04, 0.05, 0.10  # of odds
LEAST_KEPT = 0.02


def run(file: Path, units: int, n_boats: int, fleet_seed: int, seeds: Sequence[int]) -> None:
    """Add the answers for boats that the file does not hold yet, one for each seed."""
    rows = read([file]) if file.exists() else []
    known = {
        (row["boat"], row["seed"])
        for row in rows
        if (row["units"], row["fleet"]) == (units, fleet_seed)
    }
    setup, started = hand.setup_with(units, tempfile.mkdtemp()), time.monotonic()
    with file.open("a", encoding="utf-8") as stream:
        for block in range(-(-n_boats // BLOCK)):
            wanted = [
                (boat, seed)
                for boat in range(block * BLOCK, min((block + 1) * BLOCK, n_boats))
                for seed in seeds
                if (boat, seed) not in known
            ]
            if not wanted:
                continue
            drawn = 100_000 * fleet_seed + 1000 * units + block
            fleet = hand.fleet(setup, BLOCK, drawn % 2**32)
            for boat, seed in wanted:
                if time.monotonic() - started > SECONDS:
                    return
                row = answered(
                    fleet,
                    boat % BLOCK,
                    proof.SETS[boat % 3],
                    seed,
                    RandomState(drawn % 2**31 + boat),
                )
                row |= {"units": units, "boat": boat, "seed": seed, "fleet": fleet_seed}
                stream.write(json.dumps(row) + "\n")
                stream.flush()
    print("all boats are answered")


def answered(
    fleet: hand.Fleet, place: int, which: str, seed: int, stream: RandomState
) -> dict[str, Any]:
    """Return one answer with the truth and what the rivals say."""
    readings, true = hand.readings_of(fleet, place, which, stream), fleet.causes(place)
    started = time.process_time()
    found = infer(fleet.setup, readings, seed=seed)
    seconds = time.process_time() - started
    common, tree = proof.commonest(fleet.setup), proof.by_tree(fleet.setup, readings)
    return {
        "set": which,
        "odds": [
            (name, round(odds, 4))
            for k, (name, odds) in enumerate(proof.ranked(found))
            if k < 3 or odds > LEAST_KEPT
        ],
        "true": sorted(true),
        "common": [common[0] in true, bool(true & set(common[:3]))],
        "tree": [tree[0] in true, bool(true & set(tree))],
        "effective": round(found.effective),
        "astray": round(found.astray, 3),
        "seconds": round(seconds, 2),
        "numbers": [(n.kind, n.place, float(f"{n.value:.5g}")) for n in readings.numbers],
    }


def read(files: Sequence[Path]) -> list[dict[str, Any]]:
    """Return all rows of these files."""
    return [json.loads(line) for file in files for line in file.read_text("utf-8").splitlines()]


def report(rows: list[dict[str, Any]]) -> None:
    """Print the tables of the first seed of each boat, and how far another seed agrees."""
    by_boat: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for row in rows:
        by_boat.setdefault((row["units"], row["fleet"], row["boat"]), []).append(row)
    firsts = [same[0] for same in by_boat.values()]
    show("all boats", firsts)
    calibration(firsts)
    for units in sorted({row["units"] for row in firsts}):
        mine = [row for row in firsts if row["units"] == units]
        show(f"{units} on the loop", mine)
        for which in proof.SETS:
            show(f"{units} on the loop, {which}", [row for row in mine if row["set"] == which])
        calibration(mine)
        agreement(
            units,
            [same[:2] for same in by_boat.values() if len(same) > 1 and same[0]["units"] == units],
        )


def scored(rows: list[dict[str, Any]]) -> list[proof.Scored]:
    """Return answers with their truth."""
    return [
        proof.Scored(tuple((name, odds) for name, odds in row["odds"]), frozenset(row["true"]))
        for row in rows
    ]


def show(title: str, rows: list[dict[str, Any]]) -> None:
    """Print how often the first cause and the first three are right, and the rivals' beside it."""
    found = scored(rows)
    first, three = (np.array([item.hit(k) for item in found], dtype=float) for k in (1, 3))
    tree, common = (np.array([row[key] for row in rows], dtype=float) for key in ("tree", "common"))
    ahead = [mine - theirs for mine, theirs in ((first, tree[:, 0]), (three, tree[:, 1]))]
    by = [(100 * one.mean(), 100 * one.std() / max(len(rows), 1) ** 0.5) for one in ahead]
    shares = [first, three, tree[:, 0], tree[:, 1], common[:, 0], common[:, 1]]
    mine, my_three, its, its_three, most, most_three = (f"{one.mean():.0%}" for one in shares)
    print(f"{title}: {len(rows)} answers; first right {mine}, among three {my_three}; ", end="")
    print(f"tree {its}, {its_three}; commonest {most}, {most_three}; ahead of the tree ", end="")
    print(", ".join(f"{mean:+.0f} +- {error:.0f}" for mean, error in by), "points")


def calibration(rows: list[dict[str, Any]]) -> None:
    """Print how often claims are right."""
    print("  claim       answers   mean claim   right   agrees")
    for low, count, mean, share, agrees in proof.bins(scored(rows)):
        end = "yes" if agrees or abs(mean - share) <= 0.07 else "NO"
        print(f"  {low:.0%} to {low + 0.1:.0%}  {count:5d}   {mean:8.0%}   {share:6.0%}   {end}")


def agreement(units: int, pairs: list[list[dict[str, Any]]]) -> None:
    """Print on how many sets of readings two seeds agree in the first cause and in the odds."""
    if not pairs:
        return
    first, apart = [], []
    for pair in pairs:
        leads = min(row["odds"][0][1] - row["odds"][1][1] for row in pair)
        first.append(pair[0]["odds"][0][0] == pair[1]["odds"][0][0] or leads < LEAD)
        one, other = (dict(row["odds"]) for row in pair)
        names = [k for k in {*one, *other} if max(one.get(k, 0.0), other.get(k, 0.0)) >= LEAST]
        apart += [abs(one.get(k, LEAST_KEPT) - other.get(k, LEAST_KEPT)) for k in names]
    close = np.mean(np.array(apart) <= CLOSE)
    print(f"{units} on the loop, two seeds on {len(pairs)} sets of readings: ", end="")
    print(f"same first cause {np.mean(first):.1%}, ", end="")
    print(f"odds within 4 points on {close:.1%} of {len(apart)} causes")


if __name__ == "__main__":
    if sys.argv[1] == "report":
        report(read([Path(name) for name in sys.argv[2:]]))
    else:
        units, n_boats, *more = (int(word) for word in sys.argv[3:])
        fleet_seed, *seeds = more or [FLEET_SEED]
        run(Path(sys.argv[2]), units, n_boats, fleet_seed, seeds or [INFERENCE_SEED])
