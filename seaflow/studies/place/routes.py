"""The places offered for a pump, and the case with it at one of them: hoses and cable led anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import IntakePlace, PumpPlace
from seaflow.boat.tables.supply import Cable
from seaflow.boat.tables.things import Hose, Intake, Place, Pump, Strainer, Thing, apart

_T = TypeVar("_T", bound=Thing)

SHORTEST = 0.1  # m; two things cannot be joined by less hose
SAME_SPOT = 0.05  # m; no further off than this a thing stands where it stands now, our assumption
AXES = ("aft", "starboard", "height")
# Where the length of a cable comes from: measured at the place, of a pump that stays where it is,
# led from the panel, or as it is now for want of that.
MEASURED, STAYS, ROUTED, GIVEN, UNKNOWN = "measured", "stays", "routed", "given", "unknown"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place for a pump, and for the intake if the case offers several.

    `intake_stays` is true if that place for the intake is where it is now.
    """

    place: PumpPlace
    pump: str
    intake: IntakePlace | None
    intake_stays: bool

    @property
    def name(self) -> str:
        """What the answer calls it."""
        return self.place.name + (f", with {self.intake.name}" if self.intake else "")


def places_offered(case: Case, pump: str) -> tuple[Candidate, ...]:
    """Return every place offered for a pump, with every place offered for an intake."""
    first = case.pump[0].name if case.pump else ""
    places = [place for place in case.pump_place if (place.pump or first) == pump]
    intakes: tuple[IntakePlace | None, ...] = case.intake_place or (None,)
    return tuple(
        Candidate(place, pump, intake, _stays(case, intake))
        for place in places
        for intake in intakes
    )


def _stays(case: Case, intake: IntakePlace | None) -> bool:
    if intake is None:
        return True
    name = intake.intake or case.intakes[0].name
    return any(item.name == name and is_same_spot(item.at, intake.at) for item in case.intakes)


def is_same_spot(one: Place | None, other: Place | None) -> bool:
    """Return whether two places, known all three ways, are one."""
    way = apart(one, other)
    return way is not None and way <= SAME_SPOT


# --- what is joined to what ---


def loop_of(case: Case, name: str) -> network.Network:
    """Return the loop that a thing belongs to."""
    return next(loop for loop in network.loops(case) if name in loop.things)


def strainers_before(case: Case, pump: str) -> tuple[Strainer, ...]:
    """Return the strainers upstream of a pump, through tees and manifolds too."""
    before = network.upstream(loop_of(case, pump), pump)
    return tuple(strainer for strainer in case.strainer if strainer.name in before)


def intakes_before(case: Case, name: str) -> tuple[Intake, ...]:
    """Return the intakes that feed a thing."""
    before = network.upstream(loop_of(case, name), name)
    return tuple(intake for intake in case.intakes if intake.name in before)


def hose_metres(case: Case, pump: str) -> float:
    """Return the length of all hoses from the intakes to the first things behind the pump [m].

    Tees, manifolds and other fittings behind the pump are passed.
    """
    loop = loop_of(case, pump)
    ends, starts = network.upstream(loop, pump) | {pump}, [pump]
    passed = {thing.name for thing in case.fittings}
    for start in starts:
        behind = {hose.to for hose in loop.leaving(start)}
        starts += sorted((behind & passed).difference(starts))
    return sum(hose.length for hose in loop.hoses if hose.to in ends or hose.from_ in starts)


# --- cables and hoses, led anew ---


def slack_of(case: Case) -> float:
    """Return the length of a hose over the way it must go."""
    given = case.placing.slack if case.placing is not None else None
    return default("placing.slack").value if given is None else given


def cable_slack_of(case: Case) -> float:
    """Return the length of a cable over the way it must go."""
    given = case.placing.cable_slack if case.placing is not None else None
    return default("placing.cable_slack").value if given is None else given


def cable_basis(case: Case, candidate: Candidate) -> str:
    """Return where the length of the cable to a place comes from."""
    if candidate.place.cable_length is not None:
        return MEASURED
    pump = next(pump for pump in case.pump if pump.name == candidate.pump)
    if pump.cable is not None and is_same_spot(pump.at, candidate.place.at):
        return STAYS
    if case.placing is not None and case.placing.panel is not None:
        return ROUTED
    return UNKNOWN if pump.cable is None else GIVEN


def _cable_to(case: Case, candidate: Candidate, cable: Cable | None) -> Cable | None:
    """Return the cable to a place; its conductor is the one that the case has."""
    basis, place = cable_basis(case, candidate), candidate.place
    if basis in (STAYS, GIVEN, UNKNOWN):
        return cable
    length = place.cable_length
    if length is None:
        assert case.placing is not None and case.placing.panel is not None
        length = route_length([case.placing.panel, place.at], cable_slack_of(case))
    room = next((item for item in case.compartment if item.name == place.compartment), None)
    hot = bool(cable and cable.hot_space) or (room is not None and room.use == "engine space")
    return Cable(length=length, conductor=cable.conductor if cable else None, hot_space=hot)


def route_length(points: Iterable[Place], slack: float) -> float:
    """Return the length of a hose through points, along, across and up the boat [m].

    What a point does not record adds nothing.
    """
    way, last = 0.0, dict[str, float]()
    for point in points:
        for axis in AXES:
            value = getattr(point, axis)
            if value is not None:
                way += abs(value - last.get(axis, value))
                last[axis] = value
    return way * slack


def placed(case: Case, candidate: Candidate) -> Case:
    """Return the case with the pump at a place; hoses and cable of what has moved are led anew.

    The bends and fittings of every hose, and the conductor, stay as the case has them. A hose
    between two things that stay where they are keeps the length that the case gives.

    Raises
    ------
    SeaflowError
        If a hose must be measured to a thing whose place is not known along and across.
    """
    moved = _moves(case, candidate)
    here = replace(
        case,
        through_hull=tuple(_moved(thing, moved) for thing in case.through_hull),
        sea_chest=tuple(_moved(thing, moved) for thing in case.sea_chest),
        strainer=tuple(_moved(thing, moved) for thing in case.strainer),
        pump=tuple(_wired(case, candidate, _moved(thing, moved)) for thing in case.pump),
    )
    shifted = frozenset(moved) - _staying(case, moved)
    hoses = tuple(_routed(here, hose, candidate, shifted) for hose in case.hose)
    return replace(here, hose=hoses)


def stands_now(case: Case, candidate: Candidate) -> bool:
    """Return whether all that a place names stands there now, so that hoses keep their length."""
    place, moved = candidate.place, _moves(case, candidate)
    led = place.suction_via or place.delivery_via or place.suction_length or place.delivery_length
    return not led and _staying(case, moved) == frozenset(moved)


def _moves(case: Case, candidate: Candidate) -> dict[str, Place]:
    """Return where everything goes that a place names, by name."""
    place, pump = candidate.place, candidate.pump
    moved: dict[str, Place] = {pump: place.at}
    if place.strainer is not None:
        moved |= {strainer.name: place.strainer for strainer in strainers_before(case, pump)}
    if candidate.intake is not None:
        name = candidate.intake.intake or case.intakes[0].name
        moved[name] = candidate.intake.at
    return moved


def _staying(case: Case, moved: dict[str, Place]) -> frozenset[str]:
    """Return which of these things stand there now."""
    return frozenset(
        thing.name
        for thing in case.things
        if thing.name in moved and is_same_spot(thing.at, moved[thing.name])
    )


def _moved(thing: _T, moved: dict[str, Place]) -> _T:
    return replace(thing, at=moved[thing.name], height=None) if thing.name in moved else thing


def _wired(case: Case, candidate: Candidate, pump: Pump) -> Pump:
    if pump.name != candidate.pump:
        return pump
    return replace(pump, cable=_cable_to(case, candidate, pump.cable))


def _routed(case: Case, hose: Hose, candidate: Candidate, shifted: frozenset[str]) -> Hose:
    ends = tuple(network.carrier(name, case.seacock) for name in (hose.from_, hose.to))
    place, given = candidate.place, None
    led: tuple[Place, ...] = ()
    if ends[1] == candidate.pump:
        led, given = place.suction_via, place.suction_length
    elif ends[0] == candidate.pump:
        led, given = place.delivery_via, place.delivery_length
    if not (shifted & set(ends) or led or given is not None):
        return hose
    via = led or hose.via
    if given is None:
        for name in ends:
            _require_place(case, name)
    points = [*_place(case, ends[0]), *via, *_place(case, ends[1])]
    length = route_length(points, slack_of(case)) if given is None else given
    return replace(hose, via=via, length=max(length, SHORTEST))


def _require_place(case: Case, name: str) -> None:
    """Refuse to measure a hose to a thing whose place is not known."""
    for place in _place(case, name):
        if place.aft is not None and place.starboard is not None:
            return
    raise SeaflowError(
        [
            Problem(
                "M01",
                f'"{name}" is not known along and across the boat, so a hose from it to a new '
                "place cannot be measured",
                why="A place costs the hose that leads to it.",
                write='Add at = { aft = "5.4 m", starboard = "0.4 m", height = "-0.5 m" } to it, '
                "or give suction_length and delivery_length at every place.",
                file=case.text.file,
            )
        ]
    )


def _place(case: Case, name: str) -> Iterator[Place]:
    for thing in case.things:
        if thing.name == name and thing.at is not None:
            yield thing.at
        elif thing.name == name and thing.height is not None:
            yield Place(height=thing.height)
