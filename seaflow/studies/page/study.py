"""Everything that the page of a boat tells: the answers to the other questions, and the runs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, TypeVar

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.studies.baseline.sheet import BaselineSheet, baseline
from seaflow.studies.design.at_rest import loops_in_use
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, DEFAULT_SEED
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.design.which_pump import USUAL, AskedPump, put_first
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.drawn import PackedBoats, drawn_boats
from seaflow.studies.diagnose.simulate import Setup
from seaflow.studies.diagnose.written import read_rows
from seaflow.studies.energy.study import Energy, energy
from seaflow.studies.page.run import RunOfLoop, loop_run
from seaflow.studies.place.study import PlacingAnswer, place
from seaflow.studies.size.curves import LoopCurves, boat_curves
from seaflow.studies.size.materials import LoopMaterials, boat_materials
from seaflow.studies.size.size import Sizing, size
from seaflow.studies.survey.findings import Survey, survey

_A = TypeVar("_A")
# In the order in which they are worked out.
PARTS = ("size", "curves", "materials", "place", "energy", "first_start", "survey", "runs")
# Of all boats of a page, up to two units and beyond.
DRAWN_BITS = {2: 1_350_000, 8: 3_800_000}
BITS, BITS_OF_OUTLET = 72, 38  # of one boat, about, and for each outlet on it
SHEAF = 512  # boats are drawn in such bundles
UNITS_WITH_OWNER = 4  # of more the owner's part is a page of its own, for one would be too heavy


@dataclass(frozen=True, slots=True)
class Lack:
    """A part of the page that the case cannot give, with what to add to it."""

    part: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Answers:
    """What other questions answer about the boat, each with the pump that `size` puts first.

    The survey is of the boat as she is. A part is None, or empty, where it is among the lacks.
    """

    size: Sizing
    curves: tuple[LoopCurves, ...]
    materials: tuple[LoopMaterials, ...]
    place: PlacingAnswer | None = None
    energy: Energy | None = None
    first_start: tuple[BaselineSheet, ...] = ()
    survey: Survey | None = None


@dataclass(frozen=True, slots=True)
class BoatPage:
    """What the page of a boat shows beside the answers to other questions, which are `asked`."""

    ALSO = ("grade",)

    boat: str
    asked: Answers
    runs: tuple[RunOfLoop, ...]
    lacks: tuple[Lack, ...]

    @property
    def grade(self) -> str:
        """That of the sizing."""
        return self.asked.size.grade

    def lacking(self, part: str) -> tuple[Problem, ...]:
        """Return what keeps a part from being shown."""
        return next((one.problems for one in self.lacks if one.part == part), ())


Tell = Callable[[], None]


def _unheard() -> None:
    """Tell nobody that a part is begun."""


def boat_page(
    case: Case,
    drawn: tuple[int, int] = (DEFAULT_SAMPLES, DEFAULT_SEED),
    tell: Tell = _unheard,
    as_told: Case | None = None,
) -> BoatPage:
    """Return everything that the page of a boat tells; `tell` is called as each part is begun.

    `as_told` is the boat read with its gaps where typical values fill them: those are calculated
    with, but nobody surveyed them.

    Raises
    ------
    SeaflowError
        If the boat cannot be sized.
    """
    tell()
    sized = size(case, *drawn)
    work = _Work(case, _with_chosen(case, sized), sized, tell, [], _judged(case, sized, drawn))
    answers = replace(
        work.of_size(),
        place=work.part("place", lambda: place(work.fitted), None),
        energy=work.part("energy", lambda: energy(work.fitted, asked=work.judged), None),
        first_start=work.part("first_start", work.sheets, ()),
        survey=work.part("survey", lambda: survey(as_told or case), None),
    )
    return BoatPage(case.boat.name, answers, work.part("runs", work.runs, ()), tuple(work.lacks))


def size_page(case: Case, sized: Sizing) -> BoatPage:
    """Return what a page tells of the answer of `size` alone."""
    work = _Work(case, case, sized, _unheard, [])
    return BoatPage(case.boat.name, work.of_size(), (), tuple(work.lacks))


def carries_owners_part(case: Case) -> bool:
    """Return whether the whole page of a boat has the owner's part, which else is one by itself."""
    return sum(len(found.units) for found in loops_in_use(case)) <= UNITS_WITH_OWNER


def owners_boats(
    case: Case, sized: Sizing | None = None, tell: Tell = _unheard
) -> tuple[PackedBoats, ...]:
    """Return for each loop the boats that an owner's readings are held to; `tell` hears of each.

    They have the pump fitted now; where none is, that put first if the boat is `sized`, or else
    what size recommends.

    Raises
    ------
    SeaflowError
        If no pump fits the supply.
    """
    known = case if sized is None else _with_chosen(case, sized, as_fitted=True)
    return packed_boats(owners_setups(known), tell)


def owners_setups(case: Case) -> tuple[Setup, ...]:
    """Return every loop of a boat with its pump and faults."""
    return tuple(setup_of(case, loop) for loop in loops_in_use(case))


def room_for(setups: Sequence[Setup]) -> int:
    """Return how many boats of each loop go on a page, which is carried and sent."""
    bits = sum(BITS + BITS_OF_OUTLET * len(setup.places.outlets) for setup in setups)
    units = sum(len(setup.places.units) for setup in setups)
    every = next(every for most, every in DRAWN_BITS.items() if units <= most)
    return every // bits // SHEAF * SHEAF


def packed_boats(setups: Sequence[Setup], tell: Tell = _unheard) -> tuple[PackedBoats, ...]:
    """Return as many boats of each loop as a page has room for."""
    found, room = [], room_for(setups)
    for setup in setups:
        tell()
        found.append(drawn_boats(setup, room))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Work:
    """The parts of one page as they are worked out, `fitted` has the pump put first.

    `judged` has that by loop as it was judged, if by the days that other questions ask of.
    """

    case: Case
    fitted: Case
    sized: Sizing
    tell: Tell
    lacks: list[Lack]
    judged: Mapping[str, AskedPump] = field(default_factory=dict)

    def part(self, name: str, ask: Callable[[], Any], nothing: Any) -> Any:
        """Return a part, or what stands for it where the case cannot give it."""
        self.tell()
        try:
            return ask()
        except SeaflowError as error:
            self.lacks.append(Lack(name, error.problems))
            return nothing

    def of_size(self) -> Answers:
        """Return what `size` answers, with its curves and its list of materials."""
        curves = self.part("curves", lambda: boat_curves(self.case, self.sized), ())
        materials = self.part("materials", lambda: boat_materials(self.case, self.sized), ())
        return Answers(self.sized, curves, materials)

    def runs(self) -> tuple[RunOfLoop, ...]:
        """Return the run of every loop that has a pump."""
        loops = {loop.name: loop.chosen for loop in self.sized.loops}
        return tuple(
            loop_run(self.case, found, chosen)
            for found in loops_in_use(self.case)
            if (chosen := loops[found.name]) is not None
        )

    def sheets(self) -> tuple[BaselineSheet, ...]:
        """Return the sheet of readings of every loop."""
        found = []
        for loop in loops_in_use(self.fitted):
            asked = self.judged.get(loop.name)
            setup = setup_of(self.fitted, loop, asked=asked)
            found.append(baseline(setup, read_rows({}, setup.places), asked=asked))
        return tuple(found)


def _judged(case: Case, sized: Sizing, drawn: tuple[int, int]) -> dict[str, AskedPump]:
    if Sampling(*drawn) != USUAL:
        return {}
    return {
        found.name: put_first(case.on_supply_of(found.pumps[0]), found)
        for found, loop in zip(loops_in_use(case), sized.loops, strict=True)
        if loop.chosen is not None
    }


def _with_chosen(case: Case, sized: Sizing, as_fitted: bool = False) -> Case:
    """Return the case in which every loop has, or else is recommended, the pump put first.

    With `as_fitted` a pump that is fitted stays.
    """
    chosen: dict[str, str] = {}
    for found, loop in zip(loops_in_use(case), sized.loops, strict=True):
        if loop.chosen is not None:
            chosen |= {
                spot.name: (spot.fitted if as_fitted else None) or loop.chosen.part.name
                for spot in found.pumps
            }
    if all(spot.fitted == chosen.get(spot.name, spot.fitted) for spot in case.pump):
        return case
    return _with_pumps(case, tuple(chosen.items()))


@lru_cache(1)  # the same boat again, so that what is known of it need not be worked out anew
def _with_pumps(case: Case, names: tuple[tuple[str, str], ...]) -> Case:
    chosen = dict(names)
    pumps = tuple(
        spot if spot.fitted in (None, chosen.get(spot.name)) else replace(spot, fitted=None)
        for spot in case.pump
    )
    pumps = case.pump if pumps == case.pump else pumps  # what is the same is known to be
    wanted = tuple(dict.fromkeys(chosen.values()))
    return replace(case, pump=pumps, design=replace(case.design, pumps=wanted))
