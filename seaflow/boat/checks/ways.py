"""Whether the hoses of a case make loops: from the sea through a pump and units to the sea."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.checks.cuts import BRANCHING
from seaflow.boat.checks.names import check_loop_names
from seaflow.boat.tables.things import Hose, Intake, Outlet, Pump, Seacock, Thing, Unit

MOST_UNITS, MOST_WAYS = 6, 36
MOST_TURNED = 24  # hoses of a loop, of which any two may run the wrong way

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
                f'no hose reaches the {_kind(thing)} "{thing.name}"',
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
        dead = tuple(_dead_ends(case, loop))
        backward = _backward(case, loop) if dead else ()
        yield from (_turn(case, hose) for hose in backward) if backward else dead
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


def _backward(case: Case, loop: network.Network) -> tuple[Hose, ...]:
    """Return the hoses of which the ends must be swapped to cure all dead ends; none if unclear.

    It may be one beside a dead end, any two, or all.
    """
    wrong = next((thing for thing in loop.things.values() if _is_cut(case, loop, thing)), None)
    if wrong is None:
        return ()
    every = tuple(hose for hose in loop.hoses if hose.row >= 0)
    ends = (*loop.arriving(wrong.name), *loop.leaving(wrong.name))
    beside = [(hose,) for hose in ends if hose.row >= 0]
    pairs = list(combinations(every, 2)) if len(every) <= MOST_TURNED else []
    for tried in (beside, pairs, [every]):
        cures = [some for some in tried if not any(_dead_ends(case, _with_swapped(loop, some)))]
        if cures:
            return cures[0] if len(cures) == 1 else ()
    return ()


def _is_cut(case: Case, loop: network.Network, thing: Thing) -> bool:
    return any(_ends(loop, thing)) or any(_partings(case, loop, thing))


def _with_swapped(loop: network.Network, hoses: tuple[Hose, ...]) -> network.Network:
    rows = {hose.row for hose in hoses}
    turned = (
        replace(one, from_=one.to, to=one.from_) if one.row in rows else one for one in loop.hoses
    )
    return replace(loop, hoses=tuple(turned))


def _turn(case: Case, hose: Hose) -> Problem:
    written = case.hose[hose.row]
    return case.text.problem(
        "S64",
        ("hose", hose.row),
        f'the hose from "{written.from_}" to "{written.to}" runs the wrong way',
        why="With its ends swapped the water comes from the sea and gets back to it; as written "
        "it does not.",
        write=f'Swap from and to: from = "{written.to}" and to = "{written.from_}".',
    )


def _dead_ends(case: Case, loop: network.Network) -> Iterator[Problem]:
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
    name, called = thing.name, f'the {_kind(thing)} "{thing.name}"'
    is_in, is_out = isinstance(thing, Intake), isinstance(thing, Outlet)
    comes, goes = bool(loop.arriving(name)), bool(loop.leaving(name))
    swap = "Swap from and to of that hose."
    if not is_in and not comes:
        write = f'Add a [[hose]] with to = "{name}", or turn one round that starts there.'
        yield (
            "S11",
            f"no hose brings water to {called}",
            "What comes after it would run dry.",
            write,
        )
    if is_in and comes:
        why = "An intake brings water in; the hose that starts there takes it on."
        yield "S12", f'a hose leads into the intake "{name}"', why, swap
    if is_out and goes:
        why = "At an outlet the water leaves the boat."
        yield "S13", f'a hose leads away from the outlet "{name}"', why, swap
    if not is_out and not goes:
        why = "The water would stop there and not get back to the sea."
        write = f'Add a [[hose]] with from = "{name}", or turn one round that ends there.'
        yield "S14", f"no hose leads away from {called}", why, write


def _partings(case: Case, loop: network.Network, thing: Thing) -> Iterator[Problem]:
    """Water parts and joins only where something is made for it."""
    leaving, arriving = len(loop.leaving(thing.name)), len(loop.arriving(thing.name))
    path = (thing.table, thing.row, "name")
    if not isinstance(thing, Intake) and thing.table not in BRANCHING and leaving > 1:
        yield case.text.problem(
            "S15",
            path,
            f'{leaving} hoses leave the {_kind(thing)} "{thing.name}"',
            why="Water parts at a tee, a manifold or a sea chest, and each costs some head.",
            write="Add the [[tee]] or [[manifold]] that is there, and start the hoses at it.",
        )
    if thing.table not in BRANCHING and arriving > 1:
        yield case.text.problem(
            "S28",
            path,
            f'{arriving} hoses lead to the {_kind(thing)} "{thing.name}"',
            why="Water joins at a tee or a manifold, and each costs some head.",
            write="Add the [[tee]] or [[manifold]] that is there, and end the hoses at it.",
        )


def _kind(thing: Thing) -> str:
    return thing.table.replace("_", " ")


def _called(loop: network.Network) -> str:
    """Return what a loop is called; without an intake it has only its first thing."""
    return f'the loop "{loop.name}"' if loop.of(Intake) else f'the loop with "{loop.name}"'


def _first_path(loop: network.Network) -> tuple[str | int, ...]:
    thing = next(iter(loop.things.values()))
    return (thing.table, thing.row)


WAYS: tuple[Callable[[Case], Iterator[Problem]], ...] = (
    check_reached,
    check_ways,
    check_loop_names,
)
