"""Measures within a text as people type it, and the words that are left."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from seaflow.base.spread import read_with_spread
from seaflow.base.units import Misread

MOST_CHUNKS = 6  # of a measure: "1 ft 6 1/2 in" has five
_THOUSANDS = re.compile(r"(?<![\d.,])(\d{1,3}),(\d{3})(?![\d,])")
_DECIMAL_COMMA = re.compile(r"(?<![\d.,])\d+,\d{1,2}(?!\d)")
_KILO = re.compile(r"(\d+(?:\.\d+)?)\s?[kK]\b(?!\w)")
_CHUNK = re.compile(r"\s*[^\s,;()]+")
_JOINED = re.compile(r"(?<=[A-Za-z'\"])\s*[/,;]\s*(?=\d)")  # 230V/50Hz
_FIRST = re.compile(r"(?<![\w.-])[+\-−–]?(?:\d|\.\d)")
_ALONE = re.compile(r"[+\-−–]?[\d.]+(?:\s*/\s*\d+)?")
_PLAIN = re.compile(r"\d+(?:\.\d+)?")
_ENDS = frozenset(("at", "with", "and", "beam", "built", "from", "x", "@"))

Alone = tuple[str, float]


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with its unit in a text: its value in the unit of the package, and a half width.

    `before` and `after` are what stands between it and its neighbours; a comma ends the text.
    """

    value: float
    unit: str
    text: str
    before: str
    after: str
    half: float | None = None


@dataclass(frozen=True, slots=True)
class Scanned:
    """A text taken apart: its measures, the words between them, and numbers without a unit."""

    measures: tuple[Measure, ...]
    words: str
    bare: tuple[str, ...]

    def of(self, unit: str) -> tuple[Measure, ...]:
        """Return the measures of one kind, by a unit of the glossary."""
        return tuple(found for found in self.measures if found.unit == unit)


def decimal_comma(text: str) -> str:
    """Return a number of the text with a decimal comma, which is not read; empty without one."""
    found = _DECIMAL_COMMA.search(text)
    return found[0] if found else ""


def scan(text: str, units: Sequence[str], alone: Alone | None = None) -> Scanned:
    """Take a text apart into measures of these units, numbers without a unit, and words.

    The first unit that reads is taken, and of a measure as much as reads: "40 ft 6 in" is one.
    `alone` is the unit of a number without one, if it is at least so large.
    """
    plain = _JOINED.sub(" , ", _THOUSANDS.sub(r"\1\2", text)) + ","
    if "W" in units:
        plain = _KILO.sub(lambda found: f"{float(found[1]) * 1000:g}", plain)
    spans = list(_spans(plain, units, alone))
    ends = [0, *(end for _, end, _ in spans)]
    starts = [*(start for start, _, _ in spans), len(plain)]
    between = [plain[end:start] for end, start in zip(ends, starts, strict=True)]
    measures = tuple(
        Measure(
            read[0],
            read[1],
            plain[start:end].strip(),
            between[number],
            between[number + 1],
            read[2],
        )
        for number, (start, end, read) in enumerate(spans)
        if read is not None
    )
    bare = tuple(plain[start:end].strip() for start, end, read in spans if read is None)
    return Scanned(measures, " , ".join(between), bare)


_Read = tuple[float, str, float | None]  # value, unit, half width


def _spans(
    plain: str, units: Sequence[str], alone: Alone | None
) -> Iterator[tuple[int, int, _Read | None]]:
    """Yield start, end and what was read of each number; None for one that stands alone."""
    place = 0
    while found := _FIRST.search(plain, place):
        start = found.start()
        for end in reversed(list(_ends_of(plain, start))):
            read = _read(plain[start:end], units)
            if read is not None:
                yield start, end, read
                place = end
                break
        else:
            number = _ALONE.match(plain, start)
            place = number.end() if number else start + 1
            yield start, place, _read_alone(plain[start:place], units, alone)


def _read_alone(text: str, units: Sequence[str], alone: Alone | None) -> _Read | None:
    """Return what a number without a unit is, if it can be one thing only."""
    if alone is None or not _PLAIN.fullmatch(text) or float(text) < alone[1]:
        return None
    return _read(f"{text} {alone[0]}", units)


def _ends_of(plain: str, start: int) -> Iterator[int]:
    """Yield where a measure that starts here may end: after each chunk, up to a word of talk."""
    place = start
    for _ in range(MOST_CHUNKS):
        chunk = _CHUNK.match(plain, place)
        if chunk is None or chunk[0].strip().casefold() in _ENDS:
            return
        place = chunk.end()
        yield place


def _read(text: str, units: Sequence[str]) -> _Read | None:
    if not re.search(r"[A-Za-z°'\"’′″”%]", text):
        return None
    for unit in units:
        try:
            value, half = read_with_spread(text, unit)
        except Misread:
            continue
        return value, unit, half
    return None
