"""Whole boats drawn from what is typical: in how many of them a pump keeps what it must.

What is typical of a boat moves more than flows: whether the pump lies under water, on a tack too,
whether air stays in a run, what its suction is. No array goes through that, so whole cases are
drawn and each is judged as if it were known. Only pumps that come first are asked, best first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import islice

import numpy as np

from seaflow.base.alike import Alike, alike, the_same
from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case, Design
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.paths import thing_at
from seaflow.boat.reader.text import Path
from seaflow.model.build import Built, built_like, built_with_any
from seaflow.studies.design.certainty.by_path import (
    drawn_case,
    drawn_paths,
    drawn_values,
    enters_a_loop,
    spread_of,
)
from seaflow.studies.design.certainty.find_out import FindOut, words_of
from seaflow.studies.design.certainty.sample import explained_share, moved_by
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.choose import Boat, Ranked, in_order, tried
from seaflow.studies.design.judge import NO, TIGHT, YES, Judgement, Ruling
from seaflow.studies.design.kinds import AIMED
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import needs_each

N_BOATS = 32
FEW = 8  # of them, asked at once where a few may decide; of the heaviest boats there are no more
# Units times places, beyond which half as many are drawn, and beyond which but a few; so many units
# more make as much work as a place, for each boat drawn has them all. Our assumption, as measured.
MANY, VERY_MANY, UNITS_OF_A_PLACE = 50, 75, 4
CASES = 8  # whose boats are run in one call: enough to pay for it, few enough to hold
MOST_KEPT = 2  # cases whose boats are kept: several pumps are asked of them, and to heat too
MOST_ASKED = 3  # pumps: if the first three are held back it is not the pump that decides
HALF = 0.5
N_BINS = 4  # of the boats by one value: too high and too low may both hold a pump back
LEAST_OF_CHANCE = 0.1  # of the variance; with so few boats chance makes as much of one in ten
OF_A_PLACE = ("height", "starboard", "aft")


@dataclass(frozen=True, slots=True, eq=False)
class DrawnBoats:
    """Boats drawn of a case: the values of each by path, and what holds a pump back in each.

    `rulings` has one for each boat, None where the pump keeps all it must.
    """

    values: Mapping[Path, Array]
    rulings: tuple[Ruling | None, ...]

    def share(self, *grades: str) -> float:
        """Return the share of boats in which what decides is of these grades."""
        held = [one is not None and one.grade in grades for one in self.rulings]
        return float(np.mean(held))

    @property
    def held_back(self) -> Truths:
        """The boats in which the pump is no plain yes."""
        return np.asarray([one is not None for one in self.rulings])


Candidates = tuple[Case, tuple[Ranked, ...]]


def over_boats_each(items: Sequence[Candidates], seed: int) -> list[tuple[Ranked, ...]]:
    """Return the candidates of each of several cases in order of what drawn boats leave of them."""
    firsts = _with_first(items, seed)
    return [over_boats(*item, seed, first) for item, first in zip(items, firsts, strict=True)]


def over_boats(
    case: Case, order: tuple[Ranked, ...], seed: int, known: DrawnBoats | None = None
) -> tuple[Ranked, ...]:
    """Return candidates in order of what drawn boats leave of them.

    Nothing is drawn of a boat of which nothing is typical. `known` are those with the first pump.
    """
    asked: set[str] = set()
    if not order or not _any_drawn(case):
        return order
    while len(asked) < MOST_ASKED and (name := order[0].result.part.name) not in asked:
        boats, known = known or drawn_boats(case, *_pump(order[0]), seed), None
        first = _held(order[0], boats)
        held_often = float(boats.held_back.mean()) > 1.0 - limit("likely_enough")
        places = finds_of(case, boats) if held_often else ()
        rest = (one for one in first.unseen if one.path not in {place.path for place in places})
        order = in_order((replace(first, unseen=(*places, *rest)), *order[1:]))
        asked.add(name)
    return order


def _with_first(items: Sequence[Candidates], seed: int) -> Iterator[DrawnBoats | None]:
    """Yield the boats of each case with its first pump, those of a few cases run at once."""
    for start in range(0, len(items), CASES):
        some = items[start : start + CASES]
        boats = [
            _boats(case, _pump(order[0])[0], seed) if order and _any_drawn(case) else None
            for case, order in some
        ]
        asked = [
            (boat, order[0].result.part)
            for one, (_, order) in zip(boats, some, strict=True)
            if one is not None
            for boat in one.every
        ]
        rulings = _decide(asked)
        for one in boats:
            yield DrawnBoats(one.values, tuple(islice(rulings, one.count))) if one else None


def _pump(item: Ranked) -> tuple[str, PumpPart]:
    return item.built.network.name, item.result.part


def drawn_boats(case: Case, loop: str, part: PumpPart, seed: int) -> DrawnBoats:
    """Return what holds a pump back in each of the boats drawn of a case."""
    boats = the_same(case, ("partition", "design")), alike(case.design, ("pumps",))
    return _drawn_boats(boats, loop, part, seed)


@lru_cache(MOST_KEPT * MOST_ASKED)
def _drawn_boats(
    boats: tuple[Alike[Case], Alike[Design]], loop: str, part: PumpPart, seed: int
) -> DrawnBoats:
    case = boats[0].record
    return on_boats(case, loop, lambda some: _decide([(boat, part) for boat in some]), seed)


def on_boats(
    case: Case, loop: str, decide: Callable[[Sequence[Boat]], Iterable[Ruling | None]], seed: int
) -> DrawnBoats:
    """Return boats drawn of a case with what decides against each, by what enters a loop."""
    boats = _boats(case, loop, seed)
    return DrawnBoats(boats.values, tuple(decide(boats.every)))


def some_boats(case: Case, loop: str, seed: int) -> list[Boat]:
    """Return a few boats drawn of a case, each with her loop; none if nothing of it is typical."""
    if not _any_drawn(case):
        return []
    boats = _boats(the_same(case, ("partition", "design")).record, loop, seed)
    return boats.some(range(min(FEW, boats.count)))


def leaves_one_of(grades: Sequence[str], case: Case, loop: str, part: PumpPart, seed: int) -> bool:
    """Return whether the boats drawn may leave a pump one of these grades, the best ones.

    A few after a few are asked, until so many hold it back that no others could help it.
    """
    if not _any_drawn(case) or NO in grades:
        return True
    against = (NO, TIGHT) if TIGHT not in grades else (NO,)
    boats, held = _boats(case, loop, seed), 0
    allowed = boats.count * (HALF if TIGHT in grades else 1.0 - limit("likely_enough"))
    for first in range(0, boats.count, FEW):
        some = [(boat, part) for boat in boats.some(range(first, min(first + FEW, boats.count)))]
        held += sum(one is not None and one.grade in against for one in _decide(some))
        if held > allowed:
            return False
    return True


def n_boats(case: Case) -> int:
    """Return how many boats are drawn of a case: fewer where each takes long, in all commands."""
    units, places = len(case.unit), max(len(case.pump_place), 1) * max(len(case.intake_place), 1)
    size = units * (places + units / UNITS_OF_A_PLACE)
    return N_BOATS if size <= MANY else N_BOATS // 2 if size <= VERY_MANY else min(FEW, N_BOATS)


def _any_drawn(case: Case) -> bool:
    return any(enters_a_loop(path) for path in drawn_paths(case))


@dataclass(frozen=True, slots=True, eq=False)
class _Boats:
    """Boats drawn of a case by their values, each made when it is asked for."""

    case: Case
    built: Built
    count: int
    values: Mapping[Path, Array]
    made: dict[int, Boat] = field(default_factory=dict)

    @property
    def every(self) -> list[Boat]:
        """All of them."""
        return self.some(range(self.count))

    def some(self, rows: range) -> list[Boat]:
        """Return some of the boats, each with a loop of hers and what that needs."""
        new = [row for row in rows if row not in self.made]
        boats = [drawn_case(self.case, self.values, row) for row in new]
        loops = [built_like(boat, self.case, self.built) for boat in boats]
        needs = needs_each(list(zip(boats, loops, strict=True)))
        named = [{need.name: need for need in mine} for mine in needs]
        self.made.update(zip(new, zip(boats, loops, named, strict=True), strict=True))
        return [self.made[row] for row in rows]


@lru_cache(MOST_KEPT)
def _boats(case: Case, loop: str, seed: int) -> _Boats:
    count = n_boats(case)
    every = drawn_values(case, count, seed)
    values = {path: row for path, row in every.items() if enters_a_loop(path)}
    return _Boats(case, built_with_any(case, network_named(case, loop)), count, values)


def _decide(pumps: Sequence[tuple[Boat, PumpPart]]) -> Iterator[Ruling | None]:
    """Yield what decides against each pump in its boat, by what it must keep alone."""
    for item in tried(pumps, with_speeds=False):
        judged = _musts(item.result.judgement)
        yield judged.deciding if judged.grade != YES else None


def _musts(judged: Judgement) -> Judgement:
    kept = tuple(one for one in judged.rulings if one.said.kind not in AIMED)
    return replace(judged, rulings=kept)


def _held(item: Ranked, boats: DrawnBoats) -> Ranked:
    judged = held_by(item.result.judgement, boats)
    return replace(item, result=replace(item.result, judgement=judged))


def held_by(judged: Judgement, boats: DrawnBoats) -> Judgement:
    """Return a judgement with what too many of the boats drawn hold against the pump."""
    allowed = 1.0 - limit("likely_enough")
    judged = replace(judged, drawn_boats=len(boats.rulings))
    if boats.share(NO, TIGHT) <= allowed:
        return judged
    grade = NO if boats.share(NO) > HALF else TIGHT
    grades = (NO,) if boats.share(NO) > allowed else (NO, TIGHT)
    mine = [one for one in boats.rulings if one is not None and one.grade in grades]
    kind = Counter(one.said.kind for one in mine).most_common(1)[0][0]
    if any(one.said.kind == kind and one.grade in (NO, grade) for one in judged.rulings):
        return judged
    alike = [one for one in mine if one.said.kind == kind]
    told = {"boats": len(alike), "of": len(boats.rulings), "such_as": alike[0].said}
    ruling = Ruling(grade, fact("design.in_such_boats", **told))
    return replace(judged, rulings=(*judged.rulings, ruling))


def finds_of(case: Case, boats: DrawnBoats) -> tuple[FindOut, ...]:
    """Return the values that decide in which of the boats a pump is held back, best first.

    Only places of things that are named by what holds it back.
    """
    named = {name for one in boats.rulings if one is not None for name in _names_in(one.said)}
    held = boats.held_back.astype(float)
    if held.min() == held.max():
        return ()
    found = []
    for path, row in boats.values.items():
        shares = (np.argsort(np.argsort(row)) + 0.5) / row.size
        explains = explained_share(shares, held, N_BINS)
        concerned = path[-1] in OF_A_PLACE and thing_at(case, path) in named
        if concerned and path in case.typical and explains >= LEAST_OF_CHANCE:
            found.append(_find(case, path, (shares, held), explains))
    return tuple(sorted(found, key=lambda one: one.rank))


def _names_in(said: Fact) -> Iterator[str]:
    for _, value in said.values:
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, Fact):
                yield from _names_in(one)
            elif isinstance(one, str):
                yield one


def _find(case: Case, path: Path, drawn: tuple[Array, Array], explains: float) -> FindOut:
    about, (low, high) = spread_of(case, path), moved_by(*drawn)
    return FindOut(
        what=about.meaning,
        how=about.measure,
        source=about.source,
        of_chance=explains,
        of_flow=0.0,
        enough=(1.0 - low, 1.0 - high),
        path=words_of(path),
    )
