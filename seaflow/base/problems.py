"""What is wrong, where, why it matters and what to write instead; and what each code means."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from seaflow.base.shipped import pages
from seaflow.base.tables import read_table


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a case or a request, in the words of the boat.

    Problems of one code, file and `group` are one slip made several times.
    """

    code: str
    what: str
    why: str = ""
    write: str = ""
    file: str = ""
    line: int | None = None
    column: int | None = None
    length: int = 1
    warning: bool = False
    group: str = ""

    def __str__(self) -> str:
        """Return it on one line, as a trace of a script shows it."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return " ".join(
            filter(None, (self.code, place and f"{place}:", f"{self.what}.", self.write))
        )


class SeaflowError(Exception):
    """Input that cannot be used; carries every problem found, not only the first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


@dataclass(frozen=True, slots=True)
class ProgramFault:
    """A fault of the program itself: where it came up, and the trace that tells its authors."""

    place: str
    trace: str


def program_fault(error: Exception) -> ProgramFault:
    """Return what to report of an error that no input should bring about."""
    import traceback

    where = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{type(error).__name__}, {Path(where.filename).name} line {where.lineno}"
    return ProgramFault(place, "".join(traceback.format_exception(error)))


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a problem code means, what to do about it, and the exit code that follows."""

    code: str
    title: str
    meaning: str
    mend: str
    exit: int


def meanings(codes: Iterable[str] = ()) -> tuple[Meaning, ...]:
    """Return what these codes mean, or all codes if none is named; capitals do not matter.

    Raises
    ------
    SeaflowError
        With one problem for each code that there is not.
    """
    rows = read_table("problems.toml")
    asked = tuple(dict.fromkeys(code.strip().upper() for code in codes)) or tuple(rows)
    unknown = [_no_such_code(code, tuple(rows)) for code in asked if code not in rows]
    if unknown:
        raise SeaflowError(unknown)
    return tuple(Meaning(code, **rows[code]) for code in asked)


def _no_such_code(code: str, known: tuple[str, ...]) -> Problem:
    import difflib

    near = difflib.get_close_matches(code, known, n=3)
    near = near or difflib.get_close_matches(code.lower(), pages(), n=3)
    return Problem(
        "F14",
        f'there is neither a problem code nor a page of help "{code}"',
        why="A code is a letter and two digits; a page is called like a command or a subject.",
        write=f"Did you mean {', '.join(near)}?" if near else "All of them: seaflow explain",
    )
