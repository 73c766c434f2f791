"""Whether the curves of balancing valves can be true."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from seaflow.base.problems import Problem
from seaflow.boat.case import Case


def check_balancing(case: Case) -> Iterator[Problem]:
    """The curve of a balancing valve must fall as the valve opens."""
    for row, hose in enumerate(case.hose):
        valve = hose.balancing_valve
        if valve is None:
            continue
        known = sorted(valve.points, key=lambda point: point.turns)
        falls = all(
            one.turns < other.turns and one.loss > other.loss for one, other in pairwise(known)
        )
        if len(known) < 2 or not falls:
            yield case.text.problem(
                "S45",
                ("hose", row, "balancing_valve"),
                f'the balancing valve of "{hose.label}" has no curve that falls as it opens',
                why="A setting in turns is read off that curve, so each loss needs turns of its "
                "own.",
                write="Write two points or more, with less loss at more turns, or leave the valve "
                "out: the setting is then given as a loss coefficient alone.",
            )


BALANCING: tuple[Callable[[Case], Iterator[Problem]], ...] = (check_balancing,)
