"""Whether a pump will do: the musts it breaks, the aims it misses, and the numbers that decide.

What each is held to stands in `seaflow/data/limits.toml`, in the case, or on a maker's sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built
from seaflow.model.point import AT_REST, ENDINGS, NO_OPERATING_POINT
from seaflow.model.starting import climb_of
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt, UnitAt

SLACK = 1e-6  # of a flow; keeps a need met exactly from failing by rounding
JUDGED_BY = (  # limits
    "free_flow_least",
    "free_flow_most",
    "npsh_margin",
    "suction_vacuum",
    "starting_factor",
    "pump_below_water",
    "likely_running",
    "likely_rise",
)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The musts a pump breaks, the aims it misses, and by how much it falls short of its flow.

    `shortfall` is a share of the flow asked for in the worst case that fails most, 0 if none does.
    """

    reasons: tuple[Fact, ...]
    remarks: tuple[Fact, ...]
    shortfall: float = measured("-", 0.0)

    @property
    def recommended(self) -> bool:
        """True if it breaks no must."""
        return not self.reasons


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A pump as it is tried in a loop: its part and place, and where it runs."""

    case: Case
    built: Built
    part: PumpPart
    place: Pump
    at: tuple[PumpAt, ...]
    needs: Mapping[str, UnitNeed]


def judge(trial: Trial) -> Judgement:
    """Return what a pump breaks and misses."""
    margins = (
        unit.margin
        for at in trial.at
        for unit in at.units
        if unit.margin is not None and at.asks != "most"
    )
    return Judgement(
        reasons=tuple(said for must in MUSTS for said in must(trial)),
        remarks=tuple(said for aim in AIMS for said in aim(trial)),
        shortfall=max(0.0, -min(margins, default=0.0)),
    )


def judge_season(found: Judgement, keeps_running: float, keeps_rise: float) -> Judgement:
    """Return a judgement with what the draws of the season add to it.

    `keeps_running` and `keeps_rise` are the shares of draws in which all units run, and besides
    keep their permitted rise.
    """
    if keeps_running < limit("likely_running"):
        more = fact("design.seldom_runs", share=keeps_running)
        return replace(found, reasons=(*found.reasons, more))
    if found.recommended and keeps_rise < limit("likely_rise"):
        more = fact("design.seldom_keeps_rise", share=keeps_rise)
        return replace(found, remarks=(*found.remarks, more))
    return found


def _can_be_cooled(trial: Trial) -> Iterator[Fact]:
    """Yield each unit that no pump can help."""
    for unit in trial.at[0].units:
        if unit.state != "off" and not trial.needs[unit.name].can_run:
            yield fact("design.no_flow_cools", unit=unit.name)


def _enough_water(trial: Trial) -> Iterator[Fact]:
    """Yield the worst unit of the first worst case that fails, design point first."""
    coils = trial.built.loop.coils
    if all(coil.branch_shut for coil in coils):
        yield fact("design.all_shut")
    elif not any(coil.switched_on for coil in coils):
        yield fact("design.all_off")
    else:
        held = (at for at in trial.at if at.asks != "most" and any(map(_fails, at.units)))
        for at in list(held)[:1]:
            yield _short(at, trial.needs)


def _short(at: PumpAt, needs: Mapping[str, UnitNeed]) -> Fact:
    failing = filter(_fails, at.units)
    unit = min(failing, key=lambda item: item.margin if item.margin is not None else -2.0)
    if at.ending == ENDINGS[NO_OPERATING_POINT]:
        return fact("design.cannot_lift", where=at.where)
    if at.ending == ENDINGS[AT_REST]:
        return fact("design.does_not_turn", volts=amount("voltage", at.voltage), where=at.where)
    flow = amount("flow", unit.flow)
    if unit.margin is not None and unit.margin < -SLACK:
        return fact(
            "design.too_little_water",
            unit=unit.name,
            flow=flow,
            asked=amount("flow", needs[unit.name].wanted(at.asks)),
            short=-unit.margin,
            where=at.where,
        )
    if unit.state == "trips":
        return fact("design.unit_trips", unit=unit.name, flow=flow, where=at.where)
    return fact("design.unit_dry", unit=unit.name, where=at.where)


def _fails(unit: UnitAt) -> bool:
    if unit.state in ("trips", "no water"):
        return True
    return unit.margin is not None and unit.margin < -SLACK


def _not_too_much(trial: Trial) -> Iterator[Fact]:
    alloys = {unit.name: unit.alloy for unit in trial.case.unit}
    for at in trial.at:
        for unit in at.units if at.asks == "most" else ():
            most = trial.needs[unit.name].most
            if most is not None and unit.flow > most * (1 + SLACK):
                yield fact(
                    "design.too_much_water",
                    unit=unit.name,
                    flow=amount("flow", unit.flow),
                    most=amount("flow", most),
                    where=at.where,
                )
            alloy = alloys.get(unit.name)
            if alloy is None or unit.coil_velocity is None:
                continue
            name, fastest = trial.case.catalogue.fastest_water(alloy)
            if fastest is not None and unit.coil_velocity > fastest * (1 + SLACK):
                yield fact(
                    "design.too_fast_for_the_coil",
                    unit=unit.name,
                    velocity=amount("velocity", unit.coil_velocity),
                    alloy=name,
                    most=amount("velocity", fastest),
                    where=at.where,
                )


def _made_for_it(trial: Trial) -> Iterator[Fact]:
    if not trial.part.continuous:
        yield fact("design.not_continuous")
    level = trial.place.level
    if level is not None and level >= 0.0 and not trial.part.self_priming:
        yield fact("design.cannot_prime", height=amount("height", level))


def _suction(trial: Trial) -> Iterator[Fact]:
    first = starved(trial.part, trial.at)
    if first is not None:
        yield first


def starved(part: PumpPart, found: tuple[PumpAt, ...]) -> Fact | None:
    """Return how the suction starves a pump in the first worst case in which it does, if any."""
    required = part.required_npsh
    for at in found:
        if at.npsh_available is not None and required is not None:
            margin = at.npsh_available - required
            if margin < limit("npsh_margin"):
                head = amount("head", margin)
                least = amount("head", limit("npsh_margin"))
                return fact("design.cavitates", margin=head, least=least, where=at.where)
        elif at.inlet_gauge is not None and at.inlet_gauge < limit("suction_vacuum"):
            gauge = amount("pressure", at.inlet_gauge)
            least = amount("pressure", limit("suction_vacuum"))
            return fact("design.narrow_suction", gauge=gauge, least=least, where=at.where)
    return None


def _on_its_curve(trial: Trial) -> Iterator[Fact]:
    at = trial.at[0]
    share = at.share_of_free_flow
    if at.flow > 0 and share < limit("free_flow_least"):
        yield fact("design.left_on_its_curve", share=share)
    if share > limit("free_flow_most"):
        yield fact("design.right_on_its_curve", share=share)


def _starting(trial: Trial) -> Iterator[Fact]:
    climb = climb_of(trial.built.loop)
    if climb.times is not None and climb.times < limit("starting_factor"):
        yield fact(
            "design.weak_start",
            shut_off=amount("head", climb.shut_off_head),
            factor=limit("starting_factor"),
            crest=amount("height", climb.height),
        )


def _protection(trial: Trial) -> Iterator[Fact]:
    part, level, supply = trial.part, trial.place.level, trial.case.supply
    if not part.dry_run_protection:
        yield fact("design.no_dry_run_protection")
    deep = limit("pump_below_water")
    if level is not None and -deep < level < 0.0 and not part.self_priming:
        depth, least = amount("height", -level), amount("height", deep)
        yield fact("design.shallow_pump", depth=depth, least=least)
    if supply.frequency and part.frequency and part.frequency != supply.frequency:
        yield fact(
            "design.frequency_scaled",
            rated=amount("frequency", part.frequency),
            supply=amount("frequency", supply.frequency),
        )


Ask = Callable[[Trial], Iterator[Fact]]

MUSTS: tuple[Ask, ...] = (_can_be_cooled, _enough_water, _not_too_much, _made_for_it, _suction)
AIMS: tuple[Ask, ...] = (_on_its_curve, _starting, _protection)
