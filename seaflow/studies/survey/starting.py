"""Rules on the first start, by the model that sizes a pump: crests, air, depth, lift and head."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.things import Pump
from seaflow.model.first_start import Move, Start
from seaflow.model.geometry import FLAT, Leg, highest_point, legs
from seaflow.physics.pumping.pump import in_parallel
from seaflow.studies.design.limits import limit
from seaflow.studies.design.start import attitude, reason_of
from seaflow.studies.survey.delivery import without_height
from seaflow.studies.survey.evidence import (
    Evidence,
    SurveyedLoop,
    boat_lacks,
    kind_of,
    unknown_kind,
)
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.running import as_it_runs, pressure_at
from seaflow.studies.survey.severity import NEXT, NOW, near_by_size
from seaflow.studies.survey.suction import lacking, suction_of

ABOVE, AIR = "start.crest_above_water", "start.air_in_suction"
IN_SUCTION = (ABOVE, AIR)
TOO_GREAT, TOO_HIGH, SHUT_IN = "start.lift_too_great", "start.too_high", "start.air_shut_in"
PUSHING = {TOO_HIGH: NOW, "start.air_in_dips": None, SHUT_IN: None}


def suction_crest(evidence: Evidence) -> Iterator[Verdict]:
    """Water reaches the pump by itself, and no crest of the suction line keeps air."""
    for loop in evidence.loops:
        missing = lacking(loop, "height")
        found = [item for item in loop.start.hindrances if item[0].kind in IN_SUCTION]
        if missing is not None:
            yield missing
        elif not found:
            yield Kept(loop.name)
        elif loop.part is None:
            yield loop.no_pump  # one that primes itself draws the air out
        else:
            above = [item for item in found if item[0].kind == ABOVE]
            rest = (item for item in found if item[0].kind != ABOVE)
            yield from (_crest(loop, *item) for item in (*above[:1], *rest))


def _crest(loop: SurveyedLoop, said: Fact, move: Move) -> Breach:
    """Return a crest as it was found; of several above the water the highest speaks for all."""
    burnt = any(pump.seen is not None and pump.seen.burnt_before for pump in loop.network.pumps)
    more = (*((fact("survey.burnt_before"),) if burnt else ()), *pressure_at(loop.run, move.thing))
    grave = said.kind == ABOVE or burnt
    return Breach(suction_of(loop), said, more, NOW if grave else None)


def suction_crest_heeled(evidence: Evidence) -> Iterator[Verdict]:
    """The same holds at the working heel, on either tack."""
    if evidence.working_heel is None:
        yield boat_lacks("works_to_heel")
        return
    keys = ("starboard",) if evidence.case.boat.works_to_trim is None else ("starboard", "aft")
    for loop in evidence.loops:
        missing = lacking(loop, *keys)
        found = tuple(_on_a_tack(loop))
        if missing is not None:
            yield missing
        elif not found:
            yield Kept(loop.name)
        elif loop.part is None:
            yield loop.no_pump
        else:
            turned = tuple(_turned(loop, evidence.working_heel))
            yield from (Breach(suction_of(loop), *_told(*item, turned)) for item in found)


def _told(
    said: Fact, move: Move, start: Start, turned: tuple[Fact, ...]
) -> tuple[Fact, tuple[Fact, ...], str | None]:
    """Return what was found on a tack, in numbers, and how near harm is."""
    where = attitude(start.heel, start.trim)
    told = fact("start.on_a_tack", reason=said, where=where)
    return told, turned, risen(move.distance) if said.kind == ABOVE else None


def risen(height: float) -> str:
    """Return how near harm is if something rises so far out of the water on a tack [m]."""
    return near_by_size("out_of_water", height)


def _on_a_tack(loop: SurveyedLoop) -> Iterator[tuple[Fact, Move, Start]]:
    """Yield each kind of hindrance in the suction that a tack brings, where it is worst.

    What the suction has against it upright is told there, and not again for its high point; where
    it does not start upright, air that a tack keeps in besides is left out.
    """
    upright = {said.kind for said, _ in loop.start.hindrances}
    upright |= {AIR} if ABOVE in upright else set()
    told = {move.thing for said, move in loop.start.hindrances if said.kind in IN_SUCTION}
    worst: dict[str, tuple[Fact, Move, Start]] = {}
    for start in dict.fromkeys((*loop.start.tacks, *loop.trimmed.tacks)):
        for said, move in zip(start.reasons, start.moves, strict=True):
            known = worst.get(said.kind)
            longer = known is None or move.distance > known[1].distance
            new = said.kind in IN_SUCTION and said.kind not in upright and move.thing not in told
            if longer and new:
                worst[said.kind] = (said, move, start)
    yield from worst.values()


def _turned(loop: SurveyedLoop, heel: float) -> Iterator[Fact]:
    """Yield from which heel each piece of the suction falls that rises upright."""
    for leg, at in _reversing(legs(loop.loop, loop.pumped)):
        if leg.before_pump and at <= heel:
            ends = {"start": leg.start, "end": leg.end}
            yield fact("survey.slope_reverses", **ends, heel=amount("angle", at))


def _reversing(found: tuple[Leg, ...]) -> Iterator[tuple[Leg, float]]:
    for leg in found:
        angles = [angle for angle in leg.reverses or () if angle is not None]
        if leg.rise is not None and leg.rise > -FLAT and angles:
            yield leg, min(angles)


def on_a_tack(loop: SurveyedLoop, kind: str) -> list[tuple[Fact, Move]]:
    """Return what of this kind keeps the pump from starting on a tack and not upright."""
    return [item for item in loop.trimmed.on_a_tack if reason_of(item[0]).kind == kind]


def pump_lift(evidence: Evidence) -> Iterator[Verdict]:
    """A self-priming pump lifts no farther than it can, and not far in lasting use."""
    for loop in evidence.loops:
        for pump in loop.network.pumps:
            too_great = [item for item in loop.start.hindrances if item[0].kind == TOO_GREAT]
            too_great += on_a_tack(loop, TOO_GREAT)
            if loop.primes(pump) is False:
                yield Kept(pump.name)
            elif pump.level is None:
                yield Unknown("pump", pump.name, "height")
            elif loop.part is not None and too_great:
                said, _ = too_great[0]
                yield Breach(pump.name, said, as_it_runs(loop.run), NOW)
            elif 0.0 < pump.level <= limit("lift_most") and loop.primes(pump) is None:
                yield unknown_kind(pump)
            elif pump.level <= limit("lift_most"):
                yield Kept(pump.name)
            else:
                lifts = fact("survey.lifts", height=amount("height", pump.level))
                yield Breach(pump.name, lifts, as_it_runs(loop.run))


def pump_not_below_water(evidence: Evidence) -> Iterator[Verdict]:
    """A pump that cannot prime itself lies below the water on either tack."""
    for loop in evidence.loops:
        for pump in loop.network.pumps:
            primes, told = loop.primes(pump), tuple(_depth(evidence, loop, pump))
            if primes:
                yield Kept(pump.name)
            elif primes is None and any(isinstance(one, Breach) for one in told):
                yield from _unless_it_primes(pump, told)
            else:
                yield from told


def _unless_it_primes(pump: Pump, told: tuple[Verdict, ...]) -> Iterator[Verdict]:
    """Yield what is held against a pump of unknown kind: asked first, and found where it was."""
    if kind_of(pump) is None or pump.fitted is not None:
        yield unknown_kind(pump)
        return
    unless = fact("survey.unless_it_primes")
    for one in told:
        if isinstance(one, Breach):
            yield replace(one, in_numbers=(unless, *one.in_numbers))
        else:
            yield one


def _depth(evidence: Evidence, loop: SurveyedLoop, pump: Pump) -> Iterator[Verdict]:
    if pump.level is None:
        yield Unknown("pump", pump.name, "height")
        return
    heel, upright = evidence.working_heel, -pump.level
    tacks = [item.depth for item in loop.start.tacks if item.pump == pump.name]
    known = [depth for depth in tacks if depth is not None]
    if heel is None:
        yield boat_lacks("works_to_heel")
    elif len(known) < len(tacks):
        yield Unknown("pump", pump.name, "starboard")
    least = min(known, default=upright)
    told = {"depth": amount("height", upright)}
    turned = () if not known or not heel else (_at_heel(least, heel),)
    runs = as_it_runs(loop.run)
    if upright <= 0.0:
        above = fact("survey.pump_above_water", height=amount("height", -upright))
        yield Breach(pump.name, above, (*turned, *runs))
    elif least <= 0.0 and turned:
        at_rest = fact("survey.pump_at_rest", **told)
        yield Breach(pump.name, turned[0], (at_rest, *runs), risen(-least))
    elif upright < limit("pump_below_water") - 1e-9:
        yield Breach(pump.name, fact("survey.pump_shallow", **told), turned, NEXT)
    elif known or not loop.start.tacks:
        yield Kept(pump.name)


def _at_heel(least: float, heel: float) -> Fact:
    angle = amount("angle", heel)
    if least > 0.0:
        return fact("survey.pump_below_at_heel", heel=angle, depth=amount("height", least))
    return fact("survey.pump_above_at_heel", heel=angle, height=amount("height", -least))


def starting_head(evidence: Evidence) -> Iterator[Verdict]:
    """The pump can push the water over its run for the first time, air in its legs and all."""
    for loop in evidence.loops:
        place, top = loop.network.pumps[0], highest_point(loop.loop)
        missing = loop.no_pump if loop.part is None else without_height(loop)
        found = [item for item in loop.start.hindrances if item[0].kind in PUSHING]
        heeled = on_a_tack(loop, TOO_HIGH)
        if missing is not None:
            yield missing
        elif found:
            said, _ = max(found, key=lambda item: item[0].kind == TOO_HIGH)  # highest first
            yield Breach(place.name, said, near=PUSHING[said.kind])
        elif heeled:
            yield Breach(place.name, heeled[0][0], near=NOW)
        elif loop.part is None or top is None or top[1] <= 0.0:
            yield Kept(loop.name)
        else:
            curve = in_parallel(loop.part.curve, place.in_parallel or 1)
            shut_off = float(np.asarray(curve.shut_off_head))
            weak = fact(
                "survey.weak_start",
                shut_off=amount("head", shut_off),
                crest=top[0],
                height=amount("height", top[1]),
            )
            good = shut_off >= limit("starting_factor") * top[1]
            yield Kept(place.name) if good else Breach(place.name, weak)


OF_A_LOOP = (
    suction_crest,
    suction_crest_heeled,
    pump_lift,
    pump_not_below_water,
    starting_head,
)
RULES = OF_A_LOOP
