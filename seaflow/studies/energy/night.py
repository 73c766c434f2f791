"""The night on the battery: how long it lasts, what is left at dawn, and what would help.

The duties stand in order on a day that begins, with the battery full, where the boat goes on to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import DAY
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.clock import clock_text, starts_of
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.tables.use import Duty
from seaflow.studies.design.duties import BATTERY, HouseBank
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.limits import limit
from seaflow.studies.energy.charge import NO_DUTY, Charges, sun_of
from seaflow.studies.energy.plan import (
    LoopAtNight,
    NightWay,
    Plan,
    charged,
    courses,
    named,
    plan_of,
    ways_of,
)

ENDS = (0.05, 0.95)  # nine nights in ten lie between
QUARTER = 900.0  # s, from point to point of the line
MADE_GOOD = 0.02  # of what may be drawn; less than that is not missed


@dataclass(frozen=True, slots=True)
class NightPart:
    """A part of the day: what it draws and charges on average, and the charge at its end."""

    name: str
    source: str
    starts: str
    ends: str
    draws: float = measured("W")
    charges: float = measured("W")
    charge: float = measured("A s")
    low: float = measured("A s")
    high: float = measured("A s")


@dataclass(frozen=True, slots=True)
class NightChange:
    """Something to do otherwise, and how the night goes then; `until` is empty where it lasts.

    `lasts` is how long the battery then lasts, at most a day. What is left at dawn is below nothing
    where so much would be missing by then.
    """

    changes: tuple[Fact, ...]
    until: str
    lasts: float = measured("s")
    lasting: float = measured("-")
    left_at_dawn: float = measured("A s")
    low: float = measured("A s")
    high: float = measured("A s")


@dataclass(frozen=True, slots=True)
class Night:
    """The plan of a day on the battery; times are as a clock shows them.

    `limit` is when the battery reaches its limit, `early` and `late` the same on drawn nights, each
    empty where it does not. `lasting` is the share of drawn nights on which it lasts. `grade` is no
    where it does not last and nothing that was tried would make it last; tight where only that
    would, where it lasts on fewer nights than is likely enough, or where what it holds is not
    given. `needed` is what it must hold for the whole plan. `times` are counted from the
    start; `charge`, `low` and `high` run along them.
    """

    starts: str
    dawn: str
    bank: HouseBank
    stretches: tuple[NightPart, ...]
    changes: tuple[NightChange, ...]
    says: tuple[Fact, ...]
    grade: str
    limit: str = ""
    early: str = ""
    late: str = ""
    begins: float = measured("s", 0.0)
    lasting: float = measured("-", 1.0)
    left_at_dawn: float = measured("A s", 0.0)
    after_a_day: float = measured("A s", 0.0)
    needed: float = measured("A s", 0.0)
    times: tuple[float, ...] = measured("s", ())
    charge: tuple[float, ...] = measured("A s", ())
    low: tuple[float, ...] = measured("A s", ())
    high: tuple[float, ...] = measured("A s", ())


def night_of(
    case: Case, duties: Sequence[Duty], bank: HouseBank | None, loops: Sequence[LoopAtNight]
) -> Night | None:
    """Return the night, or None where nothing runs on a battery."""
    if bank is None or not loops or all(duty.source != BATTERY for duty in duties):
        return None
    plan = plan_of(case, tuple(duties), bank, tuple(loops))
    ways = ways_of(plan)
    (known, drawn), *others = courses(plan, (NightWay(), *ways))
    tried = [(way, _change(plan, way, *other)) for way, other in zip(ways, others, strict=True)]
    tried.sort(key=lambda one: -one[1].left_at_dawn)
    changes = tuple(change for _, change in tried)
    lasting = float(np.mean(np.isinf(drawn.empty)))
    early, late = np.quantile(drawn.empty, ENDS, method="inverted_cdf")
    points = np.arange(0.0, DAY + 1.0, QUARTER)
    low, high = _band(drawn.energy)
    lines = (known.energy[:, 0], low, high)
    return Night(
        starts=plan.clock(0.0),
        dawn=plan.clock(plan.dawn),
        bank=bank,
        stretches=tuple(_stretches(plan, known, drawn)),
        changes=changes,
        says=tuple(_says(plan, known, drawn, tried)),
        grade=_grade(bool(np.isinf(known.empty[0])), lasting, changes) if bank.given else TIGHT,
        limit=plan.clock(float(known.empty[0])),
        early=plan.clock(float(early)),
        late=plan.clock(float(late)),
        begins=plan.begins,
        lasting=lasting,
        left_at_dawn=float(known.at(plan.dawn)[0]) / bank.voltage,
        needed=(bank.energy - float(known.left[:, 0].min())) / bank.voltage,
        after_a_day=float(known.energy[-1, 0]) / bank.voltage,
        times=tuple(points.tolist()),
        **{
            name: tuple((np.interp(points, plan.times, line) / bank.voltage).tolist())
            for name, line in zip(("charge", "low", "high"), lines, strict=True)
        },
    )


def _grade(lasts: bool, share: float, changes: Sequence[NightChange]) -> str:
    if not lasts:
        return TIGHT if any(not change.until for change in changes) else NO
    return YES if share >= limit("likely_enough") else TIGHT


def night_assumed(case: Case, duties: Sequence[Duty]) -> Iterator[Assumption]:
    """Yield when the duties begin, where the case does not tell, and when it dawns."""
    usual = default("duty.start")
    for duty, start in zip(duties, starts_of(duties), strict=True):
        if case.duty and duty.start is None:
            yield Assumption(duty.name, usual.meaning, clock_text(start), usual.source)
    yield assumed("battery.dawn", BATTERY)


def _change(plan: Plan, way: NightWay, known: Charges, drawn: Charges) -> NightChange:
    low, high = np.quantile(drawn.at(plan.dawn), ENDS) / plan.bank.voltage
    return NightChange(
        changes=tuple(named(plan, way)),
        until=plan.clock(float(known.empty[0])),
        lasts=min(float(known.empty[0]), DAY),
        lasting=float(np.mean(np.isinf(drawn.empty))),
        left_at_dawn=float(known.at(plan.dawn)[0]) / plan.bank.voltage,
        low=float(low),
        high=float(high),
    )


def _stretches(plan: Plan, known: Charges, drawn: Charges) -> Iterator[NightPart]:
    """Yield the parts of the day in order, the hours between duties too."""
    turns = [0, *(np.flatnonzero(np.diff(plan.which)) + 1), len(plan.which)]
    low, high = _band(drawn.energy)
    for first, last in pairwise(turns):
        number = int(plan.which[first])
        duty = None if number == NO_DUTY else plan.duties[number]
        span = plan.times[last] - plan.times[first]
        spans = np.diff(plan.times)[first:last]
        lost = known.spilled[first:last, 0].sum()
        into = float(charged(plan, number, plan.known)[0])
        sun = plan.known.solar[0] * sun_of(plan.times, plan.begins)[first:last]
        into += float((sun * spans).sum() / span)
        gained = known.energy[last, 0] - known.energy[first, 0]
        draws = into - (gained + lost - known.missing[first:last, 0].sum()) / span
        yield NightPart(
            name=duty.name if duty else "",
            source=duty.source if duty else "",
            starts=plan.clock(plan.times[first]),
            ends=plan.clock(plan.times[last]),
            draws=max(float(draws), 0.0),
            charges=into,
            charge=float(known.energy[last, 0]) / plan.bank.voltage,
            low=float(low[last]) / plan.bank.voltage,
            high=float(high[last]) / plan.bank.voltage,
        )


def _band(rows: Array) -> Array:
    return np.asarray(np.quantile(rows, ENDS, axis=1))


def _says(
    plan: Plan, known: Charges, drawn: Charges, tried: Sequence[tuple[NightWay, NightChange]]
) -> Iterator[Fact]:
    """Yield how the night goes, what would help, how sure that is, and what the day makes good."""
    bank, dawn = plan.bank, float(known.at(plan.dawn)[0])
    start, lasts = plan.clock(0.0), not np.isfinite(known.empty[0])
    if lasts:
        least = float(known.energy[:, 0].min())
        when = plan.clock(float(plan.times[int(known.energy[:, 0].argmin())]))
        left = amount("charge", dawn / bank.voltage)
        at = {"start": start, "dawn": plan.clock(plan.dawn), "left": left}
        yield fact("energy.night_lasts", **at, share=dawn / bank.energy)
        if least < dawn * (1.0 - MADE_GOOD):
            yield fact("energy.night_least", left=amount("charge", least / bank.voltage), time=when)
    else:
        early, late = np.quantile(drawn.empty, ENDS, method="inverted_cdf")
        at = {"start": start, "limit": plan.clock(float(known.empty[0]))}
        at |= {"early": plan.clock(float(early)), "late": plan.clock(float(late))}
        yield fact("energy.night_limit" if at["late"] else "energy.night_limit_or_not", **at)
        yield from _helps(tried)
    if not bank.given:
        yield fact("energy.bank_typical", charge=amount("charge", bank.capacity))
    if not bank.house_given:
        yield fact("energy.house_typical", power=amount("power", bank.house))
    yield fact("energy.night_share", share=float(np.mean(np.isinf(drawn.empty))))
    yield _after(plan, known)


def _helps(tried: Sequence[tuple[NightWay, NightChange]]) -> Iterator[Fact]:
    """Yield the least change with which the night lasts, or the one that goes furthest."""
    enough = [(way, change) for way, change in tried if not change.until]
    if enough:
        _, best = min(
            enough, key=lambda one: (one[0].n_changes, one[0].load < 1.0, not one[0].slow)
        )
        left = amount("charge", best.left_at_dawn)
        yield fact("energy.night_lasts_with", changes=best.changes, left=left)
    elif tried:
        best = max((change for _, change in tried), key=lambda one: one.lasts)
        yield fact("energy.night_until_with", changes=best.changes, until=best.until)


def _after(plan: Plan, known: Charges) -> Fact:
    """Return whether a day makes good what the battery gave."""
    start, end = plan.bank.energy, float(known.energy[-1, 0])
    if end < (1.0 - MADE_GOOD) * start:
        missing = amount("charge", (start - end) / plan.bank.voltage)
        return fact("energy.not_made_good", missing=missing, time=plan.clock(0.0))
    lowest = int(known.energy[:, 0].argmin())
    full = np.flatnonzero(known.energy[lowest:, 0] >= (1.0 - 1e-9) * start)
    first = lowest + int(full[0]) if full.size else -1
    return fact("energy.full_again", time=plan.clock(float(plan.times[first])))
