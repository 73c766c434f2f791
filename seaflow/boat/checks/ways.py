"""Whether the hoses of a case make loops: from the sea through a pump and units to the sea."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.checks.cuts import called
from seaflow.boat.checks.dead_ends import dead_ends
from seaflow.boat.checks.names import check_loop_names
from seaflow.boat.checks.turned import check_turned, turned
from seaflow.boat.tables.things import Intake, Outlet, Pump, Seacock, Thing, Unit

MOST_UNITS, MOST_WAYS = 6, 36

_PARTS_OF_A_LOOP: tuple[tuple[type[Thing], str, str, str, str], ...] = (
    (
        Intake,
        "S05",
        "has no intake",
        "The water must come from somewhere.",
        "Add a [[through_hull]] or [[sea_chest]], and a [[hose]] from it.",
    ),
    (
        Pump,
        "S06",
        "has no pump",
        "Nothing moves the water, and there is no place to size a pump for.",
        "Add a [[pump]] between strainer and unit; leave out `fitted` if none is fitted yet.",
    ),
    (
        Unit,
        "S07",
        "has no unit",
        "How much water is needed follows from what is cooled.",
        "Add a [[unit]] with the cooling on its plate, and the hoses to it and from it.",
    ),
    (
        Outlet,
        "S08",
        "has no way back to the sea",
        "The height of the outlet decides how far the water is lifted.",
        "Add an [[outlet]] with its height, and a [[hose]] to it.",
    ),
)


def check_reached(case: Case) -> Iterator[Problem]:
    """Every thing must be joined by a hose; a file that has none at all is told by itself."""
    if not case.hose:
        return
    ends = {
        network.carrier(name, case.seacock) for hose in case.hose for name in (hose.from_, hose.to)
    }
    for thing in case.things:
        if not isinstance(thing, Seacock) and thing.name not in ends and thing.name:
            yield case.text.problem(
                "S04",
                (thing.table, thing.row, "name"),
                f"no hose reaches {called(thing)}",
                why="No water gets to it, so it belongs to no loop.",
                write=f'Add a [[hose]] to it and one from it, or take "{thing.name}" out.',
            )


def check_ways(case: Case) -> Iterator[Problem]:
    """Every loop needs an intake, a pump, a unit and an outlet, and no way round in a circle."""
    if not case.hose:
        yield case.text.problem(
            "S27",
            (),
            "the file has no hoses, so there is no loop",
            why="Water goes from the sea to the sea along hoses.",
            write="Add a [[hose]] from the intake to the strainer, from there to the pump, "
            "and so on to the outlet.",
        )
    for loop in network.loops(case):
        path = _first_path(loop)
        for kind, code, what, why, write in _PARTS_OF_A_LOOP:
            if not loop.of(kind):
                yield case.text.problem(code, path, f"{_called(loop)} {what}", why=why, write=write)
        dead = tuple(dead_ends(case, loop))
        yield from () if turned(case, loop) else dead
        if not dead and _count(loop) > MOST_WAYS:
            yield case.text.problem(
                "S57",
                path,
                f"{_called(loop)} has more than {MOST_WAYS} ways for its water",
                why="Each way from the sea to the sea is balanced against all others.",
                write="Leave out hoses side by side: write twins as one hose of their joint bore.",
            )
        if len(loop.units) > MOST_UNITS:
            yield case.text.problem(
                "S09",
                path,
                f"{_called(loop)} has {len(loop.units)} units; this program takes {MOST_UNITS}",
                why="With more, one pump seldom gives every branch its share.",
                write="Describe two loops, each with its own intake and pump.",
            )


def _count(loop: network.Network) -> int:
    """Return the number of ways from the sea to the sea; no hose of the loop leads back."""
    ways: dict[str, int] = {}
    waiting = [name for name, thing in loop.things.items() if isinstance(thing, Intake)]
    starts = tuple(waiting)
    while waiting:
        ahead = [hose.to for hose in loop.leaving(waiting[-1])]
        unknown = [name for name in ahead if name not in ways]
        if unknown:
            waiting.extend(unknown)
            continue
        ways[waiting.pop()] = sum(ways[name] for name in ahead) or 1
    return sum(ways[name] for name in starts)


def _called(loop: network.Network) -> str:
    """Return what a loop is called; without an intake it has only its first thing."""
    return f'the loop "{loop.name}"' if loop.of(Intake) else f'the loop with "{loop.name}"'


def _first_path(loop: network.Network) -> tuple[str | int, ...]:
    thing = next(iter(loop.things.values()))
    return (thing.table, thing.row)


WAYS: tuple[Callable[[Case], Iterator[Problem]], ...] = (
    check_reached,
    check_turned,
    check_ways,
    check_loop_names,
)
