"""Rules on intakes: scoops, sharing, depth at heel, and what else opens into the sea near them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.bores import is_wider
from seaflow.base.facts import amount, fact
from seaflow.boat.tables.recorded_hull import ENGINE_INTAKE, FOUL, SkinFitting
from seaflow.boat.tables.things import Intake, Outlet, Thing
from seaflow.model.geometry import Immersion, immersions
from seaflow.physics.hull.heel import scoop_head
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import Evidence, boat_lacks, unplaced
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.severity import BOAT, LATER, NEXT, NOW, near_by_size

KNOT = 1852.0 / 3600.0
UNDER_WAY = 6.0  # knots, at which a scoop is told in numbers
LEAST_COVER = 0.15  # m over an intake at heel: common practice 0.15 to 0.2 m, waves add
SHARED_AREA, SHARED_DEPTH = 1.1, 0.6  # times, m: one textbook, as quoted in the trade
IN_STREAM = 0.5  # m off the line of the stream: our assumption, the distance asked for itself
IN_LINE = 0.15, 1.0  # m off that line and m along it: our assumption for "directly in line"


def scoop_aft(evidence: Evidence) -> Iterator[Verdict]:
    """A scoop faces forward."""
    for intake, faces in _faces(evidence):
        if faces is None:
            yield Unknown("intake", intake.name, "entry")
        elif faces != "aft":
            yield Kept(intake.name)
        else:
            _, row = evidence.case.catalogue.find("entries", intake.entry)
            lost = -float(scoop_head(UNDER_WAY * KNOT, float(row["recovery"])))
            takes = fact("survey.scoop_takes", knots=UNDER_WAY, head=amount("head", lost))
            yield Breach(intake.name, fact("survey.scoop_faces_aft"), (takes,))


def through_hull_narrow(evidence: Evidence) -> Iterator[Verdict]:
    """An intake is as wide as the hose that draws through it."""
    for loop in evidence.loops:
        for intake in loop.intakes:
            hoses = (
                item for item in loop.network.hoses if evidence.carrier(item.from_) == intake.name
            )
            widest = max((hose.bore for hose in hoses), default=0.0)
            bores = {"bore": amount("bore", intake.bore), "hose": amount("bore", widest)}
            narrow = Breach(intake.name, fact("survey.through_hull_narrow", **bores))
            yield narrow if is_wider(widest, intake.bore) else Kept(intake.name)


def shared_area(evidence: Evidence) -> Iterator[Verdict]:
    """A shared opening is larger than all that draws from it."""
    for loop in evidence.loops:
        for intake in loop.intakes:
            if not intake.also_feeds:
                continue
            bores = [user.bore for user in intake.also_feeds]
            bores += [hose.bore for hose in loop.network.leaving(intake.name)]
            known = [bore for bore in bores if bore is not None]
            if len(known) < len(bores):
                yield Unknown("intake", intake.name, "also_feeds")
                continue
            ratio = intake.bore**2 / sum(bore**2 for bore in known)
            breach = Breach(intake.name, fact("survey.shared_too_small", ratio=ratio))
            yield Kept(intake.name) if ratio >= SHARED_AREA else breach


def shared_depth(evidence: Evidence) -> Iterator[Verdict]:
    """A shared opening lies deep."""
    for intake in evidence.case.intakes:
        if not intake.also_feeds:
            continue
        if intake.level is None:
            yield Unknown("intake", intake.name, "height")
        elif -intake.level >= SHARED_DEPTH:
            yield Kept(intake.name)
        else:
            high, off = intake.level > 0.0, amount("height", abs(intake.level))
            above = fact("survey.shared_above_water", height=off)
            yield Breach(intake.name, above if high else fact("survey.shared_shallow", depth=off))


def shared_engine(evidence: Evidence) -> Iterator[Verdict]:
    """The engine does not share the intake of the cooling."""
    for intake in evidence.case.intakes:
        if not feeds_engine(intake):
            yield Kept(intake.name)
        elif evidence.boat.only_engine_shares:
            yield Breach(intake.name, fact("survey.only_engine_shares"), near=NOW, harm=BOAT)
        else:
            yield Breach(intake.name, fact("survey.engine_shares"))


def intake_emerges(evidence: Evidence) -> Iterator[Verdict]:
    """An intake stays under water at the working heel."""
    heel = evidence.working_heel
    if heel is None:
        yield boat_lacks("works_to_heel")
        return
    for loop in evidence.loops:
        for item in immersions(loop.loop, heel):
            yield _immersed(item, heel)


def _immersed(item: Immersion, heel: float) -> Verdict:
    if item.upright is None:
        return Unknown("intake", item.name, "height")
    if item.at_heel is None or item.emerges is None:
        return Unknown("intake", item.name, "starboard")
    left = min(item.at_heel)
    if left >= LEAST_COVER:
        return Kept(item.name)
    told = {"heel": amount("angle", heel), "upright": amount("height", item.upright)}
    angles = [angle for angle in item.emerges if angle is not None]
    when = (fact("survey.emerges_at", heel=amount("angle", min(angles))),) if angles else ()
    if item.upright <= 0.0:
        above = fact("survey.intake_out_at_rest", height=amount("height", -item.upright))
        return Breach(item.name, above)
    if left > 0.0:
        found = fact("survey.intake_shallow_at_heel", depth=amount("height", left), **told)
        return Breach(item.name, found, when, NEXT)
    out = fact("survey.intake_out_at_heel", height=amount("height", -left), **told)
    return Breach(item.name, out, when, near_by_size("out_of_water", -left))


def scoop_on_engine(evidence: Evidence) -> Iterator[Verdict]:
    """No scoop faces forward on an opening that an engine draws from."""
    for intake, faces in _faces(evidence):
        if not feeds_engine(intake):
            yield Kept(intake.name)
        elif faces is None:
            yield Unknown("intake", intake.name, "entry")
        elif faces == "forward":
            head = amount("head", float(scoop_head(UNDER_WAY * KNOT, 1.0)))
            presses = fact("survey.scoop_presses", knots=UNDER_WAY, head=head)
            yield Breach(intake.name, fact("survey.scoop_feeds_engine"), (presses,))
        else:
            yield Kept(intake.name)


def scoop_missing(evidence: Evidence) -> Iterator[Verdict]:
    """The intake of a multihull has a scoop that faces forward, unless it feeds an engine."""
    for intake, faces in _faces(evidence):
        single = "multihull" not in evidence.case.boat.hull or feeds_engine(intake)
        if single or faces in ("forward", "aft"):
            yield Kept(intake.name)  # one that faces aft has a rule of its own
        elif faces is None:
            yield Unknown("intake", intake.name, "entry")
        else:
            yield Breach(intake.name, fact("survey.no_scoop"))


def _faces(evidence: Evidence) -> Iterator[tuple[Intake, str | None]]:
    """Yield each intake with the way that its entry faces, None where that is not recorded."""
    for intake in evidence.case.intakes:
        known = (intake.table, intake.row, "entry") in evidence.case.text.where
        _, row = evidence.case.catalogue.find("entries", intake.entry)
        yield intake, str(row["faces"]) if known else None


def feeds_engine(intake: Intake) -> bool:
    """Return whether an engine draws from an intake too."""
    return any("engine" in user.name.lower() for user in intake.also_feeds)


def _apart(one: Thing, other: Thing) -> float | None:
    """Return the distance between two things, None where a place is not recorded [m]."""
    here, there = one.point, other.point
    if here is None or there is None:
        return None
    return float(np.linalg.norm(np.subtract(here, there)))


def is_upstream(first: Thing, intake: Thing) -> bool:
    """Return whether an opening lies ahead of an intake and in line with it."""
    there, here = first.point, intake.point
    if there is None or here is None:
        return False
    return there[0] < here[0] and abs(there[1] - here[1]) < IN_STREAM


def intake_discharge(evidence: Evidence) -> Iterator[Verdict]:
    """The intake lies off every discharge, and not downstream of one."""
    foul = [item for item in evidence.case.skin_fitting if item.use in FOUL]
    for intake in evidence.case.intakes:
        told = None if intake.seen is None else intake.seen.discharge_distance
        verdicts = [_from_discharge(intake, item) for item in foul]
        if told is not None:
            found = fact("survey.discharge_near", distance=amount("height", told))
            near = told < limit("discharge_distance")
            verdicts.append(Breach(intake.name, found) if near else Kept(intake.name))
        elif not evidence.boat.all_openings_listed and not any(
            isinstance(item, Breach) for item in verdicts
        ):
            verdicts.append(Unknown("intake", intake.name, "discharge_distance"))
        yield from verdicts or [Kept(intake.name)]


def _from_discharge(intake: Intake, item: SkinFitting) -> Verdict:
    apart = _apart(intake, item)
    if apart is None:
        return unplaced(intake, item)
    told = {"opening": item.name, "distance": amount("height", apart)}
    if apart < limit("discharge_distance"):
        return Breach(intake.name, fact("survey.opening_near", **told))
    if is_upstream(item, intake):
        return Breach(intake.name, fact("survey.in_stream_of", **told))
    return Kept(intake.name)


def intake_near_engine(evidence: Evidence) -> Iterator[Verdict]:
    """The intake lies off that of the engine, and not directly in line with it."""
    engines = [item for item in evidence.case.skin_fitting if item.use == ENGINE_INTAKE]
    shared = any(feeds_engine(intake) for intake in evidence.case.intakes)
    for intake in evidence.case.intakes:
        if not engines and not evidence.boat.all_openings_listed and not shared:
            yield boat_lacks("all_openings_listed")
            continue
        for item in engines:
            yield _from_engine(intake, item)
        if not engines:
            yield Kept(intake.name)


def _from_engine(intake: Intake, item: SkinFitting) -> Verdict:
    apart, here, there = _apart(intake, item), intake.point, item.point
    if apart is None or here is None or there is None:
        return unplaced(intake, item)
    told = {"opening": item.name, "distance": amount("height", apart)}
    if apart < limit("engine_intake_distance"):
        return Breach(intake.name, fact("survey.opening_near", **told))
    if abs(there[1] - here[1]) < IN_LINE[0] and abs(there[0] - here[0]) < IN_LINE[1]:
        return Breach(intake.name, fact("survey.opening_in_line", **told))
    return Kept(intake.name)


def outlet_near_intake(evidence: Evidence) -> Iterator[Verdict]:
    """The outlet lies away from the intake and not ahead of it in line."""
    for loop in evidence.loops:
        for outlet in loop.outlets:
            for intake in loop.intakes:
                yield _outlet_near(intake, outlet)


def _outlet_near(intake: Intake, outlet: Outlet) -> Verdict:
    apart = _apart(intake, outlet)
    if apart is None:
        return unplaced(intake, outlet)
    told = amount("height", apart)
    if apart < limit("outlet_distance"):
        return Breach(outlet.name, fact("survey.outlet_near", distance=told))
    if is_upstream(outlet, intake):
        ahead = fact("survey.outlet_ahead", distance=told)
        return Breach(outlet.name, ahead, near=LATER)
    return Kept(outlet.name)


OF_A_LOOP = (
    through_hull_narrow,
    shared_area,
    intake_emerges,
    outlet_near_intake,
)
RULES = (
    *OF_A_LOOP,
    scoop_aft,
    shared_depth,
    shared_engine,
    scoop_on_engine,
    scoop_missing,
    intake_discharge,
    intake_near_engine,
)
