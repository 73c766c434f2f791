"""Days as people type them: what is one, which comes first, and which cannot be."""

from __future__ import annotations

import datetime
import re

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FIRST_YEAR = 1000  # a smaller number is a day, a month, or a year without its century
_LEAP = 2024  # a year in which every day of a year can be
_LONGEST = 31  # days of a month
_WRITTEN = datetime.date(2026, 11, 29)  # a clock that shows an earlier day is wrong
_NEXT_YEAR = 366  # days ahead that are no slip of a clock or a calendar
_NAMED = re.compile(r"\s*(\d+)\.?\s+[^\W\d]+\.?,?\s+\d{4}\s*")


def is_a_day(text: str) -> bool:
    """Return False for what looks like a date and is no day; other words pass as typed."""
    days = _days(text)
    if days is not None:
        return bool(days)
    named = _NAMED.fullmatch(text)
    return named is None or 0 < int(named[1]) <= _LONGEST


def day_of(text: str | None) -> datetime.date | None:
    """Return the one day of a calendar that is meant, or None where the text leaves that open."""
    days = days_of(text or "")
    return days[0] if len(days) == 1 else None


def days_of(text: str) -> tuple[datetime.date, ...]:
    """Return the days of a calendar that a text may mean; two where day and month may change."""
    return tuple(_days(text, leap=False) or ())


def this_day() -> datetime.date:
    """Return the day it is, as far as the clock can be believed."""
    return max(datetime.date.today(), _WRITTEN)


def is_far_ahead(text: str, today: datetime.date) -> bool:
    """Return whether a day is more than a year ahead, so that its year must be wrong."""
    day = day_of(text)
    return day is not None and (day - today).days > _NEXT_YEAR


def _days(text: str, leap: bool = True) -> list[datetime.date] | None:
    """Return the days that a text may mean; None where it is no date at all.

    With `leap`, a day without its year is one if any year has it.
    """
    numbers = [int(found) for found in re.findall(r"\d+", text)]
    words = re.findall(r"[a-z]{3,}", text.lower())
    month = next((_MONTHS.index(word[:3]) + 1 for word in words if word[:3] in _MONTHS), None)
    if month is not None:
        short = [number for number in numbers if number < _FIRST_YEAR]
        year = next((number for number in numbers if number >= _FIRST_YEAR), _LEAP if leap else 0)
        return _real((year, month, short[0])) if 0 < len(short) < 3 else None
    if not re.fullmatch(r"\s*\d+(?:[-/. ]+\d+){2}\s*", text):
        return None
    one, two, three = numbers
    if one >= _FIRST_YEAR:
        return _real((one, two, three))
    year = three if three >= _FIRST_YEAR else 2000 + three
    return _real((year, two, one), (year, one, two))


def _real(*tried: tuple[int, int, int]) -> list[datetime.date]:
    found = []
    for year, month, day in tried:
        try:
            found.append(datetime.date(year, month, day))
        except ValueError:
            continue
    return list(dict.fromkeys(found))
