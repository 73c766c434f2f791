"""Where an answer stands: the text of a case over which answers were laid, for problems."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping

from seaflow.base.problems import Problem
from seaflow.boat.reader.text import CaseText, Path

_TINY = re.compile(r"The least is [\d.]+e-\d+ [^.]*\. ")


def with_answers(text: CaseText, added: Mapping[Path, tuple[CaseText, Path]]) -> CaseText:
    """Return the text of a case with more values that answers gave, each where it stands."""
    where = text.where | dict.fromkeys(added, 1)
    return dataclasses.replace(text, where=where, beside={**text.beside, **added})


def plainly(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems without a bound that is next to nothing, such as a hundred thousandth day."""
    said = "It must be more than nothing. "
    return tuple(dataclasses.replace(one, write=_TINY.sub(said, one.write)) for one in problems)
