"""Water over pump and intakes, upright and at the working heel and trim, either way of each."""

from __future__ import annotations

import numpy as np

from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Place
from seaflow.model.build import Built
from seaflow.model.elements import Entry, Point
from seaflow.model.heights import heights
from seaflow.studies.design.start import attitude, attitudes


def working(case: Case) -> Fact:
    """Return the working heel and trim, either way of each."""
    return attitude(*max(attitudes(case), default=(0.0, 0.0)), either_way=True)


def depth_of(point: Point, built: Built, heel: float, trim: float) -> float | None:
    """Return how deep a point lies [m]; where its place along is not known, trim is left out."""
    angle = np.asarray([heel])
    found = heights(point, built.loop, angle, trim)
    if found is None and trim:
        found = heights(point, built.loop, angle)
    return None if found is None else -float(found[0])


def least_depth(place: Place, case: Case, built: Built) -> float:
    """Return the least depth of a place over all attitudes and upright [m]."""
    point = Point("", height=place.height, starboard=place.starboard or 0.0, aft=place.aft)
    every = ((0.0, 0.0), *attitudes(case))
    return min(depth_of(point, built, *attitude) or 0.0 for attitude in every)


def least_intake_depth(case: Case, built: Built) -> float | None:
    """Return how deep the shallowest intake lies over all attitudes [m]."""
    points = [entry.point for entry in built.loop.elements(Entry) if entry.point is not None]
    found = [
        depth_of(point, built, *attitude)
        for attitude in attitudes(case) or ((0.0, 0.0),)
        for point in points
    ]
    return min((depth for depth in found if depth is not None), default=None)
