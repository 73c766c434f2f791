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

from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Hose
from seaflow.model.conditions import Conditions, axis_length, take
from seaflow.model.first_start import Primer
from seaflow.model.loop import Loop
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.put_in import Draw, run_with
from seaflow.studies.design.certainty.sample import (
    PumpCertainty,
)
from seaflow.studies.design.certainty.spreads import (
    Spread,
    kind_is_assumed,
    lift_is_assumed,
    spread,
)
from seaflow.studies.design.choose import Ranked
from seaflow.studies.design.days_at_ends import ENDS, OF_PRIMING, AskedAtEnds, counts, days_at_ends
from seaflow.studies.design.judge import Judgement, Trial, judge, judge_season
from seaflow.studies.design.kinds import BY_DAYS, DRAWN
from seaflow.studies.design.need import UnitNeed, needs_of
from seaflow.studies.design.pump_at import PumpAt, Runs
from seaflow.studies.design.start import FirstStart, first_start
from seaflow.studies.design.worst_cases import worst_cases

OUT = 0.12  # m; more than the height of an outlet may be wrong
NEAR = 0.25  # m; wider than any spread of an outlet's height
WITHOUT_WIRE = "smooth-bore rubber"
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


def pairs_of(trials: Trials, asked: Sequence[AskedAtEnds]) -> list[list[tuple[str, Spread, Pair]]]:
    """Return by pump each input with the pump as judged at its low and at its high end."""
    days = days_at_ends(trials.case, asked)
    ends = [one.ends(each) for one, each in zip(asked, days, strict=True)]
    worst = _worst(trials, asked, ends)
    return [[*_pairs(trials, *row)] for row in zip(asked, days, worst, strict=True)]


def _pairs(
    trials: Trials,
    asked: AskedAtEnds,
    days: Sequence[PumpCertainty],
    worst: Mapping[tuple[str, float], Ranked],
) -> Iterator[tuple[str, Spread, Pair]]:
    item, about = asked.item, spread("season_assumed")
    for row, number in enumerate(asked.known):
        one = asked.drawn.inputs[number]
        low, high = (
            _judged(trials, item, worst.get((one.label, end), item), days[2 * row + int(end)])
            for end in ENDS
        )
        yield one.label, one.spread, (low, high)
    if asked.seasons:
        low, high = (_judged(trials, item, item, one) for one in days[-len(asked.seasons) :])
        yield about.meaning, about, (low, high)
    for label, about, pair in _kinds(trials, item):
        if counts(asked.inputs, label, about):
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


def _worst(
    trials: Trials, asked: Sequence[AskedAtEnds], ends: Sequence[Sequence[tuple[Input, float]]]
) -> list[dict[tuple[str, float], Ranked]]:
    """Return each pump judged by its worst cases at each of its ends of what changes the loop."""
    known: dict[str, bool] = {}
    keys = [
        [(one, end) for one, end in mine if _moves(each.item, one, known)]
        for each, mine in zip(asked, ends, strict=True)
    ]
    n = len(worst_cases(trials.case))
    mine = [(one.item, moves) for one, moves in zip(asked, keys, strict=True) if moves]
    points = iter(
        run_with(
            [
                (item.built.loop, _tiled(item.point.conditions, n, len(moves)))
                for item, moves in mine
            ],
            [_values(moves, n) for _, moves in mine],
        )
    )
    return [
        _judged_at(trials, one.item, moves, next(points)) if moves else {}
        for one, moves in zip(asked, keys, strict=True)
    ]


def _moves(item: Ranked, one: Input, known: dict[str, bool]) -> bool:
    """Return whether an input changes the loop; `known` keeps it for the other pumps."""
    if one.label not in known:
        loop = item.built.loop
        known[one.label] = one.apply(loop, item.design, one.neutral(1))[0] is not loop
    return known[one.label]


def _values(keys: Sequence[tuple[Input, float]], n: int) -> list[Draw]:
    """Return the values of each input where one end comes after the other, in `n` worst cases."""
    found = []
    for one in {one.label: one for one, _ in keys}.values():
        values = one.neutral(n * len(keys))
        for row, (other, end) in enumerate(keys):
            if other.label == one.label:
                values[row * n : (row + 1) * n] = one.spread.at(np.asarray([end]))
        found.append((one, values))
    return found


def _judged_at(
    trials: Trials, item: Ranked, keys: Sequence[tuple[Input, float]], point: OperatingPoint
) -> dict[tuple[str, float], Ranked]:
    """Return a pump judged by its worst cases at one end after the other, as they ran."""
    found, judged = worst_cases(trials.case), {}
    runs, moved = Runs.of(item.built, point), _needs(trials, item, point.loop, keys)
    for row, (one, end) in enumerate(keys):
        needs = moved[(one.label, end)]
        at = runs.at(needs, found, row * len(found))
        here = _started(trials, item, one, end)
        judgement = judge(_trial(trials, here, at, needs))
        judged[(one.label, end)] = replace(
            here, result=replace(here.result, at=at, judgement=judgement)
        )
    return judged


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
        one.label: one.apply(plain, item.design, one.neutral(1))[0].coils
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
