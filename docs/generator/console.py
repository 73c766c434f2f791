"""Console blocks of the pages: run them, compare what they print, write it anew.

A block starts with `$ command`. What follows is what it prints; a line of `...` stands for any
number of lines. Numbers may differ by a unit or two in the last digit shown, which is what other
versions of the libraries below make of them. Whole numbers are counts and sizes and must be the
same, but for per cent and watts.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from generator.text import ROOT

BLOCK = re.compile(r"^```console\n\$ (?P<command>[^\n]+)\n(?P<shown>.*?)^```$", re.M | re.S)
NUMBER = re.compile(r"(\d+(?:\.\d+)?(?:e[+-]?\d+)?)(%| W\b)?")
GAP = "..."
OWN = 'seaflow() { "$OWN_PYTHON" -m seaflow "$@"; }'  # whatever the search path holds
LAST_DIGITS = 2.0  # units of the last digit shown by which a number may differ


@dataclass(frozen=True, slots=True)
class Block:
    """One console block of a page."""

    page: str
    command: str
    shown: str


def pages() -> list[Path]:
    """Return all pages for people."""
    return [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").glob("*.md"))]


def blocks() -> list[Block]:
    """Return all console blocks of all pages."""
    return [
        Block(path.name, found["command"], found["shown"])
        for path in pages()
        for found in BLOCK.finditer(path.read_text(encoding="utf-8"))
    ]


@cache
def output(command: str) -> str:
    """Return what a command prints, run in the root of the project by this Python's own seaflow."""
    run = subprocess.run(
        ["bash", "-c", f"{OWN}\n{command}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "OWN_PYTHON": sys.executable},
    )
    return run.stdout + run.stderr


def same(shown: str, real: str) -> bool:
    """Tell whether two texts agree but for the last digits of their numbers."""
    if " ".join(NUMBER.sub("#", shown).split()) != " ".join(NUMBER.sub("#", real).split()):
        return False
    pairs = zip(NUMBER.finditer(shown), NUMBER.finditer(real), strict=True)
    return all(abs(float(a[1]) - float(b[1])) <= _room(a) for a, b in pairs)


def _room(found: re.Match[str]) -> float:
    """Return by how much a number may differ from the one shown."""
    mantissa, _, power = found[1].partition("e")
    decimals = len(mantissa.partition(".")[2])
    if decimals:
        return LAST_DIGITS * 10.0 ** (int(power or 0) - decimals)
    return 1.0 if found[2] else 0.0


def _segments(shown: str) -> Iterator[tuple[bool, list[str]]]:
    """Yield the runs of lines between gaps, each with whether a gap stands before it."""
    after_gap, lines = False, []
    for line in [*shown.rstrip("\n").split("\n"), None]:
        if line is not None and line.strip() != GAP:
            lines.append(line)
            continue
        if lines:
            yield after_gap, lines
        after_gap, lines = True, []


def missing(shown: str, real: str) -> str:
    """Return the first run of shown lines that is not in the real output; nothing if all are."""
    lines, place = real.rstrip("\n").split("\n"), 0
    for after_gap, wanted in _segments(shown):
        starts = range(place, len(lines) - len(wanted) + 1) if after_gap else [place]
        text = "\n".join(wanted)
        at = next((i for i in starts if same(text, "\n".join(lines[i : i + len(wanted)]))), None)
        if at is None:
            return text
        place = at + len(wanted)
    return "" if shown.rstrip().endswith(GAP) or place >= len(lines) else "(more is printed)"


def anew(shown: str, real: str) -> str:
    """Return the block as it prints now: each run from its first line to as many empty lines.

    A block without a gap shows all that is printed.

    Raises
    ------
    RuntimeError
        If the command broke down, so that a page never shows that by accident.
    """
    if "Traceback" in real:
        raise RuntimeError(real)
    if GAP not in shown.split("\n"):
        return real.rstrip("\n") + "\n"
    lines, place, parts = real.rstrip("\n").split("\n"), 0, []
    for after_gap, wanted in _segments(shown):
        first = NUMBER.sub("#", wanted[0])
        at = place
        if after_gap:
            places = range(place, len(lines))
            at = next((i for i in places if NUMBER.sub("#", lines[i]).startswith(first)), None)
            if at is None:
                raise RuntimeError(f"no line starts like {wanted[0]!r}")
            parts.append(GAP)
        empty = sum(not line.strip() for line in wanted)
        place = _end(lines, at, empty)
        parts += lines[at:place]
    if shown.rstrip().endswith(GAP):
        parts.append(GAP)
    return "\n".join(parts) + "\n"


def _end(lines: list[str], start: int, empty: int) -> int:
    """Return the place of the first empty line after `empty` others."""
    for place in range(start, len(lines)):
        if not lines[place].strip():
            if empty == 0:
                return place
            empty -= 1
    return len(lines)


def rewrite() -> None:
    """Write what every block prints now into its page."""
    for path in pages():
        text = path.read_text(encoding="utf-8")
        new = BLOCK.sub(
            lambda found: (
                f"```console\n$ {found['command']}\n"
                f"{anew(found['shown'], output(found['command']))}```"
            ),
            text,
        )
        if new != text:
            path.write_text(new, encoding="utf-8")
