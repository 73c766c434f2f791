"""Rules on the runs: crests, dips, length, check valves, heads, hoses and clamps."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Hose, Pump, Thing, Unit
from seaflow.model.elements import Point
from seaflow.model.geometry import (
    FLAT,
    AirTrap,
    Depth,
    Leg,
    air_traps,
    legs,
    pump_depths,
)
from seaflow.model.starting import climb_of
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.facts import Facts, LoopFacts, degrees, table_of
from seaflow.studies.survey.in_numbers import flow_words, joined, point_words
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

LONGEST_SUCTION = 1.5  # m of hose: about 0.6 m from seacock to strainer and on to the pump
LEAST_CLAMPS = 2
NARROWER = 0.98  # of a bore: less is a step, more is a measuring error
GOOD_LABELS = ("wet exhaust", "seawater suction")


def _before_pump(loop: LoopFacts) -> tuple[Thing, ...]:
    pumps = loop.network.pumps
    return (
        *(item for item in loop.network.things.values() if loop.before_pump(item.name)),
        *pumps,
    )


def _crests(loop: LoopFacts, heel: float, before: bool) -> tuple[AirTrap, ...]:
    found = air_traps(loop.loop, loop.pumped, heel)
    return tuple(trap for trap in found if trap.before_pump is before)


def suction_crest(facts: Facts) -> Iterator[Verdict]:
    """The suction line rises all the way to the pump, upright."""
    for loop in facts.loops:
        missing = next((item for item in _before_pump(loop) if item.level is None), None)
        if missing is not None:
            yield Unknown(missing.name, (table_of(missing), missing.name, "height"))
            continue
        traps = [trap for trap in _crests(loop, 0.0, True) if trap.where == "at rest"]
        burnt = any(pump.seen is not None and pump.seen.burnt_before for pump in loop.network.pumps)
        for trap in traps:
            words = f"it has a {trap.kind} of {quantity('height', trap.by)} at {trap.point}"
            before = "a pump burnt out here before" if burnt else ""
            more = joined((before, point_words(facts, loop, trap.point)))
            yield Fault(f"{loop.network.name}, suction", words, more, "major" if burnt else None)
        if not traps:
            yield Fine(loop.network.name)


def suction_crest_heeled(facts: Facts) -> Iterator[Verdict]:
    """The suction line still rises all the way at the working heel."""
    heel = facts.working_heel
    if heel is None:
        yield Unknown("the boat", ("boat", "the boat", "works_to_heel"))
        return
    for loop in facts.loops:
        missing = next((item for item in _before_pump(loop) if _side(item) is None), None)
        if missing is not None:
            yield Unknown(missing.name, (table_of(missing), missing.name, "starboard"))
            continue
        traps = _crests(loop, heel, True)
        at_rest = {trap.point for trap in traps if trap.where == "at rest"}
        new = [trap for trap in traps if trap.point not in at_rest]
        turned = _turned(loop, heel)
        if turned and not new:
            yield Fault(
                f"{loop.network.name}, suction",
                f"at {degrees(heel)} a part of it falls on one tack where it should rise",
                turned,
            )
        for trap in new:
            yield Fault(
                f"{loop.network.name}, suction",
                f"at {degrees(heel)}, {trap.where}, it gets a {trap.kind} of "
                f"{quantity('height', trap.by)} at {trap.point}",
                turned,
            )
        if not new and not turned:
            yield Fine(loop.network.name)


def _side(thing: Thing) -> float | None:
    return None if thing.at is None else thing.at.starboard


def _turned(loop: LoopFacts, heel: float) -> str:
    """Return which legs of the suction line fall at a heel, and from which angle on."""
    found = [
        f"{leg.start} to {leg.end} from {degrees(angle)}"
        for leg, angle in _reversing(legs(loop.loop, loop.pumped))
        if leg.before_pump and angle <= heel
    ]
    return "slope reverses: " + ", ".join(found) if found else ""


def _reversing(found: tuple[Leg, ...]) -> Iterator[tuple[Leg, float]]:
    for leg in found:
        angles = [angle for angle in leg.reverses or () if angle is not None]
        if leg.rise is not None and leg.rise > -FLAT and angles:
            yield leg, min(angles)


def suction_check_valve(facts: Facts) -> Iterator[Verdict]:
    """No check valve is in the suction line."""
    for loop in facts.loops:
        valves = [item for item in facts.case.check_valve if loop.before_pump(item.name)]
        for valve in valves:
            yield Fault(valve.name, "it is a check valve in the suction line")
        if not valves:
            yield Fine(loop.network.name)


def _suction_hoses(loop: LoopFacts) -> Iterator[Hose]:
    return (hose for hose in loop.network.hoses if loop.is_suction(hose))


def suction_long(facts: Facts) -> Iterator[Verdict]:
    """Intake, strainer and pump lie close together."""
    for loop in facts.loops:
        length = sum(hose.length for hose in _suction_hoses(loop))
        words = f"{quantity('length', length)} of hose lie between intake and pump"
        fault = Fault(f"{loop.network.name}, suction", words)
        yield Fine(loop.network.name) if length <= LONGEST_SUCTION + 1e-9 else fault


def suction_narrow(facts: Facts) -> Iterator[Verdict]:
    """The suction hose is as wide as the port of the pump."""
    for loop in facts.loops:
        for hose in loop.network.hoses:
            pump = loop.network.things.get(hose.to)
            if not isinstance(pump, Pump):
                continue
            port = pump.port or (loop.part.inlet if loop.part else None)
            if port is None:
                yield Unknown(pump.name, ("pump", pump.name, "port"))
            elif hose.bore >= NARROWER * port:
                yield Fine(hose.label)
            else:
                words = (
                    f"it has {quantity('bore', hose.bore)} at a port of {quantity('bore', port)}"
                )
                yield Fault(hose.label, words)


def delivery_dip(facts: Facts) -> Iterator[Verdict]:
    """After the pump the line rises to one high point and falls from there."""
    for loop in facts.loops:
        pumps = {pump.name for pump in loop.network.pumps}
        traps = [
            trap
            for trap in _crests(loop, 0.0, False)
            if trap.where == "at rest" and trap.kind == "dip" and trap.point not in pumps
        ]
        for trap in traps:
            words = f"it has a dip of {quantity('height', trap.by)} at {trap.point}"
            yield Fault(
                f"{loop.network.name}, delivery", words, point_words(facts, loop, trap.point)
            )
        missing = _unplaced(loop)
        if missing is not None:
            yield Unknown(missing.label, _where_asked(loop, missing))
        elif not traps:
            yield Fine(loop.network.name)


def _where_asked(loop: LoopFacts, point: Point) -> tuple[str, str, str]:
    """Return the fact that tells the height of a point: of a thing, or of a point of a hose."""
    thing = loop.network.things.get(point.label)
    return ("point" if thing is None else table_of(thing), point.label, "height")


def _unplaced(loop: LoopFacts) -> Point | None:
    points = (point for link in loop.loop.links for _, _, point in link.points())
    return next((point for point in points if point.height is None), None)


def starting_head(facts: Facts) -> Iterator[Verdict]:
    """The pump can lift the water to the crest before the run is full."""
    for loop in facts.loops:
        place, climb = loop.network.pumps[0], climb_of(loop.loop)
        if loop.part is None:
            yield Unknown(place.name, ("pump", place.name, "fitted"))
            continue
        missing = _unplaced(loop)
        if missing is not None:
            yield Unknown(missing.label, _where_asked(loop, missing))
            continue
        if climb.times is None:
            yield Fine(loop.network.name)
            continue
        fault = Fault(
            place.name,
            f"its shut-off head is {quantity('head', climb.shut_off_head)} and the crest, "
            f"{climb.label}, lies {quantity('height', climb.height)} above the waterline",
        )
        yield Fine(place.name) if climb.times >= limit("starting_factor") else fault


def unit_below_water(facts: Facts) -> Iterator[Verdict]:
    """A unit lies above the waterline."""
    for unit in facts.case.unit:
        if unit.level is None:
            yield Unknown(unit.name, ("unit", unit.name, "height"))
        elif unit.level < 0.0:
            words = f"it lies {quantity('height', -unit.level)} below the waterline"
            yield Fault(unit.name, words)
        else:
            yield Fine(unit.name)


def units_in_series(facts: Facts) -> Iterator[Verdict]:
    """No unit gets water that another has warmed."""
    for loop in facts.loops:
        for unit in loop.network.units:
            before = [
                name
                for name in sorted(upstream(loop.network, unit.name))
                if isinstance(loop.network.things.get(name), Unit)
            ]
            words = f"it gets its water from {' and '.join(before)}"
            yield Fault(unit.name, words) if before else Fine(unit.name)


def pump_not_below_water(facts: Facts) -> Iterator[Verdict]:
    """A pump that cannot prime itself lies below the water on either tack."""
    heel = facts.working_heel or 0.0
    for loop in facts.loops:
        if loop.part is not None and loop.part.self_priming:
            yield Fine(loop.network.pumps[0].name)
            continue
        for item in pump_depths(loop.loop, heel):
            yield from _depth(facts, loop, item)


def _depth(facts: Facts, loop: LoopFacts, item: Depth) -> Iterator[Verdict]:
    name, upright, at_heel = item.name, item.upright, item.at_heel
    if upright is None:
        yield Unknown(name, ("pump", name, "height"))
        return
    if at_heel is None or facts.working_heel is None:
        table, thing, key = ("pump", name, "starboard")
        if facts.working_heel is None:
            table, thing, key = ("boat", "the boat", "works_to_heel")
        yield Unknown(thing, (table, thing, key))
    least = min(at_heel) if at_heel is not None else upright
    if least <= 0.0 or upright < limit("pump_below_water") - 1e-9:
        side = "below" if upright > 0.0 else "above"
        found = f"at rest it lies {quantity('height', abs(upright))} {side} the waterline"
        if at_heel is not None and facts.working_heel:
            place = "below" if least > 0.0 else "above"
            found += (
                f", and at {degrees(facts.working_heel)} {quantity('height', abs(least))} {place} "
                "it on one tack"
            )
        numbers = flow_words(facts, loop) if least <= 0.0 else ""
        yield Fault(name, found, numbers, None if least <= 0.0 else "minor")
    elif at_heel is not None:
        yield Fine(name)


def hose_collapses(facts: Facts) -> Iterator[Verdict]:
    """A suction hose stands suction."""
    for loop in facts.loops:
        for hose in _suction_hoses(loop):
            kind = facts.case.catalogue.hose_kind(hose.kind)
            label = hose.seen.label if hose.seen is not None else None
            if not _kind_is_given(facts, hose):
                known = label in GOOD_LABELS
                yield (
                    Fine(hose.label) if known else Unknown(hose.label, ("hose", hose.label, "kind"))
                )
            elif kind.suction is None:
                yield Unknown(hose.label, ("hose", hose.label, "kind"))
            else:
                words = f"it is {kind.name} on the suction side"
                yield Fine(hose.label) if kind.suction else Fault(hose.label, words)


def _kind_is_given(facts: Facts, hose: Hose) -> bool:
    rows = [row for row, item in enumerate(facts.case.hose) if item.label == hose.label]
    return any(("hose", row, "kind") in facts.case.text.where for row in rows)


def clamps_too_few(facts: Facts) -> Iterator[Verdict]:
    """Two clamps are on each end of a hose that floods."""
    for hose in facts.case.hose:
        if facts.floods(hose) is False:
            continue
        clamps = hose.seen.clamps_at_each_end if hose.seen is not None else None
        short = hose.seen is not None and hose.seen.short_barb
        if clamps is None:
            yield Unknown(hose.label, ("hose", hose.label, "clamps_at_each_end"))
        elif clamps >= LEAST_CLAMPS or (short and clamps == 1):
            yield Fine(hose.label)
        else:
            words = "only 1 clamp is on each end" if clamps else "no clamp is on its ends"
            yield Fault(hose.label, words)
