"""Readings on the command line, those beside the case, and the loop they belong to."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

from seaflow.base.near import called
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.cli.common import say_aside, units_asked_for
from seaflow.cli.stored import Row, file_beside, rows_in

if TYPE_CHECKING:
    from seaflow.cli.view import View
    from seaflow.studies.diagnose.own_boat import OwnBoat, StoredDay
    from seaflow.studies.diagnose.readings import Readings
    from seaflow.studies.diagnose.simulate import Setup
    from seaflow.studies.diagnose.trend import Trend

_F = TypeVar("_F", bound=Callable[..., Any])

FILE = "A file of readings, as --store and the owner's page write them; its last row counts."
BUCKET = 'A bucket and a watch, as [OUTLET=]"10 L in 35 s" or "2 gal in 1:10"; 38 is s for 10 L.'
MORE_WORDS = {
    "load": ", or a share such as 60%",
    "pump": "; or which one it is: its name, its sheet, or shut-off 4.2 m, 30 L/min open",
}
MOST_STORED = 12  # rows of a loop: each is simulated anew, and older ones tell of an older boat
MODE = "cooling (the default) or heating."


@dataclass(frozen=True, slots=True)
class Use:
    """Whether stored readings count, by which seed, and in which units it is told of them."""

    stored: bool
    seed: int
    units: str


def _readings() -> Iterator[tuple[str, bool, str]]:
    """Yield the option of every reading, whether it has a place, and its help."""
    table = read_table("instruments.toml")
    for kind, row in table["number"].items():
        if kind == "flow":
            yield "bucket", True, BUCKET
        has_place, place = bool(row["where"]), " or ".join(map(str.upper, row["where"]))
        written = f", as [{place}=]VALUE" if has_place else ""
        unit = " in K" if row["unit"] == "K" else ""
        yield kind.replace("_", "-"), has_place, f"{row['title'].capitalize()}{written}{unit}."
    for kind, row in table["sign"].items():
        *most, last = row["healthy"]
        title, has_place = row["title"].capitalize(), "where" in row
        places = row.get("where", ())
        at = "".join(f", of one {place} as {place.upper()}=WORD" for place in places)
        at = MORE_WORDS.get(kind, at)
        yield kind.replace("_", "-"), has_place, f"{title}: {', '.join(most)} or {last}{at}."


def reading_options(command: _F) -> _F:
    """Add every reading as an option."""
    command = click.option("--mode", metavar="TEXT", help=MODE)(command)
    # all may be given again, so that two that differ are seen and refused
    for name, _, words in reversed(tuple(_readings())):
        command = click.option(f"--{name}", multiple=True, metavar="TEXT", help=words)(command)
    return click.option("--readings", "file", metavar="FILE", help=FILE)(command)


def loop_option(command: _F) -> _F:
    """Add --loop."""
    words = "The loop meant, by its name on the sheets, where readings do not tell it."
    return click.option("--loop", "loop_name", metavar="NAME", help=words)(command)


def row_of(options: Mapping[str, Any]) -> Row:
    """Return the last row of the file of readings, if one was given, with the options over it.

    Raises
    ------
    SeaflowError
        If there is no such file, or it holds no readings.
    """
    rows = rows_in(options["file"]) if options["file"] else []
    return (rows[-1] if rows else Row({}, {})).under(given_rows(options))


def loop_of(options: Mapping[str, Any], row: Mapping[str, object]) -> str | None:
    """Return the name of the loop that was asked for, or that a row of readings names, or None."""
    named = options["loop_name"] or row.get("loop")
    return named if isinstance(named, str) else None


def mode_of(row: Mapping[str, object]) -> str:
    """Return the mode that a row of readings names, or the usual one."""
    named = row.get("mode")
    return named.strip().casefold() if isinstance(named, str) and named.strip() else "cooling"


def tells_of_water_in(row: Mapping[str, object]) -> bool:
    """Return whether a row of readings tells that salt water comes into the boat.

    Raises
    ------
    SeaflowError
        If what is told of the bilge is none of its choices.
    """
    from seaflow.studies.diagnose.readings import Places
    from seaflow.studies.diagnose.usual import WET
    from seaflow.studies.diagnose.written import sign_of

    told = row.get(WET[0], [])
    texts = told if isinstance(told, list) else [told]
    return any(sign_of(WET[0], str(text), Places((), ()))[:2] == WET for text in texts)


def given_rows(options: Mapping[str, Any]) -> dict[str, object]:
    """Return the readings among the options as a row of a file of readings."""
    found: dict[str, object] = {}
    for name, has_place in (*((name, place) for name, place, _ in _readings()), ("mode", False)):
        key = name.replace("-", "_")
        value = options.get(key)
        if not value:
            continue
        several = isinstance(value, tuple) and (has_place or len(value) > 1)
        found[key] = list(value) if several else value[0] if isinstance(value, tuple) else value
    return found


def told_by_stored(
    file: str | None, setup: Setup, use: Use, more: tuple[tuple[str, Readings], ...] = ()
) -> tuple[OwnBoat | None, tuple[Trend, ...]]:
    """Return what readings stored beside a case tell of the boat, if they do, and how they change.

    With `more` readings, each of a date. What does not read as a healthy boat tells nothing of her
    own figures, and that is said; trends are of all.

    Raises
    ------
    SeaflowError
        If the file of readings cannot be used.
    """
    if not use.stored or file is None:
        return None, ()
    from seaflow.studies.diagnose.own_boat import StoredDay, learn, stored_day
    from seaflow.studies.diagnose.trend import trends_of
    from seaflow.studies.diagnose.verdict import HEALTHY

    beside = file_beside(file)
    rows = stored_readings(beside, setup)
    found = [stored_day(setup, date, readings, use.seed) for date, readings in rows]
    _say_aside(beside, [one for one in found if not one.is_healthy], use.units)
    found += [StoredDay(date, readings, HEALTHY) for date, readings in more]
    stored = [one.readings for one in found if one.is_healthy]
    own = learn(setup, stored, use.seed) if stored else None
    return own, trends_of(setup, found)


def _say_aside(file: str, rows: list[StoredDay], units: str) -> None:
    """Say of each row beside a case that it does not tell of the healthy boat, and why."""
    from seaflow.base.facts import fact
    from seaflow.present.quantities import Show

    for one in rows:
        told = {"date": one.date, "verdict": one.verdict.word, "why": one.verdict.why}
        said = fact("baseline.row_aside", file=file, **told)
        say_aside(Show(units).sentence(said))


def readings_from(row: Row, setup: Setup) -> Readings:
    """Return the readings of a row.

    Raises
    ------
    SeaflowError
        If one cannot be used.
    """
    from seaflow.studies.diagnose.written import read_rows

    return read_rows(row, setup.places, units_asked_for(), row.stands)


def in_units_typed(view: View, readings: Readings) -> View:
    """Return the view in the units in which the readings were typed, unless others are asked for.

    A file of readings, and a question answered, count as typed too.
    """
    system = "" if units_asked_for() else readings.system
    return replace(view, units=system) if system else view


def stored_readings(file: str, setup: Setup) -> tuple[tuple[str, Readings], ...]:
    """Return dates and readings of one loop in a file, oldest first; nothing if there is no file.

    A row that names another loop is passed over, and so is one with `MOST_STORED` newer ones.

    Raises
    ------
    SeaflowError
        If the file or a reading in it cannot be used, or names a loop that the boat has not.
    """
    if not os.path.lexists(file):
        return ()
    from seaflow.studies.diagnose.written import read_rows

    mine = rows_of_loop(file, setup)
    by_day = sorted(
        range(len(mine)), key=lambda number: (str(mine[number].get("date", "")), number)
    )
    newest = sorted(by_day[-MOST_STORED:])
    return tuple(
        (str(row.get("date", "no date")), read_rows(row, setup.places, stands=row.stands))
        for row in (mine[number] for number in newest)
    )


def rows_of_loop(file: str, setup: Setup) -> list[Row]:
    """Return the rows in a file that are of the loop asked for, or name none.

    Raises
    ------
    SeaflowError
        If the file cannot be used, or a row names a loop that the boat has not.
    """
    from seaflow.boat.network import loops

    names = [loop.name for loop in loops(setup.case)]
    mine: list[Row] = []
    lost: dict[str, list[Row]] = {}
    for row in rows_in(file):
        named = str(row.get("loop") or setup.built.network.name)
        meant = (named,) if named in names else called(named, names)
        if len(meant) != 1:
            lost.setdefault(named, []).append(row)
        elif meant[0] == setup.built.network.name:
            mine.append(row)
    if lost:
        raise SeaflowError([_of_no_loop(loop, its, names) for loop, its in lost.items()])
    return mine


def _of_no_loop(loop: str, rows: list[Row], names: list[str]) -> Problem:
    """Return what is said of rows that name a loop which the boat has not."""
    file, line = rows[0].stands["loop"]
    sets = "1 stored set of readings is" if len(rows) == 1 else f"{len(rows)} stored sets are"
    listed = ", ".join(f'"{name}"' for name in names)
    return Problem(
        "D02",
        f'{sets} of the loop "{loop}", and the boat has none of that name',
        why=f"Of no loop they tell nothing. This boat has: {listed}.",
        write="If that loop was renamed, write its new name here and wherever the old one stands. "
        "If they are another boat's, move them beside her file. --no-baseline leaves them aside.",
        file=file,
        line=line,
    )
