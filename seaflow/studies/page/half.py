"""A boat that lacks what every calculation needs: what is recorded of her, and what to add."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Hose, Thing
from seaflow.studies.design.judge import TIGHT
from seaflow.studies.page.run import RunOfLoop
from seaflow.studies.page.study import Lack
from seaflow.studies.survey.findings import Survey, survey


@dataclass(frozen=True, slots=True)
class Onward:
    """A hose onward: the number of the thing it leads to, and what is recorded of it."""

    to: int
    length: float | None = measured("m")
    bore: float | None = measured("m")


@dataclass(frozen=True, slots=True)
class RecordedThing:
    """A thing of a loop by its number, with what is recorded of its place and its hoses onward."""

    number: int
    name: str
    hoses: tuple[Onward, ...]
    height: float | None = measured("m")


@dataclass(frozen=True, slots=True)
class ToldSoFar:
    """The survey of a half-known boat, and her loops as recorded, by name."""

    survey: Survey
    loops: tuple[tuple[str, tuple[RecordedThing, ...]], ...]


@dataclass(frozen=True, slots=True)
class HalfKnown:
    """The page of a boat of which too little is told to calculate anything; `lacks` ask for it."""

    ALSO = ("grade",)

    boat: str
    asked: ToldSoFar
    lacks: tuple[Lack, ...]
    runs: tuple[RunOfLoop, ...] = ()

    @property
    def grade(self) -> str:
        """Neither yes nor no: that is not seen yet."""
        return TIGHT


def half_known(case: Case, problems: tuple[Problem, ...]) -> HalfKnown:
    """Return what can be told of a case that was read with its gaps; `problems` ask for them."""
    open_ = {(gap.path, key) for gap in case.gaps for key in gap.keys}

    def height(thing: Thing) -> float | None:
        return None if ((thing.table, thing.row), "height") in open_ else thing.level

    def onward(hose: Hose, numbers: dict[str, int]) -> Onward:
        row = ("hose", hose.row)
        length = None if (row, "length") in open_ else hose.length
        return Onward(numbers[hose.to], length, None if (row, "bore") in open_ else hose.bore)

    loops = []
    for loop in network.loops(case):
        numbers = network.numbers_of(loop)
        things = tuple(
            RecordedThing(
                number,
                name,
                tuple(onward(hose, numbers) for hose in loop.leaving(name)),
                height(loop.things[name]),
            )
            for name, number in numbers.items()
        )
        loops.append((loop.name, things))
    known = ToldSoFar(survey(case), tuple(loops))
    return HalfKnown(case.boat.name, known, (Lack("size", problems),))
