"""From what somebody aboard wrote to readings: a place, a number in any usual unit, a word."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Mapping

from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, factor_and_offset, read_quantity, split
from seaflow.studies.diagnose.faults import remedies
from seaflow.studies.diagnose.impossible import question, refuse_impossible
from seaflow.studies.diagnose.readings import BUCKET, Number, Places, Readings, instruments, signs

_CLOCK = re.compile(r"\s*(\d+):([0-5]\d(?:\.\d+)?)\s*")
_NO_UNIT_OF_TIME = re.compile(r"[a-zA-Z]*/|gp[mh]\b", re.IGNORECASE)
_DEGREES = re.compile(r"(?:deg|°|º)?\s*([CF])", re.IGNORECASE)
_GAUGE = {"psig": "psi", "barg": "bar", "kpag": "kPa"}  # every pressure here is one of a gauge
_WRITTEN = (
    *(
        "L/min",
        "L/h",
        "L/s",
        "m3/h",
        "gpm",
        "gph",
        "kPa",
        "mbar",
        "psi",
        "bar",
        "inHg",
        "Pa",
        "MPa",
    ),
    *("degC", "degF", "K", "V", "A", "W", "kW", "s", "min"),
)
_BY_CASE = {name.lower(): name for name in _WRITTEN}


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
    # where both unit and outlet would do, a number without a place is of the unit
    choices = places.at(instrument.where if mark else instrument.where[:1])
    place = _place(kind, head.strip(), bool(mark), choices)
    if kind == "high_side" and place not in places.refrigerants:
        raise question(
            f'a pressure of the refrigerant of "{place}", which the case does not name',
            "The same pressure is another temperature in each refrigerant.",
            f'Read the plate and add to the unit "{place}" such as: refrigerant = "R-410A".',
            "D05",
        )
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


def _place(kind: str, named: str, given: bool, choices: tuple[str, ...]) -> str:
    if not given and len(choices) == 1:
        return choices[0]
    option = kind.replace("_", "-")
    if choices == ("",):
        raise question(
            f'a reading of {option} names "{named}", but there is only one',
            "It is read of the whole boat, at no unit or outlet.",
            "Give the value alone.",
            "D02",
        )
    listed = f"There are: {', '.join(choices)}."
    if not given:
        raise question(
            f"a reading of {option} does not say where, and there are several places",
            "A reading put to the wrong place leads to the wrong cause.",
            f'Write the place before it, such as "{choices[0]}=VALUE". {listed}',
            "D02",
        )
    by_case = {choice.casefold(): choice for choice in choices}
    if named.casefold() in by_case:
        return named if named in choices else by_case[named.casefold()]
    near = difflib.get_close_matches(named, choices, n=1)
    raise question(
        f'a reading of {option} names "{named}", which is not on this loop',
        "A reading at a place that is not there can be compared with nothing.",
        f'Did you mean "{near[0]}"?' if near else listed,
        "D02",
    )


def sign_of(kind: str, word: str) -> tuple[str, str]:
    """Return a sign with its word.

    Raises
    ------
    SeaflowError
        If the word is no choice of this sign.
    """
    choices = tuple(signs()[kind].healthy)
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
    return question(
        f'"{word}" is no answer to {kind}',
        "Only these words have odds behind them.",
        f"Say one of: {listed}.",
        "D04",
    )


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
            raise question(
                f'there is no reading "{key}"',
                "What is not understood is refused, so that nothing is left out unseen.",
                f"Readings there are: {known}.",
                "D03",
            )
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


def read(text: str, unit: str, title: str, kind: str = "") -> float:
    """Return the number that a reading means.

    Raises
    ------
    SeaflowError
        If it is no such quantity.
    """
    try:
        value = read_quantity(as_meant(text, unit), unit)
    except Misread as misread:
        raise question(
            f'{title}: "{text.strip()}" cannot be read',
            "A number without its unit, or with one of another kind, could mean anything.",
            f"Write {_hint(misread, text, unit, kind)}.",
            "D03",
        ) from None
    if not math.isfinite(value):
        raise question(f'{title} of "{text.strip()}" cannot be', "It is no number.")
    return value


def _hint(misread: Misread, text: str, unit: str, kind: str) -> str:
    hint, usual = read_table("instruments.toml")["hint"], usual_unit(unit, kind)
    which = misread.kind
    if which == "bare" and unit == "Pa":
        which = "bare_pressure"
    elif which == "difference" and "f" in split(text)[1].lower():
        which = "difference_fahrenheit"
    elif which not in hint:
        if misread.hint:
            return misread.hint
        which = "share" if unit == "-" else "number"
    typed = f"{split(text)[0]:g}" if which == "difference_fahrenheit" else text.strip()
    said: str = hint[which]
    return said.format(unit=usual, typed=typed, kelvin=misread.hint)


def as_meant(text: str, unit: str) -> str:
    """Return the text with its unit as the reader of units knows it, whatever its letter case."""
    try:
        _, written = split(text)
    except Misread:
        return text
    meant = _BY_CASE.get(written.lower(), _GAUGE.get(written.lower(), written))
    degrees = _DEGREES.fullmatch(written)
    if degrees is not None and unit in ("degC", "K"):
        meant = f"deg{degrees[1].upper()}"
    if meant == written:
        return text
    return f"{text.rstrip()[: -len(written)]} {meant}"


def flow_of(text: str) -> float:
    """Return a flow given as such, or as the seconds to fill a bucket of 10 L [m3/s].

    Raises
    ------
    SeaflowError
        If it is neither.
    """
    plain = text.strip()
    by_watch = not plain.rstrip("0123456789. ") or ":" in plain or plain.endswith((" s", "sec"))
    return bucket_of(plain) if by_watch else read(plain, "m3/s", "flow")


def bucket_of(text: str) -> float:
    """Return the flow that fills a bucket of 10 L in this time [m3/s].

    Raises
    ------
    SeaflowError
        If it is no time above nought.
    """
    plain = text.strip()
    if _NO_UNIT_OF_TIME.search(plain):
        return read(plain, "m3/s", "flow")
    clock, hint = _CLOCK.fullmatch(plain), read_table("instruments.toml")["hint"]["bucket"]
    try:
        seconds = 60.0 * int(clock[1]) + float(clock[2]) if clock else _seconds(plain)
    except Misread as misread:
        meant = f"{misread.hint}: " if misread.kind == "comma" else ""
        raise question(
            f'bucket: "{plain}" cannot be read',
            "A bucket is told by the time it takes to fill.",
            f"Write {meant}{hint}.",
            "D03",
        ) from None
    if seconds <= 0.0 or not math.isfinite(seconds):
        raise question(
            f'a bucket filled in "{plain}" cannot be',
            "No stream fills one at once, or sooner. If none came at all, say so of the stream; "
            f"else give {hint}.",
        )
    return BUCKET / seconds


def _seconds(plain: str) -> float:
    value, written = split(plain)
    meant = {"": "s", "sec": "s", "secs": "s", "seconds": "s"}.get(written.lower(), written)
    return read_quantity(as_meant(f"{value!r} {meant}", "s"), "s")


def usual_unit(unit: str, kind: str) -> str:
    """Return the unit in which somebody aboard reads such a quantity."""
    return "bar" if kind == "high_side" else {"m3/s": "L/min", "Pa": "kPa"}.get(unit, unit)


def plain(value: float, unit: str, kind: str) -> str:
    """Return a number as somebody aboard would write it."""
    usual = usual_unit(unit, kind)
    factor, _ = factor_and_offset(unit, usual)  # no usual unit has another nought
    return f"{float(f'{factor * value:.3g}'):g} {usual}"
