"""The setting of balancing valves that shares the water in proportion to need.

Every branch but the worst is throttled until all have the same share of their need; the worst
stays wide open. No other setting gives the worst branch more. Newton steps on the head that each
valve takes at the need of its branch, through the forward model.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import GRAVITY
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.balancing import on_bore
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, OperatingPoint
from seaflow.studies.balance.answer import ValveSetting, ValveSettings
from seaflow.studies.balance.branches import Branch, all_on, ratios_of, throttled
from seaflow.studies.design.judge import SLACK
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.worst_cases import WorstCase, stacked

PATIENCE = 12  # rounds without a better setting; shares can jump where a leg fills
SAME_SHARE = 1e-7  # of the largest
NUDGE = 1e-4  # m of head, for slopes
LONGEST_STEP = 0.5  # m of head, or as much as there is
FLAT = 1e-6  # of the steepest slope; less is rounding, and must not decide the step
LEAST_HEAD = 1e-6  # m; less is a valve wide open


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """The loop whose branches are throttled, and what one metre of head at need is in loss."""

    loop: Loop
    branches: tuple[Branch, ...]
    now: Conditions
    per_metre: Array

    def at(self, heads: Array) -> OperatingPoint:
        """Return the loop with these heads taken at need: (branches, trials)."""
        extra = heads * self.per_metre[:, np.newaxis]
        return operate(throttled(self.loop, self.branches, extra), self.now)


def find_setting(
    loop: Loop,
    branches: tuple[Branch, ...],
    now: Conditions,
    worst_cases: tuple[Sequence[WorstCase], Sequence[float]],
    needs: dict[str, UnitNeed],
) -> ValveSettings:
    """Return the setting; `worst_cases` come with the volts that reach the pump."""
    frame = _frame(loop, branches, now)
    per_metre = frame.per_metre
    heads, settled = _balanced(frame)
    point = frame.at(heads[:, np.newaxis])
    shares = ratios_of(branches, point)[:, 0]
    worst = int(np.argmin(shares))
    dirty, when_dirty = _dirty(frame, heads, worst_cases, needs)
    alone = _alone(branches)
    rows = tuple(
        replace(
            _row(branch, float(head), float(head * unit), float(share)),
            rise=_rise(branch, point),
            own_outlet=branch.name in alone,
        )
        for branch, head, unit, share in zip(branches, heads, per_metre, shares, strict=True)
    )
    return ValveSettings(
        branches=rows,
        meets=bool(shares[worst] >= 1.0 - SLACK),
        settled=settled,
        worst=branches[worst].name,
        check=_check(branches, alone),
        margin=float(shares[worst]) - 1.0,
        dirty_margin=dirty,
        when_dirty=when_dirty,
        flow=float(point.total_flow()[0]),
        power=float(point.total_power()[0]),
    )


def _alone(branches: tuple[Branch, ...]) -> tuple[str, ...]:
    """Return the branches whose stream comes out alone."""
    users = Counter(out for branch in branches for out in branch.outlets)
    return tuple(
        branch.name for branch in branches if all(users[out] == 1 for out in branch.outlets)
    )


def _check(branches: tuple[Branch, ...], alone: tuple[str, ...]) -> Fact:
    """Return how to see what each branch gets: by its stream, or by its rise where they share."""
    if len(alone) == len(branches):
        return fact("balance.check_by_stream")
    sharing = tuple(branch.name for branch in branches if branch.name not in alone)
    kind = "balance.check_by_both" if alone else "balance.check_by_rise"
    return fact(kind, sharing=sharing)


def _rise(branch: Branch, point: OperatingPoint) -> float | None:
    """Return how much warmer the water leaves a branch than it came, if all its units cool."""
    units = [point.units[name] for name in branch.units]
    if any(int(unit.state[0]) != COOLING for unit in units):
        return None
    warmest = max(float(unit.outlet_temperature[0]) for unit in units)
    return warmest - min(float(unit.inlet_temperature[0]) for unit in units)


def extra_losses(loop: Loop, branches: tuple[Branch, ...], now: Conditions) -> Array:
    """Return the extra loss coefficient of each branch alone, each on the bore of its hose."""
    frame = _frame(loop, branches, now)
    return np.asarray(_balanced(frame)[0] * frame.per_metre)


def _frame(loop: Loop, branches: tuple[Branch, ...], now: Conditions) -> _Frame:
    bores = np.asarray([branch.bore for branch in branches])
    need = np.asarray([branch.need for branch in branches])
    per_metre = (math.pi**2 * GRAVITY * bores**4) / (8.0 * need**2)
    return _Frame(loop, branches, all_on(branches, now), per_metre)


def _balanced(frame: _Frame) -> tuple[Array, bool]:
    """Return the head of each valve at need, and whether all shares came out the same."""
    n = len(frame.branches)
    heads, best, best_share, since = np.zeros(n), np.zeros(n), -1.0, 0
    while since < PATIENCE:
        shares, slope = _shares_and_slopes(frame, heads)
        since += 1
        if shares.min() > best_share + SAME_SHARE:
            best, best_share, since = heads, float(shares.min()), 0
        if np.ptp(shares) <= SAME_SHARE * shares.max():
            return heads, True
        heads = np.maximum(heads + _step(heads, shares, slope), 0.0)
        heads[heads < LEAST_HEAD] = 0.0
    return best, False


def _shares_and_slopes(frame: _Frame, heads: Array) -> tuple[Array, Array]:
    n = heads.size
    nudges = NUDGE * (1.0 + heads)
    trials = np.hstack([heads[:, np.newaxis], heads[:, np.newaxis] + np.diag(nudges)])
    shares = ratios_of(frame.branches, frame.at(trials))
    return shares[:, 0], (shares[:, 1 : n + 1] - shares[:, :1]) / nudges


def _step(heads: Array, shares: Array, slope: Array) -> Array:
    """Return the step to equal shares, with the poorest of the open valves left open."""
    n = heads.size
    is_open = heads <= heads.min() + LEAST_HEAD
    reference = int(np.argmin(np.where(is_open, shares, np.inf)))
    matrix = np.zeros((n + 1, n + 1))
    matrix[:n, :n], matrix[:n, n] = slope, -1.0
    matrix[n, reference] = 1.0
    right = np.append(-shares, -heads[reference])
    found = np.linalg.lstsq(matrix, right, rcond=FLAT)[0][:n]
    longest = np.maximum(LONGEST_STEP, heads)
    return np.asarray(np.clip(found, -longest, longest))


def _dirty(
    frame: _Frame,
    heads: Array,
    worst_cases: tuple[Sequence[WorstCase], Sequence[float]],
    needs: dict[str, UnitNeed],
) -> tuple[float | None, Fact | None]:
    """Return the least margin over the least flows in dirty worst cases, and whose it is."""
    found, volts = worst_cases
    now = all_on(frame.branches, stacked(found, volts))
    loop = throttled(frame.loop, frame.branches, heads * frame.per_metre)
    point = operate(loop, now)
    margins = [
        (float(unit.volume_flow[index]) / needs[name].least - 1.0, name, case.where)
        for index, case in enumerate(found)
        for name, unit in point.units.items()
        if case.asks == "least" and needs[name].least > 0.0
    ]
    if not margins:
        return None, None
    least, name, where = min(margins, key=lambda item: item[0])
    if least < 0.0:
        return least, fact("balance.dirty_short", unit=name, short=-least, where=where)
    return least, fact("balance.dirty_enough", unit=name, more=least, where=where)


def _row(branch: Branch, head: float, loss: float, share: float) -> ValveSetting:
    turns, note = _turns(branch, loss)
    return ValveSetting(
        branch=branch.name,
        hose=branch.hose,
        flow=share * branch.need,
        margin=share - 1.0,
        extra_loss=loss,
        loss=branch.loss_open + loss,
        extra_head=head * share**2,
        bore=branch.bore,
        turns=turns,
        note=note,
    )


def _turns(branch: Branch, loss: float) -> tuple[float | None, Fact | None]:
    """Return the turns open, and what to say where there are none."""
    valve = branch.valve
    if valve is None:
        return None, None
    wanted = valve.open_loss + on_bore(loss, branch.bore, valve.bore)
    turns = valve.turns_for(wanted)
    if turns is None:
        bore = amount("bore", valve.bore)
        return None, fact("balance.beyond_its_curve", hose=branch.hose, loss=wanted, bore=bore)
    return turns, None
