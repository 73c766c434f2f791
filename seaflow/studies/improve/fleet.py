"""What `improve` tells of each loop of many boats."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.studies.design.fleet import BoatRows, FleetRow, draws_of, with_rest
from seaflow.studies.improve.study import improve


@dataclass(frozen=True, slots=True, kw_only=True)
class ImproveRow(FleetRow):
    """A loop: as it is, what to change, and what that does."""

    pump_now: str = ""
    grade_now: str = ""
    keeps_rise_now: float | None = measured("-", None)
    changes: tuple[Fact, ...] = ()
    keeps_rise: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    flow: float | None = measured("m3/s", None)
    energy_per_day: float | None = measured("J", None)
    price: float | None = None
    currency: str = ""
    draws: str = ""


def improve_rows(file: str, case: Case, sampling: tuple[int, int]) -> BoatRows:
    """Return a row for each loop of a case; `sampling` is how many boats, with which seed."""
    answer = improve(case, None, sampling)
    rows = tuple(
        ImproveRow(
            file=file,
            boat=answer.boat,
            loop=loop.name,
            grade=loop.winner.grade,
            pump_now=loop.now.pump,
            grade_now=loop.now.grade,
            keeps_rise_now=loop.now.keeps_rise,
            changes=loop.winner.changes if loop.helps else (),
            keeps_rise=loop.winner.keeps_rise,
            keeps_running=loop.winner.keeps_running,
            flow=loop.winner.flow,
            energy_per_day=loop.winner.energy_per_day,
            price=loop.winner.price,
            currency=loop.winner.currency,
            draws=draws_of(sampling),
        )
        for loop in answer.loops
    )
    found = BoatRows(rows, answer.grade, answer.cautions)
    return with_rest(found, ImproveRow, answer.at_rest)
