"""What can be read aboard, how well and for how much effort, from one table; and what was read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from seaflow.base.arrays import Array
from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity

BUCKET = 0.010  # m3, where no other bucket is named
US_BUCKET = 2.0 * 0.003785411784  # m3, that of who reads in US units
HIGH_SIDE = ("condensing", "high_side")  # readings of the condensing refrigerant


@dataclass(frozen=True, slots=True)
class Instrument:
    """A reading that is a number: `error` is one standard deviation, `share` that of the reading.

    `model` is what the model itself may be off, as a share of the reading, and of a temperature as
    a share of its distance to the sea.

    `where` holds "unit", "outlet" or both, nothing for the boat; `show` is its kind of amount;
    `such` are examples in metric and in US units; `fitted` is true where few boats have what it
    takes, `running` where it can be read only while pump or unit runs; `cautions` are named where
    something is opened or touched for it. `on_mains` stands for `how` where the
    pump runs on volts that only qualified people measure.
    """

    kind: str
    title: str
    unit: str
    show: str
    such: tuple[str, str]
    where: tuple[str, ...]
    error: float
    share: float
    least: float
    most: float
    effort: float
    how: str
    source: str
    model: float = 0.0
    fitted: bool = False
    running: bool = False
    on_mains: str = ""
    cautions: tuple[str, ...] = ()

    def deviation(self, values: Array | float) -> Array | float:
        """Return the standard deviation of a reading of these values."""
        return (self.error**2 + (self.share * values) ** 2) ** 0.5


@dataclass(frozen=True, slots=True)
class Sign:
    """A reading that is one of a few words, with how often a healthy boat gives each.

    `also` has other words that people say, each with the one it means; `where` holds "outlet" where
    each may give another; `running` is true if it can be told only while pump or unit runs;
    `in_heating` is the question while a unit heats. It is asked for once that of `after` was told,
    which is seen with less.
    """

    kind: str
    title: str
    ask: str
    effort: float
    healthy: Mapping[str, float]
    cautions: tuple[str, ...] = ()
    also: Mapping[str, str] = field(default_factory=dict)
    where: tuple[str, ...] = ()
    running: bool = False
    in_heating: str = ""
    after: str = ""

    def asked(self, heats: bool) -> str:
        """Return the question, as it is put while cooling or heating."""
        return self.in_heating or self.ask if heats else self.ask


@cache
def instruments() -> Mapping[str, Instrument]:
    """Return every reading that is a number, by kind."""
    found = {}
    for kind, row in read_table("instruments.toml")["number"].items():
        difference = "K" if row["unit"] == "degC" else row["unit"]
        found[kind] = Instrument(
            kind=kind,
            title=row["title"],
            unit=row["unit"],
            show=row["show"],
            such=(row["such"][0], row["such"][1]),
            where=tuple(row["where"]),
            error=read_quantity(row["error"], difference),
            share=float(row["share"]),
            least=read_quantity(row["least"], row["unit"]),
            most=read_quantity(row["most"], row["unit"]),
            effort=float(row["effort"]),
            how=row["how"],
            source=row["source"],
            model=float(row["model"]),
            fitted=bool(row.get("fitted", False)),
            running=bool(row.get("running", False)),
            on_mains=row.get("on_mains", ""),
            cautions=tuple(row.get("cautions", ())),
        )
    return found


@cache
def signs() -> Mapping[str, Sign]:
    """Return every reading that is a word, by kind."""
    rows = read_table("instruments.toml")["sign"]
    return {
        kind: Sign(
            kind=kind,
            title=row["title"],
            ask=row["ask"],
            effort=float(row["effort"]),
            healthy=dict(row["healthy"]),
            cautions=tuple(row.get("cautions", ())),
            also=dict(row.get("also", {})),
            where=tuple(row.get("where", ())),
            running=bool(row.get("running", False)),
            in_heating=row.get("in_heating", ""),
            after=row.get("after", ""),
        )
        for kind, row in rows.items()
    }


@dataclass(frozen=True, slots=True)
class Number:
    """One number that was read; `place` is a unit or an outlet, or nothing for the boat.

    `bucket` is the volume [m3] of the bucket by which a flow was told, nought for none; `typed_in`
    the system of units in which it was typed, nothing if that is not known.
    """

    kind: str
    place: str
    value: float
    bucket: float = field(default=0.0, compare=False)
    typed_in: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Readings:
    """All that is known; every part may be empty.

    `streams` are those of single outlets, each with its word; `tripped_at` is the unit of which a
    trip was told, nothing for any, and `spared` are those that did not trip while another did;
    `load_read` is true where the load was told; `assumed` says how a text was taken that could mean
    more than one thing.
    """

    numbers: tuple[Number, ...] = ()
    signs: tuple[tuple[str, str], ...] = ()
    tried: tuple[str, ...] = ()
    mode: str = "cooling"
    load: float = 1.0
    streams: tuple[tuple[str, str], ...] = ()
    load_read: bool = False
    assumed: tuple[Fact, ...] = ()
    tripped_at: str = ""
    spared: tuple[str, ...] = ()

    @property
    def system(self) -> str:
        """The system of units of what was typed, temperatures before all else; nothing if mixed."""
        degrees = [one.typed_in for one in self.numbers if instruments()[one.kind].unit == "degC"]
        told = {*degrees} - {""} or {one.typed_in for one in self.numbers} - {""}
        return told.pop() if len(told) == 1 else ""

    def place_of(self, sign: str) -> str:
        """Return the place that a sign was told of, nothing for all of the boat."""
        return self.tripped_at if sign == "tripped" else ""

    def with_trips(self, told: Mapping[str, str]) -> Readings:
        """Return the readings with a trip told by unit; of several that tripped none is named."""
        yes = [unit for unit, word in told.items() if word == "yes"]
        word, units = ("yes", yes) if yes else ("no", list(told))
        of = units[0] if len(units) == 1 else ""
        spared = tuple(unit for unit, no in told.items() if yes and no == "no")
        signs = (*self.signs, ("tripped", word))
        return replace(self, signs=signs, tripped_at=of, spared=spared)

    def of(self, kind: str, place: str | None = None) -> float | None:
        """Return a number that was read, or None."""
        for item in self.numbers:
            if item.kind == kind and place in (None, item.place):
                return item.value
        return None

    def of_all(self, outlets: tuple[str, ...]) -> Readings:
        """Return the readings with no stream of the boat in place of none at every outlet."""
        dry = {place for place, word in self.streams if word == "none"}
        if not outlets or dry != set(outlets):
            return self
        told = dict.fromkeys((*self.signs, ("stream", "none")))
        return replace(self, signs=tuple(told), streams=())

    def alike(self, other: Readings) -> bool:
        """Tell whether others read the same, in whatever units and order they were written."""

        def plain(readings: Readings) -> tuple[object, ...]:
            numbers = {(n.kind, n.place, float(f"{n.value:.6g}")) for n in readings.numbers}
            words, spared = {*readings.signs, *readings.streams}, {*readings.spared}
            return numbers, words, readings.mode, readings.load, readings.tripped_at, spared

        return plain(self) == plain(other)

    @property
    def is_empty(self) -> bool:
        """True if nothing was read at all."""
        return not (self.numbers or self.signs or self.streams or self.tried)

    @property
    def count(self) -> int:
        """How many things were read or tried."""
        return len(self.numbers) + len(self.signs) + len(self.streams) + len(self.tried)


@dataclass(frozen=True, slots=True)
class Places:
    """The units, outlets and pumps of one loop, at which something can be read.

    Where the loop has a single pump its name is not needed, and `pumps` is empty.
    `refrigerants` are those of the plates, by unit, where the case has them; `volts` the rated
    ones of the supply, and `seas` between which a sea is believed without a question [degC].
    """

    units: tuple[str, ...]
    outlets: tuple[str, ...]
    refrigerants: Mapping[str, str] = field(default_factory=dict)
    volts: float | None = None
    seas: tuple[float, float] = (-math.inf, math.inf)
    pumps: tuple[str, ...] = ()

    def at(self, where: tuple[str, ...]) -> tuple[str, ...]:
        """Return the places at which an instrument can read."""
        units = self.units if "unit" in where else ()
        outlets = self.outlets if "outlet" in where else ()
        pumps = (self.pumps or ("",)) if "pump" in where else ()
        return units + outlets + pumps if where else ("",)


def shown(kind: str, value: float) -> Amount | Fact:
    """Return a number that is read, so that a difference says that it is one."""
    instrument = instruments()[kind]
    found = amount(instrument.show, value)
    return fact("diagnose.apart", value=found) if instrument.unit == "K" else found


def number_read(number: Number) -> Fact:
    """Return what was read where; a flow also as the time to fill a bucket."""
    title, value = instruments()[number.kind].title, shown(number.kind, number.value)
    if number.kind == "flow" and number.value > 0.0:
        bucket = number.bucket or BUCKET
        return fact(
            "diagnose.flow_read",
            title=title,
            place=number.place,
            value=value,
            bucket=amount("bucket", bucket),
            seconds=bucket / number.value,
        )
    return fact("diagnose.number_read", title=title, place=number.place, value=value)


def sign_read(kind: str, word: str, place: str = "") -> Fact:
    """Return the word that was given for a sign, at a place if it was one."""
    return fact("diagnose.sign_read", title=signs()[kind].title, place=place, word=word)
