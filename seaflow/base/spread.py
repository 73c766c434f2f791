"""A written quantity with how far it may be off: "2.4 m +/- 10 %", "220-240 V", "4 m +0 -10 %"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from seaflow.base.units import Misread, read_quantity, split

RATED = ("V", "Hz")  # what a plate gives for one value: how far it may be off never moves it

_NUMBER = r"\d+(?:\.\d+)?(?:[eE][+-]?\d+)?"
_BOTH_WAYS = re.compile(r"\(?\s*(?:\+/-|±|\+-)")
_TYPICAL = re.compile(r"^\s*typical\b\s*|\s*\btypical\s*(?=$|\(?\s*(?:\+/-|±|\+-))", re.IGNORECASE)
_SIDE = rf"(?:[+\-−–]\s*{_NUMBER}\s*(?:%|[A-Za-z°][^\s,/()+]*)?)"
_ONE_WAY = re.compile(
    rf"(?P<value>.*?[^\s(])(?:\s+|\s*\()(?P<first>{_SIDE})\s*[/,]?\s*(?P<second>{_SIDE})\s*\)?\s*"
)
_RANGE = re.compile(
    rf"\s*(?P<low>{_NUMBER})\s*(?P<unit>(?![eE][+-])[A-Za-z°%\"'′″][^\d\-–+]*?)?\s*(?:-|–|—|\bto\b|\.\.+|…)"
    rf"\s*(?P<high>{_NUMBER})(?!\s*[\d/])\s*(?P<last>[^\d\s.,/][^+±]*)"
)
_TWO = re.compile(
    rf"\s*(?P<one>{_NUMBER})\s*[A-Za-z]*\s*(?:[/,|;]|\bor\b|\band\b)\s*(?P<other>{_NUMBER})"
    r"\s*(?P<unit>[A-Za-z].*)"
)


def read_with_spread(text: str, unit: str) -> tuple[float, float | None]:
    """Return the number that `text` means in `unit`, and the half width if it gives one.

    A half width stands behind "+/-" or "±", in brackets or not; a unit behind one of the two goes
    for both. Between two ends, such as "28-30 degC" or "4.2 m +0 -10 %", the value is the middle; a
    voltage or a frequency stays what it is rated at.

    Raises
    ------
    Misread
        As read_quantity for any part; with kind "two" for one of two rated values: "50/60 Hz";
        with kind "below_nothing" for a half width such as -1 K.
    """
    if unit in RATED:
        _refuse_two(text, unit)
    if (found := _one_way(text)) is not None:
        value = read_quantity(found.value, unit)
        up, down = _off(found.up, value, unit), _off(found.down, value, unit)
        if unit in RATED:
            return value, max(up, down)
        return value + (up - down) / 2.0, (up + down) / 2.0
    value_text, *rest = _BOTH_WAYS.split(text, maxsplit=1)
    if not rest:
        return _of_range(text, unit)
    middle, off = value_text.strip(), rest[0].strip().removesuffix(")")
    if unit != "degC" and re.fullmatch(_NUMBER, middle) and not off.endswith("%"):
        middle = f"{middle} {split(off)[1]}".strip()  # 1.5 +/- 0.2 m
    with _whole(r"\1", off):
        value, _ = _of_range(middle, unit)
    with _whole(middle, r"\1"):
        return value, _off(_with_unit_of(middle, off, unit), value, unit)


@contextmanager
def _whole(value: str, off: str) -> Iterator[None]:
    """Say what to write for one part of a quantity with both its parts."""
    try:
        yield
    except Misread as misread:
        if misread.kind not in ("comma", "difference", "scale"):
            raise
        hint = re.sub('"([^"]*)"', f'"{value} +/- {off}"', misread.hint)
        raise Misread(misread.kind, misread.text, hint) from None


def _with_unit_of(value: str, off: str, unit: str) -> str:
    """Return a half width with the unit of its value where it has none of its own."""
    if not re.fullmatch(_NUMBER, off) or unit == "-":
        return off
    written = split(value)[1]
    if unit == "degC":
        written = "delta degF" if "F" in written.upper() else "K"
    return f"{off} {written}"


def _of_range(text: str, unit: str) -> tuple[float, float | None]:
    ends = _RANGE.fullmatch(text)
    if ends is None or float(ends["low"]) >= float(ends["high"]):
        return read_quantity(text, unit), None
    low, high = (read_quantity(f"{ends[end]} {ends['last']}", unit) for end in ("low", "high"))
    return (low + high) / 2.0, (high - low) / 2.0


def without_spread(text: str) -> str:
    """Return a written quantity less how far it may be off, and less the word typical.

    Of two ends it is the middle.
    """
    plain = without_typical(text)
    found = _one_way(plain)
    value = found.value if found else _BOTH_WAYS.split(plain, maxsplit=1)[0].strip()
    if (ends := _RANGE.fullmatch(value)) is None:
        return value
    return f"{(float(ends['low']) + float(ends['high'])) / 2.0:g} {ends['last'].strip()}"


def without_typical(text: str) -> str:
    """Return a written quantity less the word typical: before it, or before its half width."""
    return _TYPICAL.sub("", text, count=1)


def has_spread(text: str) -> bool:
    """Say whether a written quantity gives how far it may be off."""
    return bool(_BOTH_WAYS.search(text) or _RANGE.fullmatch(text) or _one_way(text))


def _off(text: str, value: float, unit: str) -> float:
    """Return how far a text says that a value may be off: a share of it, or an amount."""
    share = text.strip().endswith("%")
    off = read_quantity(text, "-" if share else "K" if unit == "degC" else unit)
    if off < 0.0:
        raise Misread("below_nothing", text, f"+/- {text.strip().lstrip('+-−–').strip()}")
    return off * (abs(value) if share and unit != "-" else 1.0)


@dataclass(frozen=True, slots=True)
class _OneWay:
    """A value, and how far it may lie above it and below it, as texts."""

    value: str
    up: str
    down: str


def _one_way(text: str) -> _OneWay | None:
    """Return the parts of "4.2 m (+0 -10 %)"; a unit behind one side goes for both."""
    found = _ONE_WAY.fullmatch(text)
    if found is None:
        return None
    sides = {found[name][0] == "+": found[name][1:].strip() for name in ("first", "second")}
    if len(sides) != 2:
        return None
    units = {up: re.sub(rf"{_NUMBER}\s*", "", side, count=1) for up, side in sides.items()}
    texts = {up: side if units[up] else f"{side} {units[not up]}" for up, side in sides.items()}
    return _OneWay(found["value"].strip(), texts[True], texts[False])


def _refuse_two(text: str, unit: str) -> None:
    found = _TWO.fullmatch(text) or (_RANGE.fullmatch(text) if unit == "Hz" else None)
    if found is None:
        return
    ends = found.groupdict()
    one, other = ends.get("one") or ends["low"], ends.get("other") or ends["high"]
    written = (ends.get("last") or ends["unit"]).strip()
    raise Misread("two", text, f'"{one} {written}" or "{other} {written}"')
