"""From what somebody aboard wrote to readings: a place, a number in any usual unit, a word."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from seaflow.base.facts import Fact, fact
from seaflow.base.near import called, did_you_mean
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.boat.reader.bounds import MOST_PROBLEMS
from seaflow.forms.bare import bare_unit, with_unit
from seaflow.studies.diagnose.faults import remedies
from seaflow.studies.diagnose.impossible import question, refuse_impossible
from seaflow.studies.diagnose.readings import (
    Number,
    Places,
    Readings,
    instruments,
    shown,
    signs,
)
from seaflow.studies.diagnose.values import (
    bounds_of,
    bucket_of,
    flow_of,
    is_bare_degree,
    load_of,
    plain,
    read,
    scale_meant,
    system_of,
    without_about,
)

_T = TypeVar("_T")
PASSED = ("date", "note", "loop")  # keys of a file of readings that are no reading
MODES = ("cooling", "heating")

Stands = tuple[str, int | None]  # file and line
NOWHERE: Mapping[str, Stands] = {}


def number_of(kind: str, text: str, places: Places, scale: str = "") -> Number:
    """Return the number that a text such as "38 degC" or "saloon unit=38 degC" means.

    The kind "bucket" is a flow told by the time to fill one; `scale` is that of bare degrees, if it
    is known.

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
            "Read the plate. Without a file write it behind the size, such as "
            '--unit "16000 BTU/h R-410A"; in a file add to the unit: refrigerant = "R-410A".',
            "D05",
        )
    bucket = 0.0
    if kind == "flow":
        value, bucket = bucket_of(tail) if by_bucket else flow_of(tail)
    else:
        scale = scale or scale_meant([(kind, tail)])
        value = read(tail, instrument.unit, instrument.title, kind, scale)
    if not instrument.least <= value <= instrument.most:
        least, most = bounds_of(instrument, tail, scale)
        raise question(
            f'{instrument.title} of "{tail.strip()}" cannot be',
            f"It lies outside {least} to {most}.",
            read_table("instruments.toml")["hint"]["apart"] if kind == "discharge" else "",
        )
    return Number(kind, place, value, bucket, system_of(tail, kind, scale))


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
    meant = (named,) if named in choices else called(named, choices)
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise question(
            f'a reading of {option} names "{named}", which begins {len(meant)} of its places',
            "A reading put to the wrong place leads to the wrong cause.",
            f"Write more of the name: {', '.join(meant)}.",
            "D02",
        )
    raise question(
        f'a reading of {option} names "{named}", which is not on this loop',
        "A reading at a place that is not there can be compared with nothing.",
        did_you_mean(named, choices, listed),
        "D02",
    )


def by_outlet(text: str) -> list[str]:
    """Return the parts of what was said of several outlets in a row, such as "a=weak, b=none"."""
    return text.replace(";", ",").split(",") if "=" in text else [text]


def sign_of(kind: str, text: str, places: Places) -> tuple[str, str, str]:
    """Return a sign, its word, and its place where there are several.

    Raises
    ------
    SeaflowError
        If the word is no choice of this sign, or there is no such place.
    """
    sign = signs()[kind]
    head, mark, tail = text.rpartition("=")
    choices = places.at(sign.where)
    place = _place(kind, head.strip(), True, choices) if mark else ""
    return *_word_of(kind, tail), place if len(choices) > 1 else ""


def tried_of(word: str) -> str:
    """Return something that was tried.

    Raises
    ------
    SeaflowError
        If it is none of the remedies that tell anything.
    """
    return _chosen("tried", word, remedies())


def _chosen(
    kind: str, word: str, choices: tuple[str, ...], also: Mapping[str, str] | None = None
) -> str:
    """Return the choice that is meant, whatever its letter case, or said in another way."""
    meant = " ".join(word.strip(" .!'\"").split()).casefold()
    for said in (meant, meant.removeprefix("a ").removeprefix("an ").removeprefix("the ")):
        if said in choices or said in (also or {}):
            return (also or {}).get(said, said)
    begun = called(meant, choices)
    if len(begun) == 1:
        return begun[0]
    raise _no_choice(kind, word, choices)


def _no_choice(kind: str, word: str, choices: Iterable[str]) -> SeaflowError:
    listed = ", ".join(f'"{choice}"' for choice in choices)
    return question(
        f'"{word}" is no answer to {kind}',
        "Only these words have odds behind them.",
        f"Say one of: {listed}" + (', or a share such as "60 %".' if kind == "load" else "."),
        "D04",
    )


@dataclass(slots=True)
class _Taken:
    """What was understood of the rows so far, and what was not."""

    numbers: list[Number] = field(default_factory=list)
    words: list[tuple[str, str, str]] = field(default_factory=list)
    tried: list[str] = field(default_factory=list)
    mode: str = MODES[0]
    load: float | None = None
    problems: list[Problem] = field(default_factory=list)

    def each(self, into: list[_T], texts: Iterable[str], taken: Callable[[str], _T]) -> None:
        """Put what each text means into a list; one that means nothing is kept as a problem."""
        for text in texts:
            try:
                into.append(taken(text))
            except SeaflowError as error:
                self.problems.extend(error.problems)


def read_rows(
    rows: Mapping[str, object],
    places: Places,
    system: str = "",
    stands: Mapping[str, Stands] = NOWHERE,
) -> Readings:
    """Return the readings of one table of a file of readings.

    `system` is that of degrees of no scale, "metric" or "us", if it was asked for. `stands` tells
    where the keys stand that come from a file, and with "" where a whole table does.

    Raises
    ------
    SeaflowError
        With everything that cannot be used.
    """
    told = [(kind, _in_units(kind, text, system)) for kind, text in _numbers_plain(_rows(rows))]
    scale = scale_meant([(kind, text.rpartition("=")[2]) for kind, text in told], system)
    taken = _Taken()
    texts: dict[str, list[str]] = {kind: [] for kind in rows}
    for kind, text in told:
        texts[kind].append(text)
    for kind in rows:
        before = len(taken.problems)
        _take(taken, kind, texts[kind], places, scale)
        taken.problems[before:] = _standing(taken.problems[before:], stands.get(kind))
        if len(taken.problems) >= MOST_PROBLEMS:
            break
    if taken.problems:
        raise SeaflowError(taken.problems)
    assumed = () if system else tuple(_assumed(told, places, scale))
    try:
        return _readings_of(taken, places, assumed)
    except SeaflowError as error:
        raise SeaflowError(_standing(error.problems, stands.get(""))) from None


def _standing(problems: Iterable[Problem], where: Stands | None) -> list[Problem]:
    """Return problems with the file and the line in which they stand."""
    file, line = where or ("", None)
    return [replace(problem, file=file, line=line) for problem in problems]


def _take(taken: _Taken, kind: str, texts: list[str], places: Places, scale: str) -> None:
    """Add the readings of one key."""
    if kind in instruments() or kind == "bucket":
        taken.each(taken.numbers, texts, lambda text: number_of(kind, text, places, scale))
    elif kind == "load":
        _take_load(taken, texts)
    elif kind in signs():
        each = [part for text in texts for part in by_outlet(text)]
        taken.each(taken.words, each, lambda text: sign_of(kind, text, places))
    elif kind == "tried":
        taken.each(taken.tried, texts, tried_of)
    elif kind == "mode":
        modes: list[str] = []
        taken.each(modes, texts, lambda text: _chosen("mode", text, MODES))
        taken.mode = modes[-1] if modes else taken.mode
    elif kind not in PASSED:
        taken.each(taken.tried, (kind,), _no_reading)


def _take_load(taken: _Taken, texts: list[str]) -> None:
    """Add a load: a share of full, or a word where nobody can tell the share."""
    shares: list[float] = []
    for text in texts:
        if any(char.isdigit() for char in text):
            taken.each(shares, (text,), load_of)
        else:
            taken.each(taken.words, (text,), lambda said: (*_word_of("load", said), ""))
    taken.load = shares[-1] if shares else None


def _word_of(kind: str, text: str) -> tuple[str, str]:
    return kind, _chosen(kind, text, tuple(signs()[kind].healthy), signs()[kind].also)


def _no_reading(key: str) -> str:
    known = (*instruments(), "bucket", *signs(), "tried", "mode", "load", "date", "note")
    raise question(
        f'there is no reading "{key}"',
        "What is not understood is refused, so that nothing is left out unseen.",
        did_you_mean(key, known, f"Readings there are: {', '.join(known)}."),
        "D03",
    )


def _assumed(told: Iterable[tuple[str, str]], places: Places, scale: str) -> Iterable[Fact]:
    """Yield how degrees of no named scale were taken, where nothing else told it."""
    temperatures = [
        (kind, text)
        for kind, text in told
        if kind in instruments() and instruments()[kind].unit == "degC"
    ]
    bare = [(kind, text) for kind, text in temperatures if is_bare_degree(text.rpartition("=")[2])]
    if bare and len(bare) == len(temperatures):
        kind, text = bare[0]
        number = number_of(kind, text, places, scale)
        yield fact(
            "diagnose.scale_assumed",
            typed=text.rpartition("=")[2].strip(),
            taken=shown(kind, number.value),
        )


def _readings_of(taken: _Taken, places: Places, assumed: tuple[Fact, ...]) -> Readings:
    """Return readings with their mode and load, refused where they contradict each other.

    Raises
    ------
    SeaflowError
        If they do.
    """
    found = Readings(
        tuple(taken.numbers),
        tuple(dict.fromkeys((kind, word) for kind, word, place in taken.words if not place)),
        tuple(dict.fromkeys(taken.tried)),
        taken.mode,
        1.0 if taken.load is None else taken.load,
        tuple(dict.fromkeys(_at_places(taken, "stream"))),
        taken.load is not None,
        assumed,
    )
    trips = _at_places(taken, "tripped")
    _refuse_twice(found, trips)
    found = found.with_trips(dict(trips)) if trips else found
    refuse_impossible(found, places)
    return found.of_all(places.outlets)


def _at_places(taken: _Taken, sign: str) -> list[tuple[str, str]]:
    return [(place, word) for kind, word, place in taken.words if place and kind == sign]


def _refuse_twice(readings: Readings, trips: Iterable[tuple[str, str]] = ()) -> None:
    """Refuse what is given twice for one place, or for the whole boat, and differs."""
    first: dict[str, str] = {}
    told = list(readings.signs)
    if any(kind == "stream" for kind, _ in readings.signs):  # of all outlets
        told += [("stream", word) for _, word in readings.streams]
    told += [(f'stream of "{place}"', word) for place, word in readings.streams]
    told += [(f'trip of "{unit}"', word) for unit, word in trips]
    told += [
        (
            f'{item.kind} at "{item.place}"' if item.place else item.kind,
            plain(item.value, instruments()[item.kind].unit, item.kind),
        )
        for item in readings.numbers
    ]
    for kind, word in told:
        if first.setdefault(kind, word) != word:
            raise question(
                f'{kind.replace("_", " ")} is given twice, as "{first[kind]}" and "{word}"',
                "Only one of them can be meant.",
            )


def _rows(rows: Mapping[str, object]) -> Iterable[tuple[str, str]]:
    for kind, value in rows.items():
        yield from ((kind, text) for text in _texts(value))


def _numbers_plain(rows: Iterable[tuple[str, str]]) -> Iterable[tuple[str, str]]:
    """Yield the rows, numbers without a word such as about before them."""
    for kind, text in rows:
        yield kind, without_about(text) if kind in (*instruments(), "bucket", "load") else text


def _in_units(kind: str, text: str, system: str) -> str:
    """Return a reading, a bare number with its unit in the system asked for; buckets need none."""
    instrument = instruments().get(kind)
    if not system or instrument is None or instrument.show == "flow":
        return text
    head, mark, tail = text.rpartition("=")
    return f"{head}{mark}{with_unit(tail, bare_unit(instrument.show, instrument.unit, system))}"


def _texts(value: object) -> list[str]:
    if isinstance(value, Mapping):
        return [f"{place}={text}" for place, text in value.items()]
    if isinstance(value, list):
        return [str(item) for item in value]
    return [str(value)]
