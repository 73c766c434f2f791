"""What the trade usually fits for so much cooling, whatever the boat."""

from __future__ import annotations

from collections.abc import Mapping

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity

ROUNDED = 1.01  # plates in watts and in BTU/h are rounded, each for itself


def row_upto(table: str, cooling: float) -> Mapping[str, str]:
    """Return the first row of a table of the trade that serves so much cooling [W], or the last."""
    rows: list[Mapping[str, str]] = read_table("typical/trade.toml")[table]
    upto = (row for row in rows if cooling <= read_quantity(row["upto"], "W") * ROUNDED)
    return next(upto, rows[-1])
