"""What somebody has read: numbers with a place, words of choice, and what was tried."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.units import Misread, factor_and_offset, read_quantity
from seaflow.studies.diagnosis.faults import remedies
from seaflow.studies.diagnosis.impossible import question, refuse_impossible
from seaflow.studies.diagnosis.instruments import Instrument, instruments, signs

BUCKET = 0.010  # m3, where no other bucket is named


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

    `refrigerants` are those of the plates, by unit, where the case has them.
    """

    units: tuple[str, ...]
    outlets: tuple[str, ...]
    refrigerants: Mapping[str, str] = field(default_factory=dict)

    def at(self, where: str) -> tuple[str, ...]:
        """Return the places at which an instrument can read."""
        known = {"unit": self.units, "outlet": self.outlets, "boat": ("",)}
        return known.get(where, self.units + self.outlets)


def number_of(kind: str, text: str, places: Places) -> Number:
    """Return the number that a text such as "38 degC" or "saloon unit=38 degC" means.

    Raises
    ------
    SeaflowError
        If it is no such quantity, if there is no such place, or if it cannot be.
    """
    instrument = instruments()[kind]
    head, mark, tail = text.rpartition("=")
    choices = places.at(instrument.where)
    if not mark:
        choices = places.at(instrument.where.split()[0])  # "unit or outlet" is then the unit
    place = _place(kind, head.strip(), bool(mark), choices)
    if kind == "high_side" and place not in places.refrigerants:
        raise _no_refrigerant(place)
    value = _flow(tail) if kind == "flow" else _read(tail, instrument.unit, instrument.title, kind)
    if not instrument.least <= value <= instrument.most:
        raise question(
            f'{instrument.title} of "{tail.strip()}" cannot be',
            f"It lies outside {_plain(instrument, instrument.least)} to "
            f"{_plain(instrument, instrument.most)}.",
        )
    return Number(kind, place, value)


def _no_refrigerant(unit: str) -> SeaflowError:
    what = f'a pressure of the refrigerant of "{unit}", which the case does not name'
    why = "The same pressure is another temperature in each refrigerant."
    write = f'Read the plate and add to the unit "{unit}" such as: refrigerant = "R-410A".'
    return SeaflowError([Problem("D05", what, why=why, write=write)])


def _plain(instrument: Instrument, value: float) -> str:
    """Return a limit as somebody aboard would write it."""
    unit = _usual(instrument.unit, instrument.kind)
    factor, offset = factor_and_offset(instrument.unit, unit)
    return f"{factor * value + offset:.0f} {unit}"


def _usual(unit: str, kind: str) -> str:
    return "bar" if kind == "high_side" else {"m3/s": "L/min", "Pa": "kPa"}.get(unit, unit)


def _place(kind: str, named: str, given: bool, choices: tuple[str, ...]) -> str:
    if not given and len(choices) == 1:
        return choices[0]
    if not given:
        named = kind.replace("_", "-")
        what = f"a reading of {named} does not say where, and there are several places"
        why = "A reading put to the wrong place leads to the wrong cause."
        write = f'Write the place before it, such as "{choices[0]}=VALUE". There are: '
        raise SeaflowError([Problem("D02", what, why=why, write=write + ", ".join(choices) + ".")])
    if named in choices:
        return named
    near = difflib.get_close_matches(named, choices, n=1)
    hint = f'Did you mean "{near[0]}"?' if near else "There are: " + ", ".join(choices) + "."
    what = f'a reading of {kind.replace("_", "-")} names "{named}", which is not on this loop'
    why = "A reading at a place that is not there can be compared with nothing."
    raise SeaflowError([Problem("D02", what, why=why, write=hint)])


def _read(text: str, unit: str, title: str, kind: str = "") -> float:
    try:
        value = read_quantity(text, unit)
    except Misread as misread:
        what = f'{title}: "{text.strip()}" cannot be read'
        usual = _usual(unit, kind)
        hint = misread.hint or f"a number and its unit, such as one in {usual}"
        if misread.kind == "dimension":
            hint = f"a value in {usual}, or leave this one out"
        elif misread.kind == "bare" and unit == "Pa":
            hint = f'"{text.strip()} {usual}", or in psi if the gauge says so'
        why = "A number without its unit, or with one of another kind, could mean anything."
        raise SeaflowError([Problem("D03", what, why=why, write=f"Write {hint}.")]) from None
    if not math.isfinite(value):
        raise question(f'{title} of "{text.strip()}" cannot be', "It is no number.")
    return value


def _flow(text: str) -> float:
    """Return a flow given as such, or as the seconds to fill a bucket of 10 L."""
    if not text.strip().rstrip("0123456789. ").strip() or text.strip().endswith((" s", "sec")):
        seconds = _read(text.strip().removesuffix("ec").removesuffix("s") + " s", "s", "bucket")
        if seconds <= 0.0:
            raise question(
                f'a bucket filled in "{text.strip()}" cannot be',
                "No stream fills one at once. If none came at all, say so of the stream.",
            )
        return BUCKET / seconds
    return _read(text, "m3/s", "flow")


def sign_of(kind: str, word: str) -> tuple[str, str]:
    """Return a sign with its word.

    Raises
    ------
    SeaflowError
        If the word is no choice of this sign.
    """
    choices = tuple(signs()[kind].sound)
    if word not in choices:
        raise _no_choice(kind, word, choices)
    return kind, word


def tried_of(word: str) -> str:
    """Return something that was tried.

    Raises
    ------
    SeaflowError
        If it is none of the remedies that tell anything.
    """
    if word not in remedies():
        raise _no_choice("tried", word, remedies())
    return word


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
        kind = "flow" if key == "bucket" else key
        if kind in instruments():
            numbers.extend(number_of(kind, text, places) for text in _texts(value))
        elif kind in signs():
            words.extend(sign_of(kind, text) for text in _texts(value))
        elif kind == "tried":
            tried.extend(tried_of(text) for text in _texts(value))
        elif kind in ("mode", "load"):
            settings[kind] = str(value)
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
    load = _read(settings.get("load", "100 %"), "-", "load")
    if not 0.0 < load <= 1.0:
        raise question(f"a load of {load:.0%} cannot be", "It lies above 0 % and up to 100 %.")
    found = Readings(tuple(numbers), tuple(words), tuple(tried), mode, load)
    refuse_impossible(found, places)
    return found


def _texts(value: object) -> list[str]:
    if isinstance(value, Mapping):
        return [f"{place}={text}" for place, text in value.items()]
    if isinstance(value, list):
        return [str(item) for item in value]
    return [str(value)]
