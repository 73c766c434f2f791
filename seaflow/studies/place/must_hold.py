"""What a place is like but for start and flow: depth, lay of the suction, petrol, access."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.petrol import burns_petrol
from seaflow.boat.tables.rooms import Compartment, Partition
from seaflow.boat.tables.things import Place
from seaflow.model.build import Built
from seaflow.model.elements import Entry, Point, Pumping
from seaflow.model.heights import heights
from seaflow.physics.hull.heel import height_at_heel
from seaflow.studies.design.start import attitude, attitudes
from seaflow.studies.place.reach import (
    furthest,
    reaches,
    strainer_reasons,
    strainer_remarks,
)
from seaflow.studies.place.routes import Candidate

LEVEL = 1e-3  # m by which a suction may rise or fall and is called level, upright and on a tack
SHALLOW = 0.025  # m of fall, a usual bore; less shuts no air in, but moves none on
SMALL = 0.01  # m; less is told in thicknesses
OUTSIDE = 0.05  # m that a place may lie outside its compartment's box without a word
SINKS = ("engine space", "bilge")  # where petrol vapour, heavier than air, gathers


@dataclass(frozen=True, slots=True)
class Standing:
    """How deep pump and intake sit, and what speaks against the place or is worth saying.

    Depths at heel are the least at the working heel and trim, which `when` names. `to_seacock` is
    the longest way from a strainer to its seacock, None where a position is not recorded.
    """

    when: Fact
    depth: float = measured("m")
    depth_at_heel: float = measured("m")
    intake_at_heel: float | None = measured("m")
    to_seacock: float | None = measured("m")
    strainer_access: str = ""
    other: tuple[Fact, ...] = ()
    remarks: tuple[Fact, ...] = ()

    @property
    def stays(self) -> Fact:
        """How deep the pump stays at the working heel and trim, or how high above the water."""
        depth, when = self.depth_at_heel, self.when
        if depth > 0.0:
            return fact("place.under_water", depth=amount("height", depth), when=when)
        return fact("place.over_water", depth=amount("height", -depth), when=when)


def standing(case: Case, candidate: Candidate, part: PumpPart, built: Built) -> Standing:
    """Return what speaks against a place but for the flow; `case` has the pump there already."""
    place, heel = candidate.place, case.boat.works_to_heel or 0.0
    depth = -(place.at.height or 0.0)
    return Standing(
        when=_working(case),
        depth=depth,
        depth_at_heel=_least_depth(place.at, case, built),
        intake_at_heel=_least_intake_depth(case, built),
        other=(
            *petrol_reasons(case, candidate, part),
            *_access(candidate),
            *strainer_reasons(case, candidate),
        ),
        remarks=(
            *_level(built, candidate.pump),
            *_falling_on_a_tack(built, candidate.pump, heel),
            *petrol_remarks(case, candidate, part),
            *strainer_remarks(case, candidate),
            *_position(case, candidate),
            *_comforts(case, candidate),
        ),
        to_seacock=furthest(reaches(case, candidate.pump)),
        strainer_access=place.strainer_access or "",
    )


# --- the suction ---


def _legs(built: Built, pump: str) -> Iterator[tuple[Point, Point]]:
    """Yield both ends of every straight leg before the pump, in the direction of flow."""
    waiting, seen = [built.loop.link_of(pump)], set[int]()
    while waiting:
        number = waiting.pop()
        if number in seen:
            continue
        seen.add(number)
        link = built.loop.links[number]
        points = [built.loop.node_point(link.start)]
        for index, _, point in link.points():
            points.append(point)
            if isinstance(link.elements[index], Pumping):
                break
        else:
            points.append(built.loop.node_point(link.end))
        yield from pairwise(p for p in points if p is not None and p.height is not None)
        before = (i for i, other in enumerate(built.loop.links) if other.end == link.start)
        waiting.extend(before if not link.from_sea else ())


def _level(built: Built, pump: str) -> Iterator[Fact]:
    """Yield every leg of the suction that lies level or nearly so, upright."""
    for start, end in _legs(built, pump):
        if -SHALLOW <= _rise(start, end, 0.0) <= LEVEL and not _is_one_spot(start, end):
            yield fact("place.suction_level", start=start.label, end=end.label)


def _falling_on_a_tack(built: Built, pump: str, heel: float) -> Iterator[Fact]:
    for start, end in _legs(built, pump) if heel else ():
        if start.starboard is None or end.starboard is None:
            continue
        least = min(_rise(start, end, angle) for angle in (heel, -heel))
        if _rise(start, end, 0.0) >= -LEVEL and least < -LEVEL:
            ends = {"start": start.label, "end": end.label}
            yield fact("place.suction_falls_on_a_tack", **ends, by=_small(-least))


def _small(height: float) -> Amount:
    return amount("thickness" if height < SMALL else "height", height)


def _is_one_spot(start: Point, end: Point) -> bool:
    """Return whether two points are known to be one, as a thing and the junction at it are."""
    ways = [
        abs(float(np.asarray(getattr(end, axis))) - float(np.asarray(getattr(start, axis))))
        for axis in ("aft", "starboard")
        if getattr(start, axis) is not None and getattr(end, axis) is not None
    ]
    return start.label == end.label or (len(ways) == 2 and max(ways) <= LEVEL)


def _rise(start: Point, end: Point, heel: float) -> float:
    levels = [
        float(
            height_at_heel(
                float(np.asarray(point.height)),
                float(np.asarray(point.starboard or 0.0)),
                heel=heel,
            )
        )
        for point in (start, end)
    ]
    return levels[1] - levels[0]


# --- the place itself ---


def _access(candidate: Candidate) -> Iterator[Fact]:
    if candidate.place.access == "none":
        yield fact("place.out_of_reach")
    if candidate.place.above_electrics:
        yield fact("place.above_electrics")


def _position(case: Case, candidate: Candidate) -> Iterator[Fact]:
    """Yield how far a place lies outside the box of the compartment it is said to be in."""
    room = _room(case, candidate)
    ends = zip(room.box, candidate.place.spot, strict=True)
    outside = [max(low - at, at - high, 0.0) for (low, high), at in ends]
    if max(outside) > OUTSIDE:
        by = amount("height", float(np.linalg.norm(outside)))
        yield fact("place.outside_its_room", by=by, room=room.name)


def _comforts(case: Case, candidate: Candidate) -> Iterator[Fact]:
    place = candidate.place
    if case.boat.works_to_heel is None:
        yield fact("place.heel_unknown")
    if case.boat.works_to_trim and case.boat.waterline_length is None:
        yield fact("place.length_unknown")
    if place.access == "poor":
        yield fact("place.barely_in_reach")
    if place.dry is False:
        yield fact("place.gets_wet")
    if place.ventilated is False:
        yield fact("place.no_air")


# --- petrol: where a pump needs ignition protection, and where vapour may drift in ---


def petrol_reasons(case: Case, candidate: Candidate, part: PumpPart) -> Iterator[Fact]:
    """Yield what speaks against a pump that is not known to be ignition-protected."""
    if _is_protected(case, candidate, part):
        return
    room, place = _room(case, candidate), candidate.place
    if place.petrol or room.petrol:
        yield fact("place.petrol")
    elif room.use in SINKS and burns_petrol(case) and place.petrol is None and room.petrol is None:
        yield fact("place.petrol_unknown", room=room.use)


def petrol_remarks(case: Case, candidate: Candidate, part: PumpPart) -> Iterator[Fact]:
    """Yield the rooms next door from which petrol vapour could drift in through an opening."""
    room = _room(case, candidate)
    if _is_protected(case, candidate, part) or candidate.place.petrol or room.petrol:
        return
    rooms = {item.name: item for item in case.compartment}
    for wall in case.partition:
        if room.name not in wall.between or not _lets_through(wall):
            continue
        other = next((rooms[name] for name in wall.between if name != room.name), None)
        if other is None:
            continue
        if other.petrol:
            yield fact("place.petrol_next_door", room=other.name)
        elif other.petrol is None and burns_petrol(case) and other.use in SINKS:
            yield fact("place.petrol_maybe_next_door", room=other.name)


def _is_protected(case: Case, candidate: Candidate, part: PumpPart) -> bool:
    """Return whether the pump is known to be protected: by [placing], or seen on the one fitted."""
    if case.placing is not None and case.placing.ignition_protected is not None:
        return case.placing.ignition_protected
    pump = next(item for item in case.pump if item.name == candidate.pump)
    if pump.seen is None or not pump.seen.ignition_protected or pump.fitted is None:
        return False
    return bool(case.catalogue.find("pumps", pump.fitted)[0] == part.name)


def _lets_through(wall: Partition) -> bool:
    if wall.opening_area is not None:
        return wall.opening_area > 0.0
    return wall.opening not in (None, "sealed")


def _room(case: Case, candidate: Candidate) -> Compartment:
    return next(item for item in case.compartment if item.name == candidate.place.compartment)


def _working(case: Case) -> Fact:
    """Return the working heel and trim, either way of each."""
    return attitude(*max(attitudes(case), default=(0.0, 0.0)), either_way=True)


def _depth_of(point: Point, built: Built, heel: float, trim: float) -> float | None:
    """Return how deep a point lies [m]; where its place along is not known, trim is left out."""
    angle = np.asarray([heel])
    found = heights(point, built.loop, angle, trim)
    if found is None and trim:
        found = heights(point, built.loop, angle)
    return None if found is None else -float(found[0])


def _least_depth(place: Place, case: Case, built: Built) -> float:
    """Return the least depth of a place over all attitudes and upright [m]."""
    point = Point("", height=place.height, starboard=place.starboard or 0.0, aft=place.aft)
    every = ((0.0, 0.0), *attitudes(case))
    return min(_depth_of(point, built, *attitude) or 0.0 for attitude in every)


def _least_intake_depth(case: Case, built: Built) -> float | None:
    """Return how deep the shallowest intake lies over all attitudes [m]."""
    points = [entry.point for entry in built.loop.elements(Entry) if entry.point is not None]
    found = [
        _depth_of(point, built, *attitude)
        for attitude in attitudes(case) or ((0.0, 0.0),)
        for point in points
    ]
    return min((depth for depth in found if depth is not None), default=None)
