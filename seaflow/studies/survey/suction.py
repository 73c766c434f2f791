"""Rules on the suction side: crests, slope, length and hose of its line, and the pump's depth."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.things import Hose, Pump, Thing
from seaflow.model.geometry import FLAT, AirTrap, Depth, Leg, air_traps, legs, pump_depths
from seaflow.model.heights import TACKS
from seaflow.model.pressures import pump_gauge
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import (
    Evidence,
    SurveyedLoop,
    boat_lacks,
    distance,
    table_of,
)
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.running import BLOCKED, as_it_runs, pressure_at

LONGEST_SUCTION = 1.5  # m of hose: about 0.6 m from seacock to strainer and on to the pump
NARROWER = 0.98  # of a bore: less is a step, more is a measuring error
GOOD_LABELS = ("wet exhaust", "seawater suction")
AT_REST = "at rest"
SIDES = dict(zip(TACKS, ("starboard", "port"), strict=True))


def _where(loop: SurveyedLoop) -> str:
    return f"{loop.name}, suction"


def _before_pump(loop: SurveyedLoop) -> tuple[Thing, ...]:
    things = loop.network.things.values()
    return (*(item for item in things if loop.before_pump(item.name)), *loop.network.pumps)


def _lacking(loop: SurveyedLoop, *keys: str) -> Unknown | None:
    """Return the first thing up to the pump of whose place one of these is not recorded."""
    for thing in _before_pump(loop):
        for key in keys:
            if distance(thing, key) is None:
                return Unknown(table_of(thing), thing.name, key)
    return None


def traps_of(loop: SurveyedLoop, heel: float, before_pump: bool) -> tuple[AirTrap, ...]:
    """Return crests and dips of a loop on one side of its pump, at rest and at a heel."""
    found = air_traps(loop.loop, loop.pumped, heel)
    return tuple(trap for trap in found if trap.before_pump is before_pump)


def suction_crest(evidence: Evidence) -> Iterator[Verdict]:
    """The suction line rises all the way to the pump, upright."""
    for loop in evidence.loops:
        missing = _lacking(loop, "height")
        if missing is not None:
            yield missing
            continue
        traps = [trap for trap in traps_of(loop, 0.0, True) if trap.where == AT_REST]
        burnt = any(pump.seen is not None and pump.seen.burnt_before for pump in loop.network.pumps)
        for trap in traps:
            more = pressure_at(loop.run, trap.point)
            more = (fact("survey.burnt_before"), *more) if burnt else more
            yield Breach(_where(loop), _trap(trap), more, "major" if burnt else None)
        if not traps:
            yield Kept(loop.name)


def _trap(trap: AirTrap) -> Fact:
    by = amount("height", trap.by)
    if trap.kind == "crest":
        return fact("survey.crest", by=by, point=trap.point)
    return fact("survey.dip", by=by, point=trap.point)


def suction_crest_heeled(evidence: Evidence) -> Iterator[Verdict]:
    """The suction line still rises all the way at the working heel."""
    heel = evidence.working_heel
    if heel is None:
        yield boat_lacks("works_to_heel")
        return
    for loop in evidence.loops:
        missing = _lacking(loop, "starboard")
        yield from _heeled(loop, heel) if missing is None else [missing]


def _heeled(loop: SurveyedLoop, heel: float) -> Iterator[Verdict]:
    traps = traps_of(loop, heel, True)
    at_rest = {trap.point for trap in traps if trap.where == AT_REST}
    new = [trap for trap in traps if trap.point not in at_rest]
    angle = amount("angle", heel)
    turned = tuple(
        fact("survey.slope_reverses", start=leg.start, end=leg.end, heel=amount("angle", at))
        for leg, at in _reversing(legs(loop.loop, loop.pumped))
        if leg.before_pump and at <= heel
    )
    for trap in new:
        side = SIDES[trap.where]
        found = fact("survey.at_heel", heel=angle, side=side, found=_trap(trap))
        yield Breach(_where(loop), found, turned)
    if turned and not new:
        yield Breach(_where(loop), fact("survey.falls_at_heel", heel=angle), turned)
    if not turned and not new:
        yield Kept(loop.name)


def _reversing(found: tuple[Leg, ...]) -> Iterator[tuple[Leg, float]]:
    for leg in found:
        angles = [angle for angle in leg.reverses or () if angle is not None]
        if leg.rise is not None and leg.rise > -FLAT and angles:
            yield leg, min(angles)


def suction_flat(evidence: Evidence) -> Iterator[Verdict]:
    """Every piece of the suction line rises by 20 mm per metre or more."""
    for loop in evidence.loops:
        traps = {trap.point for trap in traps_of(loop, 0.0, True)}
        flat: list[Verdict] = []
        for leg in legs(loop.loop, loop.pumped):
            if not leg.before_pump or traps & {leg.start, leg.end}:
                continue  # crests and dips have a rule of their own
            if leg.run is None or leg.rise is None:
                on_its_way = leg.end if leg.start in loop.network.things else leg.start
                nowhere = Unknown("point", on_its_way, "height")
                yield _lacking(loop, "aft", "starboard", "height") or nowhere
            elif leg.run > 0.0 and leg.rise / leg.run < limit("suction_slope") - 1e-9:
                flat.append(Breach(_where(loop), _slope(leg, leg.rise, leg.run)))
        yield from flat or [Kept(loop.name)]


def _slope(leg: Leg, rise: float, run: float) -> Fact:
    ends = {"start": leg.start, "end": leg.end, "run": amount("height", run)}
    if rise < 0.0:
        return fact("survey.falls", fall=amount("height", -rise), **ends)
    return fact("survey.rises_little", rise=amount("height", rise), **ends)


def suction_check_valve(evidence: Evidence) -> Iterator[Verdict]:
    """No check valve is in the suction line."""
    for loop in evidence.loops:
        valves = [item for item in evidence.case.check_valve if loop.before_pump(item.name)]
        for valve in valves:
            yield Breach(valve.name, fact("survey.check_valve"))
        if not valves:
            yield Kept(loop.name)


def _suction_hoses(loop: SurveyedLoop) -> Iterator[Hose]:
    return (hose for hose in loop.network.hoses if loop.is_suction(hose))


def suction_long(evidence: Evidence) -> Iterator[Verdict]:
    """Intake, strainer and pump lie close together."""
    for loop in evidence.loops:
        length = sum(hose.length for hose in _suction_hoses(loop))
        found = fact("survey.suction_long", length=amount("length", length))
        good = length <= LONGEST_SUCTION + 1e-9
        yield Kept(loop.name) if good else Breach(_where(loop), found)


def suction_narrow(evidence: Evidence) -> Iterator[Verdict]:
    """The suction hose is as wide as the port of the pump."""
    for loop in evidence.loops:
        for hose in loop.network.hoses:
            pump = loop.network.things.get(hose.to)
            if not isinstance(pump, Pump):
                continue
            port = pump.port or (loop.part.inlet if loop.part else None)
            if port is None:
                yield Unknown("pump", pump.name, "port")
            elif hose.bore >= NARROWER * port:
                yield Kept(hose.label)
            else:
                bores = {"hose": amount("bore", hose.bore), "port": amount("bore", port)}
                yield Breach(hose.label, fact("survey.narrow_at_port", **bores))


def suction_vacuum(evidence: Evidence) -> Iterator[Verdict]:
    """The vacuum at the pump stays small with the strainer as blocked as the design says."""
    share = evidence.case.design.blocked_share
    for loop in evidence.loops:
        # matted dirt costs no less than the same dirt evenly spread
        gauge = None if loop.run is None else pump_gauge(loop.run.matted)
        if gauge is None:
            yield loop.no_pump
            continue
        found = float(gauge[int(np.argmin(np.abs(BLOCKED - share)))])
        least, name = limit("suction_vacuum"), loop.network.pumps[0].name
        deep = fact(
            "survey.deep_vacuum",
            gauge=amount("pressure", found),
            share=share,
            limit=amount("pressure", least),
        )
        yield Kept(name) if found >= least else Breach(name, deep)


def hose_collapses(evidence: Evidence) -> Iterator[Verdict]:
    """A suction hose stands suction."""
    for loop in evidence.loops:
        for hose in _suction_hoses(loop):
            kind = evidence.case.catalogue.hose_kind(hose.kind)
            label = hose.seen.label if hose.seen is not None else None
            given = _kind_is_given(evidence, hose)
            if (given and kind.suction) or (not given and label in GOOD_LABELS):
                yield Kept(hose.label)
            elif not given or kind.suction is None:
                yield Unknown("hose", hose.label, "kind")
            else:
                yield Breach(hose.label, fact("survey.collapses", hose=kind.name))


def _kind_is_given(evidence: Evidence, hose: Hose) -> bool:
    rows = [row for row, item in enumerate(evidence.case.hose) if item.label == hose.label]
    return any(("hose", row, "kind") in evidence.case.text.where for row in rows)


def pump_lift(evidence: Evidence) -> Iterator[Verdict]:
    """A self-priming pump does not lift far in lasting use."""
    for loop in evidence.loops:
        for pump in loop.network.pumps:
            if loop.part is None or not loop.part.self_priming:
                yield Kept(pump.name)
            elif pump.level is None:
                yield Unknown("pump", pump.name, "height")
            elif pump.level <= limit("lift_most"):
                yield Kept(pump.name)
            else:
                lifts = fact("survey.lifts", height=amount("height", pump.level))
                yield Breach(pump.name, lifts, as_it_runs(loop.run))


def pump_not_below_water(evidence: Evidence) -> Iterator[Verdict]:
    """A pump that cannot prime itself lies below the water on either tack."""
    for loop in evidence.loops:
        if loop.part is not None and loop.part.self_priming:
            yield Kept(loop.network.pumps[0].name)
            continue
        for item in pump_depths(loop.loop, evidence.working_heel or 0.0):
            told = tuple(_depth(evidence, loop, item))
            if loop.part is None and any(isinstance(one, Breach) for one in told):
                yield loop.no_pump  # one that primes itself may lie there
            else:
                yield from told


def _depth(evidence: Evidence, loop: SurveyedLoop, item: Depth) -> Iterator[Verdict]:
    heel, upright = evidence.working_heel, item.upright
    if upright is None:
        yield Unknown("pump", item.name, "height")
        return
    if heel is None:
        yield boat_lacks("works_to_heel")
    elif item.at_heel is None:
        yield Unknown("pump", item.name, "starboard")
    least = min(item.at_heel) if item.at_heel is not None else upright
    told = {"depth": amount("height", upright)}
    turned = None if item.at_heel is None or not heel else _at_heel(least, heel)
    if upright <= 0.0:
        above = fact("survey.pump_above_water", height=amount("height", -upright))
        more = [] if turned is None else [turned]
        yield Breach(item.name, above, (*more, *as_it_runs(loop.run)))
    elif least <= 0.0 and turned is not None:
        numbers = (fact("survey.pump_at_rest", **told), *as_it_runs(loop.run))
        yield Breach(item.name, turned, numbers)
    elif upright < limit("pump_below_water") - 1e-9:
        more = [] if turned is None else [turned]
        yield Breach(item.name, fact("survey.pump_shallow", **told), tuple(more), "minor")
    elif item.at_heel is not None:
        yield Kept(item.name)


def _at_heel(least: float, heel: float) -> Fact:
    angle = amount("angle", heel)
    if least > 0.0:
        return fact("survey.pump_below_at_heel", heel=angle, depth=amount("height", least))
    return fact("survey.pump_above_at_heel", heel=angle, height=amount("height", -least))


RULES = (
    suction_crest,
    suction_crest_heeled,
    suction_flat,
    suction_check_valve,
    suction_long,
    suction_narrow,
    suction_vacuum,
    hose_collapses,
    pump_lift,
    pump_not_below_water,
)
