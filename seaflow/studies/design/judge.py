"""Whether a pump will do: every reason against it in one sentence, and what is worth remarking."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built
from seaflow.model.starting import climb_of
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt, UnitAt

SLACK = 1e-6  # of a flow; keeps a need met exactly from failing by rounding


@dataclass(frozen=True, slots=True)
class Judgement:
    """Reasons against a pump, remarks, and by how much it falls short (0 if it does not)."""

    reasons: tuple[str, ...]
    remarks: tuple[str, ...]
    shortfall: float = measured("-", 0.0)

    @property
    def recommended(self) -> bool:
        """True if nothing speaks against it."""
        return not self.reasons


def judge(
    case: Case,
    built: Built,
    part: PumpPart,
    place: Pump,
    at: tuple[PumpAt, ...],
    needs: Mapping[str, UnitNeed],
) -> Judgement:
    """Return what speaks against a pump and what is worth remarking."""
    reasons = [
        *_hopeless(at[0], needs),
        *_short(built, at, needs),
        *_too_much(case, at, needs),
        *_not_made_for_it(part, place),
        *_suction(part, at),
    ]
    remarks = [
        *_on_its_curve(at[0]),
        *_starting(built),
        *_protection(part, place, case),
    ]
    worst = min(
        (
            unit.margin
            for corner in at
            for unit in corner.units
            if unit.margin is not None and corner.asks != "ceiling"
        ),
        default=0.0,
    )
    return Judgement(tuple(reasons), tuple(remarks), max(0.0, -worst))


def _hopeless(at: PumpAt, needs: Mapping[str, UnitNeed]) -> Iterator[str]:
    """Yield a sentence for each unit that no pump can help."""
    for unit in at.units:
        if unit.state != "off" and not needs[unit.name].can_run:
            yield f"no flow of water keeps {unit.name} clear of its cut-out at this sea"


def _short(built: Built, at: tuple[PumpAt, ...], needs: Mapping[str, UnitNeed]) -> Iterator[str]:
    """Yield one sentence for the worst unit of the first corner that fails, design first."""
    if all(coil.branch_shut for coil in built.loop.coils):
        yield "the branch of every unit is shut, so no water can flow"
        return
    if not any(coil.switched_on for coil in built.loop.coils):
        yield "every unit is switched off, so there is no need to meet"
        return
    for corner in at:
        if corner.asks == "ceiling":
            continue
        failing = [unit for unit in corner.units if _fails(unit)]
        if not failing:
            continue
        unit = min(failing, key=lambda item: item.margin if item.margin is not None else -2.0)
        need = needs[unit.name]
        wanted = need.flow if corner.asks == "aim" else need.floor
        what = f"at {corner.words} it gives {unit.name} {quantity('flow', unit.flow)}"
        if corner.ending == "no operating point":
            yield f"at {corner.words} it moves no water: it cannot lift to the highest point"
        elif corner.ending == "at rest":
            volts = quantity("voltage", corner.voltage)
            yield f"at {corner.words} it does not turn: only {volts} reach it"
        elif unit.margin is not None and unit.margin < -SLACK:
            yield f"{what}, {-unit.margin:.1%} short of the {quantity('flow', wanted)} needed"
        else:
            yield f"{what}, and the unit {unit.state} there"
        return


def _fails(unit: UnitAt) -> bool:
    if unit.state in ("trips", "no water"):
        return True
    return unit.margin is not None and unit.margin < -SLACK


def _too_much(case: Case, at: tuple[PumpAt, ...], needs: Mapping[str, UnitNeed]) -> Iterator[str]:
    alloys = {unit.name: unit.alloy for unit in case.unit}
    for corner in at:
        if corner.asks != "ceiling":
            continue
        for unit in corner.units:
            most = needs[unit.name].most
            if most is not None and unit.flow > most * (1 + SLACK):
                yield (
                    f"at {corner.words} it forces {quantity('flow', unit.flow)} "
                    f"through {unit.name}, whose maker allows {quantity('flow', most)}"
                )
            alloy = alloys.get(unit.name)
            if alloy is None or unit.coil_velocity is None:
                continue
            name, fastest = case.catalogue.fastest_water(alloy)
            if fastest is not None and unit.coil_velocity > fastest * (1 + SLACK):
                yield (
                    f"at {corner.words} the water in the coil of {unit.name} runs at "
                    f"{quantity('velocity', unit.coil_velocity)}, and {name} stands "
                    f"{quantity('velocity', fastest)}"
                )


def _not_made_for_it(part: PumpPart, place: Pump) -> Iterator[str]:
    if not part.continuous:
        yield "it is not rated for continuous duty, and cooling runs for hours"
    level = place.level
    if level is not None and part.primes_at(level) is False:
        above = quantity("height", level)
        yield f"it cannot prime itself, and its place is {above} above the waterline"


def _suction(part: PumpPart, at: tuple[PumpAt, ...]) -> Iterator[str]:
    for corner in at:
        if corner.npsh_available is not None and part.required_npsh is not None:
            margin = corner.npsh_available - part.required_npsh
            if margin < limit("npsh_margin"):
                yield (
                    f"at {corner.words} the NPSH margin is only {quantity('head', margin)}: "
                    "it would cavitate"
                )
                return
        elif corner.inlet_gauge is not None and corner.inlet_gauge < limit("suction_vacuum"):
            yield (
                f"at {corner.words} the pressure at its inlet is "
                f"{quantity('pressure', corner.inlet_gauge)}: "
                "the suction side is too narrow for it"
            )
            return


def _on_its_curve(at: PumpAt) -> Iterator[str]:
    share = at.share_of_free_flow
    if at.flow > 0 and share < limit("free_flow_least"):
        yield f"runs far left on its curve, at {share:.0%} of free flow: air will not clear well"
    if share > limit("free_flow_most"):
        yield (
            f"runs far right on its curve, at {share:.0%} of free flow: "
            "noisy, and draws most current"
        )


def _starting(built: Built) -> Iterator[str]:
    climb = climb_of(built.loop)
    if climb.times is not None and climb.times < limit("starting_factor"):
        yield (
            f"its shut-off head of {quantity('head', climb.shut_off_head)} is less than "
            f"{limit('starting_factor'):g} times the highest point of the run, "
            f"{quantity('height', climb.height)}: it may fail to start the water"
        )


def _protection(part: PumpPart, place: Pump, case: Case) -> Iterator[str]:
    if not part.dry_run_protection:
        yield "has no dry-run protection: add a flow switch or an outlet temperature sensor"
    level = place.level
    if level is not None and -limit("pump_below_water") < level < 0.0 and not part.self_priming:
        yield (
            f"sits only {quantity('height', -level)} below the waterline; "
            f"{quantity('height', limit('pump_below_water'))} on either tack is common practice "
            "for a pump that cannot prime"
        )
    if case.supply.frequency and part.frequency and part.frequency != case.supply.frequency:
        yield (
            f"its curve holds at {part.frequency:.0f} Hz "
            f"and the supply is {case.supply.frequency:.0f} Hz; the speed is scaled"
        )
