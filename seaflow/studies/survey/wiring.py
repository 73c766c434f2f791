"""Rules on electricity: fuse, conductor and drop of a pump, earth of all mains, petrol vapour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.petrol import petrol_at
from seaflow.boat.tables.things import Pump, Unit
from seaflow.physics.electric.wiring import conductor_sizes, largest_fuse
from seaflow.studies.design.limits import limit
from seaflow.studies.design.supply import fits, supply_of, supply_told, thinnest_conductor
from seaflow.studies.survey.evidence import THE_BOAT, Evidence, boat_lacks
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.severity import LATER, NEXT, near_by_size

SAME = 0.999  # of a size or a rating: what is nearer than that is the same
LEAST_IN_SHEATH = 0.82e-6  # m2, 18 AWG: the least that 33 CFR 183.425 lets run in a sheath
BREAKER, CABLE = "breaker", "cable"


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor of a pump: its area, what it carries, and that where it is hot all its length.

    `hot` says whether it is; None where that is not recorded.
    """

    hot: bool | None
    area: float = measured("m2")
    carries: float = measured("A")
    carries_hot: float = measured("A")

    @property
    def carries_there(self) -> float | None:
        """What it carries where it runs [A]; None where that is not recorded."""
        if self.hot is None:
            return None
        return self.carries_hot if self.hot else self.carries


def conductor_of(evidence: Evidence, pump: Pump) -> Conductor | None:
    """Return the conductor of a pump, known too where its length is not."""
    known = evidence.partial.get(("pump", pump.name, CABLE), {})
    area: float | None = known.get("conductor")
    hot: bool | None = known.get("hot_space")
    if pump.cable is not None:
        area, hot = pump.cable.conductor, pump.cable.hot_space
    if area is None:
        return None
    rows = [row for row in conductor_sizes("metric") if row["area"] <= area / SAME]
    carries = float(max((row["ampacity"] for row in rows), default=0.0))
    return Conductor(hot, area, carries, limit("hot_conductor") * carries)


def pump_supply(evidence: Evidence) -> Iterator[Verdict]:
    """The supply can drive the pump that is fitted."""
    for pump in evidence.case.pump:
        if pump.fitted is None:
            yield Unknown("pump", pump.name, "fitted")
            continue
        part = evidence.case.catalogue.pump(pump.fitted)
        here = evidence.case.on_supply_of(pump)
        if fits(here, part):
            yield Kept(pump.name)
        else:
            made = {"volts": amount("voltage", part.voltage), "current": part.current.upper()}
            told = fact("survey.other_supply", **made, supply=supply_told(here))
            yield Breach(pump.name, told)


def pump_no_fuse(evidence: Evidence) -> Iterator[Verdict]:
    """A fuse or breaker is on the circuit of a pump."""
    for pump in evidence.case.pump:
        rated = _breaker(pump)
        if rated is None:
            yield Unknown("pump", pump.name, BREAKER)
        else:
            yield Kept(pump.name) if rated > 0.0 else Breach(pump.name, fact("survey.no_fuse"))


def _breaker(pump: Pump) -> float | None:
    return None if pump.seen is None else pump.seen.breaker


def pump_wire_too_thin(evidence: Evidence) -> Iterator[Verdict]:
    """The fuse is no larger than what the conductor carries where it runs."""
    for pump in evidence.case.pump:
        rated, wire = _breaker(pump), conductor_of(evidence, pump)
        if rated is None:
            yield Unknown("pump", pump.name, BREAKER)
        elif wire is None:
            yield Unknown("pump", pump.name, CABLE)
        elif rated == 0.0:
            yield Kept(pump.name)  # has a rule of its own
        else:
            yield from _fuse(evidence, pump, rated, wire)


def _fuse(evidence: Evidence, pump: Pump, rated: float, wire: Conductor) -> Iterator[Verdict]:
    """Return the verdict on a fuse; where a cable runs is only asked for if that decides."""
    supply = pump.supply or evidence.case.supply
    carries, volts = wire.carries_there or wire.carries, supply.voltage
    if rated <= wire.carries_hot or (wire.hot is False and rated <= carries):
        yield Kept(pump.name)
        return
    most = largest_fuse(carries, volts)
    if wire.hot is None and rated <= most:
        yield Unknown("pump", pump.name, CABLE)
    if rated <= carries:
        return
    found = fact(
        "survey.fuse_too_large",
        breaker=amount("current", rated),
        carries=amount("current", carries),
    )
    lets = fact("survey.largest_fuse", most=amount("current", most))
    hot = (fact("survey.derated", share=limit("hot_conductor")),) if wire.hot else ()
    yield Breach(pump.name, found, (lets, *hot), None if rated > most else LATER)


def pump_conductor_small(evidence: Evidence) -> Iterator[Verdict]:
    """The conductor is not below the least size of the table of conductors."""
    least = thinnest_conductor()
    for pump in evidence.case.pump:
        wire = conductor_of(evidence, pump)
        if wire is None:
            yield Unknown("pump", pump.name, CABLE)
        elif wire.area >= SAME * least:
            yield Kept(pump.name)
        else:
            sizes = {"area": amount("area", wire.area), "least": amount("area", least)}
            sheathed = wire.area >= SAME * LEAST_IN_SHEATH
            found = fact("survey.small_conductor", **sizes)
            yield Breach(pump.name, found, near=LATER if sheathed else None)


def pump_volts(evidence: Evidence) -> Iterator[Verdict]:
    """The drop of the cable is small."""
    for loop in evidence.loops:
        for pump in loop.network.pumps:
            if loop.part is None:
                yield loop.no_pump
                continue
            here = evidence.case.on_supply_of(pump)
            supply = supply_of(here, pump, loop.part, 0.0)
            if supply.drop_share is None or supply.voltage_drop is None:
                yield Unknown("pump", pump.name, CABLE)
            elif supply.drop_share <= limit("supply_drop"):
                yield Kept(pump.name)
            else:
                found = fact(
                    "survey.cable_drop",
                    drop=amount("voltage", supply.voltage_drop),
                    share=supply.drop_share,
                    current=amount("current", supply.current),
                )
                near = near_by_size("cable_drop", supply.drop_share)
                yield Breach(pump.name, found, near=near)


def mains_aboard(evidence: Evidence) -> bool | None:
    """Return whether there is mains on board; None where nothing tells."""
    case = evidence.case
    told = (
        any(supply.current == "ac" for supply in case.supplies),
        evidence.boat.mains_aboard is True,
        any(duty.source in ("shore", "generator") for duty in case.duty),
        case.battery is not None and case.battery.inverter_efficiency is not None,
    )
    return True if any(told) else evidence.boat.mains_aboard


def pump_not_earthed(evidence: Evidence) -> Iterator[Verdict]:
    """A protective conductor is on a pump that runs on mains, or lies beside them."""
    for pump in evidence.case.pump:
        earthed = None if pump.seen is None else pump.seen.earthed
        lacking = Breach(pump.name, fact("survey.pump_not_earthed"))
        beside = Breach(pump.name, fact("survey.unearthed_beside_mains"), near=NEXT)
        yield _beside(evidence, pump, earthed, lacking, beside) or Unknown(
            "pump", pump.name, "earthed"
        )


def pump_no_residual_current_device(evidence: Evidence) -> Iterator[Verdict]:
    """A residual-current device protects a pump that runs on mains, or lies beside them."""
    key = "residual_current_device"
    for pump in evidence.case.pump:
        there = None if pump.seen is None else pump.seen.residual_current_device
        lacking = Breach(pump.name, fact("survey.pump_not_guarded"))
        beside = Breach(pump.name, fact("survey.not_guarded_beside_mains"), near=LATER)
        yield _beside(evidence, pump, there, lacking, beside) or Unknown("pump", pump.name, key)


def _beside(
    evidence: Evidence, pump: Pump, there: bool | None, lacking: Breach, beside: Breach
) -> Verdict | None:
    """Judge a pump on AC, and one on DC only where its lack was recorded; None asks for it."""
    on_mains = (pump.supply or evidence.case.supply).current == "ac"
    if there or not (on_mains or mains_aboard(evidence)):
        return Kept(lacking.where)
    if there is None:
        return None if on_mains else Kept(lacking.where)
    return lacking if on_mains else beside


def mains_not_earthed(evidence: Evidence) -> Iterator[Verdict]:
    """A protective conductor is on all that runs on mains."""
    yield _mains(evidence, "mains_earthed", fact("survey.mains_not_earthed"))


def mains_no_residual_current_device(evidence: Evidence) -> Iterator[Verdict]:
    """A residual-current device protects all mains circuits."""
    yield _mains(evidence, "mains_residual_current_device", fact("survey.mains_not_guarded"))


def _mains(evidence: Evidence, key: str, lacking: Fact) -> Verdict:
    aboard, there = mains_aboard(evidence), getattr(evidence.boat, key)
    if aboard is False or there:
        return Kept(THE_BOAT)
    if there is None:
        return boat_lacks("mains_aboard" if aboard is None else key)
    return Breach(THE_BOAT, lacking)


def pump_ignition(evidence: Evidence) -> Iterator[Verdict]:
    """A pump where petrol vapour may be is ignition-protected, whatever fuel she burns herself."""
    return (_ignition(evidence.case, pump) for pump in evidence.case.pump)


def unit_ignition(evidence: Evidence) -> Iterator[Verdict]:
    """A unit where petrol vapour may be is ignition-protected, whatever fuel she burns herself."""
    return (_ignition(evidence.case, unit) for unit in evidence.case.unit)


def _ignition(case: Case, thing: Pump | Unit) -> Verdict:
    inside = petrol_at(case, thing)
    protected = None if thing.seen is None else thing.seen.ignition_protected
    if inside is False or protected:
        return Kept(thing.name)
    if inside is None:
        return Unknown(thing.table, thing.name, "in_petrol_space")
    if protected is None:
        return Unknown(thing.table, thing.name, "ignition_protected")
    return Breach(thing.name, fact("survey.not_ignition_protected"))


OF_A_LOOP = (pump_volts,)
RULES = (
    *OF_A_LOOP,
    pump_supply,
    pump_no_fuse,
    pump_wire_too_thin,
    pump_conductor_small,
    pump_not_earthed,
    pump_no_residual_current_device,
    mains_not_earthed,
    mains_no_residual_current_device,
    pump_ignition,
    unit_ignition,
)
