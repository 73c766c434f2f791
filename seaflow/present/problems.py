"""Problems as text: code, place, line with a caret, why, what to write; and what codes mean."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Sequence
from functools import cache

from seaflow.base.problems import Meaning, Problem
from seaflow.boat.reader.bounds import MOST_PROBLEMS, shown
from seaflow.boat.reader.text import LARGEST_FILE, decoded
from seaflow.present.layout import bullet, folded, labelled, table, width

MOST_CODES = 4  # that the last line names
NOTHING = "Nothing is calculated, and the exit code is 2."
UNWRITTEN = "W03"  # said at the end, when what was to be written had been calculated
NOT_KEPT = "No file is written or changed, and the exit code is 2."
AHEAD = "It is a warning: the calculation goes ahead, and the exit code stays as it is."
MARGIN = 8  # before a line of the file: its number and a bar


def problems_text(problems: Sequence[Problem], beside_answer: bool = False) -> str:
    """Return all problems as text, each slip once, with a count at the end.

    `beside_answer` says that they kept nothing from being calculated and shown.
    """
    read = cache(_lines_of)  # each file once
    blocks = ["\n".join(_one(group, read)) for group in _grouped(problems)]
    count = _count(problems, "" if beside_answer else _undone(problems))
    return "\n\n".join([*blocks, f"{folded(count)}\n{folded(_more(problems))}"])


def _undone(problems: Sequence[Problem]) -> str:
    unwritten = all(problem.code == UNWRITTEN for problem in problems)
    return " Nothing was written." if unwritten else " Nothing was calculated."


def _grouped(problems: Sequence[Problem]) -> list[list[Problem]]:
    """Put the same slip on several lines together, in the order in which each comes first."""
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for problem in problems:
        same = (problem.group,) if problem.group else (problem.what, problem.why, problem.write)
        groups.setdefault((problem.code, problem.file, *same), []).append(problem)
    return list(groups.values())


def _one(group: Sequence[Problem], read: Callable[[str], Sequence[str]]) -> Iterator[str]:
    problem, *others = group
    place = problem.file + (f":{problem.line}" if problem.line else "")
    word = "warning" if problem.warning else "problem"
    head = (problem.code, place, f"{word}: {problem.what}")
    yield folded("  ".join(part for part in head if part))
    if problem.line is not None:
        yield from _line(problem, read(problem.file))
    if problem.why:
        yield bullet(problem.why, mark=" ")
    if problem.write:
        yield bullet(problem.write, mark=" ")
    lines = sorted({item.line for item in others if item.line} - {problem.line})
    if lines:
        word = "line" if len(lines) == 1 else "lines"
        yield bullet(f"The same on {word} {', '.join(str(line) for line in lines)}.", mark=" ")


def _line(problem: Problem, lines: Sequence[str]) -> Iterator[str]:
    if problem.line is None or problem.line > len(lines):
        return
    room = width() - MARGIN
    text = shown(lines[problem.line - 1].replace("\t", " ").rstrip())  # a tab would shift the caret
    yield f"{problem.line:>5} | {text[:room]}"
    if problem.column is not None and problem.column < room:
        start = problem.column - 1
        marked = text[start : min(start + problem.length, room)]
        yield f"{'':>5} | {' ' * _cells(text[:start])}{'^' * max(_cells(marked), 1)}"


def _cells(text: str) -> int:
    """Return how many places a text takes on a terminal."""
    wide = sum(unicodedata.east_asian_width(one) in "WF" for one in text)
    return len(text) + wide - sum(map(bool, map(unicodedata.combining, text)))


def _lines_of(file: str) -> tuple[str, ...]:
    try:
        with open(file, "rb") as stream:
            text = decoded(stream.read(LARGEST_FILE), errors="replace")
    except OSError:
        return ()
    return tuple(text.replace("\r\n", "\n").split("\n"))  # as TOML counts lines


def _count(problems: Sequence[Problem], nothing: str) -> str:
    errors = sum(not problem.warning for problem in problems)
    warnings = len(problems) - errors
    counted = [(errors, "problem")] if errors else []
    counted += [(warnings, "warning")] if warnings else []
    text = ", ".join(f"{n} {word}{'s' if n != 1 else ''}" for n, word in counted)
    if errors >= MOST_PROBLEMS:
        return f"The first {errors} problems; the rest was not looked for.{nothing}"
    if errors:
        return f"{text}.{nothing}"
    return f"{text}. The calculation went ahead."


def _more(problems: Sequence[Problem]) -> str:
    codes = tuple(dict.fromkeys(problem.code for problem in problems))
    return f"seaflow explain {' '.join(codes[:MOST_CODES])} says more."


def codes_text(found: Sequence[Meaning]) -> str:
    """Return all codes with their titles, and how to ask for more."""
    rows = table(("code", "title", "exit"), ((one.code, one.title, str(one.exit)) for one in found))
    more = folded(f"What one of them means: seaflow explain {found[0].code}")
    return f"{rows}\n\n{more}"


def meanings_text(found: Sequence[Meaning]) -> str:
    """Return what codes mean, what to do, and what follows."""
    return "\n\n".join("\n".join(_meaning(one)) for one in found)


def _meaning(one: Meaning) -> Iterator[str]:
    yield f"{one.code}  {one.title}"
    yield labelled("Meaning", one.meaning)
    yield labelled("Do", one.mend)
    then = NOT_KEPT if one.code == UNWRITTEN else NOTHING
    yield labelled("Then", then if one.exit else AHEAD)
