"""Where the water of a loop cannot come or go, and where it parts or joins without a tee."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.checks.cuts import BRANCHING, called
from seaflow.boat.tables.things import Intake, Outlet, Thing


def dead_ends(case: Case, loop: network.Network) -> Iterator[Problem]:
    """Yield every thing of a loop where water cannot come or go, or goes round in a circle."""
    for name, thing in loop.things.items():
        path = (thing.table, thing.row, "name")
        if name in network.downstream(loop, name):
            yield case.text.problem(
                "S10",
                path,
                f'the hoses lead from "{name}" round in a circle back to it',
                why="Water must come from the sea and go back to it.",
                write="Turn one of its hoses round: `from` is the end where the water comes in.",
            )
            return
        for code, what, why, write in _ends(loop, thing):
            yield case.text.problem(code, path, what, why=why, write=write)
        yield from _partings(case, loop, thing)


def _ends(loop: network.Network, thing: Thing) -> Iterator[tuple[str, str, str, str]]:
    """Yield code, what, why and what to write where water cannot come or go."""
    name = thing.name
    is_in, is_out = isinstance(thing, Intake), isinstance(thing, Outlet)
    comes, goes = bool(loop.arriving(name)), bool(loop.leaving(name))
    if not is_in and not comes:
        write = f'Add a [[hose]] with to = "{name}", or turn one round that starts there.'
        yield (
            "S11",
            f"no hose brings water to {called(thing)}",
            "What comes after it would run dry.",
            write,
        )
    swap = "Swap from and to of that hose; or,"
    if is_in and comes:
        why = "An intake brings water in; the hose that starts there takes it on."
        write = f'{swap} if water leaves at "{name}", write it as an [[outlet]].'
        yield "S12", f'a hose leads into the intake "{name}"', why, write
    if is_out and goes:
        why = "At an outlet the water leaves the boat."
        write = f'{swap} if water enters at "{name}", write it as a [[through_hull]].'
        yield "S13", f'a hose leads away from the outlet "{name}"', why, write
    if not is_out and not goes:
        why = "The water would stop there and not get back to the sea."
        write = f'Add a [[hose]] with from = "{name}", or turn one round that ends there.'
        yield "S14", f"no hose leads away from {called(thing)}", why, write


def _partings(case: Case, loop: network.Network, thing: Thing) -> Iterator[Problem]:
    """Water parts and joins only where something is made for it."""
    leaving, arriving = len(loop.leaving(thing.name)), len(loop.arriving(thing.name))
    path = (thing.table, thing.row, "name")
    if not isinstance(thing, Intake) and thing.table not in BRANCHING and leaving > 1:
        yield case.text.problem(
            "S15",
            path,
            f"{leaving} hoses leave {called(thing)}",
            why="Water parts at a tee, a manifold or a sea chest, and each costs some head.",
            write=_start_elsewhere(loop, thing),
        )
    if thing.table not in BRANCHING and arriving > 1:
        yield case.text.problem(
            "S28",
            path,
            f"{arriving} hoses lead to {called(thing)}",
            why="Water joins at a tee or a manifold, and each costs some head.",
            write="Add the [[tee]] or [[manifold]] that is there, and end the hoses at it.",
        )


def _start_elsewhere(loop: network.Network, thing: Thing) -> str:
    """Return where the hoses may start: at a tee to come, or at the next thing if that is made."""
    add = "add the [[tee]] or [[manifold]] that is there, and start the hoses at it."
    ahead = [hose.to for hose in loop.leaving(thing.name)]
    known = (loop.things[name] for name in ahead if name in loop.things)
    made = [one.name for one in known if one.table in BRANCHING]
    if len(made) != 1:
        return add.capitalize()
    others = " and ".join(f'"{name}"' for name in ahead if name != made[0])
    return f'Write from = "{made[0]}" for the hose to {others} if it starts there; if not, {add}'
