"""The notes taken while one file is read."""

from __future__ import annotations

from dataclasses import dataclass, field

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.defaults import Assumption
from seaflow.boat.reader.bounds import MOST_PROBLEMS
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.reader.words import key_of, place_of


@dataclass
class Reading:
    """The notes taken while one file is read: its problems and the defaults it needed.

    `questions` are remarks on values that can be used and are hard to believe. `spreads` are half
    widths; `typical` tells the values that stand for what nobody looked at. `tables` are those of
    the file that there is one of, by the keys that no other of them has; `misplaced` are paths of
    which the key stands under another table. `heads` are the heads of all tables, such as
    "[[pump]]", by their names. With `unread` a whole table could not be understood.
    """

    text: CaseText
    problems: list[Problem] = field(default_factory=list)
    questions: list[Problem] = field(default_factory=list)
    names: dict[Path, str] = field(default_factory=dict)
    assumptions: list[Assumption] = field(default_factory=list)
    spreads: dict[Path, float] = field(default_factory=dict)
    typical: set[Path] = field(default_factory=set)
    tables: dict[str, str] = field(default_factory=dict)
    misplaced: frozenset[Path] = frozenset()
    heads: dict[str, str] = field(default_factory=dict)
    unread: bool = False

    def note(self, code: str, path: Path, what: str, **rest: str) -> None:
        """Take down one problem.

        Raises
        ------
        SeaflowError
            With all of them, if there are so many that the rest is not looked for.
        """
        self.problems.append(self.text.problem(code, path, what, **rest))
        if len(self.problems) >= MOST_PROBLEMS:
            raise SeaflowError(self.problems)

    def at_key(self, code: str, path: Path, fault: str, **rest: str) -> None:
        """Take down one problem with the value of a key, which `fault` begins with."""
        self.note(code, path, f"{self.place(path)}: {fault}", group=key_of(path), **rest)

    def place(self, path: Path) -> str:
        """Return the thing whose key is at `path`."""
        while path and isinstance(path[-1], int):
            path = path[:-1]
        return place_of(path[:-1], self.names)
