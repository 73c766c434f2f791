"""Where an answer stands: the text of a case over which answers were laid, for problems."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.tables.recorded_machines import PUMP_KINDS

_TINY = re.compile(r"The least is [\d.]+e-\d+ [^.]*\. ")


def with_answers(text: CaseText, added: Mapping[Path, tuple[CaseText, Path]]) -> CaseText:
    """Return the text of a case with more values that answers gave, each where it stands."""
    where = text.where | dict.fromkeys(added, 1)
    return dataclasses.replace(text, where=where, beside={**text.beside, **added})


def plainly(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems without a bound that is next to nothing, such as a hundred thousandth day."""
    said = "It must be more than nothing. "
    return tuple(dataclasses.replace(one, write=_TINY.sub(said, one.write)) for one in problems)


def pump_in_words(problem: Problem, case: Case) -> Problem:
    """Return what is wrong with a name; of a pump, that its kind can be told without one."""
    if not any(f'"{pump.fitted}"' in problem.what for pump in case.pump if pump.fitted):
        return problem
    kinds = " or ".join(f'kind = "{kind}"' for kind in PUMP_KINDS)
    more = f" If no sheet of the pump is at hand, leave it empty and write {kinds}."
    return dataclasses.replace(problem, write=problem.write + more)
