"""Ask a question of many cases, in one process or several; a bad one never stops the rest."""

from __future__ import annotations

import os
import signal
import warnings
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import active_children, get_context

from seaflow.base.facts import Fact, fact
from seaflow.base.problems import Problem, ProgramFault, SeaflowError, program_fault
from seaflow.base.ranges import RangeError, beyond
from seaflow.boat.case import Case
from seaflow.studies.design.cautions import Caution

LEAST_EACH = 3  # cases for a process, below which its start costs more than it saves
MOST_JOBS = 60  # processes; Windows waits for no more than 61


@dataclass(frozen=True, slots=True, kw_only=True)
class FleetRow:
    """One loop of one case in a summary, or the first problem of a case that cannot be used.

    Nothing is known of such a case: it has no grade. Nor has a loop at rest, whose problem that is.
    Each question adds what it tells of a loop. `content` changes with whatever was read of the
    case.
    """

    file: str
    boat: str = ""
    loop: str = ""
    grade: str = ""
    content: str = ""
    problem: Fact | None = None


@dataclass(frozen=True, slots=True)
class BoatRows:
    """What is kept of the answer for one case."""

    rows: tuple[FleetRow, ...]
    grade: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class FleetQuestion:
    """A question asked of many cases: what its rows tell, and what gives them.

    `ask` and `load` go to other processes, so they are functions of modules, or parts of such.
    `draws` tells how many days are simulated with which seed, as the rows tell it; rows of other
    days are rows of another question. `content` gives what changes with whatever `load` reads.
    """

    row: type[FleetRow]
    ask: Callable[[str, Case], BoatRows]
    load: Callable[[str], Case]
    draws: str = ""
    content: Callable[[str], str] = str


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


def with_rest(found: BoatRows, row: type[FleetRow], at_rest: Sequence[Fact]) -> BoatRows:
    """Return rows with one more for each loop that the answer leaves out, as it is at rest."""
    file, boat = found.rows[0].file, found.rows[0].boat
    told = (row(file=file, boat=boat, loop=str(said["loop"]), problem=said) for said in at_rest)
    return replace(found, rows=(*found.rows, *told))


def draws_of(sampling: tuple[int, int]) -> str:
    """Return which days are simulated as the rows of a summary tell it."""
    days, seed = sampling
    return f"{days} days, seed {seed}"


Results = Generator[FleetResult, None, None]


def ask_fleet(files: Sequence[str], question: FleetQuestion, jobs: int | None = None) -> Results:
    """Yield the answer of every case in turn.

    `jobs` processes share the cases, by default as many as pay; the answers do not depend on it.
    """
    if jobs is None:
        jobs = min(_cores(), len(files) // LEAST_EACH)
    jobs = min(jobs, len(files), MOST_JOBS)
    if jobs <= 1:
        return (ask_one(file, question) for file in files)
    return _shared(files, question, jobs)


def ask_one(file: str, question: FleetQuestion) -> FleetResult:
    """Return what is kept of one case; nothing that happens to it stops the others."""
    content = question.content(file)  # first: of a case edited meanwhile the rows count as old
    try:
        kept = question.ask(file, question.load(file))
    except SeaflowError as error:
        return FleetResult(file, (question.row(file=file, problem=_first(error.problems)),))
    except RangeError as error:
        return FleetResult(file, (question.row(file=file, problem=_first((beyond(error),))),))
    except Exception as error:
        return _faulty(file, question, program_fault(error))
    rows = tuple(replace(row, content=content) for row in kept.rows)
    return FleetResult(file, rows, kept.grade, kept.cautions)


def _shared(files: Sequence[str], question: FleetQuestion, jobs: int) -> Results:
    """Yield the answers in the order of the files while several processes work them out.

    They are spawned, the one way there is on every system.
    """
    pool = ProcessPoolExecutor(jobs, get_context("spawn"), _prepare)
    try:
        with _ignoring_interrupts():  # as what is started does from then on, even while it loads
            waiting = [pool.submit(ask_one, file, question) for file in files]
        for file, one in zip(files, waiting, strict=True):
            try:
                yield one.result()
            except BrokenExecutor as error:  # a process was killed, for want of memory mostly
                yield _faulty(file, question, program_fault(error))
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


def _faulty(file: str, question: FleetQuestion, fault: ProgramFault) -> FleetResult:
    told = fact("design.fault_of_the_program", place=fault.place)
    return FleetResult(file, (question.row(file=file, problem=told),), fault=fault)


def _first(problems: tuple[Problem, ...]) -> Fact:
    first = next((one for one in problems if not one.warning), problems[0])
    more = sum(not one.warning for one in problems if one is not first)
    return fact("design.unusable", code=first.code, what=first.what, line=first.line, more=more)
