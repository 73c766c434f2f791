"""What must hold at a place: depth on either tack, a rising suction, petrol, access, electrics."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.elements import Point, Pumping
from seaflow.physics.hull.heel import height_at_heel
from seaflow.studies.place.depths import (
    intake_reasons,
    least_depth,
    least_intake_depth,
    pump_reasons,
    working,
)
from seaflow.studies.place.petrol import petrol_reasons, petrol_remarks
from seaflow.studies.place.reach import (
    furthest,
    reaches,
    strainer_reasons,
    strainer_remarks,
)
from seaflow.studies.place.routes import Candidate

LEVEL = 1e-3  # m by which a suction may rise or fall and is called level, upright and on a tack
OUTSIDE = 0.05  # m that a place may lie outside its compartment's box without a word


@dataclass(frozen=True, slots=True)
class Standing:
    """How deep pump and intake sit, and what speaks against the place or is worth saying.

    Depths at heel are the least at the working heel and trim, which `when` names. `draws_air` is
    true where air gets into the suction, `only_prime` where nothing is wrong with the water but
    that the pump may lose its prime; `fault` says in a few words what the water does. `to_seacock`
    is the longest way from a strainer to its seacock, None where a position is not recorded.
    """

    depth: float = measured("m")
    depth_at_heel: float = measured("m")
    intake_at_heel: float | None = measured("m", None)
    draws_air: bool = False
    only_prime: bool = False
    fault: str = ""
    when: str = ""
    to_seacock: float | None = measured("m", None)
    strainer_access: str = ""
    hydraulic: tuple[str, ...] = ()
    other: tuple[str, ...] = ()
    remarks: tuple[str, ...] = field(default=())


def standing(case: Case, candidate: Candidate, part: PumpPart, built: Built) -> Standing:
    """Return what speaks against a place but for the flow; `case` has the pump there already."""
    place, heel = candidate.place, case.boat.works_to_heel or 0.0
    depth = -(place.at.height or 0.0)
    least, worst = least_depth(place.at, case, built)
    intakes, rising = tuple(intake_reasons(case, built)), tuple(_rising(built, candidate.pump))
    prime = tuple(pump_reasons((depth, least), worst, part))
    dry = part.primes_at(-depth) is False
    return Standing(
        depth=depth,
        depth_at_heel=least,
        intake_at_heel=least_intake_depth(case, built),
        draws_air=bool(intakes or rising) or dry,
        only_prime=bool(prime) and not (intakes or rising),
        fault=_fault(dry, bool(intakes or rising), bool(prime)),
        when=working(case),
        hydraulic=(*prime, *intakes, *rising),
        other=(
            *petrol_reasons(case, candidate, part),
            *_access(candidate),
            *strainer_reasons(case, candidate),
        ),
        remarks=(
            *_level(built, candidate.pump),
            *_heeled(built, candidate.pump, heel),
            *petrol_remarks(case, candidate, part),
            *strainer_remarks(case, candidate),
            *_position(case, candidate),
            *_comforts(case, candidate),
        ),
        to_seacock=furthest(reaches(case, candidate.pump)),
        strainer_access=candidate.place.strainer_access or "",
    )


def _fault(dry: bool, airy: bool, prime: bool) -> str:
    if dry:
        return "the pump cannot prime itself there"
    if airy:
        return "the pump draws air there"
    return "the pump can lose its prime there" if prime else ""


def _suction_runs(built: Built, pump: str) -> Iterator[list[Point]]:
    """Yield the recorded points of every link before the pump, in the direction of flow."""
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
        yield [point for point in points if point is not None and point.height is not None]
        before = (i for i, other in enumerate(built.loop.links) if other.end == link.start)
        waiting.extend(before if not link.from_sea else ())


def _rising(built: Built, pump: str) -> Iterator[str]:
    for points in _suction_runs(built, pump):
        for before, after in pairwise(points):
            fall = -_rise(before, after, 0.0)
            if fall > LEVEL:
                yield (
                    f"the suction falls {quantity('height', fall)} from {before.label} to "
                    f"{after.label}: air stays at {before.label}"
                )


def _level(built: Built, pump: str) -> Iterator[str]:
    """Yield a sentence for every leg of the suction that neither rises nor falls, upright."""
    for points in _suction_runs(built, pump):
        for before, after in pairwise(points):
            if abs(_rise(before, after, 0.0)) <= LEVEL and not _is_one_spot(before, after):
                yield (
                    f"the suction runs level from {before.label} to {after.label}: bubbles do not "
                    "move on there, so lay it rising"
                )


def _is_one_spot(before: Point, after: Point) -> bool:
    """Return whether two points are known to be one, as a thing and the junction at it are."""
    ways = [
        abs(float(np.asarray(getattr(after, axis))) - float(np.asarray(getattr(before, axis))))
        for axis in ("aft", "starboard")
        if getattr(before, axis) is not None and getattr(after, axis) is not None
    ]
    return before.label == after.label or (len(ways) == 2 and max(ways) <= LEVEL)


def _rise(before: Point, after: Point, heel: float) -> float:
    levels = [
        float(
            height_at_heel(
                float(np.asarray(point.height)),
                float(np.asarray(point.starboard or 0.0)),
                heel=heel,
            )
        )
        for point in (before, after)
    ]
    return levels[1] - levels[0]


def _heeled(built: Built, pump: str, heel: float) -> Iterator[str]:
    for points in _suction_runs(built, pump) if heel else ():
        for before, after in pairwise(points):
            if before.starboard is None or after.starboard is None:
                continue
            least = min(_rise(before, after, angle) for angle in (heel, -heel))
            if _rise(before, after, 0.0) >= -LEVEL and least < -LEVEL:
                yield (
                    f"on one tack the hose from {before.label} to {after.label} falls "
                    f"{quantity('height', -least)} towards the pump: start it upright"
                )


def _access(candidate: Candidate) -> Iterator[str]:
    place = candidate.place
    if place.access == "none":
        yield "nobody can reach it for service"
    if place.above_electrics:
        yield "it would hang over electrical gear, and every pump drips one day"


def _position(case: Case, candidate: Candidate) -> Iterator[str]:
    """Yield a sentence if the place lies outside the box of the compartment it is said to be in."""
    place = candidate.place
    room = next(item for item in case.compartment if item.name == place.compartment)
    outside = [
        max(low - at, at - high, 0.0) for (low, high), at in zip(room.box, place.spot, strict=True)
    ]
    if max(outside) > OUTSIDE:
        yield (
            f"its position lies {quantity('height', float(np.linalg.norm(outside)))} outside the "
            f'box of "{room.name}", where it is said to be: mend one of the two'
        )


def _comforts(case: Case, candidate: Candidate) -> Iterator[str]:
    place = candidate.place
    if case.boat.works_to_heel is None:
        yield "the working heel is not recorded, so the depth is known upright alone"
    if case.boat.works_to_trim and case.boat.waterline_length is None:
        yield "the waterline length is not recorded, so the depth is known without trim"
    if place.access == "poor":
        yield "it can only just be reached for service"
    if place.dry is False:
        yield "it gets wet there: raise it, and keep the motor and its plug out of the splash"
    if place.ventilated is False:
        yield "no air moves there, and the motor must shed its heat: leave it a lined duct"
