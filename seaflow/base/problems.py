"""What is wrong, where, why it matters and what to write instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


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


class SeaflowError(Exception):
    """Input that cannot be used; carries every problem found, not only the first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("; ".join(problem.what for problem in self.problems))
