"""Problems as text: code, place, the line with a caret, why it matters, what to write."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

from seaflow.base.problems import Problem
from seaflow.present.layout import WIDTH, bullet

MARGIN = 8  # before a line of the file: its number and a bar


def problems_text(problems: Sequence[Problem]) -> str:
    """Return all problems as text, each slip once, with a count at the end."""
    read = cache(_lines_of)  # each file once
    blocks = ["\n".join(_one(group, read)) for group in _grouped(problems)]
    return "\n\n".join([*blocks, _count(problems)])


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
    word = "remark" if problem.warning else "problem"
    yield "  ".join(part for part in (problem.code, place, f"{word}: {problem.what}") if part)
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
    room = WIDTH - MARGIN
    text = lines[problem.line - 1].replace("\t", " ").rstrip()  # a tab would shift the caret
    yield f"{problem.line:>5} | {text[:room]}"
    if problem.column is not None and problem.column < room:
        length = min(problem.length, room - problem.column)
        yield f"{'':>5} | {' ' * (problem.column - 1)}{'^' * max(length, 1)}"


def _lines_of(file: str) -> tuple[str, ...]:
    try:
        text = Path(file).read_bytes().decode("utf-8-sig", errors="replace")
    except OSError:
        return ()
    return tuple(text.replace("\r\n", "\n").split("\n"))  # as TOML counts lines


def _count(problems: Sequence[Problem]) -> str:
    errors = sum(not problem.warning for problem in problems)
    remarks = len(problems) - errors
    counted = [(errors, "problem")] if errors else []
    counted += [(remarks, "remark")] if remarks else []
    text = ", ".join(f"{n} {word}{'s' if n != 1 else ''}" for n, word in counted)
    if errors:
        return f"{text}. Nothing was calculated."
    return f"{text}. {'It stops' if remarks == 1 else 'They stop'} nothing."
