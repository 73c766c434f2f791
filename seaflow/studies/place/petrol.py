"""Petrol: where a pump needs ignition protection, and where vapour may drift in from next door."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.rooms import Compartment, Partition
from seaflow.studies.place.routes import Candidate

SINKS = ("engine space", "bilge")  # where the vapour, heavier than air, gathers


def petrol_reasons(case: Case, candidate: Candidate, part: PumpPart) -> Iterator[str]:
    """Yield what speaks against a pump that is not known to be ignition-protected."""
    if _is_protected(case, candidate, part):
        return
    room = _room(case, candidate)
    if candidate.place.petrol or room.petrol:
        yield "petrol can get there, and the pump is not known to be ignition-protected"
    elif room.use in SINKS and _has_petrol(case) and _is_open(case, candidate):
        yield (
            f"she has petrol aboard, whether it can get into this {room.use} is not recorded, and "
            "the pump is not known to be ignition-protected: look, and record petrol = true or "
            "false at the place or its compartment"
        )


def petrol_remarks(case: Case, candidate: Candidate, part: PumpPart) -> Iterator[str]:
    """Yield the rooms next door from which petrol vapour could drift in through an opening."""
    room = _room(case, candidate)
    if _is_protected(case, candidate, part) or candidate.place.petrol or room.petrol:
        return
    rooms = {item.name: item for item in case.compartment}
    for wall in case.partition:
        if room.name not in wall.between or not _lets_through(wall):
            continue
        other = next((rooms[name] for name in wall.between if name != room.name), None)
        if other is not None and _may_hold(case, other):
            kept = "petrol is" if other.petrol else "petrol may be"
            yield (
                f'an opening leads to "{other.name}", where {kept}: the vapour can drift in, so '
                "seal it or take an ignition-protected pump"
            )


def _is_protected(case: Case, candidate: Candidate, part: PumpPart) -> bool:
    """Return whether the pump is known to be protected: by [placing], or seen on the one fitted."""
    if case.placing is not None and case.placing.ignition_protected is not None:
        return case.placing.ignition_protected
    pump = next(item for item in case.pump if item.name == candidate.pump)
    if pump.seen is None or not pump.seen.ignition_protected or pump.fitted is None:
        return False
    return bool(case.catalogue.find("pumps", pump.fitted)[0] == part.name)


def _has_petrol(case: Case) -> bool:
    return case.seen is not None and case.seen.fuel == "petrol"


def _is_open(case: Case, candidate: Candidate) -> bool:
    """Return whether nothing is recorded of petrol at a place."""
    return candidate.place.petrol is None and _room(case, candidate).petrol is None


def _may_hold(case: Case, room: Compartment) -> bool:
    """Return whether petrol is in a room, or could be for all that is recorded."""
    if room.petrol is not None:
        return room.petrol
    return _has_petrol(case) and room.use in SINKS


def _lets_through(wall: Partition) -> bool:
    if wall.opening_area is not None:
        return wall.opening_area > 0.0
    return wall.opening not in (None, "sealed")


def _room(case: Case, candidate: Candidate) -> Compartment:
    return next(item for item in case.compartment if item.name == candidate.place.compartment)
