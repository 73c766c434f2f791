"""Rules on slope and lift of the suction line, on lines across a multihull, and on flushing."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.tables.things import Thing
from seaflow.model.geometry import air_traps, legs
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.facts import Facts, LoopFacts, table_of
from seaflow.studies.survey.in_numbers import flow_words
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

IN_A_HULL = 0.5  # m off the centreline: what lies further off is in one hull of a multihull


def suction_flat(facts: Facts) -> Iterator[Verdict]:
    """Every piece of the suction line rises by 20 mm per metre or more."""
    for loop in facts.loops:
        traps = {trap.point for trap in air_traps(loop.loop, loop.pumped, 0.0) if trap.before_pump}
        faults: list[Verdict] = []
        for leg in legs(loop.loop, loop.pumped):
            if not leg.before_pump or traps & {leg.start, leg.end}:
                continue  # crests and dips have a rule of their own
            if leg.run is None or leg.rise is None:
                yield _unplaced(loop)
            elif (
                leg.rise is not None
                and leg.run > 0.0
                and leg.rise / leg.run < limit("suction_slope") - 1e-9
            ):
                words = f"from {leg.start} to {leg.end} it rises {quantity('height', leg.rise)}"
                if leg.rise < 0.0:
                    words = (
                        f"from {leg.start} to {leg.end} it falls {quantity('height', -leg.rise)}"
                    )
                words += f" over {quantity('height', leg.run)}"
                faults.append(Fault(f"{loop.network.name}, suction", words))
        yield from faults or [Fine(loop.network.name)]


def _unplaced(loop: LoopFacts) -> Unknown:
    """Return the first thing before the pump whose place along or across is not recorded."""
    things = [item for item in loop.network.things.values() if loop.before_pump(item.name)]
    for thing in (*things, *loop.network.pumps):
        for key in ("aft", "starboard", "height"):
            if (thing.level if key == "height" else _at(thing, key)) is None:
                return Unknown(thing.name, (table_of(thing), thing.name, key))
    return Unknown(loop.network.name, ("point", f"a point of {loop.network.name}", "height"))


def _at(thing: Thing, key: str) -> float | None:
    found: float | None = None if thing.at is None else getattr(thing.at, key)
    return found


def pump_lift(facts: Facts) -> Iterator[Verdict]:
    """A self-priming pump does not lift far in lasting use."""
    most = limit("lift_most")
    for loop in facts.loops:
        for pump in loop.network.pumps:
            if loop.part is None or not loop.part.self_priming:
                yield Fine(pump.name)
            elif pump.level is None:
                yield Unknown(pump.name, ("pump", pump.name, "height"))
            else:
                words = f"it lifts {quantity('height', pump.level)} from the waterline"
                fault = Fault(pump.name, words, flow_words(facts, loop))
                yield Fine(pump.name) if pump.level <= most else fault


def multihull_crossing(facts: Facts) -> Iterator[Verdict]:
    """No loop of a multihull crosses from one hull to the other."""
    for loop in facts.loops:
        if "multihull" not in facts.case.boat.hull:
            yield Fine(loop.network.name)
            continue
        sides = {item.name: _at(item, "starboard") for item in loop.network.things.values()}
        known = [side for side in sides.values() if side is not None]
        if known and min(known) < -IN_A_HULL and max(known) > IN_A_HULL:
            yield Fault(loop.network.name, "its line crosses from one hull to the other")
            continue
        missing = next((name for name, side in sides.items() if side is None), None)
        if missing is None:
            yield Fine(loop.network.name)
        else:
            table = table_of(loop.network.things[missing])
            yield Unknown(missing, (table, missing, "starboard"))


def no_flushing(facts: Facts) -> Iterator[Verdict]:
    """The loop can be flushed and drained."""
    for loop in facts.loops:
        tees = [item for item in loop.network.things.values() if item.table == "flush_tee"]
        if tees or facts.boat.can_be_flushed:
            yield Fine(loop.network.name)
        elif facts.boat.can_be_flushed is None:
            yield Unknown("the boat", ("boat", "the boat", "can_be_flushed"))
        else:
            yield Fault(loop.network.name, "it can be neither flushed nor drained for the winter")
