"""Size the loops of a boat and choose their pumps: from a case to an answer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network
from seaflow.boat.petrol import petrol_aboard
from seaflow.model.build import built_with_any
from seaflow.studies.design.at_rest import left_at_rest, loops_in_use
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, DEFAULT_SEED
from seaflow.studies.design.choose import PumpResult, left_out
from seaflow.studies.design.judge import JUDGED_BY, NO, worst_of
from seaflow.studies.design.likelihood import Certainty, Held, Sampling, certainty_with
from seaflow.studies.design.limits import limits_used
from seaflow.studies.design.need import UnitNeed, unit_needs
from seaflow.studies.design.supply import SupplyResult, supply_of, supply_told
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import held_pumps
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.bores import BoreAdvice, bore_advice
from seaflow.studies.size.heads import HeadList, head_list, needs_with_water
from seaflow.studies.size.remarks import loop_notes, loop_remarks
from seaflow.studies.size.suction import SuctionResult, suction_of
from seaflow.studies.size.to_buy import ToBuy, to_buy
from seaflow.studies.size.verdict import SizeVerdict, verdict_on

LIMITS = ("suction_velocity", "delivery_velocity", "supply_drop", *JUDGED_BY)


@dataclass(frozen=True, slots=True)
class LoopSize:
    """The answer for one loop. `chosen` is the best pump, recommended or not.

    `validity` says where the answer leaves the range of a source.
    """

    ALSO = ("grade",)

    name: str
    needs: tuple[UnitNeed, ...]
    flow_needed: float = measured("m3/s")
    heads: HeadList | None = None
    pumps: tuple[PumpResult, ...] = ()
    bores: tuple[BoreAdvice, ...] = ()
    suction: SuctionResult | None = None
    supply: SupplyResult | None = None
    certainty: Certainty | None = None
    remarks: tuple[Fact, ...] = ()
    notes: tuple[Fact, ...] = ()
    verdict: SizeVerdict | None = None
    asks: ToBuy | None = None
    validity: tuple[Fact, ...] = ()

    @property
    def chosen(self) -> PumpResult | None:
        """The pump ranked first, or None where no pump fits the supply."""
        return self.pumps[0] if self.pumps else None

    @property
    def grade(self) -> str:
        """Yes, tight or no: that of the pump ranked first."""
        return NO if self.chosen is None else self.chosen.judgement.grade


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """The answer for the whole boat; `at_rest` tells the loops that it leaves out."""

    ALSO = ("grade",)

    boat: str
    hull: str
    sea_temperature: float = measured("degC")
    salinity: float = measured("g/kg")
    supply: Fact | None
    invented_parts: bool
    loops: tuple[LoopSize, ...]
    assumptions: tuple[Assumption, ...]
    cautions: tuple[Caution, ...]
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of any loop."""
        return worst_of(loop.grade for loop in self.loops)


def size(case: Case, n_samples: int = DEFAULT_SAMPLES, seed: int = DEFAULT_SEED) -> Sizing:
    """Return needs, heads, ranked pumps, bores, suction and supply for every loop of a case.

    Every pump is also run on `n_samples` sampled boats; with none, nothing is said of likelihoods.

    Raises
    ------
    SeaflowError
        If every unit is switched off.
    """
    loops, assumptions = [], list(case.assumptions)
    for found in loops_in_use(case):
        here = case.on_supply_of(found.pumps[0])
        answer, noted = _size_loop(here, found, Sampling(n_samples, seed))
        loops.append(answer)
        assumptions.extend(item for item in noted if item not in assumptions)
    assumptions.extend(limits_used(*LIMITS))
    return Sizing(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        supply=supply_told(case),
        invented_parts=any(item.part.invented for loop in loops for item in loop.pumps),
        loops=tuple(loops),
        assumptions=tuple(assumptions),
        cautions=cautions(
            "size",
            [loop.chosen.part.kind for loop in loops if loop.chosen],
            case.high_voltage,
            petrol=petrol_aboard(case),
        ),
        at_rest=left_at_rest(case),
    )


def _size_loop(
    case: Case, found: Network, sampling: Sampling
) -> tuple[LoopSize, tuple[Assumption, ...]]:
    # Need and head are the same for every pump, so any may stand in while they are found.
    built = built_with_any(case, found)
    needs = unit_needs(case, built)
    by_name = {need.name: need for need in needs}
    heads = head_list(built, needs_with_water(built, by_name), worst_cases(case)[0].conditions)
    held = held_pumps(case, found, sampling)
    answer = LoopSize(
        name=found.name,
        needs=needs,
        flow_needed=heads.flow,
        heads=heads,
        remarks=left_out(case, found.pumps[0]),
        asks=to_buy(case, built, by_name, sampling),
    )
    if not held.order:
        return answer, built.assumptions
    notes = tuple(note for item in held.order for note in item.result.part.assumptions)
    answer = _with_pumps(case, answer, by_name, held, sampling)
    return answer, built.assumptions + notes


def _with_pumps(
    case: Case,
    answer: LoopSize,
    needs: dict[str, UnitNeed],
    held: Held,
    sampling: Sampling,
) -> LoopSize:
    ranked, found = held.order, certainty_with(case, held, needs, sampling)
    best, built, point = ranked[0].result, ranked[0].built, ranked[0].point
    assert answer.heads is not None
    place, wet = built.network.pumps[0], needs_with_water(built, needs)
    pumps = tuple(item.result for item in ranked)
    return replace(
        answer,
        pumps=pumps,
        bores=bore_advice(case, built, wet, answer.heads, place.port or best.part.inlet),
        suction=suction_of(built, best, point),
        supply=supply_of(case, place, best.part, best.design.power * best.power_share(place)),
        certainty=found,
        remarks=(*answer.remarks, *loop_remarks(built, answer.heads)),
        notes=loop_notes(built, answer.heads, best),
        validity=validity_notes(built, point),
        verdict=verdict_on(pumps, answer.needs, found),
    )
