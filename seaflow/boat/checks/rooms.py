"""Whether compartments, partitions and places for a pump fit together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from seaflow.base.near import did_you_mean
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.rooms import Compartment, IntakePlace, Partition, PumpPlace, shared_area


def check_extents(case: Case) -> Iterator[Problem]:
    """A compartment reaches from a smaller number to a larger one."""
    for room in case.compartment:
        for side in ("aft", "starboard", "height"):
            ends = getattr(room, side)
            if not _ascends(ends):
                yield case.text.problem(
                    "S51",
                    ("compartment", room.row, side),
                    f'compartment "{room.name}": {side} must be two numbers, the smaller first',
                    why="A compartment is taken as a box, and its size follows from its ends.",
                    write=f'Write for example {side} = ["0.2 m", "1.5 m"].',
                )


def _ascends(ends: tuple[float, ...]) -> bool:
    return len(ends) == 2 and ends[0] < ends[1]


def _is_whole(room: Compartment) -> bool:
    return all(_ascends(ends) for ends in room.box)


# Where to see what a boat with places looks like.
PLACES_SHOWN = (
    "seaflow explain placing shows how; seaflow example ketch-one-unit writes a boat that has some."
)


def check_rooms(case: Case) -> Iterator[Problem]:
    """Every compartment that is named must be there."""
    if case.pump_place and not case.compartment:
        yield case.text.problem(
            "S55",
            ("pump_place", case.pump_place[0].row, "compartment"),
            "the case has places for a pump and no compartment",
            why="Places are compared by the compartments they are in and what stands between them.",
            write=f"Add [[compartment]] tables; {PLACES_SHOWN}",
        )
        return
    names = [room.name for room in case.compartment]
    named: list[tuple[Path, str]] = []
    for wall in case.partition:
        named += [(("partition", wall.row, "between"), name) for name in wall.between]
    for place in case.pump_place:
        path: Path = ("pump_place", place.row)
        named.append(((*path, "compartment"), place.compartment))
        named += [((*path, "faces"), name) for name in place.faces]
        named += [((*path, "joined"), joint.compartment) for joint in place.joined]
    for where, name in named:
        if name not in names:
            yield case.text.problem(
                "S50",
                where,
                f'there is no compartment "{name}"',
                why="Sound goes from one compartment to the next, and both must be known.",
                write=_near(name, names, "Compartments there are: "),
            )


def check_partitions(case: Case) -> Iterator[Problem]:
    """A partition stands between two compartments that meet, or its area is given."""
    rooms = {room.name: room for room in case.compartment}
    for wall in case.partition:
        if len(set(wall.between)) != 2 or len(wall.between) != 2:
            what = "a partition must stand between two different compartments"
            write = 'Write for example between = ["saloon", "aft cabin"].'
        elif wall.area is None and _do_not_meet(wall, rooms):
            first, second = wall.between
            what = f'the compartments "{first}" and "{second}" do not meet'
            write = 'Add area = "1.5 m2" to the partition, or mend the ends of the compartments.'
        else:
            continue
        yield case.text.problem(
            "S52",
            ("partition", wall.row, "between"),
            what,
            why="How much sound it lets through follows from its area.",
            write=write,
        )


def _do_not_meet(wall: Partition, rooms: dict[str, Compartment]) -> bool:
    pair = [rooms[name] for name in wall.between if name in rooms]
    if len(pair) != 2 or not all(_is_whole(room) for room in pair):
        return False
    return shared_area(*pair) <= 0.0


def check_places(case: Case) -> Iterator[Problem]:
    """A place is for a pump or an intake of the boat; it and the panel are known all three ways."""
    pumps = [pump.name for pump in case.pump]
    intakes = [intake.name for intake in case.intakes]
    for place in case.pump_place:
        if place.pump is not None and place.pump not in pumps:
            yield _no_thing(case, ("pump_place", place.row, "pump"), place.pump, pumps)
    for other in case.intake_place:
        if other.intake is not None and other.intake not in intakes:
            yield _no_thing(case, ("intake_place", other.row, "intake"), other.intake, intakes)
    things: tuple[PumpPlace | IntakePlace, ...] = (*case.pump_place, *case.intake_place)
    for thing in things:
        if thing.at is None or (thing.at.aft is not None and thing.at.starboard is not None):
            continue
        yield case.text.problem(
            "S54",
            (thing.table, thing.row, "at"),
            f'the place "{thing.name}" is not known along and across the boat',
            why="Hoses are measured from it, and heel lifts what is off the centreline.",
            write='Write at = { aft = "7.0 m", starboard = "-0.4 m", height = "-0.4 m" }.',
        )
    panel = None if case.placing is None else case.placing.panel
    if panel is not None and (panel.aft is None or panel.starboard is None):
        yield case.text.problem(
            "S54",
            ("placing", "panel"),
            "the place of the panel is not known along and across the boat",
            why="The cable to each place is measured from it.",
            write='Write panel = { aft = "6.4 m", starboard = "-1.2 m", height = "0.9 m" }.',
        )


def _no_thing(case: Case, path: Path, name: str, known: list[str]) -> Problem:
    return case.text.problem(
        "S53",
        path,
        f'a place is for "{name}", and the boat has no {path[-1]} of that name',
        why="The hoses of that thing would lead to the new place.",
        write=_near(name, known, f"Every {path[-1]} there is: "),
    )


def _near(name: str, known: Iterable[str], words: str) -> str:
    listed = ", ".join(f'"{item}"' for item in known) or "none"
    return did_you_mean(name, known, f"{words}{listed}.")


ROOMS: tuple[Callable[[Case], Iterator[Problem]], ...] = (
    check_extents,
    check_rooms,
    check_partitions,
    check_places,
)
