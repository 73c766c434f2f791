"""Rules on strainers, pumps, wiring and units that need numbers."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.parts.sheets import StrainerSheet
from seaflow.boat.tables.things import Pump, Strainer, Unit
from seaflow.model.elements import Basket, Coil
from seaflow.model.pressures import pump_gauge
from seaflow.physics.electric.wiring import conductor_sizes
from seaflow.studies.design.limits import limit
from seaflow.studies.design.supply import supply_of
from seaflow.studies.survey.blockage import BLOCKED, MET, UnitLimit, limits
from seaflow.studies.survey.facts import Facts, LoopFacts
from seaflow.studies.survey.in_numbers import point_words
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

LEAST_AREA = 3.0  # open area of the basket over that of the hose: common practice
FINEST, COARSEST = 1.5e-3, 3.0e-3  # m: common practice for magnetic and plain centrifugal pumps
RATED_OVER_RUNNING = 2.0
NARROWER = 0.98
DAY = 86400.0  # s
SAME_AREA = 0.999
GRAVE = 0.2  # of the need: what is shorter by more is major


def sheet_of(facts: Facts, strainer: Strainer) -> StrainerSheet | None:
    """Return the sheet of a strainer whose model the case names."""
    return facts.case.catalogue.strainer(strainer.model) if strainer.model else None


def basket_of(loop: LoopFacts, name: str) -> Basket:
    """Return a strainer as the model sees it."""
    return next(item for item in loop.loop.strainers if item.name == name)


def strainer_missing(facts: Facts) -> Iterator[Verdict]:
    """A strainer is before the pump."""
    for loop in facts.loops:
        there = any(loop.before_pump(item.name) for item in loop.strainers)
        fault = Fault(loop.network.name, "no strainer is between intake and pump")
        yield Fine(loop.network.name) if there else fault


def strainer_above_water(facts: Facts) -> Iterator[Verdict]:
    """A strainer lies below the waterline."""
    for strainer in facts.case.strainer:
        if strainer.level is None:
            yield Unknown(strainer.name, ("strainer", strainer.name, "height"))
        elif strainer.level < 0.0:
            yield Fine(strainer.name)
        else:
            words = f"it lies {quantity('height', strainer.level)} above the waterline"
            yield Fault(strainer.name, words, _at_strainer(facts, strainer))


def _at_strainer(facts: Facts, strainer: Strainer) -> str:
    loop = next((one for one in facts.loops if strainer.name in one.network.things), None)
    return "" if loop is None else point_words(facts, loop, strainer.name)


def strainer_area(facts: Facts) -> Iterator[Verdict]:
    """The open area of the basket is a multiple of that of the hose."""
    for loop in facts.loops:
        for strainer in loop.strainers:
            basket = basket_of(loop, strainer.name)
            if basket.basket_area is None or basket.open_share is None:
                yield Unknown(strainer.name, ("strainer", strainer.name, "basket_area"))
                continue
            hose = max(item.bore for item in loop.network.arriving(strainer.name))
            open_area = float(np.asarray(basket.basket_area) * np.asarray(basket.open_share))
            ratio = open_area / (np.pi * hose**2 / 4.0)
            words = f"its open area is {ratio:.1f} times that of its hose"
            yield Fine(strainer.name) if ratio >= LEAST_AREA else Fault(strainer.name, words)


def strainer_mesh(facts: Facts) -> Iterator[Verdict]:
    """The holes of the basket are neither too fine nor too wide."""
    for strainer in facts.case.strainer:
        sheet = sheet_of(facts, strainer)
        hole = strainer.seen.hole if strainer.seen is not None else None
        hole = hole if hole is not None else (sheet.hole if sheet else None)
        if hole is None:
            yield Unknown(strainer.name, ("strainer", strainer.name, "hole"))
        elif FINEST * SAME_AREA <= hole <= COARSEST / SAME_AREA:
            yield Fine(strainer.name)
        else:
            yield Fault(strainer.name, f"its holes are {quantity('thickness', hole)} wide")


def strainer_ports(facts: Facts) -> Iterator[Verdict]:
    """The ports of the strainer are as wide as the hose."""
    for loop in facts.loops:
        for strainer in loop.strainers:
            port = float(np.asarray(basket_of(loop, strainer.name).bore))
            hose = max(item.bore for item in loop.network.arriving(strainer.name))
            words = f"ports of {quantity('bore', port)} on a hose of {quantity('bore', hose)}"
            good = port >= NARROWER * hose
            yield Fine(strainer.name) if good else Fault(strainer.name, words)


def strainer_rating(facts: Facts) -> Iterator[Verdict]:
    """The strainer is rated for twice what runs through it."""
    for loop in facts.loops:
        for strainer in loop.strainers:
            sheet, run = sheet_of(facts, strainer), facts.runs.get(loop.network.name)
            if run is None:
                yield _no_pump(loop)
            elif sheet is None or sheet.rated_flow is None:
                yield Unknown(strainer.name, ("strainer", strainer.name, "model"))
            else:
                flow = float(run.point.total_flow()[0])
                words = (
                    f"it is rated for {quantity('flow', sheet.rated_flow)} and "
                    f"{quantity('flow', flow)} run through it"
                )
                good = sheet.rated_flow >= RATED_OVER_RUNNING * flow
                yield Fine(strainer.name) if good else Fault(strainer.name, words)


def _no_pump(loop: LoopFacts) -> Unknown:
    place = loop.network.pumps[0]
    return Unknown(place.name, ("pump", place.name, "fitted"))


def strainer_blockage(facts: Facts) -> Iterator[Verdict]:
    """Each unit keeps its least flow until the basket is as blocked as the design says."""
    allowed = facts.case.design.blocked_share
    for loop in facts.loops:
        run = facts.runs.get(loop.network.name)
        if run is None:
            yield _no_pump(loop)
            continue
        for item in limits(run):
            if item.even is None or item.even >= allowed or item.even == 0.0:
                yield Fine(item.unit)  # too little with a clean basket has a rule of its own
                continue
            then = (
                ""
                if item.gauge_then is None
                else f"a gauge at the pump inlet then shows {quantity('pressure', item.gauge_then)}"
            )
            found = (
                f"it falls below its least flow of {quantity('flow', item.least)} when "
                f"{item.even:.0%} of the basket is blocked"
            )
            yield Fault(item.unit, found, then)


def flow_below_need(facts: Facts) -> Iterator[Verdict]:
    """Each unit gets what it needs while the basket is clean."""
    for loop in facts.loops:
        run = facts.runs.get(loop.network.name)
        if run is None:
            yield _no_pump(loop)
            continue
        for item in limits(run):
            yield _short(item)


def _short(item: UnitLimit) -> Verdict:
    share = 1.0 - item.clean / item.need
    if item.clean >= MET * item.need:
        return Fine(item.unit)
    is_grave = item.clean < item.least or share > GRAVE
    trips = f"; it gets its least, {quantity('flow', item.least)}"
    if item.clean < item.least:
        trips = f", and less than its least of {quantity('flow', item.least)}: it may trip"
    return Fault(
        item.unit,
        f"with a clean basket it gets {quantity('flow', item.clean)}, {share:.0%} less than its "
        f"need of {quantity('flow', item.need)}",
        f"need by {item.set_by}{trips}",
        "major" if is_grave else None,
    )


def strainer_cleaning(facts: Facts) -> Iterator[Verdict]:
    """The strainer is cleaned as often as the water asks for."""
    interval = facts.case.design.cleaning_interval
    is_warm = facts.case.sea.warmest >= limit("warm_water")
    most = limit("cleaned_warm" if is_warm else "cleaned_cool")
    for strainer in facts.case.strainer:
        if interval is None:
            yield Unknown("the boat", ("boat", "the boat", "cleaning_interval"))
        elif interval <= most * (2.0 - SAME_AREA):
            yield Fine(strainer.name)
        else:
            words = f"it is cleaned every {interval / DAY:.0f} days, and {most / DAY:.0f} are usual"
            yield Fault(strainer.name, f"{words} in {'warm' if is_warm else 'cool'} water")


def suction_vacuum(facts: Facts) -> Iterator[Verdict]:
    """The vacuum at the pump stays small with the strainer as blocked as the design says."""
    share = facts.case.design.blocked_share
    for loop in facts.loops:
        run, place = facts.runs.get(loop.network.name), loop.network.pumps[0]
        gauge = None if run is None else pump_gauge(run.point)
        if gauge is None:
            yield _no_pump(loop)
            continue
        index = int(np.argmin(np.abs(BLOCKED - share)))
        found, least = float(gauge[index]), limit("suction_vacuum")
        words = (
            f"{quantity('pressure', found)} at its inlet with {share:.0%} of the basket blocked; "
            f"{quantity('pressure', least)} is the limit"
        )
        yield Fine(place.name) if found >= least else Fault(place.name, words)


def pump_wire_too_thin(facts: Facts) -> Iterator[Verdict]:
    """The fuse is no larger than what the conductor carries."""
    for pump in facts.case.pump:
        breaker = pump.seen.breaker if pump.seen is not None else None
        conductor = _conductor(facts, pump)
        if breaker is None:
            yield Unknown(pump.name, ("pump", pump.name, "breaker"))
        elif conductor is None:
            yield Unknown(pump.name, ("pump", pump.name, "cable"))
        else:
            rows = conductor_sizes("metric")
            carried = [row["ampacity"] for row in rows if row["area"] <= conductor / SAME_AREA]
            most = float(max(carried, default=0.0))
            words = (
                f"a fuse or breaker of {quantity('current', breaker)} is before a conductor that "
                f"carries {quantity('current', most)}"
            )
            fault = Fault(pump.name, words)
            yield Fine(pump.name) if breaker <= most else fault


def _conductor(facts: Facts, pump: Pump) -> float | None:
    """Return the cross-section of the cable, known too where its length is not [m2]."""
    if pump.cable is not None:
        return pump.cable.conductor
    known: float | None = facts.partial.get(("pump", pump.name, "cable"), {}).get("conductor")
    return known


def pump_volts(facts: Facts) -> Iterator[Verdict]:
    """The drop of the cable is small."""
    for loop in facts.loops:
        for pump in loop.network.pumps:
            if loop.part is None:
                yield _no_pump(loop)
                continue
            supply = supply_of(facts.case, pump, loop.part, 0.0)
            if supply.drop_share is None or supply.voltage_drop is None:
                yield Unknown(pump.name, ("pump", pump.name, "cable"))
            elif supply.drop_share <= limit("supply_drop"):
                yield Fine(pump.name)
            else:
                words = (
                    f"the cable loses {quantity('voltage', supply.voltage_drop)}, "
                    f"{supply.drop_share:.0%}, at {quantity('current', supply.current)}"
                )
                yield Fault(pump.name, words)


def pump_ignition(facts: Facts) -> Iterator[Verdict]:
    """A pump in a petrol space is ignition-protected."""
    for pump in facts.case.pump:
        yield _ignition(facts, pump)


def unit_ignition(facts: Facts) -> Iterator[Verdict]:
    """A unit in a petrol space is ignition-protected."""
    for unit in facts.case.unit:
        yield _ignition(facts, unit)


def _ignition(facts: Facts, thing: Pump | Unit) -> Verdict:
    fuel, seen = facts.boat.fuel, thing.seen
    if fuel is None:
        return Unknown("the boat", ("boat", "the boat", "fuel"))
    inside = None if seen is None else seen.in_petrol_space
    protected = None if seen is None else seen.ignition_protected
    if fuel != "petrol" or inside is False or protected:
        return Fine(thing.name)
    if inside is None:
        return Unknown(thing.name, (thing.table, thing.name, "in_petrol_space"))
    if protected is None:
        return Unknown(thing.name, (thing.table, thing.name, "ignition_protected"))
    return Fault(thing.name, "it stands in a petrol space and is not ignition-protected")


def coil_velocity(facts: Facts) -> Iterator[Verdict]:
    """The water in a coil stays below the speed that its alloy stands."""
    for loop in facts.loops:
        run = facts.runs.get(loop.network.name)
        for coil in loop.loop.coils:
            unit = next(item for item in loop.network.units if item.name == coil.unit)
            if coil.velocity_bore is None:
                yield Unknown(unit.name, ("unit", unit.name, "tube"))
            elif unit.alloy is None:
                yield Unknown(unit.name, ("unit", unit.name, "alloy"))
            elif run is None:
                yield _no_pump(loop)
            else:
                flow = float(run.point.units[coil.unit].volume_flow[0])
                yield _speed(facts, coil, unit.alloy, flow)


def _speed(facts: Facts, coil: Coil, alloy: str, flow: float) -> Verdict:
    name, fastest = facts.case.catalogue.fastest_water(alloy)
    velocity = coil.velocity(flow)
    if velocity is None or fastest is None or velocity <= fastest:
        return Fine(coil.unit)
    most = quantity("velocity", fastest)
    words = f"its water runs at {quantity('velocity', float(velocity))}, and {name} stands {most}"
    return Fault(coil.unit, words)
