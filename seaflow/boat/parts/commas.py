"""What a comma parts in the numbers of a sheet: decimals in one country, thousands in another."""

from __future__ import annotations

import re
from collections.abc import Iterable

from seaflow.boat.parts.told import DECIMALS, THOUSANDS

EITHER_POINT = "either point"  # no comma, and points that may part either
EITHER, BOTH = "either", "both"  # it may be one or the other; some are one and some the other

MAYBE = "maybe a point"  # before three digits
_GROUPS = re.compile(r"[+\-−–]?[1-9]\d{0,2}(?:,\d{3})+(?P<decimals>\.\d+)?")
_POINTED = re.compile(r"[+\-−–]?[1-9]\d{0,2}(?:\.\d{3})+")
_BLANKS = re.compile(r"[ \u00a0\u2009\u202f'’]")


def comma_of(numbers: Iterable[str]) -> str:
    """Return what the commas of a table part; empty where there is neither comma nor point.

    It is told only by a number that could be nothing else: 12,5 has no thousands, 1,250.5 no
    decimals behind its comma. Where no number tells it is "either", and nobody guesses.
    """
    found = {_tells(_BLANKS.sub("", number)) for number in numbers}
    commas = found & {DECIMALS, THOUSANDS, EITHER}
    if not commas:
        return THOUSANDS if "point" in found else EITHER_POINT if MAYBE in found else ""
    if THOUSANDS in found and DECIMALS in found:
        return BOTH
    if "point" in found:
        return BOTH if DECIMALS in found else THOUSANDS
    return next((one for one in (DECIMALS, THOUSANDS) if one in found), EITHER)


def plain_number(number: str, comma: str) -> str:
    """Return a printed number with a point for its decimals and nothing between its thousands."""
    plain = _BLANKS.sub("", number).replace("−", "-").replace("–", "-")
    if comma == DECIMALS:
        return plain.replace(".", "").replace(",", ".")
    plain = plain.replace(",", "")
    return plain.replace(".", "") if plain.count(".") > 1 else plain


def _tells(number: str) -> str:
    if "," in number:
        grouped = _GROUPS.fullmatch(number)
        if grouped is None:
            return DECIMALS
        return THOUSANDS if grouped["decimals"] or number.count(",") > 1 else EITHER
    if "." in number:
        if _POINTED.fullmatch(number) is None:
            return "point"
        return DECIMALS if number.count(".") > 1 else MAYBE
    return ""
