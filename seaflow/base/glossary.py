"""One entry per quantity: its meaning, its unit inside the package and its plausible range."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.tables import read_folder


@dataclass(frozen=True, slots=True)
class Quantity:
    """A named quantity of the loop, in the unit used inside the package."""

    name: str
    unit: str
    meaning: str
    plausible: tuple[float, float] | None = None


def glossary_entry(name: str) -> Quantity:
    """Return the glossary entry `name`.

    Raises
    ------
    KeyError
        If the glossary has no such entry.
    """
    row = read_folder("glossary")[name]
    plausible = row.get("plausible")
    return Quantity(name, row["unit"], row["meaning"], tuple(plausible) if plausible else None)


def names() -> tuple[str, ...]:
    """Return the names of all entries, sorted."""
    return tuple(sorted(read_folder("glossary")))
