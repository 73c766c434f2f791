"""Where petrol or its vapour may be: as said of a machine itself, or of the room it stands in."""

from __future__ import annotations

from seaflow.boat.case import Case
from seaflow.boat.tables.rooms import Compartment
from seaflow.boat.tables.things import Pump, Unit


def petrol_at(case: Case, thing: Pump | Unit) -> bool | None:
    """Return whether petrol or its vapour may be where a machine stands; None: nobody said.

    Where the two differ the one that says so counts: that is safe.
    """
    told = [room.petrol for room in case.compartment if _is_in(thing, room)]
    told.append(None if thing.seen is None else thing.seen.in_petrol_space)
    known = [petrol for petrol in told if petrol is not None]
    return any(known) if known else None


def petrol_aboard(case: Case) -> bool:
    """Return whether she burns petrol, or it is kept or led in a compartment."""
    return burns_petrol(case) or any(room.petrol for room in case.compartment)


def burns_petrol(case: Case) -> bool:
    """Return whether petrol is the fuel that was seen."""
    return case.seen is not None and case.seen.fuel == "petrol"


def _is_in(thing: Pump | Unit, room: Compartment) -> bool:
    if thing.point is None:
        return False
    ends = zip(thing.point, room.box, strict=True)
    return all(low <= at <= high for at, (low, high) in ends)
