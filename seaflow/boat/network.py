"""How the things of a case hang together: what feeds what, and which things form one loop."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from seaflow.base.bores import same_size
from seaflow.base.near import called
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Fitting, Hose, Intake, Pump, Seacock, Thing, Unit

Run = tuple[Hose, ...]  # in order of the water
PLAIN_TEES = ("tee", "flush_tee")  # joints where they feed nothing else and lose nothing


@dataclass(frozen=True)
class Network:
    """The things and hoses of one loop, by name of thing, and the numbers of rows of the case."""

    name: str
    things: dict[str, Thing]
    hoses: tuple[Hose, ...]
    numbers: Mapping[tuple[str, int], int] = field(default_factory=dict)

    def leaving(self, name: str) -> tuple[Hose, ...]:
        """Return the hoses that start at a thing."""
        return self._starting.get(name, ())

    def arriving(self, name: str) -> tuple[Hose, ...]:
        """Return the hoses that end at a thing."""
        return self._ending.get(name, ())

    @cached_property
    def _starting(self) -> dict[str, Run]:
        return _by_end(self.hoses, "from_")

    @cached_property
    def _ending(self) -> dict[str, Run]:
        return _by_end(self.hoses, "to")

    def of(self, kind: type[Thing]) -> tuple[Thing, ...]:
        """Return the things of one kind."""
        return tuple(thing for thing in self.things.values() if isinstance(thing, kind))

    @cached_property
    def pumps(self) -> tuple[Pump, ...]:
        """Its pump places."""
        return tuple(thing for thing in self.things.values() if isinstance(thing, Pump))

    @cached_property
    def labels(self) -> frozenset[str]:
        """What its hoses are called."""
        return frozenset(hose.label for hose in self.hoses)

    @cached_property
    def reached(self) -> dict[tuple[str, bool], frozenset[str]]:
        """What was found to be reached from a thing, against the water or with it."""
        return {}

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        """Its units."""
        return tuple(thing for thing in self.things.values() if isinstance(thing, Unit))

    @property
    def units_by_size(self) -> tuple[Unit, ...]:
        """Its units from small to large: an order that no name, place or unit in a file decides."""

        def size(unit: Unit) -> tuple[float, float, int]:
            return round(unit.cooling, 3), round(unit.level or 0.0, 6), self._number(unit)

        return tuple(sorted(self.units, key=size))

    @property
    def in_order(self) -> Network:
        """The same loop with things and hoses in an order that no file decides."""
        things = sorted(self.things.values(), key=lambda one: (self._number(one), one.table))
        hoses = sorted(self.hoses, key=lambda one: self.numbers.get(("hose", one.row), one.row))
        return replace(self, things={thing.name: thing for thing in things}, hoses=tuple(hoses))

    def _number(self, thing: Thing) -> int:
        return self.numbers.get((thing.table, thing.row), thing.row)


def _by_end(hoses: Run, end: str) -> dict[str, Run]:
    found: dict[str, Run] = {}
    for hose in hoses:
        name = getattr(hose, end)
        found[name] = (*found.get(name, ()), hose)
    return found


def carrier(name: str, seacocks: Iterable[Seacock]) -> str:
    """Return the thing a hose really ends at: a seacock stands for what it sits on."""
    return next((cock.on for cock in seacocks if cock.name == name), name)


def loops(case: Case) -> tuple[Network, ...]:
    """Return the loops of a case: each is a set of things joined by hoses.

    Hoses that name a seacock are tied to the intake or outlet it sits on.
    """
    things = {thing.name: thing for thing in case.things if not isinstance(thing, Seacock)}
    hoses = [_tied(hose, case.seacock) for hose in case.hose]
    groups: list[set[str]] = []
    for hose in hoses:
        touching = [group for group in groups if hose.from_ in group or hose.to in group]
        merged = {hose.from_, hose.to}.union(*touching)
        groups = [group for group in groups if group not in touching] + [merged]
    found = []
    order = list(things)
    for group in groups:
        members = {name: things[name] for name in sorted(group & set(things), key=order.index)}
        if not members:
            continue  # a hose between two things that are not there makes no loop
        inside = tuple(hose for hose in hoses if hose.from_ in group)
        found.append(Network(_name(members), members, inside, case.numbers))
    return tuple(sorted(found, key=lambda loop: min(order.index(name) for name in loop.things)))


def with_rows(case: Case, loop: Network) -> Network:
    """Return the same loop of a case that differs in numbers alone from the one it is of."""
    things = {name: getattr(case, one.table)[one.row] for name, one in loop.things.items()}
    hoses = tuple(_between(case.hose[hose.row], hose.from_, hose.to) for hose in loop.hoses)
    return replace(loop, things=things, hoses=hoses)


def _tied(hose: Hose, seacocks: tuple[Seacock, ...]) -> Hose:
    return _between(hose, carrier(hose.from_, seacocks), carrier(hose.to, seacocks))


def _between(hose: Hose, start: str, end: str) -> Hose:
    return hose if (start, end) == (hose.from_, hose.to) else _from_to(hose, start, end)


@lru_cache(2048)  # so that boats drawn of a case share the hoses that no draw moves
def _from_to(hose: Hose, start: str, end: str) -> Hose:
    values = {name: getattr(hose, name) for name in Hose.__dataclass_fields__}
    values["name"] = hose.label
    return Hose(**(values | {"from_": start, "to": end}))


def _name(things: dict[str, Thing]) -> str:
    for thing in things.values():
        if isinstance(thing, Intake):
            return thing.loop or thing.name
    return next(iter(things), "loop")


def runs_of(network: Network, hoses: Collection[Hose]) -> tuple[Run, ...]:
    """Return these hoses run by run: pieces of one bore and kind with plain joints are one run.

    A plain joint is a reducer, or a tee that feeds nothing else and loses nothing.

    A run is bought and laid as one hose, so it counts as one.
    """
    after: dict[int, Hose] = {}
    for hose in hoses:
        leaving = [other for other in network.leaving(hose.to) if other in hoses]
        meet = len(network.leaving(hose.to)) + len(network.arriving(hose.to))
        if meet == 2 and leaving and _joins(network.things.get(hose.to), hose, leaving[0]):
            after[hose.row] = leaving[0]
    joined = {hose.row for hose in after.values()}
    found = []
    for first in hoses:
        if first.row not in joined:
            run = [first]
            while run[-1].row in after:
                run.append(after[run[-1].row])
            found.append(tuple(run))
    return tuple(found)


def _joins(thing: Thing | None, before: Hose, after: Hose) -> bool:
    """Return whether a thing is a plain joint of two pieces of the same hose."""
    if not isinstance(thing, Fitting) or before.kind != after.kind:
        return False
    if thing.table != "reducer" and (thing.table not in PLAIN_TEES or thing.loss != 0.0):
        return False
    bores = (thing.bore, thing.second_bore or thing.bore, after.bore)
    return all(same_size(bore, before.bore) for bore in bores)


def upstream(loop: Network, name: str) -> frozenset[str]:
    """Return every thing whose water passes the thing `name` later."""
    return _reach(loop, name, against=True)


def downstream(loop: Network, name: str) -> frozenset[str]:
    """Return every thing that the water of the thing `name` passes later."""
    return _reach(loop, name, against=False)


def numbers_of(loop: Network) -> dict[str, int]:
    """Return the number of every thing of a loop, counted from 1 as the water comes to them.

    Where hoses join, all that lead there come first.
    """
    waits = {name: len(loop.arriving(name)) for name in loop.things}
    ready = [name for name in reversed(loop.things) if not waits[name]]
    found: dict[str, int] = {}
    while ready:
        name = ready.pop()
        found[name] = len(found) + 1
        for hose in reversed(loop.leaving(name)):
            waits[hose.to] -= 1
            if not waits[hose.to]:
                ready.append(hose.to)
    return found


def along_the_water(case: Case) -> tuple[str, ...]:
    """Return the names of things, seacocks and hoses as the water meets them, loop by loop.

    A branch is followed to its end before the next one.
    """
    found: dict[str, None] = {}
    for loop in loops(case):
        ahead = [intake.name for intake in reversed(loop.of(Intake))]
        while ahead:
            name = ahead.pop()
            if name in found:
                continue
            found[name] = None
            found.update((cock.name, None) for cock in case.seacock if cock.on == name)
            for hose in reversed(loop.leaving(name)):
                ahead += [hose.to, hose.label]
    return tuple(found)


def _reach(loop: Network, name: str, against: bool) -> frozenset[str]:
    """Return what can be reached from a thing; found once for each, for it is asked often."""
    known = loop.reached.get((name, against))
    if known is not None:
        return known
    found: set[str] = set()
    waiting = [name]
    while waiting:
        here = waiting.pop()
        hoses = loop.arriving(here) if against else loop.leaving(here)
        ahead = {hose.from_ if against else hose.to for hose in hoses} - found
        found |= ahead
        waiting.extend(ahead)
    return loop.reached.setdefault((name, against), frozenset(found))


def loop_called(
    case: Case,
    name: str | None,
    row: Mapping[str, object],
    ask: Callable[[tuple[Network, ...]], str | None] | None = None,
) -> Network:
    """Return the loop asked for, else the one whose things the readings name, else the only one.

    Where nothing says which of several, `ask` may name it.

    Raises
    ------
    SeaflowError
        If the boat has no such loop, or if it may be one of several.
    """
    found = {loop.name: loop for loop in loops(case)}
    if name is not None:
        meant = (name,) if name in found else called(name, found)
        if len(meant) == 1:
            return found[meant[0]]
        what = (
            f'"{name}" may be one of {len(meant)} loops'
            if meant
            else f'the boat has no loop "{name}"'
        )
        raise _not_told(what, [found[one] for one in meant or found])
    values = [item for key, value in row.items() if key != "note" for item in _items(value)]
    on = {thing: loop.name for loop in found.values() for thing in loop.things}
    for place in dict.fromkeys(text.rpartition("=")[0].strip() for text in values):
        its = tuple(dict.fromkeys(on[thing] for thing in called(place, on)))
        if len(its) > 1:
            raise _not_told(
                f'"{place}" may be on one of {len(its)} loops', [found[one] for one in its]
            )
        if its:
            return found[its[0]]
    if len(found) == 1:
        return next(iter(found.values()))
    told = None if ask is None else ask(tuple(found.values()))
    if told is None:
        what = f"the boat has {len(found)} loops, and nothing says which is meant"
        raise _not_told(what, found.values())
    return found[told]


def _not_told(what: str, found: Iterable[Network]) -> SeaflowError:
    why = "Each loop is read by itself."
    listed = ", ".join(
        f'"{loop.name}" ({", ".join(unit.name for unit in loop.units)})' for loop in found
    )
    write = f"Name one with --loop: {listed}."
    return SeaflowError([Problem("D02", what, why=why, write=write)])


def _items(value: object) -> list[str]:
    if isinstance(value, Mapping):
        return [f"{place}={text}" for place, text in value.items()]
    return [str(item) for item in value] if isinstance(value, list) else [str(value)]
