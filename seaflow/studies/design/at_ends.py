"""A pump judged at either end of each uncertain or assumed input, as if that were measured.

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
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Hose
from seaflow.model.conditions import Conditions, axis_length, take
from seaflow.model.first_start import Primer
from seaflow.model.loop import Loop
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.sample import (
    PumpCertainty,
    Sample,
    UnitCertainty,
    slow_enough,
    verdicts,
)
from seaflow.studies.design.certainty.spreads import (
    Season,
    Spread,
    kind_is_assumed,
    lift_is_assumed,
    other_seasons,
    spread,
)
from seaflow.studies.design.choose import Ranked
from seaflow.studies.design.judge import Judgement, Trial, judge, judge_season
from seaflow.studies.design.kinds import BY_DAYS, DRAWN
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed, needs_of
from seaflow.studies.design.pump_at import PumpAt, Runs
from seaflow.studies.design.start import FirstStart, first_start
from seaflow.studies.design.worst_cases import worst_cases

N_DRAWS = 48  # for each end; what they say is set against the same draws without it
ENDS = (0.0, 1.0)  # shares of a spread
OUT = 0.12  # m; more than the height of an outlet may be wrong
NEAR = 0.25  # m; wider than any spread of an outlet's height
WITHOUT_WIRE = "smooth-bore rubber"
OF_THE_PUMP = ("pump_head", "pump_flow", "pump_exponent")
OF_PRIMING = ("priming_lift", "priming_air_share", "priming_time")
OF_THE_START = ("pump_head", "outlet_height")
OF_THE_NEED = ("plate_heat", "plate_heat_generic", "conductance_given", "conductance_generic")

Needs = Mapping[str, UnitNeed]
Pair = tuple[Ranked, Ranked]


@dataclass(frozen=True, slots=True, eq=False)
class Trials:
    """What is asked once: the case, the needs, needs at ends, and pumps by worst cases alone."""

    case: Case
    needs: Needs
    at_ends: dict[tuple[str, str, float], UnitNeed]
    judged: dict[str, Judgement]

    def at_worst(self, item: Ranked) -> Judgement:
        """Return a pump judged by its worst cases alone."""
        name = item.result.part.name
        if name not in self.judged:
            self.judged[name] = judge(_trial(self, item, item.result.at, self.needs))
        return self.judged[name]


@dataclass(frozen=True, slots=True)
class AskedInputs:
    """Inputs that a pump is asked of, and those of which its worst cases count in any case.

    Elsewhere the chosen pump stays a yes, so that one which simulated days do not grant a yes
    cannot come before it, whatever its worst cases say.
    """

    labels: frozenset[str]
    always: frozenset[str]


def pairs_of(
    trials: Trials, item: Ranked, drawn: Sample, asked: AskedInputs | None
) -> Iterator[tuple[str, Spread, Pair]]:
    """Yield each input with the pump as judged at its low and at its high end.

    Of the chosen pump all are `asked`, with None; of others not the figures of the pump itself,
    since the chosen one alone would be measured.
    """

    def counts(label: str, about: Spread) -> bool:
        if asked is None or about.name in OF_PRIMING:
            return True
        return label in asked.labels and about.name not in OF_THE_PUMP

    known = [
        number
        for number, one in enumerate(drawn.inputs)
        if one.path is None and not one.spread.varies and counts(one.label, one.spread)
    ]
    about = spread("season_assumed")
    seasons = other_seasons(trials.case, about) if counts(about.meaning, about) else ()
    days = _days(trials.case, item, drawn, (known, seasons)) if known or seasons else ()
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
    if seasons:
        low, high = (_judged(trials, item, item, one) for one in days[-len(seasons) :])
        yield about.meaning, about, (low, high)
    for label, about, pair in _kinds(trials, item):
        if counts(label, about):
            yield label, about, pair


def _judged(trials: Trials, item: Ranked, at_end: Ranked, days: PumpCertainty) -> Ranked:
    """Return a pump judged at an end: by its worst cases there, then by simulated days."""
    # where the worst cases know nothing of an input, those of the pump as it is hold
    judgement = trials.at_worst(item) if at_end is item else at_end.result.judgement
    result = replace(at_end.result, judgement=judge_season(judgement, days))
    return replace(at_end, result=result)


def _trial(trials: Trials, item: Ranked, at: tuple[PumpAt, ...], needs: Needs) -> Trial:
    result, place = item.result, item.built.network.pumps[0]
    return Trial(trials.case, item.built, result.part, place, at, needs, result.start)


def _days(
    case: Case, item: Ranked, drawn: Sample, ends: tuple[Sequence[int], Sequence[Season]]
) -> tuple[PumpCertainty, ...]:
    """Return what simulated days say at both ends of each input that is known, low before high.

    Then what they say in other seasons.
    """
    few = drawn.shares[:, :N_DRAWS]
    shape = (2 * len(ends[0]) + len(ends[1]), few.shape[1])
    holds = _held(case, item, _run_at(item, drawn, ends, shape), shape)
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


def _run_at(
    item: Ranked,
    drawn: Sample,
    ends: tuple[Sequence[int], Sequence[Season]],
    shape: tuple[int, int],
) -> OperatingPoint:
    """Return a pump run on the first days with each input at either end, then in each season."""
    (known, seasons), few = ends, drawn.shares[:, : shape[1]]
    rows = {number: 2 * row for row, number in enumerate(known)}
    loop, now = item.built.loop, item.design
    for number, (one, shares) in enumerate(zip(drawn.inputs, few, strict=True)):
        values = np.tile(one.spread.at(shares), (shape[0], 1))
        if number in rows:
            low = rows[number]
            values[low : low + 2] = one.spread.at(np.asarray(ENDS))[:, np.newaxis]
        loop, now = one.apply(loop, now, values.ravel())
    if seasons:
        sea = np.reshape(np.array(now.sea_temperature), shape)
        row = next(i for i, one in enumerate(drawn.inputs) if one.spread.name == "season")
        sea[2 * len(known) :] = [one.at(few[row]) for one in seasons]
        now = replace(now, sea_temperature=sea.ravel())
    return operate(loop, now)


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
    trials: Trials, item: Ranked, ends: Sequence[tuple[Input, float]]
) -> dict[tuple[str, float], Ranked]:
    """Return the pump judged by its worst cases at each of the ends of what changes the loop."""
    loop, design = item.built.loop, item.design
    asked = {one.label: one for one, _ in ends}
    mine = [
        one for one in asked.values() if one.apply(loop, design, _neutral(one, 1))[0] is not loop
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
    runs, moved = Runs.of(item.built, operate(loop, now)), _needs(trials, item, loop, keys)
    judged = {}
    for row, (one, end) in enumerate(keys):
        needs = moved[(one.label, end)]
        at = runs.at(needs, found, row * n)
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


def _needs(
    trials: Trials, item: Ranked, loop: Loop, keys: Sequence[tuple[Input, float]]
) -> dict[tuple[str, float], Needs]:
    """Return the needs at each end; `loop` has the end of one key after the other in rows.

    All ends that move the need of a unit are sought at once.
    """
    plain, n = item.built.loop, axis_length(loop) // len(keys)
    mine = {
        one.label: one.apply(plain, item.design, _neutral(one, 1))[0].coils
        for one, _ in keys
        if one.spread.name in (*OF_THE_NEED, "cut_out")
    }
    for number, (coil, was) in enumerate(zip(loop.coils, plain.coils, strict=True)):
        rows = {
            (one.label, end): n * row
            for row, (one, end) in enumerate(keys)
            if one.label in mine and mine[one.label][number] is not was
        }
        new = [key for key in rows if (coil.unit, *key) not in trials.at_ends]
        if new and coil.unit in trials.needs:
            there = take(coil, np.asarray([rows[key] for key in new]))
            found = needs_of(trials.case, item.built, there, len(new))
            trials.at_ends.update(zip(((coil.unit, *key) for key in new), found, strict=True))
    return {
        (one.label, end): {
            unit: trials.at_ends.get((unit, one.label, end), need)
            for unit, need in trials.needs.items()
        }
        for one, end in keys
    }


def _started(trials: Trials, item: Ranked, one: Input, end: float) -> Ranked:
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


def _kinds(trials: Trials, item: Ranked) -> Iterator[tuple[str, Spread, Pair]]:
    """Yield what no draw can be of: hose without wire, and how a pump draws water up."""
    case, part = trials.case, item.result.part
    soft = tuple(
        replace(hose, kind=WITHOUT_WIRE) if kind_is_assumed(case, hose) else hose
        for hose in case.hose
    )
    if soft != case.hose and _before_pump(item, soft) != _before_pump(item, case.hose):
        about = spread("hose_kind")
        other = replace(trials, case=replace(case, hose=soft))
        yield about.meaning, about, (_again(other, item), item)
    start = item.result.start
    if not part.self_priming or all(one.lift <= 0.0 for one in (*start.upright, *start.tacks)):
        return
    usual = Primer(
        True,
        part.priming_lift,
        default("pump.priming_air_share").value,
        default("pump.priming_time").value,
    )
    for name, key in zip(OF_PRIMING, ("lift", "air_share", "time"), strict=True):
        about = spread(name)
        if key != "lift" or lift_is_assumed(part):
            primers = (
                replace(usual, **{key: getattr(usual, key) * factor})
                for factor in (about.low, about.high)
            )
            low, high = (_primed(trials, item, primer) for primer in primers)
            yield about.meaning, about, (low, high)


def _again(trials: Trials, item: Ranked) -> Ranked:
    """Return a pump judged anew by its worst cases, with what simulated days said of it."""
    was = item.result.judgement
    found = judge(_trial(trials, item, item.result.at, trials.needs))
    rulings = (
        *(one for one in found.rulings if one.said.kind not in DRAWN),
        *(one for one in was.rulings if one.said.kind in BY_DAYS),
    )
    judgement = replace(was, rulings=rulings, remarks=found.remarks, shortfall=found.shortfall)
    return replace(item, result=replace(item.result, judgement=judgement))


def _primed(trials: Trials, item: Ranked, primer: Primer) -> Ranked:
    """Return a pump that deals with air in another way."""
    part = item.result.part
    start = first_start(trials.case, item.built, part, item.design, item.point, primer)
    return _again(trials, replace(item, result=replace(item.result, start=start)))


def _before_pump(item: Ranked, hoses: tuple[Hose, ...]) -> tuple[str, ...]:
    pump = item.built.network.pumps[0].name
    before = {pump, *upstream(item.built.network, pump)}
    return tuple(hose.kind for hose in hoses if hose.to in before)
