"""From what is written of a number aboard, such as 92F or 2 gal in 1:10, to SI, and back."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from contextlib import suppress

from seaflow.base.tables import read_table
from seaflow.base.units import (
    Misread,
    factor_and_offset,
    read_quantity,
    seconds_of,
    split,
    volume_and_time,
)
from seaflow.studies.diagnose.impossible import question
from seaflow.studies.diagnose.readings import BUCKET, Instrument, instruments

CELSIUS, FAHRENHEIT = "C", "F"
BARE = ("V", "A", "W")  # units that nobody needs to say
_IS_FLOW = re.compile(r"[a-zA-Z]*/|gp[mh]\b|lp[mh]\b", re.IGNORECASE)
_HAS_CLOCK = re.compile(r"\d+:\d")
_ROUGHLY = re.compile(
    r"^\s*(?:about|around|roughly|some|circa|approx(?:imately)?\b\.?|ca\b\.?|~|≈)\s*(?=[\d.+-])",
    re.IGNORECASE,
)
_DEGREES = re.compile(
    r"(?:deg(?:ree)?s?\.?|°|º|')?\s*(?P<scale>c(?:elsius|entigrade)?|f(?:ahrenheit)?)?",
    re.IGNORECASE,
)
_IS_US = re.compile(
    r"(?<![a-z])(?:gal(?:lon)?s?|quarts?|qts?|gp[mh]|psig?|in\s?hg)(?![a-z])", re.IGNORECASE
)
_IS_METRIC = re.compile(
    r"(?<![a-z])(?:l|lit(?:re|er)s?|lp[mh]|[km]?pag?|m?barg?|m3)(?![a-z])", re.IGNORECASE
)
_GAUGE = {"psig": "psi", "barg": "bar", "kpag": "kPa"}  # every pressure here is one of a gauge
_WRITTEN = (
    *("L/min", "L/h", "L/s", "m3/h", "gpm", "gph", "kPa", "mbar", "psi", "bar", "inHg", "Pa"),
    *("MPa", "degC", "degF", "K", "V", "A", "W", "kW", "s", "min"),
)
_BY_CASE = {name.lower(): name for name in _WRITTEN}


def scale_meant(texts: Iterable[tuple[str, str]], system: str = "") -> str:
    """Return the scale of temperatures written without one, such as 33°: C or F.

    `texts` are kinds of reading with what was written of each. It is the scale of the others, else
    that of the units asked for, else C unless water is never so warm.
    """
    degrees = [(kind, text) for kind, text in texts if _unit_of(kind) == "degC"]
    named = [found for _, text in degrees if (found := _scale_of(text))]
    if named:
        return named[0]
    if system:
        return FAHRENHEIT if system == "us" else CELSIUS
    too_warm = (_number_of(text) > instruments()[kind].most for kind, text in degrees)
    return FAHRENHEIT if any(too_warm) else CELSIUS


def without_about(text: str) -> str:
    """Return what was written without a word that says it is rough: every reading is."""
    head, mark, tail = text.rpartition("=")
    return f"{head}{mark}{_ROUGHLY.sub('', tail)}"


def is_bare_degree(text: str) -> bool:
    """Tell whether a text is a temperature in degrees of no named scale."""
    try:
        found = _DEGREES.fullmatch(split(text)[1])
    except Misread:
        return False
    return found is not None and bool(found[0]) and not found["scale"]


def system_of(text: str, kind: str, scale: str = CELSIUS) -> str:
    """Return the system of units in which a reading is typed, or nothing where both have them.

    `scale` is that of bare degrees.
    """
    if _unit_of(kind) in ("degC", "K"):
        named = _scale_of(text) or (scale if is_bare_degree(text) else "")
        return {CELSIUS: "metric", FAHRENHEIT: "us"}.get(named, "")
    return "us" if _IS_US.search(text) else "metric" if _IS_METRIC.search(text) else ""


def _unit_of(kind: str) -> str:
    return instruments()[kind].unit if kind in instruments() else ""


def _scale_of(text: str) -> str:
    try:
        found = _DEGREES.fullmatch(split(text)[1])
    except Misread:
        return ""
    return found["scale"][0].upper() if found is not None and found["scale"] else ""


def _number_of(text: str) -> float:
    return split(text)[0] if is_bare_degree(text) else -math.inf


def read(text: str, unit: str, title: str, kind: str = "", scale: str = CELSIUS) -> float:
    """Return the number that a reading means.

    Raises
    ------
    SeaflowError
        If it is no such quantity.
    """
    try:
        value = read_quantity(as_meant(text, unit, scale), unit)
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
    if which == "comma" and unit == "degC" and (point := text.replace(",", ".", 1)) != text:
        with suppress(Misread):
            if not split(point)[1]:
                return _hint(Misread("bare", point, ""), point, unit, kind)
    if which == "bare" and unit in ("Pa", "degC"):
        which = f"bare_{unit}"
    elif kind and (which in ("number", "dimension", "unknown") or (which, unit) == ("bare", "K")):
        return _forms(kind)
    elif which not in hint:
        if misread.hint:
            return misread.hint
        which = "share" if unit == "-" else "number"
    said: str = hint[which]
    return said.format(unit=usual, typed=text.strip())


def _forms(kind: str) -> str:
    """Return how a reading of this kind may be written."""
    such = " or ".join(f'"{one}"' for one in dict.fromkeys(instruments()[kind].such))
    bucket = f"; or {read_table('instruments.toml')['hint']['bucket']}" if kind == "flow" else ""
    return such + bucket


def as_meant(text: str, unit: str, scale: str = CELSIUS) -> str:
    """Return the text with its unit as the reader of units knows it, whatever its letter case."""
    try:
        _, written = split(text)
    except Misread:
        return text
    if not written:
        return f"{text.strip()} {unit}" if unit in BARE else text
    meant = _BY_CASE.get(written.lower(), _GAUGE.get(written.lower(), written))
    degrees = _DEGREES.fullmatch(written)
    if degrees is not None and unit == "degC":
        meant = f"deg{(degrees['scale'] or scale)[0].upper()}"
    elif degrees is not None and unit == "K" and degrees["scale"]:
        # a difference is read here, whatever it is called
        meant = "K" if degrees["scale"][0].upper() == CELSIUS else "delta degF"
    if meant == written:
        return text
    return f"{text.rstrip()[: -len(written)]} {meant}"


def flow_of(text: str) -> tuple[float, float]:
    """Return a flow [m3/s] and the bucket [m3] by which it was told, nought for none.

    It is given as such, or by the time to fill a bucket: of 10 L where none is named.

    Raises
    ------
    SeaflowError
        If it is neither.
    """
    plain = text.strip()
    by_watch = not plain.rstrip("0123456789. ") or bool(_HAS_CLOCK.search(plain))
    if by_watch or plain.endswith((" s", "sec")) or volume_and_time(plain) is not None:
        return bucket_of(plain)
    return read(plain, "m3/s", "flow", "flow"), 0.0


def bucket_of(text: str) -> tuple[float, float]:
    """Return the flow [m3/s] of a bucket filled in a time, and its volume [m3].

    Raises
    ------
    SeaflowError
        If it is neither a time above nought nor a flow.
    """
    plain = text.strip()
    hint = read_table("instruments.toml")["hint"]["bucket"]
    filled = volume_and_time(plain)
    if filled is None and _IS_FLOW.search(plain):
        return read(plain, "m3/s", "flow", "flow"), 0.0
    try:
        volume, seconds = filled or (BUCKET, seconds_of(plain))
    except Misread as misread:
        meant = f"{misread.hint}: " if misread.kind == "comma" else ""
        raise question(
            f'bucket: "{plain}" cannot be read',
            "A bucket is told by its size and the time it takes to fill.",
            f"Write {meant}{hint}.",
            "D03",
        ) from None
    if seconds <= 0.0 or volume <= 0.0 or not math.isfinite(volume / seconds):
        raise question(
            f'a bucket filled in "{plain}" cannot be',
            "No stream fills one at once, or sooner. If none came at all, say so of the stream; "
            f"else write {hint}.",
        )
    return volume / seconds, volume


def load_of(text: str) -> float:
    """Return a load of the units as a share of full.

    Raises
    ------
    SeaflowError
        If it is no share, or none that a unit can run at; or if a number without % may be one
        with it.
    """
    load, plain = read(text, "-", "load"), text.strip()
    if 1.0 < load <= 100.0 and not split(plain)[1]:
        raise question(
            f'a load of "{plain}" would be {load:g} times full',
            "It lies above 0 % and up to 100 %.",
            f'Write "{plain} %".',
            "D03",
        )
    if plain == "1":
        raise question(
            'a load of "1" may be either',
            "A number alone is a share of full, and 1 may be all of it or a hundredth.",
            'Write "100 %", "full" or "1 %".',
            "D03",
        )
    if not 0.0 < load <= 1.0:
        raise question(f"a load of {load:.0%} cannot be", "It lies above 0 % and up to 100 %.")
    return load


def bounds_of(instrument: Instrument, text: str, scale: str) -> tuple[str, str]:
    """Return the least and the most of an instrument, in the scale in which a text was typed."""
    by_fahrenheit = instrument.unit == "degC" and (_scale_of(text) or scale) == FAHRENHEIT
    if not by_fahrenheit:
        ends = (instrument.least, instrument.most)
        least, most = (plain(end, instrument.unit, instrument.kind) for end in ends)
        return least, most
    factor, offset = factor_and_offset("degC", "degF")
    least, most = (f"{factor * x + offset:.3g} degF" for x in (instrument.least, instrument.most))
    return least, most


def usual_unit(unit: str, kind: str) -> str:
    """Return the unit in which somebody aboard reads such a quantity."""
    return "bar" if kind == "high_side" else {"m3/s": "L/min", "Pa": "kPa"}.get(unit, unit)


def plain(value: float, unit: str, kind: str) -> str:
    """Return a number as somebody aboard would write it."""
    usual = usual_unit(unit, kind)
    factor, _ = factor_and_offset(unit, usual)  # no usual unit has another nought
    return f"{float(f'{factor * value:.3g}'):g} {usual}"
