"""Numbers as somebody aboard writes them: units in any letter case, and a bucket by the watch."""

from __future__ import annotations

import math
import re

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.units import Misread, factor_and_offset, read_quantity, split
from seaflow.studies.diagnose.impossible import question

BUCKET = 0.010  # m3, where no other bucket is named
BUCKET_HINT = (
    "the seconds to fill 10 L (2.64 US gallons), such as 38, 38.5, 0.6 min, or 1:05 for a minute "
    "and five seconds"
)
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
        what = f'{title}: "{text.strip()}" cannot be read'
        why = "A number without its unit, or with one of another kind, could mean anything."
        write = f"Write {_hint(misread, text, unit, kind)}."
        raise SeaflowError([Problem("D03", what, why=why, write=write)]) from None
    if not math.isfinite(value):
        raise question(f'{title} of "{text.strip()}" cannot be', "It is no number.")
    return value


def _hint(misread: Misread, text: str, unit: str, kind: str) -> str:
    usual = usual_unit(unit, kind)
    if misread.kind == "dimension":
        return f"a value in {usual}, or leave this one out"
    if misread.kind == "bare" and unit == "Pa":
        return f'"{text.strip()} {usual}", or in psi if the gauge says so'
    if misread.kind == "difference":
        value, written = split(text)
        fahrenheit = "F" in written or "f" in written
        also = f', or "{value:g} delta degF" for as many Fahrenheit degrees' if fahrenheit else ""
        return f"the difference, which is no temperature, as {misread.hint}{also}"
    return misread.hint or f"a number and its unit, such as one in {usual}"


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
    clock = _CLOCK.fullmatch(plain)
    try:
        seconds = 60.0 * int(clock[1]) + float(clock[2]) if clock else _seconds(plain)
    except Misread as misread:
        hint = f"{misread.hint}: " if misread.kind == "comma" else ""
        what = f'bucket: "{plain}" cannot be read'
        why = "A bucket is told by the time it takes to fill."
        write = f"Write {hint}{BUCKET_HINT}."
        raise SeaflowError([Problem("D03", what, why=why, write=write)]) from None
    if seconds <= 0.0 or not math.isfinite(seconds):
        raise question(
            f'a bucket filled in "{plain}" cannot be',
            "No stream fills one at once, or sooner. If none came at all, say so of the stream; "
            f"else give {BUCKET_HINT}.",
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
    factor, offset = factor_and_offset(unit, usual)
    return f"{float(f'{factor * value + offset:.3g}'):g} {usual}"
