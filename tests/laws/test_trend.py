"""Trends over stored days: told where there is one, not where there is none, and how steep."""

from __future__ import annotations

import datetime
from dataclasses import replace

import numpy as np
import pytest
from numpy.random import RandomState
from scipy import stats
from sizing import KETCH, shipped

from seaflow.boat import network
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.own_boat import StoredDay
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.trend import (
    LEAST_DAYS,
    WRONG,
    _as_planned,
    _Line,
    line_through,
    trends_of,
)
from seaflow.studies.diagnose.verdict import HEALTHY

FIRST = datetime.date(2026, 5, 1)
MANY = 2000  # series of a line


@pytest.fixture(scope="module")
def setup():
    case = shipped(KETCH)
    return setup_of(case, network.loops(case)[0])


def days_of(setup, seas, grows=0.0, sinks=0.0, noise=0.0, apart=7):
    """Days on which the rise, over what is usual in its sea, grows by a share a week."""
    stream, found = RandomState(4), []
    (unit,), (outlet,) = setup.places.units, setup.places.outlets
    for k, sea in enumerate(seas):
        day = Readings((Number("sea", "", sea),))
        boat = _as_planned(setup, day)
        warm, flow = (
            float(predicted(boat, *at)[0]) for at in (("discharge", unit), ("flow", outlet))
        )
        share = 1.0 + grows * k * apart / 7.0 + noise * stream.standard_normal()
        water = 1.0 - sinks * k * apart / 7.0 + noise * stream.standard_normal()
        numbers = (
            Number("discharge", unit, sea + share * (warm - sea)),
            Number("flow", outlet, water * flow),
        )
        date = FIRST + datetime.timedelta(days=apart * k)
        readings = replace(day, numbers=(*day.numbers, *numbers))
        found.append(StoredDay(date.isoformat(), readings, HEALTHY))
    return found


SEAS = (20.0, 22.0, 25.0, 27.0, 29.0, 30.0, 28.0)


def test_students_t_is_that_of_the_library():
    for degrees in (3, 4, 5, 10, 40):
        for value in (-3.0, 0.0, 0.4, 2.1, 12.0):
            line = _Line(1.0, 0.3 * value, 0.3, degrees)
            above = stats.t.cdf(abs(value), degrees)
            assert 1.0 - 0.5 * line.chance == pytest.approx(above, abs=1e-8)
        assert line.half == pytest.approx(0.3 * stats.t.ppf(0.95, degrees), rel=1e-7)


def test_a_line_and_its_error_are_those_of_the_library():
    weeks, shares = np.asarray([0.0, 1.0, 2.5, 3.0, 6.0]), np.asarray([1.0, 1.2, 1.1, 1.4, 1.6])
    found, theirs = line_through(weeks, shares, 0.0), stats.linregress(weeks, shares)
    assert (found.slope, found.error) == pytest.approx((theirs.slope, theirs.stderr))
    assert found.now == pytest.approx(theirs.intercept + 6.0 * theirs.slope)
    assert found.chance == pytest.approx(theirs.pvalue, rel=1e-4)
    assert line_through(weeks, shares, 9.0).error > 20.0 * found.error


@pytest.mark.parametrize("n_days", [5, 12])
def test_no_trend_is_told_no_oftener_than_it_may_and_the_band_holds_nine_in_ten(n_days):
    stream, weeks, told, held = RandomState(8), np.arange(n_days) * 1.0, 0, 0
    for _ in range(MANY):
        line = line_through(weeks, 1.0 + 0.08 * stream.standard_normal(n_days), 0.0)
        told += line.chance < WRONG
        held += abs(line.slope) <= line.half
    assert stats.binomtest(told, MANY, WRONG).pvalue > 0.001
    assert stats.binomtest(held, MANY, 0.9).pvalue > 0.001


def test_the_sea_of_the_day_is_taken_out(setup):
    """The rise falls in a warmer sea by itself; of a healthy boat nothing is told."""
    days = days_of(setup, SEAS)
    rises = [day.readings.of("discharge") - day.readings.of("sea") for day in days]
    assert np.ptp(rises) > 0.1
    for one in trends_of(setup, days):
        assert not one.is_told and one.per_week == pytest.approx(0.0, abs=1e-9)


def test_a_rise_that_creeps_up_is_told_with_its_pace_and_until_when(setup):
    rise, flow = trends_of(setup, days_of(setup, SEAS, grows=0.07, noise=0.03))
    assert (rise.kind, rise.n_days, rise.days, rise.is_told) == ("discharge", 7, 42.0, True)
    assert rise.low < 0.07 < rise.high and rise.per_week == pytest.approx(0.07, abs=0.02)
    assert not flow.is_told and flow.low < 0.0 < flow.high
    assert [one.kind for one in rise.says] == ["trend.grown", "trend.past"]
    usual = days_of(setup, SEAS)[-1].readings
    healthy = usual.of("discharge") - usual.of("sea")
    assert rise.says[0]["rate"].value == pytest.approx(rise.per_week * healthy)
    slow, _ = trends_of(setup, days_of(setup, SEAS[:5], grows=0.05, noise=0.003, apart=3))
    assert not slow.is_told  # in twelve days


def test_water_that_falls_is_told_and_so_is_when_it_leaves_the_band(setup):
    rise, flow = trends_of(setup, days_of(setup, SEAS, sinks=0.02, noise=0.002))
    assert not rise.is_told and flow.is_told and flow.per_week == pytest.approx(-0.02, abs=0.002)
    assert [one.kind for one in flow.says] == ["trend.fallen", "trend.past"]
    many = days_of(setup, 4 * SEAS[1:], sinks=0.006, noise=0.001, apart=3)
    _, slower = trends_of(setup, many)
    assert [one.kind for one in slower.says] == ["trend.fallen", "trend.reaches"]
    # nine healthy boats in ten have no more than a sixth less water than the middle
    assert 1.0 <= slower.says[1]["count"] <= 0.16 / 0.006


def test_what_gets_better_leaves_no_band(setup):
    rise, _ = trends_of(setup, days_of(setup, SEAS, grows=-0.07, noise=0.01))
    assert [one.kind for one in rise.says] == ["trend.fallen"]


def test_fewer_days_tell_no_trend_and_rows_without_a_date_are_no_day(setup):
    days = days_of(setup, SEAS, grows=0.1)
    assert trends_of(setup, days[: LEAST_DAYS - 1]) == ()
    assert trends_of(setup, [replace(one, date="no date") for one in days]) == ()
    assert trends_of(setup, [replace(one, date=days[0].date) for one in days]) == ()
    unread = [replace(one, readings=Readings()) for one in days[4:]]
    assert trends_of(setup, [*days[:4], *unread]) == ()
