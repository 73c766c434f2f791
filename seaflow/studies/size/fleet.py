"""Size many cases one after another; one that cannot be used never stops the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.studies.design.judge import NO
from seaflow.studies.size.size import LoopSize, Sizing, size


@dataclass(frozen=True, slots=True)
class FleetRow:
    """One loop of one case in a summary, or the first problem of a case that cannot be used.

    Nothing is known of such a case: it has no grade.
    """

    file: str
    boat: str = ""
    loop: str = ""
    grade: str = ""
    pump: str = ""
    fitted: bool = False
    flow: float | None = measured("m3/s", None)
    flow_needed: float | None = measured("m3/s", None)
    head: float | None = measured("m", None)
    power: float | None = measured("W", None)
    margin: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    keeps_rise: float | None = measured("-", None)
    problem: Fact | None = None


@dataclass(frozen=True, slots=True)
class FleetResult:
    """One case of a fleet: its answer, or the problems that kept it from one."""

    file: str
    answer: Sizing | None
    problems: tuple[Problem, ...] = ()

    def rows(self) -> tuple[FleetRow, ...]:
        """Return one row per loop, or one with the first problem."""
        if self.answer is None:
            return (FleetRow(self.file, problem=_first(self.problems)),)
        return tuple(_row(self.file, self.answer, loop) for loop in self.answer.loops)


def size_fleet(
    files: Iterable[str], load: Callable[[str], Case], n_samples: int, seed: int
) -> Iterator[FleetResult]:
    """Yield the answer of every case in turn; `load` reads one."""
    for file in files:
        try:
            yield FleetResult(file, size(load(file), n_samples, seed))
        except SeaflowError as error:
            yield FleetResult(file, None, error.problems)


def _first(problems: tuple[Problem, ...]) -> Fact:
    first = problems[0]
    more = len(problems) - 1
    return fact("size.unusable", code=first.code, what=first.what, line=first.line, more=more)


def _row(file: str, answer: Sizing, loop: LoopSize) -> FleetRow:
    chosen = loop.chosen
    if chosen is None:
        return FleetRow(file, answer.boat, loop.name, NO, problem=fact("size.no_pump_fits"))
    margins = [unit.margin for unit in chosen.design.units if unit.margin is not None]
    sure = None if loop.certainty is None else loop.certainty.of(chosen.part.name)
    return FleetRow(
        file=file,
        boat=answer.boat,
        loop=loop.name,
        grade=loop.grade,
        pump=chosen.part.name,
        fitted=chosen.fitted,
        flow=chosen.design.flow,
        flow_needed=loop.flow_needed,
        head=chosen.design.head,
        power=chosen.running_power,
        margin=min(margins) if margins else None,
        keeps_running=None if sure is None else sure.keeps_running,
        keeps_rise=None if sure is None else sure.keeps_rise,
    )
