"""Times of day, and when the duties of a day begin."""

from __future__ import annotations

import re
from collections.abc import Sequence

from seaflow.base.constants import DAY
from seaflow.boat.tables.use import Duty

NIGHTFALL, MORNING = 22 * 3600.0, 8 * 3600.0  # s; when a night, or any other first duty, begins
_WRITTEN = re.compile(r"(\d{1,2})(?:[:.h](\d{2})|\s?h)?\s*(am|pm)?", re.IGNORECASE)


def clock_of(text: str) -> float | None:
    """Return the time of day that is written, in s after midnight, or None if it is none.

    >>> clock_of("22:30"), clock_of("7 pm"), clock_of("25:00")
    (81000.0, 68400.0, None)
    """
    found = _WRITTEN.fullmatch(text.strip())
    if found is None or not (found[2] or found[3] or "h" in text.casefold()):
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").casefold()
    if half and not 1 <= hour <= 12:
        return None
    hour = hour % 12 + 12 * (half == "pm") if half else hour
    return hour * 3600.0 + minute * 60.0 if hour <= 24 and minute < 60 else None


def clock_text(seconds: float) -> str:
    """Return a time of day as a clock shows it, to the minute.

    >>> clock_text(81000.0), clock_text(86400.0 + 3661.0)
    ('22:30', '01:01')
    """
    minutes = round(seconds / 60.0) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def starts_of(duties: Sequence[Duty]) -> tuple[float, ...]:
    """Return when each duty begins, in s after midnight.

    One without a time follows the one before it. Where none has a time the night begins at
    nightfall, or the first duty in the morning if none is called a night.
    """
    told = [None if duty.start is None else clock_of(duty.start) for duty in duties]
    first = next((i for i, start in enumerate(told) if start is not None), None)
    if first is None:
        nights = [i for i, duty in enumerate(duties) if "night" in duty.name.casefold()]
        first = nights[0] if nights else 0
        told = [*told[:first], NIGHTFALL if nights else MORNING, *told[first + 1 :]]
    found, then = [0.0] * len(duties), 0.0
    for number in range(len(duties)):
        i = (first + number) % len(duties)
        start = told[i]
        found[i] = (then if start is None else start) % DAY
        then = found[i] + duties[i].hours
    return tuple(found)


def at_once(duties: Sequence[Duty]) -> tuple[int, int] | None:
    """Return two duties, by number, of which the second begins before the first ends."""
    starts = starts_of(duties)
    order = sorted(range(len(duties)), key=lambda i: starts[i])
    for place, i in enumerate(order):
        after = order[(place + 1) % len(order)]
        wait = (starts[after] - starts[i]) % DAY if after != i else DAY
        if wait < duties[i].hours - 1.0:
            return i, after
    return None
