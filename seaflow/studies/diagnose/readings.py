"""What somebody has read: numbers with a place, words of choice, and what was tried."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from seaflow.base.problems import Problem, SeaflowError
from seaflow.studies.diagnose.faults import remedies
from seaflow.studies.diagnose.impossible import question, refuse_impossible
from seaflow.studies.diagnose.instruments import instruments, signs
from seaflow.studies.diagnose.written import bucket_of, flow_of, plain, read


@dataclass(frozen=True, slots=True)
class Number:
    """One number that was read; `place` is a unit or an outlet, or nothing for the boat."""

    kind: str
    place: str
    value: float


@dataclass(frozen=True, slots=True)
class Readings:
    """All that is known; every part may be empty."""

    numbers: tuple[Number, ...] = ()
    signs: tuple[tuple[str, str], ...] = ()
    tried: tuple[str, ...] = ()
    mode: str = "cooling"
    load: float = 1.0

    def of(self, kind: str, place: str | None = None) -> float | None:
        """Return a number that was read, or None."""
        for item in self.numbers:
            if item.kind == kind and place in (None, item.place):
                return item.value
        return None

    @property
    def is_empty(self) -> bool:
        """True if nothing was read at all."""
        return not (self.numbers or self.signs or self.tried)


@dataclass(frozen=True, slots=True)
class Places:
    """The units and outlets of one loop, at which something can be read.

    `refrigerants` are those of the plates, by unit, where the case has them; `volts` the rated
    ones of the supply.
    """

    units: tuple[str, ...]
    outlets: tuple[str, ...]
    refrigerants: Mapping[str, str] = field(default_factory=dict)
    volts: float | None = None

    def at(self, where: str) -> tuple[str, ...]:
        """Return the places at which an instrument can read."""
        known = {"unit": self.units, "outlet": self.outlets, "boat": ("",)}
        return known.get(where, self.units + self.outlets)


def number_of(kind: str, text: str, places: Places) -> Number:
    """Return the number that a text such as "38 degC" or "saloon unit=38 degC" means.

    The kind "bucket" is a flow told by the seconds to fill one.

    Raises
    ------
    SeaflowError
        If it is no such quantity, if there is no such place, or if it cannot be.
    """
    by_bucket, kind = kind == "bucket", "flow" if kind == "bucket" else kind
    instrument = instruments()[kind]
    head, mark, tail = text.rpartition("=")
    choices = places.at(instrument.where)
    if not mark:
        choices = places.at(instrument.where.split()[0])  # "unit or outlet" is then the unit
    place = _place(kind, head.strip(), bool(mark), choices)
    if kind == "high_side" and place not in places.refrigerants:
        raise _no_refrigerant(place)
    if kind == "flow":
        value = bucket_of(tail) if by_bucket else flow_of(tail)
    else:
        value = read(tail, instrument.unit, instrument.title, kind)
    if not instrument.least <= value <= instrument.most:
        raise question(
            f'{instrument.title} of "{tail.strip()}" cannot be',
            f"It lies outside {plain(instrument.least, instrument.unit, kind)} to "
            f"{plain(instrument.most, instrument.unit, kind)}.",
        )
    return Number(kind, place, value)


def _no_refrigerant(unit: str) -> SeaflowError:
    what = f'a pressure of the refrigerant of "{unit}", which the case does not name'
    why = "The same pressure is another temperature in each refrigerant."
    write = f'Read the plate and add to the unit "{unit}" such as: refrigerant = "R-410A".'
    return SeaflowError([Problem("D05", what, why=why, write=write)])


def _place(kind: str, named: str, given: bool, choices: tuple[str, ...]) -> str:
    if not given and len(choices) == 1:
        return choices[0]
    if choices == ("",):
        what = f'a reading of {kind.replace("_", "-")} names "{named}", but there is only one'
        why = "It is read of the whole boat, at no unit or outlet."
        raise SeaflowError([Problem("D02", what, why=why, write="Give the value alone.")])
    if not given:
        named = kind.replace("_", "-")
        what = f"a reading of {named} does not say where, and there are several places"
        why = "A reading put to the wrong place leads to the wrong cause."
        write = f'Write the place before it, such as "{choices[0]}=VALUE". There are: '
        raise SeaflowError([Problem("D02", what, why=why, write=write + ", ".join(choices) + ".")])
    by_case = {choice.casefold(): choice for choice in choices}
    if named.casefold() in by_case:
        return named if named in choices else by_case[named.casefold()]
    near = difflib.get_close_matches(named, choices, n=1)
    hint = f'Did you mean "{near[0]}"?' if near else "There are: " + ", ".join(choices) + "."
    what = f'a reading of {kind.replace("_", "-")} names "{named}", which is not on this loop'
    why = "A reading at a place that is not there can be compared with nothing."
    raise SeaflowError([Problem("D02", what, why=why, write=hint)])


def sign_of(kind: str, word: str) -> tuple[str, str]:
    """Return a sign with its word.

    Raises
    ------
    SeaflowError
        If the word is no choice of this sign.
    """
    choices = tuple(signs()[kind].sound)
    return kind, _chosen(kind, word, choices)


def tried_of(word: str) -> str:
    """Return something that was tried.

    Raises
    ------
    SeaflowError
        If it is none of the remedies that tell anything.
    """
    return _chosen("tried", word, remedies())


def _chosen(kind: str, word: str, choices: tuple[str, ...]) -> str:
    """Return the choice that is meant, whatever its letter case."""
    meant = " ".join(word.split()).casefold()
    if meant not in choices:
        raise _no_choice(kind, word, choices)
    return meant


def _no_choice(kind: str, word: str, choices: Iterable[str]) -> SeaflowError:
    listed = ", ".join(f'"{choice}"' for choice in choices)
    what = f'"{word}" is no answer to {kind}'
    why = "Only these words have odds behind them."
    return SeaflowError([Problem("D04", what, why=why, write=f"Say one of: {listed}.")])


def read_rows(rows: Mapping[str, object], places: Places) -> Readings:
    """Return the readings of one table of a file of readings.

    Raises
    ------
    SeaflowError
        With the first thing that cannot be used.
    """
    numbers: list[Number] = []
    words: list[tuple[str, str]] = []
    tried: list[str] = []
    settings: dict[str, str] = {}
    for key, value in rows.items():
        kind = key
        if kind in instruments() or kind == "bucket":
            numbers.extend(number_of(kind, text, places) for text in _texts(value))
        elif kind in signs():
            words.extend(sign_of(kind, text) for text in _texts(value))
        elif kind == "tried":
            tried.extend(tried_of(text) for text in _texts(value))
        elif kind in ("mode", "load"):
            settings[kind] = str(value).strip().casefold() if kind == "mode" else str(value)
        elif kind not in ("date", "note"):
            known = ", ".join((*instruments(), *signs(), "tried", "mode", "load", "date", "note"))
            what = f'there is no reading "{key}"'
            why = "What is not understood is refused, so that nothing is left out unseen."
            write = f"Readings there are: {known}."
            raise SeaflowError([Problem("D03", what, why=why, write=write)])
    return readings_of(numbers, words, tried, settings, places)


def readings_of(
    numbers: Iterable[Number],
    words: Iterable[tuple[str, str]],
    tried: Iterable[str],
    settings: Mapping[str, str],
    places: Places,
) -> Readings:
    """Return readings with their mode and load, refused where they contradict each other.

    Raises
    ------
    SeaflowError
        If they do, or mode or load cannot be read.
    """
    mode = settings.get("mode", "cooling")
    if mode not in ("cooling", "heating"):
        raise _no_choice("mode", mode, ("cooling", "heating"))
    load = read(settings.get("load", "100 %"), "-", "load")
    if not 0.0 < load <= 1.0:
        raise question(f"a load of {load:.0%} cannot be", "It lies above 0 % and up to 100 %.")
    signs_read = tuple(dict.fromkeys(words))
    found = Readings(tuple(numbers), signs_read, tuple(dict.fromkeys(tried)), mode, load)
    _refuse_twice(found)
    refuse_impossible(found, places)
    return found


def _refuse_twice(readings: Readings) -> None:
    """Refuse a sign, or a number of the whole boat, that is given twice and differs."""
    first: dict[str, str] = {}
    told = list(readings.signs)
    told += [
        (item.kind, plain(item.value, instruments()[item.kind].unit, item.kind))
        for item in readings.numbers
        if not item.place
    ]
    for kind, word in told:
        if first.setdefault(kind, word) != word:
            raise question(
                f'{kind.replace("_", " ")} is given twice, as "{first[kind]}" and "{word}"',
                "Only one of them can be meant.",
            )


def _texts(value: object) -> list[str]:
    if isinstance(value, Mapping):
        return [f"{place}={text}" for place, text in value.items()]
    if isinstance(value, list):
        return [str(item) for item in value]
    return [str(value)]
