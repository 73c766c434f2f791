"""What `size` tells of each loop of many boats."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seaflow.base.facts import fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.studies.design.at_rest import loops_in_use
from seaflow.studies.design.fleet import BoatRows, FleetRow, draws_of, with_rest
from seaflow.studies.design.judge import NO
from seaflow.studies.size.size import LoopSize, size


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow(FleetRow):
    """A loop: the pump fitted and its verdict, and the pump recommended, with what that gives.

    A pump that is fitted and no choice here, for its supply mostly, has no verdict.
    """

    fitted_pump: str = ""
    fitted_grade: str = ""
    fitted_flow: float | None = measured("m3/s", None)
    pump: str = ""
    flow: float | None = measured("m3/s", None)
    flow_needed: float | None = measured("m3/s", None)
    head: float | None = measured("m", None)
    power: float | None = measured("W", None)
    energy_per_day: float | None = measured("J", None)
    margin: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    keeps_rise: float | None = measured("-", None)
    draws: str = ""


def size_rows(file: str, case: Case, sampling: tuple[int, int]) -> BoatRows:
    """Return a row for each loop of a case; `sampling` is how many boats, with which seed."""
    answer = size(case, *sampling)
    fitted = [found.pumps[0].fitted or "" for found in loops_in_use(case)]
    rows = (
        replace(_row(file, answer.boat, loop, name), draws=draws_of(sampling))
        for loop, name in zip(answer.loops, fitted, strict=True)
    )
    found = BoatRows(tuple(rows), answer.grade, answer.cautions)
    return with_rest(found, SizeRow, answer.at_rest)


def _row(file: str, boat: str, loop: LoopSize, fitted: str) -> SizeRow:
    chosen = loop.chosen
    if chosen is None:
        told = fact("size.no_pump_fits")
        return SizeRow(
            file=file, boat=boat, loop=loop.name, grade=NO, problem=told, fitted_pump=fitted
        )
    own = next((item for item in loop.pumps if item.fitted), None)
    margins = [unit.margin for unit in chosen.design.units if unit.margin is not None]
    sure = None if loop.certainty is None else loop.certainty.of(chosen.part.name)
    return SizeRow(
        file=file,
        boat=boat,
        loop=loop.name,
        grade=loop.grade,
        fitted_pump=fitted if own is None else own.part.name,
        fitted_grade="" if own is None else own.judgement.grade,
        fitted_flow=None if own is None else own.design.flow,
        pump=chosen.part.name,
        flow=chosen.design.flow,
        flow_needed=loop.flow_needed,
        head=chosen.design.head,
        power=chosen.running_power,
        energy_per_day=chosen.energy_per_day,
        margin=min(margins) if margins else None,
        keeps_running=None if sure is None else sure.keeps_running,
        keeps_rise=None if sure is None else sure.keeps_rise,
    )
