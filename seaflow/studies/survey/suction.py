"""Rules on the suction side: crests, slope, length and hose of its line, and the pump's depth."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.bores import is_wider
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.things import Hose, Pump, Thing
from seaflow.model.geometry import AirTrap, Leg, air_traps, legs
from seaflow.model.heights import TACKS
from seaflow.studies.design.kinds import STARVED
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import Evidence, SurveyedLoop, distance, table_of
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict, with_ruling
from seaflow.studies.survey.severity import NEXT

LONGEST_SUCTION = 1.5  # m of hose: about 0.6 m from seacock to strainer and on to the pump
GOOD_LABELS = ("wet exhaust", "seawater suction")
AT_REST = "at rest"
CHECK_VALVE = "swing check"  # method of its row of fittings
SIDES = dict(zip(TACKS, ("starboard", "port"), strict=True))


def suction_of(loop: SurveyedLoop) -> str:
    return f"{loop.name}, suction"


def _before_pump(loop: SurveyedLoop) -> tuple[Thing, ...]:
    things = loop.network.things.values()
    return (*(item for item in things if loop.before_pump(item.name)), *loop.network.pumps)


def lacking(loop: SurveyedLoop, *keys: str) -> Unknown | None:
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
                yield lacking(loop, "aft", "starboard", "height") or nowhere
            elif leg.run > 0.0 and leg.rise / leg.run < limit("suction_slope") - 1e-9:
                flat.append(Breach(suction_of(loop), _slope(leg, leg.rise, leg.run)))
        yield from flat or [Kept(loop.name)]


def _slope(leg: Leg, rise: float, run: float) -> Fact:
    ends = {"start": leg.start, "end": leg.end, "run": amount("height", run)}
    if rise < 0.0:
        return fact("survey.falls", fall=amount("height", -rise), **ends)
    return fact("survey.rises_little", rise=amount("height", rise), **ends)


def suction_check_valve(evidence: Evidence) -> Iterator[Verdict]:
    """No check valve is in the suction line."""
    for loop in evidence.loops:
        valves = [item.name for item in evidence.case.check_valve if loop.before_pump(item.name)]
        valves += [hose.label for hose in _suction_hoses(loop) if _has_check_valve(evidence, hose)]
        for name in valves:
            yield Breach(name, fact("survey.check_valve"))
        if not valves:
            yield Kept(loop.name)


def _has_check_valve(evidence: Evidence, hose: Hose) -> bool:
    rows = (evidence.case.catalogue.find("fittings", name)[1] for name in hose.fittings)
    return any(row.get("method") == CHECK_VALVE for row in rows)


def _suction_hoses(loop: SurveyedLoop) -> Iterator[Hose]:
    return (hose for hose in loop.network.hoses if loop.is_suction(hose))


def suction_long(evidence: Evidence) -> Iterator[Verdict]:
    """Intake, strainer and pump lie close together."""
    for loop in evidence.loops:
        length = sum(hose.length for hose in _suction_hoses(loop))
        found = fact("survey.suction_long", length=amount("length", length))
        good = length <= LONGEST_SUCTION + 1e-9
        yield Kept(loop.name) if good else Breach(suction_of(loop), found)


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
            elif not is_wider(port, hose.bore):
                yield Kept(hose.label)
            else:
                bores = {"hose": amount("bore", hose.bore), "port": amount("bore", port)}
                yield Breach(hose.label, fact("survey.narrow_at_port", **bores))


def suction_vacuum(evidence: Evidence) -> Iterator[Verdict]:
    """The suction does not starve the pump in any worst case, as `size` judges it."""
    for loop in evidence.loops:
        if loop.judged is None:
            yield loop.no_pump
        else:
            found = with_ruling((), loop.held(STARVED), loop.pump, NEXT)
            yield from [*found] or [Kept(loop.pump)]


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


OF_A_LOOP = (
    suction_flat,
    suction_check_valve,
    suction_long,
    suction_narrow,
    suction_vacuum,
    hose_collapses,
)
RULES = OF_A_LOOP
