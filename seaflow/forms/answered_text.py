"""Where an answer stands: the text of a case over which answers were laid, for problems."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping

from seaflow.base.problems import Problem
from seaflow.boat.reader.text import CaseText, Path

_DOTTED = re.compile(r"^\s*([\w\-]+)\.([\w\-]+)\s*=")
_TINY = re.compile(r"The least is [\d.]+e-\d+ [^.]*\. ")
_HEADER = re.compile(r"^\s*\[")


def with_answers(text: CaseText, added: Mapping[Path, tuple[CaseText, Path]]) -> CaseText:
    """Return the text of a case with more values that answers gave, each where it stands."""
    where = text.where | dict.fromkeys(added, 1)
    return dataclasses.replace(text, where=where, beside={**text.beside, **added})


def with_dotted(text: CaseText) -> CaseText:
    """Return the text of a checklist with the lines of keys such as `cable.length` found too."""
    heads = {line: path for path, line in text.where.items() if _HEADER.match(text.lines[line - 1])}
    table: Path = ()
    where = dict(text.where)
    for number, line in enumerate(text.lines, 1):
        table = heads.get(number, table)
        found = _DOTTED.match(line)
        if found:
            where.setdefault((*table, found[1]), number)
            where[(*table, found[1], found[2])] = number
    return dataclasses.replace(text, where=where)


def plainly(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems without a bound that is next to nothing, such as a hundred thousandth day."""
    said = "It must be more than nothing. "
    return tuple(dataclasses.replace(one, write=_TINY.sub(said, one.write)) for one in problems)
