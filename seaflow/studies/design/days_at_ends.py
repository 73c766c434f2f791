"""What simulated days say of a pump at either end of each input that somebody could know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.certainty.inputs import Input, Setting
from seaflow.studies.design.certainty.put_in import Draw, run_with
from seaflow.studies.design.certainty.sample import (
    PumpCertainty,
    Sample,
    UnitCertainty,
    slow_enough,
    verdicts,
)
from seaflow.studies.design.certainty.spreads import Season, Spread, other_seasons, spread
from seaflow.studies.design.choose import Ranked
from seaflow.studies.design.limits import limit

N_DRAWS = 48  # for each end; what they say is set against the same draws without it
ENDS = (0.0, 1.0)  # shares of a spread
OF_THE_PUMP = ("pump_head", "pump_flow", "pump_exponent")
OF_PRIMING = ("priming_lift", "priming_air_share", "priming_time")


@dataclass(frozen=True, slots=True)
class AskedInputs:
    """Inputs that a pump is asked of, and those of which its worst cases count in any case.

    Elsewhere the chosen pump stays a yes, so that one which simulated days do not grant a yes
    cannot come before it, whatever its worst cases say.
    """

    labels: frozenset[str]
    always: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class AskedAtEnds:
    """A pump with its simulated days and the inputs that it is asked of: all, with None.

    `known` are the places of those that somebody could know, `seasons` the others there might be.
    """

    item: Ranked
    drawn: Sample
    inputs: AskedInputs | None
    known: tuple[int, ...]
    seasons: tuple[Season, ...]

    @classmethod
    def of(
        cls, case: Case, item: Ranked, drawn: Sample, inputs: AskedInputs | None = None
    ) -> AskedAtEnds:
        """Return a pump with what it is asked of."""
        known = tuple(
            number
            for number, one in enumerate(drawn.inputs)
            if one.path is None and not one.spread.varies and counts(inputs, one.label, one.spread)
        )
        about = spread("season_assumed")
        seasons = other_seasons(case, about) if counts(inputs, about.meaning, about) else ()
        return cls(item, drawn, inputs, known, seasons)

    def ends(self, days: Sequence[PumpCertainty]) -> list[tuple[Input, float]]:
        """Return the ends at which the worst cases are asked, by what simulated days say there."""
        return [
            (self.drawn.inputs[number], end)
            for row, number in enumerate(self.known)
            for end in ENDS
            if self.inputs is None
            or self.drawn.inputs[number].label in self.inputs.always
            or days[2 * row + int(end)].keeps_rise >= limit("likely_enough")
        ]

    @property
    def shape(self) -> tuple[int, int]:
        """How many ends and seasons there are, and how many days of each."""
        ends = 2 * len(self.known) + len(self.seasons)
        return ends, min(N_DRAWS, self.drawn.shares.shape[1])


def counts(inputs: AskedInputs | None, label: str, about: Spread) -> bool:
    """Return whether an input is asked of a pump.

    Of the chosen pump all are; of others not the figures of the pump itself, since the chosen one
    alone would be measured.
    """
    if inputs is None or about.name in OF_PRIMING:
        return True
    return label in inputs.labels and about.name not in OF_THE_PUMP


def days_at_ends(case: Case, asked: Sequence[AskedAtEnds]) -> list[tuple[PumpCertainty, ...]]:
    """Return by pump what days say at both ends of each input that is known, low before high.

    Then what they say in other seasons.
    """
    mine = [one for one in asked if one.shape[0]]
    settings = [(one.item.built.loop, one.item.design) for one in mine]
    points = iter(run_with(settings, [_at_days(one) for one in mine]))
    return [_days(case, one, next(points)) if one in mine else () for one in asked]


def _days(case: Case, asked: AskedAtEnds, at_ends: OperatingPoint) -> tuple[PumpCertainty, ...]:
    item, drawn, shape = asked.item, asked.drawn, asked.shape
    holds = _held(case, item, at_ends, shape)
    before = _held(case, item, drawn.point, (1, drawn.shares.shape[1]), shape[1])
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


def _at_days(asked: AskedAtEnds) -> list[Draw]:
    """Return the first days with each input at either end, then in each season."""
    known, shape = asked.known, asked.shape
    few = asked.drawn.shares[:, : shape[1]]
    rows = {number: 2 * row for row, number in enumerate(known)}
    found = []
    for number, (one, shares) in enumerate(zip(asked.drawn.inputs, few, strict=True)):
        values = np.tile(one.spread.at(shares), (shape[0], 1))
        if number in rows:
            low = rows[number]
            values[low : low + 2] = one.spread.at(np.asarray(ENDS))[:, np.newaxis]
        found.append((one, values.ravel()))
    if asked.seasons:
        row = next(i for i, one in enumerate(asked.drawn.inputs) if one.spread.name == "season")
        seas = np.full(shape, np.nan)
        seas[2 * len(known) :] = [one.at(few[row]) for one in asked.seasons]
        about = spread("season_assumed")
        found.append((Input(about.meaning, about, _in_another_sea, still=np.nan), seas.ravel()))
    return found


def _in_another_sea(loop: Loop, now: Conditions, seas: Array) -> Setting:
    sea = np.where(np.isnan(seas), now.sea_temperature, seas)
    return loop, replace(now, sea_temperature=sea)


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
