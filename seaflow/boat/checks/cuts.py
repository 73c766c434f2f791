"""Where a loop is cut for want of a hose: which things are not joined, and what to write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from seaflow.base.near import nearest
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.network import carrier
from seaflow.boat.tables.things import (
    Fitting,
    Hose,
    Intake,
    Outlet,
    Pump,
    Seacock,
    Strainer,
    Thing,
    Unit,
)

BRANCHING = ("tee", "manifold", "flush_tee")
_ALONG = (Intake, Strainer, Pump, Fitting, Unit, Outlet)  # as the water mostly meets them
_COMES = "What comes after it would run dry."
_GOES = "The water would stop there and not get back to the sea."


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """A hose that is missing, from one of `before` to one of `after`.

    Of one of the two there is a single thing, `loose`. `joined` are the two between which it may
    lie; with `lacks` the pump or unit that belongs there is in no piece.
    """

    before: tuple[Thing, ...]
    after: tuple[Thing, ...]
    loose: Thing
    joined: tuple[Thing, Thing]
    lacks: bool = False


class _Pieces:
    """Things by the piece of a loop that hoses join them to."""

    def __init__(self, things: Sequence[Thing], hoses: Sequence[tuple[str, str]]) -> None:
        self.of = {thing.name: thing.name for thing in things}
        for start, end in hoses:
            self.join(start, end)

    def join(self, one: str, other: str) -> None:
        """Let the pieces of two things be one."""
        mine, its = self.of[one], self.of[other]
        self.of |= {name: mine for name, piece in self.of.items() if piece == its}

    def apart(self, one: Thing, other: Thing) -> bool:
        """Return whether two things are in different pieces."""
        return self.of[one.name] != self.of[other.name]


def check_cuts(case: Case) -> Iterator[Problem]:
    """No hose may be missing between two pieces of what would be one loop."""
    for cut in cuts(case):
        if cut.lacks:  # which is asked for instead
            continue
        leaves = cut.loose in cut.before
        mine, its = ("from", "to") if leaves else ("to", "from")
        others = cut.after if leaves else cut.before
        what = f"no hose leads {mine} {called(cut.loose)}"
        what += f" {its} {called(others[0])}" if len(others) == 1 else ""
        named = " or ".join(f'"{thing.name}"' for thing in others)
        write = f'Add a [[hose]] with {mine} = "{cut.loose.name}" and {its} = {named}'
        yield case.text.problem(
            "S14" if leaves else "S11",
            (cut.loose.table, cut.loose.row, "name"),
            what,
            why=_GOES if leaves else _COMES,
            write=f"{write}{', whichever it is' if len(others) > 1 else ''}.",
        )


def joined_up(case: Case) -> Case:
    """Return the case with a hose over every cut, which has been told already."""
    missing = tuple(
        Hose(name="", from_=cut.joined[0].name, to=cut.joined[1].name, bore=0.0, length=0.0)
        for cut in cuts(case)
    )
    return replace(case, hose=(*case.hose, *missing)) if missing else case


def cuts(case: Case) -> tuple[Cut, ...]:
    """Return every cut; none where names do not tell what the hoses join.

    A name that is misspelt means the thing that it is most like.
    """
    things = [thing for thing in case.things if not isinstance(thing, Seacock)]
    hoses = _joined(case)
    names = [thing.name for thing in case.things]
    if not hoses or len(set(names)) < len(names) or not all(map(str.strip, names)):
        return ()
    pieces = _Pieces(things, hoses)
    leaving, arriving = {start for start, _ in hoses}, {end for _, end in hoses}
    ends = [one for one in things if not isinstance(one, Outlet) and one.name not in leaving]
    starts = [one for one in things if not isinstance(one, Intake) and one.name not in arriving]
    whole = _Pieces(things, hoses)
    found: list[Cut] = []
    for end in sorted(ends, key=_rank):
        after = _next(end, [start for start in starts if pieces.apart(end, start)])
        fed = {cut.joined[1].name for cut in found}
        free = [one for one in after if one.name not in fed and whole.apart(end, one)]
        if free:
            found.append(Cut((end,), after, end, (end, free[0])))
            whole.join(end.name, free[0].name)
    fed = {cut.joined[1].name for cut in found}
    for start in (start for start in starts if start.name not in fed):
        before = _feeders(things, start, whole, hoses)
        if before:
            found.append(Cut(before, (start,), start, (before[0], start)))
            whole.join(before[0].name, start.name)
    return tuple(replace(cut, lacks=_lacks(things, cut, whole)) for cut in found)


def _lacks(things: Sequence[Thing], cut: Cut, whole: _Pieces) -> bool:
    before, after = map(_rank, cut.joined)
    mine = [thing for thing in things if not whole.apart(thing, cut.loose)]
    return any(
        before < _ALONG.index(kind) < after and not any(isinstance(one, kind) for one in mine)
        for kind in (Pump, Unit)
    )


def _joined(case: Case) -> list[tuple[str, str]]:
    """Return the names of the things that each hose joins; none if one cannot be told."""
    known = [thing.name for thing in case.things]
    found = []
    for hose in case.hose:
        ends = [end if end in known else nearest(end, known) for end in (hose.from_, hose.to)]
        carried = [carrier(end, case.seacock) for end in ends if end is not None]
        if len(carried) < 2 or any(end not in known for end in carried):
            return []
        found.append((carried[0], carried[1]))
    return found


def _next(end: Thing, starts: Sequence[Thing]) -> tuple[Thing, ...]:
    """Return to which of these a hose from `end` most likely leads; all where that is open."""
    if any(isinstance(one, Fitting) for one in (end, *starts)):
        return tuple(starts)
    ahead = [start for start in starts if _rank(start) > _rank(end)]
    least = min(map(_rank, ahead), default=None)
    return tuple(start for start in ahead if _rank(start) == least) or tuple(starts)


def _rank(thing: Thing) -> int:
    return next(rank for rank, kind in enumerate(_ALONG) if isinstance(thing, kind))


def _feeders(
    things: Sequence[Thing], start: Thing, whole: _Pieces, hoses: Sequence[tuple[str, str]]
) -> tuple[Thing, ...]:
    """Return where a branch may part from the water of a pump; none of a loop of its own."""
    mine = [thing for thing in things if not whole.apart(thing, start)]
    if any(isinstance(thing, (Intake, Pump)) for thing in mine):
        return ()
    used = _behind([thing.name for thing in things if isinstance(thing, Unit)], hoses)
    cools = any(isinstance(thing, Unit) for thing in mine)
    return tuple(
        thing
        for thing in things
        if thing.table in BRANCHING
        and whole.apart(thing, start)
        and any(isinstance(one, Pump) and not whole.apart(one, thing) for one in things)
        and not (cools and thing.name in used)
    )


def _behind(names: list[str], hoses: Sequence[tuple[str, str]]) -> set[str]:
    """Return everything to which water of these things goes on."""
    found: set[str] = set()
    while names:
        start = names.pop()
        ahead = {end for begin, end in hoses if begin == start} - found
        found |= ahead
        names += ahead
    return found


def called(thing: Thing) -> str:
    """Return what a thing is called: its kind in words, and its name."""
    return f'the {thing.table.replace("_", " ")} "{thing.name}"'
