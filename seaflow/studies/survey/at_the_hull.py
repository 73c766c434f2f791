"""Rules on openings: seacocks, heeled waterlines, metals, siphons, shared intakes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from seaflow.base.sentence import quantity
from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.things import Intake, Outlet, Seacock
from seaflow.model.geometry import Siphon, siphons
from seaflow.physics.hull.openings import SHARP_EDGE, jet_flow
from seaflow.studies.survey.facts import Facts, LoopFacts, degrees, table_of
from seaflow.studies.survey.in_numbers import cock_words
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

LOW_OUTLET, HIGH_OUTLET = 0.1, 0.2  # m: common practice
Opening: TypeAlias = Intake | Outlet | SkinFitting
COPPER = ("bronze", "dezincification-resistant brass", "plain brass")


def inflow(bore: float, depth: float) -> str:
    """Return in words what an opening lets in if its hose lets go."""
    if depth <= 0.0:
        return ""
    flow, full = float(jet_flow(bore, depth)), float(jet_flow(bore, depth, 1.0))
    return (
        f"if its hose lets go, {quantity('flow', flow)} come in at "
        f"{quantity('height', depth)} of depth (discharge coefficient {SHARP_EDGE:g}; figures in "
        f"print that leave it out give {quantity('flow', full)})"
    )


def seacock_missing(facts: Facts) -> Iterator[Verdict]:
    """An opening that is under water at rest needs a seacock."""
    for _, thing in facts.all_at_sea():
        level, closed = thing.level, facts.is_closed(thing)
        if closed:
            yield Fine(thing.name)
        elif level is None and not isinstance(thing, Intake):
            yield Unknown(thing.name, (thing.table, thing.name, "height"))
        elif isinstance(thing, Intake) or (level is not None and level < 0.0):
            yield _missing(thing, -(level or 0.0), closed)


def _missing(thing: Opening, depth: float, closed: bool | None) -> Verdict:
    if closed is None:
        return Unknown(thing.name, (table_of(thing), thing.name, "seacock"))
    where = f", {quantity('height', depth)} below the waterline" if depth > 0.0 else ""
    return Fault(thing.name, f"no seacock is on it{where}", inflow(thing.bore, depth))


def heeled_opening(facts: Facts) -> Iterator[Verdict]:
    """An opening that heel puts under water needs a seacock, or a line as strong."""
    for loop, thing in facts.all_at_sea():
        if isinstance(thing, Intake) or thing.level is None or thing.level < 0.0:
            continue
        if facts.is_closed(thing) or has_strong_line(thing):
            yield Fine(thing.name)
            continue
        yield _heeled(facts, loop, thing)


def has_strong_line(thing: Opening) -> bool:
    """Return whether the line of an opening is as strong as a seacock would have to be."""
    if isinstance(thing, SkinFitting):
        return bool(thing.strong_line)
    return isinstance(thing, Outlet) and thing.seen is not None and bool(thing.seen.strong_line)


def _heeled(facts: Facts, loop: LoopFacts, outlet: Outlet | SkinFitting) -> Verdict:
    said, deepest, unknown = [], 0.0, False
    for line in facts.waterlines:
        if line.angle is None:
            said.append(f"{line.name} asks for {line.words}: not recorded")
            unknown = True
            continue
        level = facts.lowest(loop, outlet, line.angle)
        if level is None:
            return Unknown(outlet.name, (outlet.table, outlet.name, "starboard"))
        deepest = min(deepest, level)
        place = "below" if level < 0.0 else "above"
        said.append(
            f"{line.name} ({degrees(line.angle)}): {quantity('height', abs(level))} {place} it"
        )
    if deepest < 0.0 and facts.is_closed(outlet) is None:
        return Unknown(outlet.name, (outlet.table, outlet.name, "seacock"))
    if deepest < 0.0:
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
        words = f"it is a {cock.type}: it does not show whether it is open"
        fault = Fault(cock.name, words, cock_words(facts, cock.name))
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
        bores = {outlet.name: outlet.bore for outlet in loop.outlets}
        for item in siphons(loop.loop, facts.working_heel or 0.0):
            yield _siphon(facts, item, bores[item.name])


def _siphon(facts: Facts, item: Siphon, bore: float) -> Verdict:
    outlet = next(one for one in facts.case.outlet if one.name == item.name)
    if item.is_vented or facts.is_closed(outlet):
        return Fine(item.name)
    if item.is_possible and facts.is_closed(outlet) is None:
        return Unknown(item.name, ("outlet", item.name, "seacock"))
    if item.is_possible:
        depth = item.deepest or 0.0
        words = (
            f"it lies {quantity('height', depth)} under water at rest or at the working heel, "
            "with neither vent nor seacock"
        )
        return Fault(item.name, words, inflow(bore, depth))
    if facts.working_heel is None:
        return Unknown("the boat", ("boat", "the boat", "works_to_heel"))
    if item.is_possible is None:
        return Unknown(item.name, ("outlet", item.name, "starboard"))
    return Fine(item.name)


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
