"""Names in a list: in quotation marks where one of them holds a comma."""

from __future__ import annotations

from collections.abc import Iterable


def listed(names: Iterable[str], last: str = "") -> str:
    """Return names in a row, with a word such as "and" before the last if one is given."""
    shown = list(names)
    if len(shown) > 1 and any("," in name for name in shown):
        shown = [f'"{name}"' for name in shown]
    if len(shown) < 2 or not last:
        return ", ".join(shown)
    return f"{', '.join(shown[:-1])} {last} {shown[-1]}"


def joined(names: Iterable[str]) -> str:
    """Return names as a list with "and"."""
    return listed(names, "and")
