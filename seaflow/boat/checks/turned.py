"""Hoses that run the wrong way: the fewest whose ends must be swapped to make a loop whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.checks.cuts import BRANCHING
from seaflow.boat.checks.dead_ends import dead_ends
from seaflow.boat.tables.things import Hose, Intake, Outlet

MOST_RUNS = 10  # that may run either way, of which any are tried; of more than these any three

Some = frozenset[int]  # hoses of a loop, by their number in it


def check_turned(case: Case) -> Iterator[Problem]:
    """No hose may lead against the water of a loop that is whole but for such."""
    for loop in network.loops(case):
        yield from (_turn(case, hose) for hose in turned(case, loop))


def straightened(case: Case) -> Case:
    """Return the case with such hoses turned round, which has been told already."""
    rows = {hose.row for loop in network.loops(case) for hose in turned(case, loop)}
    hoses = (_swapped(hose) if row in rows else hose for row, hose in enumerate(case.hose))
    return replace(case, hose=tuple(hoses)) if rows else case


def turned(case: Case, loop: network.Network) -> tuple[Hose, ...]:
    """Return the hoses of which the ends must be swapped to cure all dead ends; none if unclear.

    They are the fewest, and there are no others as few.
    """
    runs = list(_runs(loop)) if any(dead_ends(case, loop)) else []
    if not all(runs):
        return ()
    cures: list[Some] = []
    for some in sorted(_choices(runs), key=len):
        if cures and len(some) > len(cures[0]):
            break
        if some and not any(dead_ends(case, _with_swapped(loop, some))):
            cures.append(some)
    return tuple(loop.hoses[one] for one in sorted(cures[0])) if len(cures) == 1 else ()


def _choices(runs: Sequence[tuple[Some, ...]]) -> Iterator[Some]:
    """Yield what may be turned, of each run the less or, where it may lead either way, the rest."""
    less = frozenset().union(*(min(ways, key=len) for ways in runs))
    either = [ways[0] | ways[1] for ways in runs if len(ways) > 1]
    most = len(either) if len(either) <= MOST_RUNS else 3
    for count in range(most + 1):
        for others in combinations(either, count):
            yield less ^ frozenset().union(*others)


def _runs(loop: network.Network) -> Iterator[tuple[Some, ...]]:
    """Yield what is turned in each way in which a run of hoses may lead; nothing if in none.

    A run goes on where one hose leads in and one out; an end in the sea tells its way.
    """
    left = dict(enumerate(loop.hoses))
    while left:
        run, ways = _run(loop, next(iter(left)))
        left = {one: hose for one, hose in left.items() if one not in run}
        yield tuple(frozenset(one for one in run if run[one] is not way) for way in ways)


def _run(loop: network.Network, first: int) -> tuple[dict[int, bool], set[bool]]:
    """Return which hoses of a run are turned, the first not, and whether that or the reverse is so.

    Of the two ways none is left where something has no other hose, or several.
    """
    run, ways, waiting = {first: False}, {False, True}, [first]
    while waiting:
        one = waiting.pop()
        hose = loop.hoses[one]
        if hose.row < 0:  # it stands nowhere, so it leads the right way
            ways.discard(not run[one])
        for name in (hose.from_, hose.to):
            thing, comes = loop.things.get(name), (hose.to == name) is not run[one]
            if thing is None:  # its name is misspelt, which is told
                ways = set()
            elif isinstance(thing, (Intake, Outlet)):
                ways.discard(comes is isinstance(thing, Outlet))
            elif thing.table not in BRANCHING:
                others = _others(loop, name, one)
                for other in others:
                    must = (loop.hoses[other].to == name) is comes
                    waiting += [] if other in run else [other]
                    ways &= {False, True} if run.setdefault(other, must) is must else set()
                ways &= {False, True} if len(others) == 1 else set()
    return run, ways


def _others(loop: network.Network, name: str, first: int) -> list[int]:
    """Return the numbers of the other hoses of a thing."""
    hoses = enumerate(loop.hoses)
    return [one for one, hose in hoses if name in (hose.from_, hose.to) and one != first]


def _with_swapped(loop: network.Network, some: Some) -> network.Network:
    hoses = tuple(_swapped(hose) if one in some else hose for one, hose in enumerate(loop.hoses))
    return replace(loop, hoses=hoses)


def _swapped(hose: Hose) -> Hose:
    return replace(hose, from_=hose.to, to=hose.from_)


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
