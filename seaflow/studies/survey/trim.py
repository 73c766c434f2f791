"""Rules on what trim adds to heel: an intake out of the water, an outlet under, a pump dry."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from seaflow.base.facts import amount, fact
from seaflow.boat.tables.things import Intake, Thing
from seaflow.model.heights import Corners
from seaflow.studies.survey.evidence import (
    Evidence,
    SurveyedLoop,
    boat_lacks,
    distance,
    table_of,
    unknown_kind,
)
from seaflow.studies.survey.intakes import LEAST_COVER
from seaflow.studies.survey.openings import Opening, has_strong_line, inflow, is_exhaust
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.severity import LATER, NEXT, near_by_size


def intake_trimmed(evidence: Evidence) -> Iterator[Verdict]:
    """An intake that stays under water at the working heel does so with trim too."""
    for loop in evidence.loops:
        for intake in loop.intakes:
            found = _corners(evidence, loop, intake)
            if isinstance(found, Unknown):
                yield found
            elif _highest(evidence, loop, intake) <= -LEAST_COVER:
                yield _intake(evidence, intake, found)


def _intake(evidence: Evidence, intake: Intake, found: Corners) -> Verdict:
    if found.highest <= -LEAST_COVER:
        return Kept(intake.name)
    here = _attitude(evidence, found.attitudes[1])
    off = amount("height", abs(found.highest))
    if found.highest >= 0.0:
        out = fact("survey.out_when_trimmed", height=off, **here)
        return Breach(intake.name, out, near=_risen(evidence, found.highest))
    shallow = fact("survey.shallow_when_trimmed", depth=off, **here)
    return Breach(intake.name, shallow, near=LATER)


def outlet_trimmed(evidence: Evidence) -> Iterator[Verdict]:
    """An opening that stays dry at the working heel does so with trim too, or can be closed."""
    for loop, thing in evidence.all_at_sea():
        if isinstance(thing, Intake) or (thing.level is not None and thing.level < 0.0):
            continue
        if evidence.is_closed(thing) or has_strong_line(thing) or is_exhaust(thing):
            yield Kept(thing.name)
            continue
        found = _corners(evidence, loop, thing)
        if isinstance(found, Unknown):
            yield found
        elif (evidence.lowest(loop, thing, evidence.working_heel or 0.0) or 0.0) >= 0.0:
            yield _outlet(evidence, thing, found)


def _outlet(evidence: Evidence, thing: Opening, found: Corners) -> Verdict:
    if found.lowest >= 0.0:
        return Kept(thing.name)
    if evidence.is_closed(thing) is None:
        return Unknown(table_of(thing), thing.name, "seacock")
    here = _attitude(evidence, found.attitudes[0])
    under = fact("survey.under_when_trimmed", depth=amount("height", -found.lowest), **here)
    near = LATER if evidence.case.boat.works_to_trim is None else NEXT
    return Breach(thing.name, under, inflow(thing.bore, -found.lowest), near)


def pump_trimmed(evidence: Evidence) -> Iterator[Verdict]:
    """A pump that is under water at the working heel is so with trim too."""
    for loop in evidence.loops:
        for pump in loop.network.pumps:
            primes = loop.primes(pump)
            if primes:
                yield Kept(pump.name)
                continue
            found = _corners(evidence, loop, pump)
            if isinstance(found, Unknown):
                yield found
            elif found.highest < 0.0:
                yield Kept(pump.name)
            elif _highest(evidence, loop, pump) < 0.0 and primes is None:
                yield unknown_kind(pump)  # one that primes itself may lie there
            elif _highest(evidence, loop, pump) < 0.0:
                here = _attitude(evidence, found.attitudes[1])
                high = amount("height", found.highest)
                dry = fact("survey.pump_above_when_trimmed", height=high, **here)
                yield Breach(pump.name, dry, near=_risen(evidence, found.highest))


def _corners(evidence: Evidence, loop: SurveyedLoop, thing: Thing) -> Corners | Unknown:
    """Return the heights of a thing at heel and trim, or what is not recorded of them."""
    if evidence.working_heel is None:
        return boat_lacks("works_to_heel")
    if evidence.working_trim is None:
        return boat_lacks("waterline_length")
    found = evidence.corners(loop, thing)
    if found is not None:
        return found
    missing = (key for key in ("height", "starboard") if distance(thing, key) is None)
    return Unknown(table_of(thing), thing.name, next(missing, "aft"))


def _highest(evidence: Evidence, loop: SurveyedLoop, thing: Thing) -> float:
    """Return the greatest height of a thing at the working heel without trim [m]."""
    heel = evidence.working_heel or 0.0
    levels = (evidence.height(loop, thing, heel), evidence.height(loop, thing, -heel))
    return max(level for level in levels if level is not None)


def _attitude(evidence: Evidence, down: tuple[str, str]) -> dict[str, Any]:
    """Return heel and trim, and which side and end are down."""
    heel = amount("angle", evidence.working_heel or 0.0)
    trim = amount("angle", evidence.working_trim or 0.0)
    return {"heel": heel, "trim": trim, "side": down[0], "end": down[1]}


def _risen(evidence: Evidence, height: float) -> str:
    """Return how near harm is if something rises so far out of the water [m].

    The owner's own trim weighs more than the one that is assumed.
    """
    assumed = evidence.case.boat.works_to_trim is None
    return NEXT if assumed else near_by_size("out_of_water", height)


OF_A_LOOP = (
    intake_trimmed,
    pump_trimmed,
)
RULES = (
    *OF_A_LOOP,
    outlet_trimmed,
)
