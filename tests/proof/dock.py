"""Hold the owner's page to `diagnose`: python tests/proof/dock.py answers BOAT 0:300 FILE.

Simulated boats of a shipped plan are read as an owner reads, by what the page asks, and `diagnose`
answers; FILE keeps one answer a line. With other slices several processes share one run: no seed
hangs on the slice. Where the page differs from one run by more than five points, or in the verdict,
seven more seeds tell how far `diagnose` strays from itself. `report FILE ...` makes the pages, asks
the script of each in a browser, and prints the table that docs/page.md shows; "each" behind it
prints every set that disagrees.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path[:0] = [
    str(Path(__file__).resolve().parents[1] / "helpers"),
    str(Path(__file__).parents[2]),
]

import dock_readings as dock  # noqa: E402 - found by the line above

SEEDS = tuple(range(20, 28))
NEAR = 0.05  # of a chance: closer than this is the same


def answers(boat: str, slice_: tuple[int, int], file: str) -> None:
    """Add what was read on these boats to a file, and what `diagnose` says of it."""
    plans = dock.plans(boat)
    with dock.asking(boat) as ask, open(file, "a", encoding="utf-8") as stream:
        for number in range(*slice_):
            plan = plans[number % len(plans)]
            asked = plan.asked(number // len(plans))
            told = [plan.diagnosed(asked, SEEDS[0])]
            page = ask(asked)
            if told[0] is not None and differs(told[0], page):
                told += [plan.diagnosed(asked, seed) for seed in SEEDS[1:]]
            row = {"boat": boat, "number": number, "asked": asked, "told": told}
            stream.write(json.dumps(row) + "\n")
            stream.flush()


def differs(told: dict, page: dict) -> bool:
    """Tell whether the page may say another thing, so that more seeds have to be asked."""
    return dock.furthest(told, page) > NEAR or told["word"] != page["word"]


def report(files: list[str], each: bool) -> None:
    """Print how far the pages of today agree with the answers in some files."""
    rows = [
        json.loads(line) for file in files for line in Path(file).read_text("utf-8").splitlines()
    ]
    boats = list(dict.fromkeys(row["boat"] for row in rows))
    print(dock.HEAD)
    for boat in boats:
        mine = [row for row in rows if row["boat"] == boat]
        with dock.asking(boat) as ask:
            held = [dock.Held.of(row, ask(row["asked"])) for row in mine if row["told"][0]]
        print(dock.line(boat, held, len(mine) - len(held)))
        for one in held if each else ():
            if not (one.agrees and one.same_verdict):
                print("   ", one.shown())


if __name__ == "__main__":
    if sys.argv[1] == "report":
        report([name for name in sys.argv[2:] if name != "each"], "each" in sys.argv)
        sys.exit()
    start, _, stop = sys.argv[3].partition(":")
    answers(sys.argv[2], (int(start), int(stop)), sys.argv[4])
