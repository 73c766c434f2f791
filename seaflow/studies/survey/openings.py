"""Rules on openings of the hull: seacocks, heeled waterlines, siphons, and bilge pumps.

A multihull's bilge pumps are judged hull by hull.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TypeAlias

from seaflow.base.bores import is_wider
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.recorded_hull import ENGINE_EXHAUST, SkinFitting
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.boat.tables.things import Intake, Outlet, Seacock
from seaflow.model import geometry
from seaflow.model.geometry import Siphon, siphons
from seaflow.physics.hull.openings import jet_flow
from seaflow.studies.survey.evidence import (
    NO_COCK,
    THE_BOAT,
    Evidence,
    SurveyedLoop,
    boat_lacks,
    table_of,
)
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.running import cock_loss
from seaflow.studies.survey.severity import ALONE, LATER, NEXT
from seaflow.studies.survey.waterlines import Waterline

LOW_OUTLET, HIGH_OUTLET = 0.1, 0.2  # m: common practice
Opening: TypeAlias = Intake | Outlet | SkinFitting
PORT, STARBOARD = "port", "starboard"


def inflow(bore: float, depth: float) -> tuple[Fact, ...]:
    """Return what an opening lets in if its hose fails; nothing where it is not under water."""
    if depth <= 0.0:
        return ()
    return (
        fact(
            "survey.inflow",
            depth=amount("height", depth),
            least=amount("flow", float(jet_flow(bore, depth))),
            most=amount("flow", float(jet_flow(bore, depth, 1.0))),
        ),
    )


def seacock_missing(evidence: Evidence) -> Iterator[Verdict]:
    """An opening that is under water at rest needs a seacock."""
    for _, thing in evidence.all_at_sea():
        level, closed = thing.level, evidence.is_closed(thing)
        if closed or is_exhaust(thing):
            yield Kept(thing.name)
        elif level is None and not isinstance(thing, Intake):
            yield Unknown(thing.table, thing.name, "height")
        elif isinstance(thing, Intake) or (level is not None and level < 0.0):
            yield _missing(thing, -(level or 0.0), closed)


def _missing(thing: Opening, depth: float, closed: bool | None) -> Verdict:
    if closed is None:
        return Unknown(table_of(thing), thing.name, "seacock")
    found = fact("survey.no_seacock")
    if depth > 0.0:
        found = fact("survey.no_seacock_under_water", depth=amount("height", depth))
    return Breach(thing.name, found, inflow(thing.bore, depth))


def heeled_opening(evidence: Evidence) -> Iterator[Verdict]:
    """An opening that heel puts under water needs a seacock, or a line as strong."""
    for loop, thing in evidence.all_at_sea():
        if isinstance(thing, Intake) or thing.level is None or thing.level < 0.0:
            continue
        if evidence.is_closed(thing) or has_strong_line(thing) or is_exhaust(thing):
            yield Kept(thing.name)
        else:
            yield _heeled(evidence, loop, thing)


def has_strong_line(thing: Opening) -> bool:
    """Return whether the line of an opening is as strong as a seacock would have to be."""
    if isinstance(thing, SkinFitting):
        return bool(thing.strong_line)
    return isinstance(thing, Outlet) and thing.seen is not None and bool(thing.seen.strong_line)


def is_exhaust(thing: Opening) -> bool:
    """Return whether an opening is that of an engine's exhaust, which has a rule of its own."""
    return isinstance(thing, SkinFitting) and thing.use == ENGINE_EXHAUST


def engine_exhaust(evidence: Evidence) -> Iterator[Verdict]:
    """An engine's exhaust that is or goes under water has a strong line, or can be shut."""
    for item in evidence.case.skin_fitting:
        if not is_exhaust(item):
            continue
        under = evidence.may_go_under(evidence.loops[0], item)
        if under is False or item.strong_line or item.seacock:
            yield Kept(item.name)
        elif item.strong_line is None:
            yield Unknown(item.table, item.name, "strong_line")
        elif under is None:
            yield Unknown(item.table, item.name, "height" if item.level is None else "starboard")
        else:
            depth = max(0.0, -(item.level or 0.0))
            near = None if depth > 0.0 else LATER
            weak = fact("survey.weak_exhaust")
            yield Breach(item.name, weak, inflow(item.bore, depth), near)


def _heeled(evidence: Evidence, loop: SurveyedLoop, outlet: Outlet | SkinFitting) -> Verdict:
    told, deepest = [], 0.0
    for line in evidence.waterlines:
        level = None if line.angle is None else evidence.lowest(loop, outlet, line.angle)
        if level is None and line.angle is not None:
            return Unknown(outlet.table, outlet.name, "starboard")
        told.append(_against_waterline(line, level))
        deepest = min(deepest, level or 0.0)
    if deepest < 0.0 and evidence.is_closed(outlet) is None:
        return Unknown(outlet.table, outlet.name, "seacock")
    if deepest < 0.0:
        numbers = (*told, *inflow(outlet.bore, -deepest))
        return Breach(outlet.name, fact("survey.goes_under_heeled"), numbers)
    if any(line.angle is None for line in evidence.waterlines):
        return boat_lacks("freeboard")
    return Kept(outlet.name)


def _against_waterline(line: Waterline, level: float | None) -> Fact:
    if line.angle is None or level is None:
        return fact("survey.waterline_not_recorded", name=line.name, asks=line.asks)
    angle, off = amount("angle", line.angle), amount("height", abs(level))
    if level < 0.0:
        return fact("survey.under_at_waterline", name=line.name, angle=angle, depth=off)
    return fact("survey.dry_at_waterline", name=line.name, angle=angle, height=off)


def _cocks(evidence: Evidence) -> Iterator[tuple[Seacock, bool, bool]]:
    """Yield each seacock, and whether its kind carries load and is turned by a lever."""
    for cock in evidence.case.seacock:
        _, row = evidence.case.catalogue.find("seacocks", cock.type)
        if cock.type not in NO_COCK:
            yield cock, bool(row["seacock"]), bool(row["quarter_turn"])


def _type_unknown(evidence: Evidence, cock: Seacock) -> Unknown | None:
    text = evidence.case.text
    if ("seacock", cock.row, "type") in text.where or not text.lines:
        return None
    return Unknown("seacock", cock.name, "type")


def gate_valve(evidence: Evidence) -> Iterator[Verdict]:
    """A valve at the hull is turned by a lever."""
    for cock, _, lever in _cocks(evidence):
        costs = [item for one in evidence.loops for item in cock_loss(one.loop, one.run, cock.name)]
        breach = Breach(cock.name, fact("survey.no_lever", type=cock.type), tuple(costs))
        yield _type_unknown(evidence, cock) or (Kept(cock.name) if lever else breach)


def in_line_valve(evidence: Evidence) -> Iterator[Verdict]:
    """A valve on a through-hull is made to carry load."""
    for cock, carries, lever in _cocks(evidence):
        breach = Breach(cock.name, fact("survey.carries_no_load", type=cock.type))
        keeps = carries or not lever  # a gate valve has a rule of its own
        yield _type_unknown(evidence, cock) or (Kept(cock.name) if keeps else breach)


def seacock_narrow(evidence: Evidence) -> Iterator[Verdict]:
    """A seacock is as wide as the intake that it sits on."""
    bores = {intake.name: intake.bore for intake in evidence.case.intakes}
    for cock, _, _ in _cocks(evidence):
        intake = bores.get(cock.on)
        if intake is None or not is_wider(intake, cock.bore):
            yield Kept(cock.name)
        else:
            wide = {"bore": amount("bore", cock.bore), "intake": amount("bore", intake)}
            yield Breach(cock.name, fact("survey.seacock_narrow", **wide))


def siphon_back(evidence: Evidence) -> Iterator[Verdict]:
    """An outlet that goes under lets the sea siphon back into an opened hose."""
    for loop in evidence.loops:
        outlets = {outlet.name: outlet for outlet in loop.outlets}
        for item in siphons(loop.loop, evidence.working_heel or 0.0):
            yield _siphon(evidence, item, outlets[item.name])


def _siphon(evidence: Evidence, item: Siphon, outlet: Outlet) -> Verdict:
    closed = evidence.is_closed(outlet)
    if item.is_vented or closed:
        return Kept(item.name)
    if item.is_possible and closed is None:
        return Unknown("outlet", item.name, "seacock")
    if item.is_possible:
        depth = item.deepest or 0.0
        found = fact("survey.siphons_back", depth=amount("height", depth))
        return Breach(item.name, found, inflow(outlet.bore, depth))
    if evidence.working_heel is None:
        return boat_lacks("works_to_heel")
    if item.is_possible is None:
        return Unknown("outlet", item.name, "starboard")
    return Kept(item.name)


def outlet_height(evidence: Evidence) -> Iterator[Verdict]:
    """An outlet lies just above the loaded waterline."""
    for loop in evidence.loops:
        for outlet in loop.outlets:
            level = outlet.level
            if level is None:
                yield Unknown("outlet", outlet.name, "height")
            elif level < 0.0:
                found = fact("survey.outlet_under_water", depth=amount("height", -level))
                yield Breach(outlet.name, found)
            elif level < LOW_OUTLET - 1e-9:
                yield Breach(outlet.name, fact("survey.outlet_low", height=amount("height", level)))
            elif level > HIGH_OUTLET + 1e-9 and _may_be_lowered(evidence, loop, outlet):
                found = fact("survey.outlet_high", height=amount("height", level))
                more = fact("survey.costs_head", head=amount("height", level - HIGH_OUTLET))
                yield Breach(outlet.name, found, (more,), ALONE)
            else:
                yield Kept(outlet.name)


def _may_be_lowered(evidence: Evidence, loop: SurveyedLoop, outlet: Outlet) -> bool:
    """Return whether an outlet could lie lower and stay dry as she works, or can be shut.

    What is not known of its heights advises nothing.
    """
    if evidence.is_closed(outlet) or has_strong_line(outlet):
        return True
    place = None if outlet.at is None else replace(outlet.at, height=HIGH_OUTLET)
    lower = replace(outlet, at=place, height=HIGH_OUTLET)
    return evidence.may_go_under(loop, lower) is False


def bilge_pump_too_small(evidence: Evidence) -> Iterator[Verdict]:
    """The bilge pumps keep up with the largest opening below the waterline, in each hull."""
    pumps, found = evidence.boat.bilge_pump, evidence.openings()
    for _, thing in evidence.all_at_sea():
        if thing.level is None:
            yield Unknown(table_of(thing), thing.name, "height")
    if not pumps or any(pump.capacity is None for pump in pumps):
        yield boat_lacks("bilge_pump")
    elif "multihull" not in evidence.case.boat.hull:
        yield from _against(evidence, THE_BOAT, found, pumps)
    elif any(pump.hull is None for pump in pumps):
        yield boat_lacks("bilge_pump")  # a pump of one hull does not empty the other
    else:
        sides = _sides(evidence)
        for _, thing in evidence.all_at_sea():
            if thing.name not in sides:
                yield Unknown(table_of(thing), thing.name, "starboard")
        for side in (PORT, STARBOARD):
            there = tuple(item for item in found if sides.get(item.name) == side)
            yield from _against(evidence, f"the {side} hull", there, _of_hull(pumps, side))


def _of_hull(pumps: tuple[BilgePump, ...], side: str) -> tuple[BilgePump, ...]:
    return tuple(pump for pump in pumps if pump.hull == side)


def _sides(evidence: Evidence) -> dict[str, str]:
    """Return in which hull each opening lies, as far as its side is recorded."""
    return {
        thing.name: STARBOARD if thing.at.starboard > 0.0 else PORT
        for _, thing in evidence.all_at_sea()
        if thing.at is not None and thing.at.starboard is not None
    }


def _against(
    evidence: Evidence,
    where: str,
    found: tuple[geometry.Opening, ...],
    pumps: tuple[BilgePump, ...],
) -> Iterator[Verdict]:
    """Yield the verdict on the pumps of one hull against its largest opening."""
    if not found:
        return
    if not pumps:
        yield boat_lacks("bilge_pump")  # those of the other hull do not say that she has none
        return
    worst = max(found, key=lambda item: item.flow)
    capacity = sum(pump.capacity or 0.0 for pump in pumps)
    left = worst.flow_at_one - capacity
    if left <= 0.0:
        yield Kept(where)
        return
    comes_in = {"least": amount("flow", worst.flow), "most": amount("flow", worst.flow_at_one)}
    told = fact("survey.no_bilge_pump", opening=worst.name, **comes_in)
    if capacity > 0.0:
        pumped = amount("flow", capacity)
        told = fact("survey.bilge_pumps", capacity=pumped, opening=worst.name, **comes_in)
    numbers = [_stays(worst.flow - capacity, left)]
    volume = evidence.boat.floodable_volume
    if volume is not None:
        minutes = volume / left / 60.0
        numbers.append(fact("survey.fills", volume=amount("volume", volume), minutes=minutes))
    unmet = is_noticed(evidence.boat.bilge_alarm, pumps) is False
    yield Breach(where, told, tuple(numbers), NEXT if unmet else None)


def _stays(least: float, most: float) -> Fact:
    """Return what stays in the boat, between the ends of what print says comes in [m3/s]."""
    if least <= 0.0:
        return fact("survey.may_stay_in_the_boat", most=amount("flow", most))
    return fact("survey.stays_in_the_boat", least=amount("flow", least), most=amount("flow", most))


def is_noticed(alarm: bool | None, pumps: tuple[BilgePump, ...]) -> bool | None:
    """Return whether a flood is noticed and met: an alarm, and a pump that starts by itself.

    None where that is not recorded.
    """
    starts = _starts_by_itself(pumps)
    if alarm is False or starts is False:
        return False
    return True if alarm and starts else None


def _starts_by_itself(pumps: tuple[BilgePump, ...]) -> bool | None:
    """Return whether one of some pumps does so; None where that is not recorded."""
    known = [pump.capacity != 0.0 and pump.automatic for pump in pumps]
    if any(known):
        return True
    return None if not known or None in known else False


def _pumped(evidence: Evidence) -> Iterator[tuple[str, tuple[BilgePump, ...]]]:
    """Yield where the loops' openings lie, hull by hull, with the bilge pumps recorded there."""
    pumps = evidence.boat.bilge_pump
    if "multihull" not in evidence.case.boat.hull:
        yield THE_BOAT, pumps
        return
    sides = _sides(evidence)
    there = {sides.get(thing.name) for _, thing in evidence.things_at_sea()}
    for side in (PORT, STARBOARD):
        if side in there:
            yield f"the {side} hull", _of_hull(pumps, side)


def unattended(evidence: Evidence) -> Iterator[Verdict]:
    """The cooling stands still with nobody aboard, or a flood is noticed and met."""
    runs = evidence.boat.runs_unattended
    if runs is None:
        yield boat_lacks("runs_unattended")
    elif not runs:
        yield Kept(THE_BOAT)
    elif any(is_noticed(evidence.boat.bilge_alarm, own) is False for _, own in _pumped(evidence)):
        yield Breach(THE_BOAT, fact("survey.unattended_unnoticed"), near=NEXT)
    else:
        yield Breach(THE_BOAT, fact("survey.unattended"))


def bilge_pump_not_automatic(evidence: Evidence) -> Iterator[Verdict]:
    """A bilge pump starts by itself, in each hull that a loop is in."""
    for where, pumps in _pumped(evidence):
        starts = _starts_by_itself(pumps)
        if starts is None:
            yield boat_lacks("bilge_pump")
        else:
            yield Kept(where) if starts else Breach(where, fact("survey.no_automatic_pump"))


OF_A_LOOP = (
    siphon_back,
    outlet_height,
)
RULES = (
    *OF_A_LOOP,
    seacock_missing,
    heeled_opening,
    engine_exhaust,
    seacock_narrow,
    gate_valve,
    in_line_valve,
    bilge_pump_too_small,
    bilge_pump_not_automatic,
    unattended,
)
