"""Limits and aims that studies hold a loop to, from one table with their sources."""

from __future__ import annotations

from functools import cache

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.defaults import Assumption


@cache
def limit(name: str) -> float:
    """Return a limit in the unit of the package.

    Raises
    ------
    KeyError
        If the table has no such row.
    """
    row = read_table("limits.toml")[name]
    return read_quantity(row["value"], row["unit"])


def limits_used(*names: str) -> tuple[Assumption, ...]:
    """Return these limits as assumptions for the report."""
    rows = read_table("limits.toml")
    return tuple(
        Assumption("limit", rows[name]["meaning"], rows[name]["value"], rows[name]["source"])
        for name in names
    )
