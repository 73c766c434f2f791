"""Rules on openings: seacocks, heeled waterlines, metals, siphons, shared intakes."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.tables.things import Intake, Outlet, Seacock
from seaflow.model.geometry import openings
from seaflow.physics.openings import jet_flow
from seaflow.studies.survey.facts import Facts, LoopFacts, degrees, table_of
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

LOW_OUTLET, HIGH_OUTLET = 0.1, 0.2  # m: common practice
COPPER = ("bronze", "dezincification-resistant brass", "plain brass")


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
    for _, thing in facts.things_at_sea():
        cock = facts.cock_on(thing.name)
        parts: list[Intake | Outlet | Seacock] = [thing] if cock is None else [thing, cock]
        materials = {item.name: item.seen.material if item.seen else None for item in parts}
        missing = [item for item in parts if materials[item.name] is None]
        for item in missing:
            yield Unknown(item.name, (table_of(item), item.name, "material"))
        if missing or hull is None:
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
