"""A million conditions on random loops: python tests/speed/million.py [layouts] [conditions each].

Prints how many end in each way, how many did not settle, and what is left of the balances of
mass and heads, worked out anew from the flows. One thread; about ten minutes.
"""

import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from balances import PERFECT, balance_of
from layouts import random_conditions, random_loop

from seaflow.model.operate import operate
from seaflow.model.point import ENDINGS, NOT_SETTLED

LAYOUTS, EACH = 2000, 500
NOTABLE = 1e-6  # m


def main(layouts: int = LAYOUTS, each: int = EACH, first: int = 0) -> None:
    """Run and print."""
    endings: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    balance, seconds, worst = PERFECT, 0.0, 0.0
    for seed in range(first, first + layouts):
        rng = np.random.default_rng(seed)
        loop = random_loop(rng)
        conditions = random_conditions(rng, loop, each)
        start = time.perf_counter()
        point = operate(loop, conditions)
        took = time.perf_counter() - start
        seconds, worst = seconds + took, max(worst, took)
        kinds[loop.name] += each
        endings.update(ENDINGS[index] for index in point.ending)
        found = balance_of(point)
        if NOT_SETTLED in point.ending or max(found.head, found.crest, found.idle) > NOTABLE:
            print(f"  layout {seed} ({loop.name}): {found}")
        balance = balance.worst(found)
    total = sum(endings.values())
    print(f"{total} conditions on {layouts} random loops, {each} at a time")
    for name in ENDINGS:
        print(f"  {name:20} {endings[name]:8}  {100.0 * endings[name] / total:6.2f} %")
    for name, count in sorted(kinds.items()):
        print(f"  of layout {name:15} {count:8}")
    print(f"mass left over at a junction, relative  {balance.mass:.1e}")
    print(f"head left over along a link             {balance.head:.1e} m")
    print(f"crest with air off the air's pressure   {balance.crest:.1e} m")
    print(f"head that would drive a dry open link   {balance.idle:.1e} m")
    print(f"least flow of a link                    {balance.least_flow:.1e} m3/s")
    each_time = 1e6 * seconds / total
    print(f"time in operate                         {seconds:.1f} s, {each_time:.0f} us each")
    print(f"slowest layout                          {worst:.2f} s")


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]))
