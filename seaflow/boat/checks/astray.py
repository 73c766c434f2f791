"""A hose of which one end has the name of the wrong thing, so that another thing goes without."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.checks.cuts import BRANCHING, called, check_cuts, joined_up
from seaflow.boat.checks.names import bearing_another
from seaflow.boat.checks.ways import WAYS
from seaflow.boat.tables.things import Hose, Intake, Outlet, Seacock, Thing

MOST_TRIED = 200  # ends and things together
LEAST_HOSES = 3  # of a tee or a manifold
_VERBS = {"from": "start", "to": "end"}


@dataclass(frozen=True, slots=True, eq=False)
class AtWrongThing:
    """One end of a hose, `at` the wrong thing, and the thing that `lacks` it.

    `crowded` is the number of hoses that lead to, or from, the wrong thing; `mended` is the case
    with the hose led right, and `others` are the hoses of which one may be meant as well.
    """

    hose: Hose
    key: str  # "from" or "to"
    at: Thing
    lacks: Thing
    crowded: int
    mended: Case
    others: tuple[Hose, ...] = ()


def astray(case: Case) -> AtWrongThing | None:
    """Return the one end of a hose that is at the wrong thing; None where that is not clear.

    Led to the thing that goes without it leaves no fault of those it is part of, and loops apart
    where it can. Of several hoses alike it is the last, as one that was copied.
    """
    before = _faults(case) if case.hose and not bearing_another(case) else frozenset()
    left: list[tuple[tuple[int, int], AtWrongThing]] = []
    for number, one in enumerate(_moves(case) if before else ()):
        if number == MOST_TRIED:
            return None
        after = _faults(one.mended)
        if after <= before and (not after or len(after) < len(before) - 1):
            left.append(((len(after), -len(network.loops(one.mended))), one))
    least = min((rank for rank, _ in left), default=None)
    found = [one for rank, one in left if rank == least]
    if len({(one.key, one.at.name, one.lacks.name) for one in found}) != 1:
        return None
    *others, best = found
    alike = (best.hose.from_, best.hose.to)
    hoses = (one.hose for one in others if (one.hose.from_, one.hose.to) != alike)
    return replace(best, others=tuple(hoses))


def told_astray(case: Case, found: AtWrongThing) -> Problem:
    """Return the problem of a hose that is led to the wrong thing."""
    hose, key, leads = found.hose, found.key, f"lead {found.key}"
    wrong, lacks = called(found.at), f"none leads {key} {called(found.lacks)}"
    if found.lacks.table in BRANCHING:
        lacks = f"at {called(found.lacks)} water neither parts nor joins"
    why = f"{found.crowded} hoses {leads} {wrong}, and {lacks}."
    mend = f'{key} = "{found.lacks.name}"'
    write = f"Write {mend} if that is where it {_VERBS[key]}s."
    if found.at.table in BRANCHING:
        why = f"The water would go round in a circle, and {lacks}."
    elif found.crowded == 1:
        why = f"No hose can {leads} {wrong}, and {lacks}."
    for other in found.others:
        line = case.text.line(("hose", other.row))
        write += f' Or write it for the hose from "{other.from_}" to "{other.to}" (line {line}).'
    if found.crowded > 1 and found.at.table not in BRANCHING:
        write += " If all these hoses are there, add the [[tee]] where they meet."
    return case.text.problem(
        "S66",
        ("hose", hose.row, key),
        f'the hose from "{hose.from_}" to "{hose.to}" seems to {_VERBS[key]} at the wrong thing',
        why=why,
        write=write,
    )


def _faults(case: Case) -> frozenset[tuple[str, int | None]]:
    checks: tuple[Callable[[Case], Iterator[Problem]], ...] = WAYS
    told = [*check_cuts(case), *(one for check in checks for one in check(joined_up(case)))]
    return frozenset((one.code, one.line) for one in told)


def _moves(case: Case) -> Iterator[AtWrongThing]:
    """Yield every change of an end that is one too many to a thing that goes without."""
    loops = network.loops(case)
    things = [one for one in case.things if not isinstance(one, Seacock)]
    ends = {"from": (network.Network.leaving, Outlet), "to": (network.Network.arriving, Intake)}
    for key, (at, never) in ends.items():
        without = [
            thing
            for thing in things
            if not isinstance(thing, never)
            and (not any(at(loop, thing.name) for loop in loops) or _parts_nothing(thing, loops))
        ]
        for its, hose in ((loop, hose) for loop in loops for hose in loop.hoses):
            thing = its.things.get(hose.to if key == "to" else hose.from_)
            crowded = len(at(its, thing.name)) if thing is not None else 0
            if thing is None or not _one_too_many(its, hose, thing, isinstance(thing, never)):
                continue
            for lacks in without:
                if lacks.name not in (hose.from_, hose.to):
                    mended = _moved(case, hose, key, lacks)
                    yield AtWrongThing(case.hose[hose.row], key, thing, lacks, crowded, mended)


def _parts_nothing(thing: Thing, loops: Sequence[network.Network]) -> bool:
    """Return whether a thing is made for water to part or join and does neither."""
    hoses = (hose for loop in loops for hose in loop.hoses if thing.name in (hose.from_, hose.to))
    return thing.table in BRANCHING and len(list(hoses)) < LEAST_HOSES


def _one_too_many(loop: network.Network, hose: Hose, thing: Thing, never: bool) -> bool:
    """Return whether a hose at a thing is one too many; `never` if none may be on that side."""
    if thing.table in BRANCHING:
        return hose.from_ in network.downstream(loop, hose.to)
    beside = loop.arriving(thing.name) if hose.to == thing.name else loop.leaving(thing.name)
    return never or len(beside) > 1


def _moved(case: Case, hose: Hose, key: str, lacks: Thing) -> Case:
    written = case.hose[hose.row]
    led = replace(written, to=lacks.name) if key == "to" else replace(written, from_=lacks.name)
    rows = enumerate(case.hose)
    return replace(case, hose=tuple(led if row == hose.row else one for row, one in rows))
