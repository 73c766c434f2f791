"""What a study says: a kind of fact with its values, and no sentence.

`present` holds the sentences, one for each kind. A value is a name, a count, an `Amount` in SI, a
fact of its own, or several of these.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# Kinds of amount, as people read them, and the unit each has inside the package.
AMOUNTS: Mapping[str, str] = {
    "flow": "m3/s",
    "head": "m",
    "height": "m",
    "length": "m",
    "bore": "m",
    "thickness": "m",
    "velocity": "m/s",
    "temperature": "degC",
    "rise": "K",
    "heat": "W",
    "power": "W",
    "pressure": "Pa",
    "refrigerant_pressure": "Pa",
    "voltage": "V",
    "current": "A",
    "energy": "J",
    "charge": "A s",
    "duration": "s",
    "area": "m2",
    "frequency": "Hz",
    "basket_area": "m2",
    "volume": "m3",
    "bucket": "m3",
    "angle": "rad",
    "sound_level": "dB",
    "decibels": "dB",
}


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of one of the kinds in `AMOUNTS`, in the unit given there."""

    kind: str
    value: float

    @property
    def unit(self) -> str:
        """The unit of the value."""
        return AMOUNTS[self.kind]


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact: its kind, such as "size.too_little_water", and what it speaks of.

    The part before the first point names the file of `seaflow/present/words` with its sentence.
    """

    kind: str
    values: tuple[tuple[str, object], ...]

    def __getitem__(self, name: str) -> object:
        """Return the value of this name.

        Raises
        ------
        KeyError
            If the fact has no such value.
        """
        return dict(self.values)[name]


def fact(kind: str, **values: object) -> Fact:
    """Return a fact of a kind with these values."""
    return Fact(kind, tuple(values.items()))


def amount(kind: str, value: float) -> Amount:
    """Return an amount as a plain number of its kind."""
    return Amount(kind, float(value))
