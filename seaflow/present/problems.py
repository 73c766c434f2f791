"""Problems as text: code, place, the line with a caret, why it matters, what to write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from seaflow.base.problems import Problem
from seaflow.present.layout import WIDTH, bullet


def problems_text(problems: Sequence[Problem]) -> str:
    """Return all problems as text, with a count at the end."""
    blocks = ["\n".join(_one(problem)) for problem in problems]
    return "\n\n".join([*blocks, _count(problems)])


def _one(problem: Problem) -> Iterator[str]:
    place = problem.file + (f":{problem.line}" if problem.line else "")
    word = "remark" if problem.warning else "problem"
    yield (
        f"{problem.code}  {place}  {word}: {problem.what}"
        if place
        else f"{problem.code}  {word}: {problem.what}"
    )
    yield from _line(problem)
    if problem.why:
        yield bullet(problem.why, mark=" ")
    if problem.write:
        yield bullet(problem.write, mark=" ")


def _line(problem: Problem) -> Iterator[str]:
    text = _source_line(problem)
    if text is None or problem.line is None:
        return
    number = f"{problem.line:>5}"
    yield f"{number} | {text[: WIDTH - 8]}"
    if problem.column is not None and problem.column < WIDTH - 8:
        length = min(problem.length, WIDTH - 8 - problem.column)
        yield f"{'':>5} | {' ' * (problem.column - 1)}{'^' * max(length, 1)}"


def _source_line(problem: Problem) -> str | None:
    try:
        lines = Path(problem.file).read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError):
        return None
    inside = problem.line is not None and problem.line <= len(lines)
    return lines[problem.line - 1].expandtabs(4) if inside and problem.line else None


def _count(problems: Sequence[Problem]) -> str:
    errors = sum(not problem.warning for problem in problems)
    remarks = len(problems) - errors
    parts = [f"{errors} problem{'s' if errors != 1 else ''}"]
    if remarks:
        parts.append(f"{remarks} remark{'s' if remarks != 1 else ''}")
    tail = " Nothing was calculated." if errors else ""
    return ", ".join(parts) + "." + tail
