"""Whether a hose is far wider than what it joins, or than the units of the boat need."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.problems import Problem
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.reader.as_written import as_written
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.things import Hose, Thing
from seaflow.boat.trade import row_upto

MOST = 2.0  # times a bore beside it, or the usual one; our assumption
SLACK = 1.05  # 38 mm and 3/4 in are sold as two to one
SHOWN = ("m", "mm")


def check_bores(case: Case) -> Iterator[Problem]:
    """A hose more than twice as wide as what it joins, or as is usual, is asked about."""
    named = {thing.name: thing for thing in case.things}
    usual = _usual(case)
    for row, hose in enumerate(case.hose):
        beside = [
            found
            for end in (hose.from_, hose.to)
            if end in named
            for found in _beside(case, hose, named[end])
        ]
        bore, name, path = min(beside, default=(hose.bore, "", ()))
        if hose.bore > MOST * SLACK * bore:
            at = as_written(case.text, path, bore, SHOWN)
            yield _wide(case, row, hose, f'beside one of {at} at "{name}"')
        elif usual is not None and hose.bore > MOST * SLACK * usual:
            told = f"where {1000.0 * usual:.0f} mm is usual before a pump for units like hers"
            yield _wide(case, row, hose, told)


def _wide(case: Case, row: int, hose: Hose, what: str) -> Problem:
    path = ("hose", row, "bore")
    bore = as_written(case.text, path, hose.bore, SHOWN)
    return case.text.problem(
        "Q03",
        path,
        f"{hose.label}: a bore of {bore} {what}",
        why="What a hose loses goes by its bore more than by all else of it.",
        write="Read the print on the hose. Was it the outside, a length, or another unit? "
        "If it is right, leave it: it is used as it stands.",
        warning=True,
    )


def _beside(case: Case, hose: Hose, thing: Thing) -> Iterator[tuple[float, str, Path]]:
    """Yield bores at an end of a hose, each with whose it is and its path."""
    for key in ("port", "bore"):
        own = getattr(thing, key, None)
        if own is not None and getattr(thing, "second_bore", None) is None:
            yield own, thing.name, (thing.table, thing.row, key)
            return
    if thing.table in ("unit", "pump"):  # what runs in runs out
        for row, other in enumerate(case.hose):
            if other is not hose and thing.name in (other.from_, other.to):
                yield other.bore, thing.name, ("hose", row, "bore")


def _usual(case: Case) -> float | None:
    """Return the usual bore before a pump that serves all units [m], None without a unit."""
    cooling = sum(unit.cooling or 0.0 for unit in case.unit)
    if not cooling > 0.0:
        return None
    return read_quantity(row_upto("bores", cooling)["suction"], "m")
