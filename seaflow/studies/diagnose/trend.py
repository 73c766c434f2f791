"""How what was read on stored days has changed, beside what a healthy boat reads on each."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.sample import quantiles
from seaflow.studies.diagnose.own_boat import StoredDay
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Number, Readings, instruments
from seaflow.studies.diagnose.simulate import Flotilla, Setup, clean_boats, own_shares
from seaflow.studies.diagnose.usual import UNUSUAL

LEAST_DAYS = 5  # on which it was read
WRONG = 0.05  # how often a trend may be told where none is, over all that is read
BAND = 0.95  # upper end of the band of nine in ten
WEEK = 7.0  # days
LONG = 21  # days from which on weeks are told
N_BOATS, SEED = 1024, 20  # healthy ones, for where their readings end
# What is followed, by its fact, and whether it grows as things get worse.
FOLLOWED = {
    "discharge": ("trend.discharge", True),
    "flow": ("trend.flow", False),
    "condensing": ("trend.condensing", True),
}
OVER_SEA = ("discharge", "condensing")


@dataclass(frozen=True, slots=True)
class Trend:
    """How one reading at one place changes, as a share of what is usual on the day.

    `is_told` is false where it cannot be told from no change. The band holds nine in ten.
    """

    kind: str
    place: str
    n_days: int
    is_told: bool
    says: tuple[Fact, ...]
    days: float = measured("day")
    per_week: float = measured("-")
    low: float = measured("-")
    high: float = measured("-")


@dataclass(frozen=True, slots=True)
class _Line:
    """A straight line through shares over weeks: where it ends, its slope and the error of that."""

    now: float
    slope: float
    error: float
    degrees: int

    @property
    def chance(self) -> float:
        """How likely a slope so steep is where there is none."""
        from scipy.special import stdtr  # of Student's t; takes time to import

        return float(2.0 * stdtr(self.degrees, -abs(self.slope) / self.error))

    @property
    def half(self) -> float:
        """How far the slope may lie off, either way, in nine of ten."""
        from scipy.special import stdtrit

        return float(stdtrit(self.degrees, BAND)) * self.error


def trends_of(setup: Setup, kept: Sequence[StoredDay]) -> tuple[Trend, ...]:
    """Return the trend of each reading that was taken on enough days, as far as it can be told.

    Each is held to what a healthy boat reads in the sea, at the volts and under the load of its
    day. The errors are those of the line, and no less than instruments alone make them.
    """
    dated = sorted(_dated(kept), key=lambda one: one[0])
    if len({day for day, _ in dated}) < LEAST_DAYS:
        return ()
    days = [_Day(day, readings, _as_planned(setup, readings)) for day, readings in dated]
    series = {key: [*_shares(days, *key)] for key in _places(setup)}
    enough = {key: rows for key, rows in series.items() if _count(rows) >= LEAST_DAYS}
    return tuple(_trend(setup, *key, rows, WRONG / len(enough)) for key, rows in enough.items())


@dataclass(frozen=True, slots=True, eq=False)
class _Day:
    """A day on which something was read, and the boat as planned on it."""

    date: datetime.date
    readings: Readings
    healthy: Flotilla


@dataclass(frozen=True, slots=True)
class _Row:
    """What was read on a day as a share of the `usual`, and by how much such a share scatters."""

    date: datetime.date
    readings: Readings
    share: float
    error: float
    usual: float


def _count(rows: Sequence[_Row]) -> int:
    return len({row.date for row in rows})


def _dated(kept: Sequence[StoredDay]) -> Iterator[tuple[datetime.date, Readings]]:
    for one in kept:
        try:
            yield datetime.date.fromisoformat(one.date), one.readings
        except ValueError:
            continue


def _places(setup: Setup) -> Iterator[tuple[str, str]]:
    for kind in FOLLOWED:
        for place in setup.places.at(instruments()[kind].where):
            yield kind, place


def _shares(days: Sequence[_Day], kind: str, place: str) -> Iterator[_Row]:
    """Yield what was read on each day as a share of what a healthy boat reads on it."""
    for day in days:
        numbers = day.readings.numbers
        number = next((one for one in numbers if (one.kind, one.place) == (kind, place)), None)
        over = day.readings.of("sea") if kind in OVER_SEA else 0.0
        seen = predicted(day.healthy, kind, place)
        if number is None or over is None or seen is None or not np.isfinite(seen[0]):
            continue
        usual = float(seen[0]) - over
        if usual:
            share, error = (number.value - over) / usual, _error(number, abs(usual))
            yield _Row(day.date, day.readings, share, error, usual)


def _error(number: Number, usual: float) -> float:
    """Return by how much a share scatters by the instruments alone."""
    own = float(instruments()[number.kind].deviation(abs(number.value)))
    sea = instruments()["sea"].error if number.kind in OVER_SEA else 0.0
    return math.hypot(own, sea) / usual


def _as_planned(setup: Setup, readings: Readings) -> Flotilla:
    """Return the boat as planned on the day of the readings."""
    return clean_boats(setup, readings, np.full((len(setup.inputs) + 1, 1), 0.5))


def _trend(setup: Setup, kind: str, place: str, rows: Sequence[_Row], wrong: float) -> Trend:
    line = line_through(
        np.asarray([(row.date - rows[0].date).days / WEEK for row in rows]),
        np.asarray([row.share for row in rows]),
        math.sqrt(float(np.mean([row.error**2 for row in rows]))),
    )
    low, high = line.slope - line.half, line.slope + line.half
    days, is_told = (rows[-1].date - rows[0].date).days, line.chance < wrong
    shares = (line.slope, low, high)
    rates = [_rate(kind, share * rows[-1].usual) for share in shares]
    says = _says(kind, place, rates, is_told, _span(days), _count(rows))
    more = _reaches(setup, kind, place, rows[-1], line) if is_told else ()
    return Trend(kind, place, _count(rows), is_told, (says, *more), float(days), *shares)


def _says(
    kind: str, place: str, rates: Sequence[Amount], is_told: bool, span: Fact, count: int
) -> Fact:
    """Return what is said of a slope with its band."""
    what = fact(FOLLOWED[kind][0], place=place)
    rate, *ends = (replace(one, value=abs(one.value)) for one in rates)
    ends.sort(key=lambda one: one.value)
    if not is_told:
        return fact("trend.none", what=what, span=span, count=count, most=ends[-1])
    way = "trend.grown" if rates[0].value > 0.0 else "trend.fallen"
    return fact(way, what=what, span=span, count=count, rate=rate, low=ends[0], high=ends[1])


def _rate(kind: str, value: float) -> Amount:
    return amount("rise" if kind in OVER_SEA else instruments()[kind].show, value)


def _span(days: int) -> Fact:
    if days < LONG:
        return fact("trend.days", count=days)
    return fact("trend.weeks", count=round(days / WEEK))


def _reaches(setup: Setup, kind: str, place: str, last: _Row, line: _Line) -> Iterator[Fact]:
    """Yield when it leaves what healthy boats read, if it goes that way."""
    _, worse = FOLLOWED[kind]
    if (line.slope > 0.0) != worse:
        return
    boats = clean_boats(setup, last.readings, own_shares(setup, N_BOATS, SEED))
    seen = predicted(boats, kind, place)
    assert seen is not None  # as it was for one boat
    over = (last.readings.of("sea") or 0.0) if kind in OVER_SEA else 0.0
    (end,) = quantiles(seen - over, (1.0 - UNUSUAL if worse else UNUSUAL,))
    left = (end / last.usual - line.now) / line.slope
    yield fact("trend.reaches", count=max(round(left), 1)) if left > 0.0 else fact("trend.past")


def line_through(weeks: Array, shares: Array, least: float) -> _Line:
    """Return the line of least squares; `least` is how far one reading scatters at the least."""
    middle, degrees = weeks.mean(), weeks.size - 2
    spread_of = float(((weeks - middle) ** 2).sum())
    slope = float((weeks - middle) @ shares) / spread_of
    off = shares - shares.mean() - slope * (weeks - middle)
    scatter = max(float(off @ off) / degrees, least**2)
    now = float(shares.mean() + slope * (weeks[-1] - middle))
    return _Line(now, slope, math.sqrt(scatter / spread_of), degrees)
