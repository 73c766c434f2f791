"""Water over pump and intakes, upright and at the working heel and trim, either way of each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Place
from seaflow.model.build import Built
from seaflow.model.elements import Entry, Point
from seaflow.model.heights import TACKS, heights
from seaflow.studies.design.limits import limit

ENDS = ("bow down", "stern down")


@dataclass(frozen=True, slots=True)
class Attitude:
    """How the boat lies: heel, + starboard down, and trim, + bow down [rad]."""

    heel: float = 0.0
    trim: float = 0.0

    @property
    def words(self) -> str:
        """How the boat lies, to stand before what happens then."""
        angle, tilt = (f"{math.degrees(abs(value)):.3g}" for value in (self.heel, self.trim))
        tack, end = TACKS[int(self.heel < 0.0)], ENDS[int(self.trim < 0.0)]
        if self.heel and self.trim:
            return f"at {angle} degrees of heel and {tilt} of trim, {tack} and {end},"
        if self.heel:
            return f"at {angle} degrees of heel, {tack},"
        return f"at {tilt} degrees of trim, {end}," if self.trim else "upright"


def working(case: Case) -> str:
    """Return the working heel and trim as words, either way of each."""
    worst = attitudes(case)[0][0]
    angle, tilt = (f"{math.degrees(value):.3g}" for value in (worst.heel, worst.trim))
    if worst.heel and worst.trim:
        return f"at {angle} degrees of heel and {tilt} of trim"
    if worst.heel:
        return f"at {angle} degrees of heel"
    return f"at {tilt} degrees of trim" if worst.trim else "upright"


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


def pump_reasons(depths: tuple[float, float], worst: Attitude, part: PumpPart) -> Iterator[str]:
    """Yield what is wrong with a pump's depth upright and at its least.

    Of a pump above water at rest the judgement of `size` speaks.
    """
    upright, depth = depths
    if part.self_priming or upright <= 0.0:
        return
    margin = limit("pump_below_water")
    if depth < 0.0:
        yield (
            f"{worst.words} the pump stands {quantity('height', -depth)} above the water, "
            "and it cannot prime itself"
        )
    elif depth < margin:
        yield (
            f"{worst.words} only {quantity('height', depth)} of water stand over the pump; "
            f"{quantity('height', margin)} is common practice for one that cannot prime itself"
        )


def intake_reasons(case: Case, built: Built) -> Iterator[str]:
    """Yield a sentence for each intake and tack on which it comes out of the water."""
    for tack in attitudes(case):
        worst = min(tack, key=lambda one: min(_intakes(built, one).values(), default=0.0))
        depths = _intakes(built, worst)
        wet = sorted(name for name, depth in depths.items() if depth > 0.0)
        for name in sorted(depths.keys() - set(wet)):
            out = quantity("height", -depths[name])
            bare = f'{worst.words} "{name}" comes out of the water by {out}'
            if not wet:
                yield f"{bare}, and the pump draws air"
            else:
                under = " and ".join(f'"{other}"' for other in wet)
                verb = "stays" if len(wet) == 1 else "stay"
                yield f"{bare}: the pump can draw air through it, though {under} {verb} under"


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
