"""Which uncertain or assumed input turns the choice of pump, if it lies at either of its ends.

Each end is entered as if it had been measured: needs, worst cases, start and simulated days follow
it, and the candidates are put in order again. What differs from day to day is left as drawn: no
look settles it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Hose
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.sample import (
    PumpCertainty,
    Sample,
    UnitCertainty,
    slow_enough,
    verdicts,
)
from seaflow.studies.design.certainty.spreads import (
    Spread,
    kind_is_assumed,
    lift_is_assumed,
    spread,
)
from seaflow.studies.design.choose import PumpResult, Ranked, best_of
from seaflow.studies.design.judge import NO, YES, Trial, judge, judge_season
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed, need_of
from seaflow.studies.design.pump_at import PumpAt, pumps_at
from seaflow.studies.design.start import FirstStart, first_start
from seaflow.studies.design.worst_cases import worst_cases

N_DRAWS = 48  # for each end; what they say is set against the same draws without it
ENDS = (0.0, 1.0)  # shares of a spread
HOPELESS = 0.5  # of its least flow: a pump that falls so far short is not tried again
OF_THE_CURVE = ("design.left_on_its_curve", "design.right_on_its_curve")
MORE = 1.2  # times the power, which an end may move
OUT = 0.12  # m; more than the height of an outlet may be wrong
NEAR = 0.25  # m; wider than any spread of an outlet's height
WITHOUT_WIRE = "smooth-bore rubber"
OF_THE_PUMP = ("pump_head", "pump_flow", "pump_exponent", "priming_lift")
OF_THE_START = ("pump_head", "outlet_height")
OF_THE_NEED = ("plate_heat", "plate_heat_generic", "conductance_given", "conductance_generic")

Needs = Mapping[str, UnitNeed]
Pair = tuple[Ranked, Ranked]


@dataclass(frozen=True, slots=True)
class Turn:
    """An input with the pump that is chosen at the low and at the high end of its range."""

    label: str
    measure: str
    source: str | Fact
    low: str
    high: str


@dataclass(frozen=True, slots=True, eq=False)
class _Trials:
    """What is the same for every pump: the case, the needs, and needs at the ends of inputs."""

    case: Case
    needs: Needs
    at_ends: dict[tuple[str, float], Needs]


@dataclass(frozen=True, slots=True)
class _Asked:
    """Inputs that a pump is asked of, and those of which its worst cases count in any case.

    Elsewhere the chosen pump stays a yes, so that one which simulated days do not grant a yes
    cannot come before it, whatever its worst cases say.
    """

    labels: frozenset[str]
    always: frozenset[str]


def turns(
    case: Case, order: Sequence[Ranked], needs: Needs, drawn: Mapping[str, Sample]
) -> tuple[Turn, ...]:
    """Return every input that turns the choice, assumptions first, then those that do at both ends.

    `order` are the judged candidates, best first; `drawn` holds some days of each.
    """
    trials = _Trials(case, needs, {})
    first = order[0]
    chosen = first.result.part.name
    mine = {one[0]: one for one in _pairs(trials, first, drawn[chosen], None)}
    falls = frozenset(
        label for label, _, pair in mine.values() if any(_is_worse(end, first) for end in pair)
    )
    spreads = {label: about for label, about, _ in mine.values()}
    pairs = [(first, {label: pair for label, _, pair in mine.values()})]
    for item in order[1:]:
        asked = _Asked(frozenset(spreads), falls)
        if first.result.judgement.grade != YES:
            asked = _Asked(asked.labels, asked.labels)
        elif not _may_beat(item.result, first.result):
            asked = _Asked(falls, falls)
        found: dict[str, Pair] = {}
        if asked.labels and not _is_hopeless(item.result):
            for label, about, pair in _pairs(trials, item, drawn[item.result.part.name], asked):
                found[label] = pair
                spreads.setdefault(label, about)
        pairs.append((item, found))
    told = (_turn(label, about, pairs) for label, about in spreads.items())
    return tuple(
        sorted(
            (item for item in told if (item.low, item.high) != (chosen, chosen)),
            key=lambda item: (not spreads[item.label].assumed, chosen in (item.low, item.high)),
        )
    )


def _turn(label: str, about: Spread, pairs: list[tuple[Ranked, dict[str, Pair]]]) -> Turn:
    low, high = (
        best_of(found.get(label, (item, item))[end] for item, found in pairs).result.part.name
        for end in (0, 1)
    )
    return Turn(label, about.measure, about.source, low, high)


def _is_worse(end: Ranked, now: Ranked) -> bool:
    """Return whether a pump has lost its grade, or won a remark."""
    was, is_ = now.result.judgement, end.result.judgement
    return is_.grade != was.grade or len(is_.remarks) > len(was.remarks)


def _may_beat(other: PumpResult, chosen: PumpResult) -> bool:
    """Return whether a pump might come before the chosen one while that is as good as now."""
    if chosen.judgement.grade != YES:
        return True
    kept = sum(item.kind not in OF_THE_CURVE for item in other.judgement.remarks)
    most = len(chosen.judgement.remarks)
    return kept < most or (kept == most and other.running_power < MORE * chosen.running_power)


def _is_hopeless(result: PumpResult) -> bool:
    judged = result.judgement
    return judged.grade == NO and (not result.part.continuous or judged.shortfall > HOPELESS)


def _pairs(
    trials: _Trials, item: Ranked, drawn: Sample, asked: _Asked | None
) -> Iterator[tuple[str, Spread, Pair]]:
    """Yield each input with the pump as judged at its low and at its high end.

    Of the chosen pump all are `asked`, with None; of others not the figures of the pump itself,
    since the chosen one alone would be measured.
    """

    def counts(label: str, about: Spread) -> bool:
        return asked is None or (label in asked.labels and about.name not in OF_THE_PUMP)

    known = [
        number
        for number, one in enumerate(drawn.inputs)
        if not one.spread.varies and counts(one.label, one.spread)
    ]
    days = _days(trials.case, item, drawn, known) if known else ()
    ends = [
        (drawn.inputs[number], end)
        for row, number in enumerate(known)
        for end in ENDS
        if asked is None
        or drawn.inputs[number].label in asked.always
        or days[2 * row + int(end)].keeps_rise >= limit("likely_enough")
    ]
    worst = _worst(trials, item, ends)
    for row, number in enumerate(known):
        one = drawn.inputs[number]
        low, high = (
            _judged(trials, item, worst.get((one.label, end), item), days[2 * row + int(end)])
            for end in ENDS
        )
        yield one.label, one.spread, (low, high)
    for label, about, pair in _kinds(trials, item):
        if counts(label, about):
            yield label, about, pair


def _judged(trials: _Trials, item: Ranked, at_end: Ranked, days: PumpCertainty) -> Ranked:
    """Return a pump judged at an end: by its worst cases there, then by simulated days."""
    judgement = at_end.result.judgement
    if at_end is item:  # the worst cases know nothing of this input
        judgement = judge(_trial(trials, item, item.result.at, trials.needs))
    result = replace(at_end.result, judgement=judge_season(judgement, days))
    return replace(at_end, result=result)


def _trial(trials: _Trials, item: Ranked, at: tuple[PumpAt, ...], needs: Needs) -> Trial:
    result, place = item.result, item.built.network.pumps[0]
    return Trial(trials.case, item.built, result.part, place, at, needs, result.start)


def _days(
    case: Case, item: Ranked, drawn: Sample, known: Sequence[int]
) -> tuple[PumpCertainty, ...]:
    """Return what simulated days say at both ends of each known input, low before high."""
    few = drawn.shares[:, :N_DRAWS]
    shape = (2 * len(known), few.shape[1])
    shares = np.tile(few, (1, shape[0])).reshape(len(few), *shape)
    for row, number in enumerate(known):
        for end in ENDS:
            shares[number, 2 * row + int(end)] = end
    loop, now = item.built.loop, item.design
    for one, row_of in zip(drawn.inputs, shares.reshape(len(few), -1), strict=True):
        loop, now = one.apply(loop, now, one.spread.at(row_of))
    holds = _held(case, item, operate(loop, now), shape)
    before = _held(case, item, drawn.point, (1, drawn.shares.shape[1]), few.shape[1])
    judged = item.result.judgement
    whole = (judged.keeps_rise or 0.0, judged.keeps_running or 0.0)
    first = _held(case, item, drawn.point, (1, drawn.shares.shape[1]))
    # the difference that the end makes on the same draws, from what all draws say
    base = (*whole, *(float(row[0]) for row in first[2:]))
    told = [
        np.clip(start + rows - row[0], 0.0, 1.0)
        for start, rows, row in zip(base, holds, before, strict=True)
    ]
    names = [name for name, _ in _slow(case, item, drawn.point)]
    return tuple(
        PumpCertainty(
            pump=item.result.part.name,
            n_samples=shape[1],
            units=tuple(
                UnitCertainty(name, keeps_below_velocity=float(rows[end]))
                for name, rows in zip(names, told[2:], strict=True)
            ),
            keeps_rise=float(told[0][end]),
            keeps_running=float(told[1][end]),
        )
        for end in range(shape[0])
    )


def _held(
    case: Case, item: Ranked, point: Any, shape: tuple[int, int], first: int | None = None
) -> list[Array]:
    """Return the shares of days, by end: rise kept, all running, each coil slow enough."""
    found = verdicts(case, item.built, point)
    every = [found.keeps_rise, found.keeps_running, *(row for _, row in _slow(case, item, point))]
    return [np.asarray(row).reshape(shape)[:, :first].mean(axis=1) for row in every]


def _slow(case: Case, item: Ranked, point: Any) -> list[tuple[str, NDArray[np.bool_]]]:
    rows = (
        (coil.unit, slow_enough(case, coil, point.units[coil.unit]))
        for coil in item.built.loop.coils
    )
    return [(name, row) for name, row in rows if row is not None]


def _worst(
    trials: _Trials, item: Ranked, ends: Sequence[tuple[Input, float]]
) -> dict[tuple[str, float], Ranked]:
    """Return the pump judged by its worst cases at each of the ends of what changes the loop."""
    loop = item.built.loop
    asked = {one.label: one for one, _ in ends}
    mine = [
        one
        for one in asked.values()
        if one.apply(loop, item.design, _neutral(one, 1))[0] is not loop
    ]
    keys = [(one, end) for one, end in ends if any(one is other for other in mine)]
    if not keys:
        return {}
    found = worst_cases(trials.case)
    n = len(found)
    now = _tiled(item.point.conditions, n, len(keys))
    for one in mine:
        values = _neutral(one, n * len(keys))
        for row, (other, end) in enumerate(keys):
            if other is one:
                values[row * n : (row + 1) * n] = one.spread.at(np.asarray([end]))
        loop, _ = one.apply(loop, now, values)
    point = operate(loop, now)
    judged = {}
    for row, (one, end) in enumerate(keys):
        needs = _needs(trials, item, one, end)
        at = pumps_at(item.built, point, needs, found, row * n)
        here = _started(trials, item, one, end)
        judgement = judge(_trial(trials, here, at, needs))
        judged[(one.label, end)] = replace(
            here, result=replace(here.result, at=at, judgement=judgement)
        )
    return judged


def _neutral(one: Input, size: int) -> Array:
    """Return values that leave the loop as it is."""
    value = {"factor": 1.0, "offset": 0.0}.get(one.spread.shape, 0.5)
    return np.full(size, value)


def _tiled(now: Conditions, n: int, times: int) -> Conditions:
    changes: dict[str, Any] = {}
    for entry in fields(now):
        value = getattr(now, entry.name)
        if isinstance(value, np.ndarray) and value.shape == (n,):
            changes[entry.name] = np.tile(value, times)
    return replace(now, **changes)


def _needs(trials: _Trials, item: Ranked, one: Input, end: float) -> Needs:
    if one.spread.name not in (*OF_THE_NEED, "cut_out"):
        return trials.needs
    key = (one.label, end)
    if key not in trials.at_ends:
        value = float(one.spread.at(np.asarray([end]))[0])
        loop, _ = one.apply(item.built.loop, item.design, np.asarray(value))
        pairs = zip(loop.coils, item.built.loop.coils, strict=True)
        trials.at_ends[key] = {
            **trials.needs,
            **{
                coil.unit: need_of(trials.case, item.built, coil)
                for coil, was in pairs
                if coil is not was and coil.unit in trials.needs
            },
        }
    return trials.at_ends[key]


def _started(trials: _Trials, item: Ranked, one: Input, end: float) -> Ranked:
    """Return the pump with its first start at an end, where that can move it."""
    if one.spread.name not in OF_THE_START or not _start_is_near(trials.case, item.result.start):
        return item
    loop, now = one.apply(item.built.loop, item.design, one.spread.at(np.asarray([end])))
    loop = replace(loop) if loop is item.built.loop else loop
    built = replace(item.built, loop=loop)
    start = first_start(trials.case, built, item.result.part, now, item.point)
    return replace(item, result=replace(item.result, start=start))


def _start_is_near(case: Case, start: FirstStart) -> bool:
    """Return whether some head of a pump or height of an outlet might turn the first start."""
    every = (*start.upright, *start.tacks)
    if any(one.head_bled - NEAR < one.shut_off < 1.2 * (one.head + NEAR) for one in every):
        return True
    return any(item.level is not None and abs(item.level) < OUT for item in case.outlet)


def _kinds(trials: _Trials, item: Ranked) -> Iterator[tuple[str, Spread, Pair]]:
    """Yield what is one kind or another: hose without wire, and how high a pump draws."""
    case, result = trials.case, item.result
    soft = tuple(
        replace(hose, kind=WITHOUT_WIRE) if kind_is_assumed(case, hose) else hose
        for hose in case.hose
    )
    if soft != case.hose and _before_pump(item, soft) != _before_pump(item, case.hose):
        about = spread("hose_kind")
        other = replace(trials, case=replace(case, hose=soft))
        yield about.meaning, about, (_again(other, item), item)
    about = spread("priming_lift")
    lifts = max((one.lift for one in result.start.upright), default=0.0)
    if lifts > 0.0 and lift_is_assumed(result.part):
        low, high = (
            _again(trials, _with_lift(trials, item, factor)) for factor in (about.low, about.high)
        )
        yield about.meaning, about, (low, high)


def _again(trials: _Trials, item: Ranked) -> Ranked:
    """Return a pump judged anew, with what simulated days said of it."""
    judged = item.result.judgement
    found = judge(_trial(trials, item, item.result.at, trials.needs))
    days = PumpCertainty(
        item.result.part.name,
        0,
        keeps_rise=judged.keeps_rise or 0.0,
        keeps_running=judged.keeps_running or 0.0,
    )
    return replace(item, result=replace(item.result, judgement=judge_season(found, days)))


def _with_lift(trials: _Trials, item: Ranked, factor: float) -> Ranked:
    part = replace(item.result.part, priming_lift=item.result.part.priming_lift * factor)
    start = first_start(trials.case, item.built, part, item.design, item.point)
    return replace(item, result=replace(item.result, start=start))


def _before_pump(item: Ranked, hoses: tuple[Hose, ...]) -> tuple[str, ...]:
    pump = item.built.network.pumps[0].name
    before = {pump, *upstream(item.built.network, pump)}
    return tuple(hose.kind for hose in hoses if hose.to in before)
