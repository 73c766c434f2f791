"""Read the docstring of a formula: what it takes and gives, with units, and what it refuses.

A first sentence; a line for each thing it takes, gives or refuses; notes; an example:

    depth [m]: of the hole; several that the glossary explains may stand on one line
    returns [m3/s]: flow through the hole
    raises RangeError: the depth is negative

Shapes are in the annotations: a `Number` is a float or an array, and those of one call broadcast.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

_NAME = r"(?:\w+) \[[^\[\]]+\]"
_TAKES = re.compile(rf"({_NAME}(?:, {_NAME})*)(?:: (.+))?$")
_GIVES = re.compile(r"returns \[([^\[\]]+)\]: (.+)$")
_REFUSES = re.compile(r"raises (\w+): (.+)$")


@dataclass
class Told:
    """A docstring in its parts; units and words by name of parameter."""

    summary: str = ""
    takes: dict[str, tuple[str, str]] = field(default_factory=dict)
    gives: tuple[str, str] | None = None
    refuses: list[tuple[str, str]] = field(default_factory=list)
    example: bool = False
    strange: list[str] = field(default_factory=list)


def told(function: Callable[..., Any]) -> Told:
    """Return what the docstring of a function tells."""
    found = Told()
    summary, *blocks = (inspect.getdoc(function) or "").split("\n\n")
    found.summary = " ".join(summary.splitlines())
    found.example = any(block.startswith(">>> ") for block in blocks)
    for line in re.sub(r"\n {4}", " ", blocks[0]).splitlines() if blocks else ():
        if gives := _GIVES.match(line):
            found.gives = (gives[1], gives[2])
        elif refuses := _REFUSES.match(line):
            found.refuses.append((refuses[1], refuses[2]))
        elif takes := _TAKES.match(line):
            for one in takes[1].split("], "):
                name, unit = one.rstrip("]").split(" [")
                found.takes[name] = (unit, takes[2] or "")
        else:
            found.strange.append(line)
    return found
