"""Whether each name means one thing alone."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Iterable, Iterator
from dataclasses import fields, replace
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.things import Hose, Intake, Thing

Named = tuple[str, Path]  # a name, and where it stands or would stand


LONGEST_NAME = 100  # characters: our assumption, two lines of a sheet


def check_names(case: Case) -> Iterator[Problem]:
    """No two things that a hose, an answer or a change can mean may bear one name."""
    yield from _empty(case)
    yield from _long(case)
    yield from _twice(case, _reachable(case))
    for table in ("compartment", "pump_place", "intake_place"):
        rows = enumerate(getattr(case, table))
        yield from _twice(case, ((thing.name, (table, row, "name")) for row, thing in rows))
    duties = enumerate(case.duty)
    yield from _twice(case, ((duty.name, ("duty", row, "name")) for row, duty in duties))
    pumps = enumerate(case.seen.bilge_pump if case.seen else ())
    yield from _twice(case, ((pump.name, ("seen", "bilge_pump", row)) for row, pump in pumps))


def bearing_another(case: Case) -> tuple[Thing, ...]:
    """Return the things that bear the name of one before them."""
    named = [thing for thing in (*case.things, *case.skin_fitting) if thing.name]
    first: dict[str, Thing] = {}
    for thing in named:
        first.setdefault(as_read(thing.name), thing)
    return tuple(thing for thing in named if first[as_read(thing.name)] is not thing)


def told_apart(case: Case, lost: Collection[str]) -> tuple[Case, ...]:
    """Return the case as it may be once each name is borne by one thing, and no hose is told twice.

    Where one name is `lost` and one borne by two, either of them may be meant by it. Else what
    bears the name of another is left out.
    """
    twice = bearing_another(case)
    hoses = {(as_read(one.label), one.from_, one.to): one for one in reversed(case.hose)}
    once = replace(case, hose=tuple(one for one in case.hose if one in hoses.values()))
    if len(lost) == len(twice) == 1:
        (name,), read = lost, as_read(twice[0].name)
        both = [one for one in case.things if one.name and as_read(one.name) == read]
        return tuple(_with(once, one, (replace(one, name=name),)) for one in both)
    for one in twice:
        once = _with(once, one, ())
    return (once,)


def _with(case: Case, thing: Thing, rows: tuple[Thing, ...]) -> Case:
    """Return a case with these in place of a thing."""
    kept = [
        item for one in getattr(case, thing.table) for item in (rows if one is thing else (one,))
    ]
    changed: Any = {thing.table: tuple(kept)}
    return replace(case, **changed)


def check_loop_names(case: Case) -> Iterator[Problem]:
    """No two loops may bear one name: `--loop`, the sheets and the readings go by it."""
    loops = [(loop.name, loop.of(Intake)) for loop in network.loops(case)]
    yield from _twice(case, ((name, (of[0].table, of[0].row, "loop")) for name, of in loops if of))


def _reachable(case: Case) -> Iterator[Named]:
    """Yield everything that an element of a loop, or a row of a survey, is called after."""
    for thing in (*case.things, *case.skin_fitting):
        yield thing.name, (thing.table, thing.row, "name")
    for row, one in enumerate(case.skin_hose):
        if one.name or one.on:
            yield one.label, ("skin_hose", row, *(("name",) if one.name else ()))
    for row, hose in enumerate(case.hose):
        if _has_label(hose):
            yield hose.label, ("hose", row, *(("name",) if hose.name else ()))


def _has_label(hose: Hose) -> bool:
    """Say whether what a hose is called by could be read; a missing end is told already."""
    return bool(hose.name) or (hose.from_ is not None and hose.to is not None)


def _empty(case: Case) -> Iterator[Problem]:
    if case.boat is not None and case.boat.name is not None and not case.boat.name.strip():
        yield case.text.problem(
            "S26",
            ("boat", "name"),
            "the boat has an empty name",
            why="Answers and drawings are headed with it.",
            write='Write a name, such as name = "Grey Plover".',
        )
    for thing in case.things:
        if thing.name is not None and not thing.name.strip():
            words = thing.table.replace("_", " ")
            yield case.text.problem(
                "S26",
                (thing.table, thing.row, "name"),
                f"a {words} has an empty name",
                why="A hose finds the thing it leads to by its name.",
                write=f'Write a name, such as name = "main {words}".',
            )


def _long(case: Case) -> Iterator[Problem]:
    tables = [field.name for field in fields(case) if isinstance(getattr(case, field.name), tuple)]
    rows = [(one, (table, row)) for table in tables for row, one in enumerate(getattr(case, table))]
    for thing, path in [*rows, (case.boat, ("boat",))]:
        name = getattr(thing, "name", None) or ""
        if len(name) > LONGEST_NAME:
            yield case.text.problem(
                "S67",
                (*path, "name"),
                f"a name of {len(name)} characters stands here, and {LONGEST_NAME} are the most",
                why="It stands in every answer and drawing, and in what is typed at the dock.",
                write="Write a short name, and the rest as a note behind a #.",
            )


def _twice(case: Case, names: Iterable[Named]) -> Iterator[Problem]:
    first: dict[str, Path] = {}
    for name, path in names:
        read = as_read(name or "")
        if read and read in first:
            line = case.text.line(first[read])
            there = f"; the first stands on line {line}" if line else ""
            what = f'a second thing is called "{name}"{there}'
            why = "What names it could mean either, and a change to one would change both."
            write = "Give each a name of its own, and name the right one where it is meant."
            if path[0] == "hose" and path[-1] != "name":
                what = f"a second {name}{there}"
                why = "One was copied and kept its ends, or two lie side by side and want names."
                write = "Change its from and to, or give each a name of its own."
            yield case.text.problem("S02", path, what, why=why, write=write)
        first.setdefault(read, path)


def as_read(name: str) -> str:
    """Return a name without what a reading leaves aside: case, blanks, ways to write a letter."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
