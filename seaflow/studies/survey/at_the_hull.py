"""Rules on openings: seacocks, heeled waterlines, metals, siphons, shared intakes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.things import Intake, Outlet, Seacock, Thing
from seaflow.model.geometry import immersions, openings
from seaflow.physics.heel import scoop_head
from seaflow.physics.openings import jet_flow
from seaflow.studies.limits import limit
from seaflow.studies.survey.facts import Facts, LoopFacts, degrees
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

KNOT = 1852.0 / 3600.0
LEAST_COVER = 0.15  # m over an intake at heel: common practice 0.15 to 0.2 m, waves add
LOW_OUTLET, HIGH_OUTLET = 0.1, 0.2  # m: common practice
SHARED_AREA, SHARED_DEPTH = 1.1, 0.6  # times, m: one textbook, as quoted in the trade
COPPER = ("bronze", "dezincification-resistant brass", "plain brass")


def table_of(thing: Thing) -> str:
    """Return the name by which the facts of a thing are asked for."""
    return "intake" if isinstance(thing, Intake) else thing.table


def inflow(bore: float, depth: float) -> str:
    """Return in words what an opening lets in if its hose lets go."""
    if depth <= 0.0:
        return ""
    flow, full = float(jet_flow(bore, depth)), float(jet_flow(bore, depth, 1.0))
    return (
        f"if its hose lets go, {quantity('flow', flow)} come in at "
        f"{quantity('height', depth)} of depth (discharge coefficient 0.61; figures in print "
        f"that leave it out give {quantity('flow', full)})"
    )


def seacock_missing(facts: Facts) -> Iterator[Verdict]:
    """An opening that is under water at rest needs a seacock."""
    for _, thing in facts.things_at_sea():
        level = thing.level
        if facts.cock_on(thing.name) is not None:
            yield Fine(thing.name)
        elif level is None and isinstance(thing, Outlet):
            yield Unknown(thing.name, ("outlet", thing.name, "height"))
        elif isinstance(thing, Intake) or (level is not None and level < 0.0):
            where = "" if level is None else f", {quantity('height', -level)} below the waterline"
            yield Fault(
                thing.name, f"no seacock is on it{where}", inflow(thing.bore, -(level or 0.0))
            )


def heeled_opening(facts: Facts) -> Iterator[Verdict]:
    """An outlet that heel puts under water needs a seacock, or a line as strong."""
    for loop, thing in facts.things_at_sea():
        if isinstance(thing, Intake) or thing.level is None or thing.level < 0.0:
            continue
        if facts.cock_on(thing.name) is not None:
            yield Fine(thing.name)
            continue
        yield _heeled(facts, loop, thing)


def _heeled(facts: Facts, loop: LoopFacts, outlet: Outlet) -> Verdict:
    said, deepest, unknown = [], 0.0, False
    for line in facts.waterlines:
        if line.angle is None:
            said.append(f"{line.name} asks for {line.words}: not recorded")
            unknown = True
            continue
        level = facts.lowest(loop, outlet, line.angle)
        if level is None:
            return Unknown(outlet.name, ("outlet", outlet.name, "starboard"))
        deepest = min(deepest, level)
        place = "below" if level < 0.0 else "above"
        said.append(
            f"{line.name} ({degrees(line.angle)}): {quantity('height', abs(level))} {place} it"
        )
    if deepest < 0.0 and (outlet.seen is None or not outlet.seen.strong_line):
        found = "it goes under the heeled waterline and has no seacock: " + "; ".join(said)
        return Fault(outlet.name, found, "so heeled, " + inflow(outlet.bore, -deepest))
    if unknown:
        return Unknown("the boat", ("boat", "the boat", "freeboard"))
    return Fine(outlet.name)


def _cocks(facts: Facts) -> Iterator[tuple[Seacock, bool, bool]]:
    """Yield each seacock, and whether its kind carries load and is turned by a lever."""
    for cock in facts.case.seacock:
        _, row = facts.case.catalogue.find("seacocks", cock.type)
        if cock.type not in ("none", "no valve"):
            yield cock, bool(row["seacock"]), bool(row["quarter_turn"])


def _kind_unknown(facts: Facts, cock: Seacock) -> Unknown | None:
    if ("seacock", cock.row, "type") in facts.case.text.where or not facts.case.text.lines:
        return None
    return Unknown(cock.name, ("seacock", cock.name, "type"))


def gate_valve(facts: Facts) -> Iterator[Verdict]:
    """A valve at the hull is turned by a lever."""
    for cock, _, lever in _cocks(facts):
        fault = Fault(cock.name, f"it is a {cock.type}: it does not show whether it is open")
        yield _kind_unknown(facts, cock) or (Fine(cock.name) if lever else fault)


def in_line_valve(facts: Facts) -> Iterator[Verdict]:
    """A valve on a through-hull is made to carry load."""
    for cock, carries, lever in _cocks(facts):
        fault = Fault(cock.name, f"it is an {cock.type} on a through-hull")
        is_fine = carries or not lever  # a gate valve has a rule of its own
        yield _kind_unknown(facts, cock) or (Fine(cock.name) if is_fine else fault)


def metal_pair(facts: Facts) -> Iterator[Verdict]:
    """Metals in one seawater go together."""
    hull = facts.boat.hull_material
    if hull is None:
        yield Unknown("the boat", ("boat", "the boat", "hull_material"))
        return
    for _, thing in facts.things_at_sea():
        cock = facts.cock_on(thing.name)
        parts: list[Intake | Outlet | Seacock] = [thing] if cock is None else [thing, cock]
        materials = {item.name: item.seen.material if item.seen else None for item in parts}
        missing = next((item for item in parts if materials[item.name] is None), None)
        if missing is not None:
            yield Unknown(missing.name, (table_of(missing), missing.name, "material"))
            continue
        groups = {_group(material or "") for material in materials.values()}
        if hull in ("aluminium", "steel"):
            groups.add(hull)
        groups.discard("plastic")
        named = " and ".join(f"{name} of {kind}" for name, kind in materials.items())
        fault = Fault(thing.name, f"{named} in a hull of {hull}")
        yield fault if len(groups) > 1 else Fine(thing.name)


def _group(material: str) -> str:
    if material in COPPER:
        return "copper alloy"
    return "plastic" if "plastic" in material else material


def siphon_back(facts: Facts) -> Iterator[Verdict]:
    """An outlet that goes under lets the sea siphon back into an opened hose."""
    for loop in facts.loops:
        for outlet in loop.outlets:
            yield from _siphon(facts, loop, outlet)


def _siphon(facts: Facts, loop: LoopFacts, outlet: Outlet) -> Iterator[Verdict]:
    link = loop.loop.links[loop.loop.link_of(outlet.name)]
    vented = any(element.name in loop.loop.vented for element in link.elements)
    if vented or facts.cock_on(outlet.name) is not None:
        yield Fine(outlet.name)
        return
    level, heel = outlet.level, facts.working_heel
    if level is not None and level >= 0.0:
        if heel is None:
            yield Unknown("the boat", ("boat", "the boat", "works_to_heel"))
            return
        level = facts.lowest(loop, outlet, heel)
    if level is None:
        yield Unknown(outlet.name, ("outlet", outlet.name, "starboard"))
    elif level < 0.0:
        yield Fault(
            outlet.name,
            f"it lies {quantity('height', -level)} under water at rest or at the working heel, "
            "with neither vent nor seacock",
            inflow(outlet.bore, -level),
        )
    else:
        yield Fine(outlet.name)


def outlet_height(facts: Facts) -> Iterator[Verdict]:
    """An outlet lies just above the loaded waterline."""
    for loop in facts.loops:
        for outlet in loop.outlets:
            level = outlet.level
            if level is None:
                yield Unknown(outlet.name, ("outlet", outlet.name, "height"))
            elif LOW_OUTLET - 1e-9 <= level <= HIGH_OUTLET + 1e-9:
                yield Fine(outlet.name)
            elif level < 0.0:
                yield Fault(outlet.name, f"it lies {quantity('height', -level)} under water")
            else:
                words = f"it lies {quantity('height', level)} above the waterline"
                more = f"it costs {quantity('height', level - HIGH_OUTLET)} more head"
                high = level > HIGH_OUTLET
                yield Fault(outlet.name, words, more if high else "", "advisory" if high else None)


def scoop_aft(facts: Facts) -> Iterator[Verdict]:
    """A scoop faces forward."""
    for intake in facts.case.intakes:
        _, row = facts.case.catalogue.find("entries", intake.entry)
        if row["faces"] != "aft":
            yield Fine(intake.name)
            continue
        lost = -float(scoop_head(6.0 * KNOT, float(row["recovery"])))
        yield Fault(
            intake.name,
            "its scoop faces aft",
            f"at 6 knots it takes about {quantity('head', lost)} of head from the pump",
        )


def shared_area(facts: Facts) -> Iterator[Verdict]:
    """A shared opening is larger than all that draws from it."""
    for loop in facts.loops:
        for intake in loop.intakes:
            if not intake.also_feeds:
                continue
            bores = [user.bore for user in intake.also_feeds]
            bores += [hose.bore for hose in loop.network.leaving(intake.name)]
            known = [bore for bore in bores if bore is not None]
            if len(known) < len(bores):
                yield Unknown(intake.name, ("intake", intake.name, "also_feeds"))
                continue
            ratio = intake.bore**2 / sum(bore**2 for bore in known)
            fault = Fault(
                intake.name, f"its area is {ratio:.2f} times that of all hoses that draw from it"
            )
            yield Fine(intake.name) if ratio >= SHARED_AREA else fault


def shared_depth(facts: Facts) -> Iterator[Verdict]:
    """A shared opening lies deep."""
    for intake in facts.case.intakes:
        if not intake.also_feeds:
            continue
        if intake.level is None:
            yield Unknown(intake.name, ("intake", intake.name, "height"))
        elif -intake.level >= SHARED_DEPTH:
            yield Fine(intake.name)
        else:
            words = f"it is shared and lies only {quantity('height', -intake.level)} deep"
            yield Fault(intake.name, words)


def shared_engine(facts: Facts) -> Iterator[Verdict]:
    """The engine does not share the intake of the cooling."""
    for intake in facts.case.intakes:
        if any("engine" in user.name.lower() for user in intake.also_feeds):
            only = facts.boat.only_engine_shares
            words = "the only engine draws from it too" if only else "an engine draws from it too"
            yield Fault(intake.name, words, severity="critical" if only else None)
        else:
            yield Fine(intake.name)


def intake_emerges(facts: Facts) -> Iterator[Verdict]:
    """An intake stays under water at the working heel."""
    heel = facts.working_heel
    if heel is None:
        yield Unknown("the boat", ("boat", "the boat", "works_to_heel"))
        return
    for loop in facts.loops:
        for item in immersions(loop.loop, heel):
            if item.upright is None:
                yield Unknown(item.name, ("intake", item.name, "height"))
            elif item.at_heel is None or item.emerges is None:
                yield Unknown(item.name, ("intake", item.name, "starboard"))
            elif min(item.at_heel) >= LEAST_COVER:
                yield Fine(item.name)
            else:
                left = min(item.at_heel)
                angles = [angle for angle in item.emerges if angle is not None]
                place = "under" if left > 0.0 else "out of the"
                yield Fault(
                    item.name,
                    f"at {degrees(heel)} it is {quantity('height', abs(left))} {place} water on one "
                    f"tack; at rest it is {quantity('height', item.upright)} under",
                    f"it comes out of the water at {math.degrees(min(angles)):.0f} degrees"
                    if angles
                    else "",
                    None if left <= 0.0 else "minor",
                )


def outlet_near_intake(facts: Facts) -> Iterator[Verdict]:
    """The outlet lies away from the intake, so that warm water is not drawn in again."""
    for loop in facts.loops:
        for outlet in loop.outlets:
            for intake in loop.intakes:
                yield _apart(intake, outlet)


def _apart(intake: Intake, outlet: Outlet) -> Verdict:
    places = []
    for thing in (intake, outlet):
        at = thing.at
        if at is None or at.aft is None or at.starboard is None or at.height is None:
            return Unknown(thing.name, (table_of(thing), thing.name, "aft"))
        places.append((at.aft, at.starboard, at.height))
    distance = float(np.linalg.norm(np.subtract(*places)))
    if distance >= limit("outlet_distance"):
        return Fine(outlet.name)
    words = f"it lies {quantity('length', distance)} from the intake"
    return Fault(outlet.name, words)


def bilge_pump_too_small(facts: Facts) -> Iterator[Verdict]:
    """The bilge pumps against the largest opening below the waterline."""
    pumps = facts.boat.bilge_pump
    found = [item for loop in facts.loops for item in openings(loop.loop)]
    capacities = [pump.capacity for pump in pumps if pump.capacity is not None]
    if not pumps or len(capacities) < len(pumps):
        yield Unknown("the boat", ("boat", "the boat", "bilge_pump"))
        return
    if not found:
        return
    worst, capacity = max(found, key=lambda item: item.flow), sum(capacities)
    left = worst.flow - capacity
    if left <= 0.0:
        yield Fine("the boat")
        return
    volume = facts.boat.floodable_volume
    time = "" if volume is None else f": {volume:.3g} m3 fill in {volume / left / 60.0:.0f} minutes"
    yield Fault(
        "the boat",
        f'the bilge pumps deliver {quantity("flow", capacity)} and "{worst.name}" can let in '
        f"{quantity('flow', worst.flow)} (discharge coefficient 0.61)",
        f"{quantity('flow', left)} stay in the boat{time}",
    )


def bilge_pump_not_automatic(facts: Facts) -> Iterator[Verdict]:
    """A bilge pump starts by itself."""
    known = [pump.automatic for pump in facts.boat.bilge_pump]
    if any(known):
        yield Fine("the boat")
    elif not known or None in known:
        yield Unknown("the boat", ("boat", "the boat", "bilge_pump"))
    else:
        yield Fault("the boat", "no bilge pump of that compartment starts by itself")
