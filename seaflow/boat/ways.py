"""Whether the hoses of a case make loops: from the sea through a pump and units to the sea."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.things import Intake, Outlet, Pump, Seacock, Thing, Unit

MOST_UNITS = 6
BRANCHING = ("tee", "manifold", "flush_tee")


def check_reached(case: Case) -> Iterator[Problem]:
    """Every thing must be joined by a hose."""
    ends = {
        network.carrier(name, case.seacock) for hose in case.hose for name in (hose.from_, hose.to)
    }
    for thing in case.things:
        if not isinstance(thing, Seacock) and thing.name not in ends and thing.name:
            yield case.text.problem(
                "S04",
                (thing.table, thing.row, "name"),
                f'no hose reaches "{thing.name}"',
                why="Water cannot get to it, so it says nothing about the loop.",
                write=f'Add a [[hose]] with from or to = "{thing.name}", or take it out.',
            )


def check_ways(case: Case) -> Iterator[Problem]:
    """Every loop needs an intake, a pump, a unit and an outlet, and no way round in a circle."""
    if not case.hose:
        yield case.text.problem(
            "S27",
            (),
            "the case has no hoses, so there is no loop",
            why="Water goes from the sea to the sea along hoses.",
            write="Add the things of the loop and a [[hose]] from each to the next.",
        )
    for loop in network.loops(case):
        path = _first_path(loop)
        for kind, code, word, write in (
            (Intake, "S05", "intake", "Add a [[through_hull]] and a hose from it."),
            (Pump, "S06", "pump", "Add a [[pump]] between strainer and unit."),
            (Unit, "S07", "unit", "Add a [[unit]]."),
            (Outlet, "S08", "way back to the sea", "Add an [[outlet]] and a hose to it."),
        ):
            if not loop.of(kind):
                yield case.text.problem(
                    code, path, f'the loop "{loop.name}" has no {word}', write=write
                )
        yield from _dead_ends(case, loop)
        if len(loop.units) > MOST_UNITS:
            yield case.text.problem(
                "S09",
                path,
                f'the loop "{loop.name}" has {len(loop.units)} units; '
                f"one pump place feeds at most {MOST_UNITS}",
                write="Split it into two loops.",
            )


def _dead_ends(case: Case, loop: network.Loop) -> Iterator[Problem]:
    for name, thing in loop.things.items():
        path = (thing.table, thing.row, "name")
        if name in network.downstream(loop, name):
            yield case.text.problem(
                "S10",
                path,
                f'the hoses lead from "{name}" round in a circle back to it',
                write="Turn one of its hoses round: from is where the water comes from.",
            )
            return
        if not isinstance(thing, Intake) and not loop.arriving(name):
            yield case.text.problem(
                "S11",
                path,
                f'no hose brings water to "{name}"',
                write=f'Add a [[hose]] with to = "{name}".',
            )
        if isinstance(thing, Intake) and loop.arriving(name):
            yield case.text.problem(
                "S12", path, f'a hose leads into the intake "{name}"', write="Turn the hose round."
            )
        if isinstance(thing, Outlet) and loop.leaving(name):
            yield case.text.problem(
                "S13",
                path,
                f'a hose leads away from the outlet "{name}"',
                write="Turn the hose round.",
            )
        if not isinstance(thing, Outlet) and not loop.leaving(name):
            yield case.text.problem(
                "S14",
                path,
                f'no hose leads away from "{name}"',
                write=f'Add a [[hose]] with from = "{name}".',
            )
        yield from _partings(case, loop, thing)


def _partings(case: Case, loop: network.Loop, thing: Thing) -> Iterator[Problem]:
    """Water parts and joins only where something is made for it."""
    leaving, arriving = len(loop.leaving(thing.name)), len(loop.arriving(thing.name))
    path = (thing.table, thing.row, "name")
    if not isinstance(thing, Intake) and thing.table not in BRANCHING and leaving > 1:
        yield case.text.problem(
            "S15",
            path,
            f'{leaving} hoses leave "{thing.name}"',
            why="Water parts only at a tee, a manifold or a sea chest.",
            write="Add a [[tee]] or a [[manifold]] there.",
        )
    if thing.table not in BRANCHING and arriving > 1:
        yield case.text.problem(
            "S28",
            path,
            f'{arriving} hoses lead to "{thing.name}"',
            why="Water joins only at a tee or a manifold.",
            write="Add a [[tee]] or a [[manifold]] before it.",
        )


def _first_path(loop: network.Loop) -> tuple[str | int, ...]:
    thing = next(iter(loop.things.values()))
    return (thing.table, thing.row)


WAYS: tuple[Callable[[Case], Iterator[Problem]], ...] = (check_reached, check_ways)
