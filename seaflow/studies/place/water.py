"""What a place costs in flow, head, suction, energy, hose and cable: by the forward model alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.design.choose import Ranked, days_with
from seaflow.studies.design.judge import NO, TIGHT, Ruling, worst_of
from seaflow.studies.design.start import reason_of
from seaflow.studies.design.supply import SupplyResult, supply_of
from seaflow.studies.design.which_pump import judged_at_each
from seaflow.studies.place.routes import Candidate, cable_basis, hose_metres, loop_of

# What is held against a start and means that air stands in the suction.
AIRY = (
    *("start.intake_out", "start.air_in_suction", "start.air_shut_in"),
    *("start.pump_above_water", "start.crest_above_water"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """Where the pump, or all `n_pumps` alike, run with one at a place, and the lowest suction.

    `voltage` is what reaches it there. `cable_basis` says where the length of the cable comes
    from; the length is None where none is recorded. `energy_per_day` is all that cooling takes for
    the duties of a day. `starved` is true where its suction fails,
    `draws_air` where air gets into it, upright or on a tack. `rulings` is what is held against the
    pump there on the yardstick of all commands, its start among it.
    """

    flow: float = measured("m3/s")
    head: float = measured("m")
    lowest_inlet: float | None = measured("Pa")
    power: float = measured("W")
    energy_per_day: float = measured("J")
    hose: float = measured("m")
    voltage: float = measured("V")
    cable: float | None = measured("m")
    cable_basis: str
    starved: bool
    draws_air: bool
    rulings: tuple[Ruling, ...]
    remarks: tuple[Fact, ...]
    n_pumps: int = 1

    @property
    def grade(self) -> str:
        """Yes, tight or no, as for every command."""
        return worst_of(item.grade for item in self.rulings)

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """Why the pump will not do there."""
        return tuple(item.said for item in self.rulings if item.grade == NO)

    @property
    def doubts(self) -> tuple[Fact, ...]:
        """Why it is tight there."""
        return tuple(item.said for item in self.rulings if item.grade == TIGHT)


def run_each(cases: Sequence[Case], pump: str, part: PumpPart) -> list[Ranked]:
    """Return where this very pump runs in each case, and how it is judged on simulated days."""
    boats = []
    for case in cases:
        pumps = tuple(
            replace(item, fitted=part.name) if item.name == pump else item for item in case.pump
        )
        here = replace(case, pump=pumps)
        boats.append((here, loop_of(here, pump)))
    return judged_at_each(boats, part)


def waters_of(
    case: Case, cases: Sequence[Case], offered: Sequence[Candidate], ran: Sequence[Ranked]
) -> list[Water]:
    """Return what the forward model says of several places; each of `cases` has the pump at one.

    What a day takes is asked of all at once.
    """
    short = [row for row, item in enumerate(ran) if item.result.energy_per_day is None]
    days = days_with([cases[row] for row in short], [ran[row] for row in short])
    asked = dict(zip(short, days, strict=True))
    known = [asked.get(row, item.result.energy_per_day or 0.0) for row, item in enumerate(ran)]
    bases = [cable_basis(case, item) for item in offered]
    return list(map(_water, cases, offered, ran, known, bases))


def _water(
    case: Case, candidate: Candidate, ranked: Ranked, a_day: float, cable_basis: str
) -> Water:
    result = ranked.result
    gauges = [at.inlet_gauge for at in result.at if at.inlet_gauge is not None]
    power = result.running_power
    pump = next(p for p in case.pump if p.name == candidate.pump)
    supply = supply_of(case, pump, result.part, power * result.power_share(pump))
    return Water(
        flow=result.design.flow,
        head=result.design.head,
        lowest_inlet=min(gauges) if gauges else None,
        power=power,
        energy_per_day=a_day,
        hose=hose_metres(case, candidate.pump),
        voltage=result.design.voltage,
        cable=supply.cable_length,
        cable_basis=cable_basis,
        starved=result.judgement.starved,
        draws_air=any(reason_of(item.said).kind in AIRY for item in result.judgement.rulings),
        rulings=result.judgement.rulings,
        remarks=(*result.judgement.remarks, *_thin(supply)),
        n_pumps=result.n_pumps,
    )


def _thin(supply: SupplyResult) -> Iterator[Fact]:
    """Yield a conductor fitted that loses more than it may over this cable."""
    if supply.conductor_is_enough is not False or supply.voltage_drop is None:
        return
    loss = {
        "length": amount("length", supply.cable_length or 0.0),
        "area": amount("area", supply.conductor_fitted or 0.0),
        "drop": amount("voltage", supply.voltage_drop),
        "share": supply.drop_share,
    }
    thicker = supply.conductor_metric
    if thicker is None:
        yield fact("place.cable_too_long", **loss)
    else:
        yield fact("place.cable_too_thin", least=amount("area", thicker.area), **loss)
