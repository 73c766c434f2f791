"""Print what every fault does on every shipped boat: python tests/proof/faults.py [BOATS].

A table with a row for each fault, alone and as bad as the register says, and a column for each loop
that can have it: how many boats of a hundred trip on high pressure (also for want of water), how
many give no stream at an outlet, and how many an owner with a thermometer and a bucket would call
normal. A person of the trade should nod at it. docs/diagnosis.md shows what it printed.
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


def main(n_boats: int) -> None:
    """Print the table, as Markdown."""
    setups = proof.setups()
    loops = [
        proof.ends_of_faults(setup, n_boats, SEED + number) for number, setup in enumerate(setups)
    ]
    titles = dict.fromkeys(title for found in loops for title in found)
    names = [
        f"{setup.case.boat.name.removeprefix('Demo ')}, {setup.built.network.name}"
        for setup in setups
    ]
    print("| fault | " + " | ".join(names) + " |")
    print("| --- |" + " --- |" * len(names))
    for title in titles:
        cells = [_cell(found[title]) if title in found else "" for found in loops]
        print(f"| {title} | " + " | ".join(cells) + " |")


def _cell(ends: proof.Ends) -> str:
    return " / ".join(f"{100.0 * share:.0f}" for share in (ends.trips, ends.dry, ends.normal))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BOATS)
