"""Water over pump and intakes, upright and at the working heel and trim, either way of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Place
from seaflow.model.build import Built
from seaflow.model.elements import Entry, Point
from seaflow.model.heights import heights
from seaflow.studies.design.limits import limit


@dataclass(frozen=True, slots=True)
class Attitude:
    """How the boat lies: heel, + starboard down, and trim, + bow down [rad]."""

    heel: float = 0.0
    trim: float = 0.0

    @property
    def lies(self) -> Fact:
        """How the boat lies, with the side and the end that are down."""
        heel, trim = amount("angle", abs(self.heel)), amount("angle", abs(self.trim))
        side = "port" if self.heel < 0.0 else "starboard"
        end = "stern" if self.trim < 0.0 else "bow"
        if self.heel and self.trim:
            return fact("place.heeled_and_trimmed", heel=heel, trim=trim, side=side, end=end)
        if self.heel:
            return fact("place.heeled", heel=heel, side=side)
        return fact("place.trimmed", trim=trim, end=end) if self.trim else fact("place.upright")


def working(case: Case) -> Fact:
    """Return the working heel and trim, either way of each."""
    worst = attitudes(case)[0][0]
    heel, trim = amount("angle", worst.heel), amount("angle", worst.trim)
    if worst.heel and worst.trim:
        return fact("place.at_heel_and_trim", heel=heel, trim=trim)
    if worst.heel:
        return fact("place.at_heel", heel=heel)
    return fact("place.at_trim", trim=trim) if worst.trim else fact("place.upright")


def attitudes(case: Case) -> tuple[tuple[Attitude, ...], ...]:
    """Return the attitudes at the working heel and trim, tack by tack.

    Trim is left out where the waterline length is not recorded, for she turns about its middle.
    """
    heel, trim = case.boat.works_to_heel or 0.0, case.boat.works_to_trim or 0.0
    if case.boat.waterline_length is None:
        trim = 0.0
    tacks = (heel, -heel) if heel else (0.0,)
    tilts = (trim, -trim) if trim else (0.0,)
    return tuple(tuple(Attitude(side, tilt) for tilt in tilts) for side in tacks)


def depth_of(point: Point, built: Built, attitude: Attitude) -> float | None:
    """Return how deep a point lies [m]; where its place along is not known, trim is left out."""
    angle = np.asarray([attitude.heel])
    found = heights(point, built.loop, angle, attitude.trim)
    if found is None and attitude.trim:
        found = heights(point, built.loop, angle)
    return None if found is None else -float(found[0])


def least_depth(place: Place, case: Case, built: Built) -> tuple[float, Attitude]:
    """Return the least depth of a place over all attitudes and upright [m], and where it is so."""
    point = Point("", height=place.height, starboard=place.starboard or 0.0, aft=place.aft)
    every = (Attitude(), *(attitude for tack in attitudes(case) for attitude in tack))
    found = [(depth_of(point, built, attitude) or 0.0, attitude) for attitude in every]
    return min(found, key=lambda pair: pair[0])


def pump_reasons(depths: tuple[float, float], worst: Attitude, part: PumpPart) -> Iterator[Fact]:
    """Yield what is wrong with a pump's depth upright and at its least.

    Of a pump above water at rest the judgement of `size` speaks.
    """
    upright, depth = depths
    if part.self_priming or upright <= 0.0:
        return
    least = limit("pump_below_water")
    if depth < 0.0:
        yield fact("place.pump_above_water", lies=worst.lies, height=amount("height", -depth))
    elif depth < least:
        shallow = {"depth": amount("height", depth), "least": amount("height", least)}
        yield fact("place.pump_shallow", lies=worst.lies, **shallow)


def intake_reasons(case: Case, built: Built) -> Iterator[Fact]:
    """Yield each intake and tack on which it comes out of the water."""
    for tack in attitudes(case):
        worst = min(tack, key=lambda one: min(_intakes(built, one).values(), default=0.0))
        depths = _intakes(built, worst)
        wet = tuple(sorted(name for name, depth in depths.items() if depth > 0.0))
        for name in sorted(depths.keys() - set(wet)):
            by = amount("height", -depths[name])
            if wet:
                yield fact("place.intake_dry", lies=worst.lies, intake=name, by=by, wet=wet)
            else:
                yield fact("place.intakes_dry", lies=worst.lies, intake=name, by=by)


def least_intake_depth(case: Case, built: Built) -> float | None:
    """Return how deep the shallowest intake lies over all attitudes [m]."""
    found = [
        depth
        for tack in attitudes(case)
        for attitude in tack
        for depth in _intakes(built, attitude).values()
    ]
    return min(found) if found else None


def _intakes(built: Built, attitude: Attitude) -> dict[str, float]:
    """Return the depth of every intake whose place is recorded, by name [m]."""
    found = {}
    for entry in built.loop.elements(Entry):
        depth = None if entry.point is None else depth_of(entry.point, built, attitude)
        if depth is not None:
            found[entry.name] = depth
    return found
