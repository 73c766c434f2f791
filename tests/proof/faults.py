"""Print what every fault does on every shipped boat: python tests/proof/faults.py [BOATS].

For each loop a table with a row for each fault that it can have, alone and as bad as the register
says: how many boats of a hundred trip on high pressure (also for want of water), how many trip
though water still comes, how many give no stream at an outlet, and how many an owner with a
thermometer and a bucket would call normal. The last table has the least and the most of all loops.
A person of the trade should nod at it.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [
    str(Path(__file__).resolve().parents[1] / "helpers"),
    str(Path(__file__).parents[2]),
]

import diagnosis_proof as proof  # noqa: E402 - found by the line above

BOATS = 400  # of each fault
SEED = 4001
WIDTHS = (62, 9, 9, 10, 9)
HEAD = ("fault", "trips", "wet trip", "no stream", "normal")


def main(n_boats: int) -> None:
    """Print a table for each loop, and one over all of them."""
    shares: dict[str, list[proof.Ends]] = {}
    for number, setup in enumerate(proof.setups()):
        print(f"\n{setup.case.boat.name}, loop of {setup.built.network.name}\n{_line(*HEAD)}")
        for title, ends in proof.ends_of_faults(setup, n_boats, SEED + number).items():
            shares.setdefault(title, []).append(ends)
            print(_line(title, *(f"{share:.0%}" for share in ends)))
    print(f"\nall loops, least to most of a hundred\n{_line(*HEAD)}")
    for title, rows in shares.items():
        print(_line(title, *(_range(found) for found in zip(*rows, strict=True))))


def _line(title: str, *cells: str) -> str:
    sized = (f"{cell:>{width}}" for cell, width in zip(cells, WIDTHS[1:], strict=True))
    return f"  {title:<{WIDTHS[0]}}" + "".join(sized)


def _range(shares: tuple[float, ...]) -> str:
    low, high = (f"{100.0 * end:.0f}" for end in (min(shares), max(shares)))
    return low if low == high else f"{low}-{high}"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BOATS)
