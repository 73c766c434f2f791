"""Defaults: values that stand in for what a case leaves open, each with its source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity


@dataclass(frozen=True, slots=True)
class Default:
    """One row of seaflow/data/defaults.toml."""

    name: str
    text: str
    unit: str
    meaning: str
    source: str

    @property
    def value(self) -> float:
        """The default in the unit of the package."""
        return _value(self.text, self.unit)


@cache
def _value(text: str, unit: str) -> float:
    return read_quantity(text, unit)


@dataclass(frozen=True, slots=True)
class Assumption:
    """A value the case leaves open, with the default that stands in for it."""

    subject: str
    meaning: str
    value: str
    source: str


def default(name: str) -> Default:
    """Return the default `name`.

    Raises
    ------
    KeyError
        If the table has no such row.
    """
    row = read_table("defaults.toml")[name]
    return Default(name, row["value"], row.get("unit", "-"), row["meaning"], row["source"])


def has_default(name: str) -> bool:
    """Say whether the table has a row of this name."""
    return name in read_table("defaults.toml")


def assumed(name: str, subject: str) -> Assumption:
    """Return the default `name` as an assumption about a subject."""
    row = default(name)
    return Assumption(subject, row.meaning, row.text, row.source)
