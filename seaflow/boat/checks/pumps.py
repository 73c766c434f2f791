"""Whether the pumps of one loop are of one kind, as every calculation takes them to be."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Pump


def check_pumps(case: Case) -> Iterator[Problem]:
    """All pumps fitted in one loop must be the same: each would run on the curve of another."""
    for loop in network.loops(case):
        named = [pump for pump in loop.pumps if pump.fitted is not None]
        for pump in loop.pumps:
            if named and _part(case, pump) != _part(case, named[0]):
                yield _told(case, named[0], pump)


def _part(case: Case, pump: Pump) -> str | None:
    return None if pump.fitted is None else case.catalogue.find("pumps", pump.fitted)[0]


def _told(case: Case, first: Pump, pump: Pump) -> Problem:
    fitted = f'fitted = "{first.fitted}"'
    apart = (
        "If not, describe two loops, each with an intake, a pump and an outlet of its own (pumps "
        "that share a sea chest: a [[sea_chest]] each), or one pump at a time."
    )
    if pump.fitted is None:
        what = f'"{pump.name}" names no pump, and "{first.name}" in the same loop has one fitted'
        why = "All pumps of one loop are taken to be the same, and which one this is decides."
        write = (
            f'Write {fitted} at "{pump.name}" too if it is the same pump, or at neither if both '
            f"are still to be found. {apart}"
        )
    else:
        what = f'"{first.name}" and "{pump.name}", in one loop, are two different pumps'
        why = (
            f"All pumps of one loop are taken to be the same: {pump.fitted} would be worked out "
            f"with the curve of {first.fitted}."
        )
        write = f"Check both plates, and write {fitted} at both if they are the same. {apart}"
    path = ("pump", pump.row, "fitted")
    return case.text.problem("S70", path, what, why=why, write=write)
