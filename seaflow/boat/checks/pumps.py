"""Whether the pumps of one loop are of one kind and on one supply, as every calculation has it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Pump

APART = (
    "If not, describe two loops, each with an intake, a pump and an outlet of its own (pumps that "
    "share a sea chest: a [[sea_chest]] each), or one pump at a time."
)


def check_pumps(case: Case) -> Iterator[Problem]:
    """All pumps of one loop must be the same: each would run on curve and supply of another."""
    for loop in network.loops(case):
        named = [pump for pump in loop.pumps if pump.fitted is not None]
        for pump in loop.pumps:
            if named and _part(case, pump) != _part(case, named[0]):
                yield _told(case, named[0], pump)
            elif _supply(case, pump) != _supply(case, loop.pumps[0]):
                yield _on_two_supplies(case, loop.pumps[0], pump)


def _part(case: Case, pump: Pump) -> str | None:
    return None if pump.fitted is None else case.catalogue.find("pumps", pump.fitted)[0]


def _supply(case: Case, pump: Pump) -> tuple[object, ...]:
    """Return every figure of the supply of a pump: its own, or else that of the boat."""
    supply = case.on_supply_of(pump).supply
    return tuple(getattr(supply, one.name) for one in fields(supply))


def _on_two_supplies(case: Case, first: Pump, pump: Pump) -> Problem:
    """Return that a pump has another supply than the first; the line is that of one of its own."""
    owns = pump if pump.supply is not None else first
    if first.supply is None or pump.supply is None:
        write = f'Take the supply of "{owns.name}" out if both are on that of the boat.'
    else:
        write = "Check both, and write the same supply at both if they are on one."
    return case.text.problem(
        "S70",
        ("pump", owns.row, "supply"),
        f'"{first.name}" and "{pump.name}", in one loop, have two different supplies',
        why=f'All pumps of one loop are taken to be on one: "{pump.name}" would be worked out on '
        f'that of "{first.name}".',
        write=f"{write} {APART}",
    )


def _told(case: Case, first: Pump, pump: Pump) -> Problem:
    fitted = f'fitted = "{first.fitted}"'
    if pump.fitted is None:
        what = f'"{pump.name}" names no pump, and "{first.name}" in the same loop has one fitted'
        why = "All pumps of one loop are taken to be the same, and which one this is decides."
        write = (
            f'Write {fitted} at "{pump.name}" too if it is the same pump, or at neither if both '
            f"are still to be found. {APART}"
        )
    else:
        what = f'"{first.name}" and "{pump.name}", in one loop, are two different pumps'
        why = (
            f"All pumps of one loop are taken to be the same: {pump.fitted} would be worked out "
            f"with the curve of {first.fitted}."
        )
        write = f"Check both plates, and write {fitted} at both if they are the same. {APART}"
    path = ("pump", pump.row, "fitted")
    return case.text.problem("S70", path, what, why=why, write=write)
