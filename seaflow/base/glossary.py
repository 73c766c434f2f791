"""One entry per quantity: its meaning, its unit inside the package and its plausible range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from seaflow.base.tables import read_folder


@dataclass(frozen=True, slots=True)
class Quantity:
    """A named quantity of the loop, in the unit used inside the package.

    `most_written` is the most that is plausible of what is written in a unit, where that is less.
    """

    name: str
    unit: str
    meaning: str
    plausible: tuple[float, float] | None = None
    most_written: Mapping[str, float] = field(default_factory=dict)

    def usual_range(self, written: str) -> tuple[float, float] | None:
        """Return the plausible range of a value that was written in a unit."""
        if self.plausible is None:
            return None
        least, most = self.plausible
        return least, min(most, self.most_written.get(written, most))


def glossary_entry(name: str) -> Quantity:
    """Return the glossary entry `name`.

    Raises
    ------
    KeyError
        If the glossary has no such entry.
    """
    row = read_folder("glossary")[name]
    plausible = row.get("plausible")
    return Quantity(
        name,
        row["unit"],
        row["meaning"],
        tuple(plausible) if plausible else None,
        row.get("most_written", {}),
    )


def names() -> tuple[str, ...]:
    """Return the names of all entries, sorted."""
    return tuple(sorted(read_folder("glossary")))
