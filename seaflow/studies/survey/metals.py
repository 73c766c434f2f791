"""Rules on what fittings at the sea are made of, alone and beside each other, and on cracks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

from seaflow.base.facts import Fact, fact
from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.things import Intake, Outlet
from seaflow.studies.survey.evidence import Evidence, SurveyedLoop, boat_lacks, hose_table, table_of
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.severity import NEXT

COPPER = ("bronze", "dezincification-resistant brass", "plain brass")
WEAK = ("plain brass", "plain plastic")
STAINLESS = "stainless steel"
CONDUCTS = ("aluminium", "steel")  # hulls that are one of the metals themselves
Beside: TypeAlias = Outlet | SkinFitting
Part = tuple[str, str, str, str | None]  # table, thing, key and, where recorded, the material


def outlet_metal(evidence: Evidence) -> Iterator[Verdict]:
    """An outlet that is or goes under water is of a material that an intake may have."""

    def found(outlet: Beside) -> Fact | None:
        material = None if outlet.seen is None else outlet.seen.material
        return fact("survey.of_weak_material", material=material) if material in WEAK else None

    return _under_water(evidence, "material", found)


def outlet_pink(evidence: Evidence) -> Iterator[Verdict]:
    """An outlet that is or goes under water shows no pink patches."""

    def found(outlet: Beside) -> Fact | None:
        pink = outlet.seen is not None and outlet.seen.pink_patches
        return fact("survey.pink_patches") if pink else None

    return _under_water(evidence, "pink_patches", found)


def _under_water(
    evidence: Evidence, key: str, found: Callable[[Beside], Fact | None]
) -> Iterator[Verdict]:
    for loop, outlet in _outward(evidence):
        if evidence.may_go_under(loop, outlet) is False:
            yield Kept(outlet.name)  # nothing stands before it that could come in
        elif outlet.seen is None or getattr(outlet.seen, key) is None:
            yield Unknown(outlet.table, outlet.name, key)
        else:
            yield _at_outlet(outlet, found(outlet))


def _outward(evidence: Evidence) -> Iterator[tuple[SurveyedLoop, Beside]]:
    """Yield outlets, and other openings of which somebody looked at more than the valve."""
    for loop, thing in evidence.all_at_sea():
        if isinstance(thing, Outlet) or (isinstance(thing, SkinFitting) and thing.seen):
            yield loop, thing


def _at_outlet(outlet: Beside, found: Fact | None) -> Verdict:
    """Return the verdict on an outlet: lighter where only heel or trim puts it under."""
    if found is None:
        return Kept(outlet.name)
    at_rest = outlet.level is not None and outlet.level < 0.0
    return Breach(outlet.name, found, near=None if at_rest else NEXT)


def outlet_cracked(evidence: Evidence) -> Iterator[Verdict]:
    """An outlet, of whatever material, is whole."""
    for _, outlet in _outward(evidence):
        cracked = None if outlet.seen is None else outlet.seen.cracked
        if cracked is None:
            yield Unknown(outlet.table, outlet.name, "cracked")
        else:
            yield _at_outlet(outlet, fact("survey.cracked") if cracked else None)


def metal_pair(evidence: Evidence) -> Iterator[Verdict]:
    """Metals in one seawater go together, and none of them is stainless steel left without air."""
    hull = evidence.boat.hull_material
    if hull is None:
        yield boat_lacks("hull_material")
    for loop, thing in evidence.things_at_sea():
        parts = tuple(_parts(evidence, loop, thing))
        found = _found(parts, hull, always=thing.level is None or thing.level < 0.0)
        missing = [Unknown(*part[:3]) for part in parts if part[3] is None]
        if found is not None:
            yield Breach(thing.name, found)
        elif not missing and hull is not None:
            yield Kept(thing.name)
        yield from missing


def _parts(evidence: Evidence, loop: SurveyedLoop, thing: Intake | Outlet) -> Iterator[Part]:
    """Yield what touches at an opening: fitting, seacock with its tail, or else barbs of hoses."""
    yield (table_of(thing), thing.name, "material", thing.seen.material if thing.seen else None)
    cock = evidence.cock_on(thing.name)
    if cock is not None:
        seen = cock.seen
        yield ("seacock", cock.name, "material", seen.material if seen else None)
        yield ("seacock", cock.name, "tail_material", seen.tail_material if seen else None)
    if cock is not None or evidence.may_go_under(loop, thing) is False:
        return
    for hose in loop.network.hoses:
        if thing.name in (evidence.carrier(hose.from_), evidence.carrier(hose.to)):
            material = None if hose.seen is None else hose.seen.barb_material
            yield ("hose", hose.label, "barb_material", material)


def _found(parts: tuple[Part, ...], hull: str | None, always: bool) -> Fact | None:
    """Return what is wrong with the materials of an opening as far as they are recorded."""
    known = [part for part in parts if part[3] is not None]
    groups = {_group(part[3] or "") for part in known} | ({hull} & set(CONDUCTS))
    groups.discard("plastic")
    named = tuple(_made_of(*part) for part in known)
    if len(groups) > 1:
        if hull is None:
            return fact("survey.metals_alone", parts=named)
        return fact("survey.metals", parts=named, hull=hull)
    if groups == {STAINLESS} and always:
        return fact("survey.starved_of_air", parts=named)
    return None


def _made_of(table: str, thing: str, key: str, material: str | None) -> Fact:
    told = {"name": thing, "material": material}
    if key == "tail_material":
        return fact("survey.tail_of", **told)
    return fact("survey.barb_of", **told) if table == "hose" else fact("survey.made_of", **told)


def _group(material: str) -> str:
    if material in COPPER:
        return "copper alloy"
    return "plastic" if "plastic" in material else material


def barb_metal(evidence: Evidence) -> Iterator[Verdict]:
    """The barbs of a hose that floods are of a material that lasts under water."""
    for hose in evidence.hoses:
        if evidence.floods(hose) is False:
            continue
        material = None if hose.seen is None else hose.seen.barb_material
        if material is None:
            yield Unknown(hose_table(hose), hose.label, "barb_material")
        elif material in WEAK:
            yield Breach(hose.label, fact("survey.barb_of_weak", material=material))
        else:
            yield Kept(hose.label)


RULES = (outlet_metal, outlet_pink, outlet_cracked, metal_pair, barb_metal)
