"""What `energy` tells of each loop of many boats."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.studies.design.fleet import BoatRows, FleetRow, with_rest
from seaflow.studies.design.judge import worst_of
from seaflow.studies.energy.study import energy


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyRow(FleetRow):
    """A loop: what a day of it takes and the pump's part; and the night of the whole boat.

    `limit_at` is when the battery reaches its limit, `short_by_dawn` what would be asked of it
    after that, `nights_lasting` the share of drawn nights on which it does not.
    """

    pump: str = ""
    day: float | None = measured("J", None)
    pump_share: float | None = measured("-", None)
    left_at_dawn: float | None = measured("A s", None)
    short_by_dawn: float | None = measured("A s", None)
    limit_at: str = ""
    nights_lasting: float | None = measured("-", None)


def energy_rows(file: str, case: Case) -> BoatRows:
    """Return a row for each loop of a case."""
    answer = energy(case)
    night = answer.night
    left = None if night is None else night.left_at_dawn
    rows = tuple(
        EnergyRow(
            file=file,
            boat=answer.boat,
            loop=loop.name,
            grade=worst_of((loop.grade, answer.night_grade)),
            pump=loop.pump,
            day=loop.day.total,
            pump_share=loop.day.pump_share,
            left_at_dawn=None if left is None else max(left, 0.0),
            short_by_dawn=-left if left is not None and left < 0.0 else None,
            limit_at="" if night is None else night.limit,
            nights_lasting=None if night is None else night.lasting,
        )
        for loop in answer.loops
    )
    found = BoatRows(rows, answer.grade, answer.cautions)
    return with_rest(found, EnergyRow, answer.at_rest)
