"""How grave a finding is, from one table: what can follow from it, and how near that is."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.studies.design.limits import limit

SEVERITIES = ("critical", "major", "minor", "advisory")
NOW, NEXT, LATER, ALONE = "now", "next", "later", "alone"
NEAR = (NOW, NEXT, LATER, ALONE)
BOAT = "boat"
_TABLE = "severity.toml"


@cache
def severity_of(harm: str, near: str) -> str:
    """Return the severity of a harm so near.

    Raises
    ------
    KeyError
        If the table has no such harm, or no such column.
    """
    return str(read_table(_TABLE)["harm"][harm][near])


def near_by_size(measure: str, size: float) -> str:
    """Return the column of a finding by its size, in the unit of the package.

    Raises
    ------
    KeyError
        If the table has no such measure.
    """
    row = read_table(_TABLE)["size"][measure]
    return NOW if size > _bound(row[NOW], row["unit"]) else NEXT


def sizes() -> Iterator[tuple[str, str, str, str]]:
    """Yield what is measured, from where on it is in the second and first column, and source."""
    for row in read_table(_TABLE)["size"].values():
        yield row["what"], _told(row[NEXT]), _told(row[NOW]), row["source"]


def _bound(text: str, unit: str) -> float:
    """Return a bound, of a limit of the limits' table if it names one."""
    return limit(text) if text in read_table("limits.toml") else read_quantity(text, unit)


def _told(text: str) -> str:
    return str(read_table("limits.toml").get(text, {"value": text})["value"])
