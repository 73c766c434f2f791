"""Whether a case holds no more of a kind than any boat that this is made for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from seaflow.base.problems import Problem
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.reader.text import Path

CODE = "F16"
MOST = "most.toml"


def check_many(case: Case) -> Iterator[Problem]:
    """No kind of thing may stand there more often than the table of the most allows."""
    for kind in read_table(MOST)["kind"]:
        if "inside" in kind:
            for table in kind["of"]:
                yield from _inside(case, table, kind)
        else:
            yield from _rows(case, kind)


def _rows(case: Case, kind: dict[str, Any]) -> Iterator[Problem]:
    """Yield what is wrong where too many rows of some tables stand in a case."""
    counts = {table: len(getattr(case, table)) for table in kind["of"]}
    many, said = sum(counts.values()), " and ".join(_said(*one) for one in counts.items() if one[1])
    times = str(kind.get("times", ""))
    others = len(getattr(case, times)) if times else 0
    if others:
        many, said = many * others, f"{said} with each of {_said(times, others)}"
    if many > kind["most"]:
        last = max(counts, key=lambda table: counts[table])
        beyond = min(counts[last] - 1, kind["most"])  # where the first stands that is too many
        yield _too_many(case, (last, beyond), said, kind)


def _inside(case: Case, table: str, kind: dict[str, Any]) -> Iterator[Problem]:
    """Yield what is wrong where a list within the rows of a table is too long."""
    held, key = getattr(case, table), kind["inside"]
    several = isinstance(held, tuple)
    for number, thing in enumerate(held if several else (held,)):
        many = len(getattr(thing, key, None) or ())
        if many > kind["most"]:
            path: Path = (table, number, key) if several else (table, key)
            yield _too_many(case, path, f'{many} entries of "{key}" in one "{table}"', kind)


def _said(table: str, many: int) -> str:
    return f'{many} "{table}"'


def _too_many(case: Case, path: Path, said: str, kind: dict[str, Any]) -> Problem:
    return case.text.problem(
        CODE,
        path,
        f"{said} stand here, and {kind['most']} are the most",
        why=kind["why"],
        write=kind["write"],
    )
