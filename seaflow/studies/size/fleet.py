"""Size many cases, in one process or several; one that cannot be used never stops the rest."""

from __future__ import annotations

import os
import signal
import warnings
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import active_children, get_context

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.base.problems import Problem, ProgramFault, SeaflowError, program_fault
from seaflow.base.ranges import RangeError, beyond
from seaflow.boat.case import Case
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.judge import NO
from seaflow.studies.size.size import LoopSize, Sizing, size

LEAST_EACH = 3  # cases for a process, below which its start costs more than it saves
MOST_JOBS = 60  # processes; Windows waits for no more than 61

Load = Callable[[str], Case]


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
    """What is kept of one case of a fleet; it has no grade where something kept it from one.

    That is its own problem, told in its row, or a `fault` of the program.
    """

    file: str
    rows: tuple[FleetRow, ...]
    grade: str = ""
    cautions: tuple[Caution, ...] = ()
    fault: ProgramFault | None = None


Results = Generator[FleetResult, None, None]


def size_fleet(
    files: Sequence[str], load: Load, sampling: tuple[int, int], jobs: int | None = None
) -> Results:
    """Yield the answer of every case in turn; `load` reads one.

    `jobs` processes share the cases, by default as many as pay; the answers do not depend on it.
    """
    if jobs is None:
        jobs = min(_cores(), len(files) // LEAST_EACH)
    jobs = min(jobs, len(files), MOST_JOBS)
    if jobs <= 1:
        return (size_one(file, load, sampling) for file in files)
    return _shared(files, load, sampling, jobs)


def size_one(file: str, load: Load, sampling: tuple[int, int]) -> FleetResult:
    """Return what is kept of one case; nothing that happens to it stops the others."""
    try:
        answer = size(load(file), *sampling)
    except SeaflowError as error:
        return FleetResult(file, (FleetRow(file, problem=_first(error.problems)),))
    except RangeError as error:
        return FleetResult(file, (FleetRow(file, problem=_first((beyond(error),))),))
    except Exception as error:
        return _faulty(file, program_fault(error))
    rows = tuple(_row(file, answer, loop) for loop in answer.loops)
    return FleetResult(file, rows, answer.grade, answer.cautions)


def _shared(files: Sequence[str], load: Load, sampling: tuple[int, int], jobs: int) -> Results:
    """Yield the answers in the order of the files while several processes work them out.

    They are spawned, the one way there is on every system.
    """
    pool = ProcessPoolExecutor(jobs, get_context("spawn"), _prepare)
    try:
        with _ignoring_interrupts():  # as what is started does from then on, even while it loads
            waiting = [pool.submit(size_one, file, load, sampling) for file in files]
        for file, one in zip(files, waiting, strict=True):
            try:
                yield one.result()
            except BrokenExecutor as error:  # a process was killed, for want of memory mostly
                yield _faulty(file, program_fault(error))
    except BaseException:  # interrupted, or nobody asks for the rest
        pool.shutdown(wait=False, cancel_futures=True)
        for process in active_children():
            process.terminate()
        raise
    pool.shutdown()


@contextmanager
def _ignoring_interrupts() -> Iterator[None]:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _prepare() -> None:
    """Leave an interrupt to the process that shares out the work, and be as quiet as it is."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    warnings.simplefilter("ignore", RuntimeWarning)


def _cores() -> int:
    """Return the number of cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _faulty(file: str, fault: ProgramFault) -> FleetResult:
    told = fact("size.fault_of_the_program", place=fault.place)
    return FleetResult(file, (FleetRow(file, problem=told),), fault=fault)


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
