"""What `energy` tells of each loop of many boats."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.studies.design.fleet import BoatRows, FleetRow
from seaflow.studies.energy.study import energy


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyRow(FleetRow):
    """A loop: what a day of it takes, the pump's part, and the charge it takes from a battery."""

    pump: str = ""
    day: float | None = measured("J", None)
    pump_share: float | None = measured("-", None)
    charge: float | None = measured("A s", None)
    share_of_battery: float | None = measured("-", None)


def energy_rows(file: str, case: Case) -> BoatRows:
    """Return a row for each loop of a case."""
    answer = energy(case)
    rows = tuple(
        EnergyRow(
            file=file,
            boat=answer.boat,
            loop=loop.name,
            grade=loop.grade,
            pump=loop.pump,
            day=loop.day.total,
            pump_share=loop.day.pump_share,
            charge=loop.day.net_charge if loop.day.bank else None,
            share_of_battery=loop.day.share_of_capacity,
        )
        for loop in answer.loops
    )
    return BoatRows(rows, answer.grade, answer.cautions)
