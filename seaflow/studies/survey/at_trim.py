"""Rules on what trim adds to heel: an intake out of the water, an outlet under, a pump dry."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.tables.things import Intake, Thing
from seaflow.model.heights import Corners
from seaflow.studies.survey.at_intakes import LEAST_COVER
from seaflow.studies.survey.at_the_hull import has_strong_line, inflow
from seaflow.studies.survey.facts import Facts, LoopFacts, degrees, fine_degrees, table_of
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict


def intake_trimmed(facts: Facts) -> Iterator[Verdict]:
    """An intake that stays under water at the working heel does so with trim too."""
    for loop in facts.loops:
        for intake in loop.intakes:
            found = _corners(facts, loop, intake)
            if isinstance(found, Unknown):
                yield found
            elif _highest(facts, loop, intake) <= -LEAST_COVER:
                yield _intake(facts, intake, found)


def _intake(facts: Facts, intake: Intake, found: Corners) -> Verdict:
    if found.highest <= -LEAST_COVER:
        return Fine(intake.name)
    place = "out of the" if found.highest >= 0.0 else "under"
    return Fault(
        intake.name,
        f"{_attitude(facts, found.words[1])} it is {quantity('height', abs(found.highest))} "
        f"{place} water",
        "",
        _severity(facts) if found.highest >= 0.0 else "advisory",
    )


def outlet_trimmed(facts: Facts) -> Iterator[Verdict]:
    """An opening that stays dry at the working heel does so with trim too, or can be closed."""
    for loop, thing in facts.all_at_sea():
        if isinstance(thing, Intake) or (thing.level is not None and thing.level < 0.0):
            continue
        if facts.is_closed(thing) or has_strong_line(thing):
            yield Fine(thing.name)
            continue
        found = _corners(facts, loop, thing)
        if isinstance(found, Unknown):
            yield found
        elif (facts.lowest(loop, thing, facts.working_heel or 0.0) or 0.0) >= 0.0:
            yield from _outlet(facts, thing, found)


def _outlet(facts: Facts, thing: Thing, found: Corners) -> Iterator[Verdict]:
    if found.lowest >= 0.0:
        yield Fine(thing.name)
        return
    if facts.is_closed(thing) is None:
        yield Unknown(thing.name, (table_of(thing), thing.name, "seacock"))
        return
    words = (
        f"{_attitude(facts, found.words[0])} it goes {quantity('height', -found.lowest)} under "
        "water and has no seacock"
    )
    bore = float(getattr(thing, "bore"))  # noqa: B009
    yield Fault(thing.name, words, inflow(bore, -found.lowest), _severity(facts))


def pump_trimmed(facts: Facts) -> Iterator[Verdict]:
    """A pump that is under water at the working heel is so with trim too."""
    for loop in facts.loops:
        for pump in loop.network.pumps:
            if loop.part is not None and loop.part.self_priming:
                yield Fine(pump.name)
                continue
            found = _corners(facts, loop, pump)
            if isinstance(found, Unknown):
                yield found
            elif found.highest < 0.0:
                yield Fine(pump.name)
            elif _highest(facts, loop, pump) < 0.0:
                words = (
                    f"{_attitude(facts, found.words[1])} it lies "
                    f"{quantity('height', found.highest)} above the waterline"
                )
                yield Fault(pump.name, words, "", _severity(facts))


def _corners(facts: Facts, loop: LoopFacts, thing: Thing) -> Corners | Unknown:
    """Return the heights of a thing at heel and trim, or what is not recorded of them."""
    if facts.working_heel is None:
        return Unknown("the boat", ("boat", "the boat", "works_to_heel"))
    if facts.working_trim is None:
        return Unknown("the boat", ("boat", "the boat", "waterline_length"))
    found = facts.corners(loop, thing)
    if found is not None:
        return found
    key = "height" if thing.level is None else "starboard"
    if key == "starboard" and thing.at is not None and thing.at.starboard is not None:
        key = "aft"
    return Unknown(thing.name, (table_of(thing), thing.name, key))


def _highest(facts: Facts, loop: LoopFacts, thing: Thing) -> float:
    """Return the greatest height of a thing at the working heel without trim [m]."""
    heel = facts.working_heel or 0.0
    levels = (facts.height(loop, thing, heel), facts.height(loop, thing, -heel))
    return max(level for level in levels if level is not None)


def _attitude(facts: Facts, words: str) -> str:
    heel, trim = degrees(facts.working_heel or 0.0), fine_degrees(facts.working_trim or 0.0)
    return f"at {heel} of heel and {trim} of trim, {words},"


def _severity(facts: Facts) -> str:
    """Return the severity: the owner's own trim weighs more than the stated one."""
    return "minor" if facts.case.boat.works_to_trim is None else "major"
