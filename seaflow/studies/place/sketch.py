"""What a drawing of a place shows: boxes, things and hoses with their slopes, in metres."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network, numbers_of, upstream
from seaflow.boat.tables.things import Intake, Outlet, Pump, Spot, Strainer, Thing, Unit
from seaflow.studies.place.sound import SoundAt

KINDS: tuple[tuple[type[Thing], str], ...] = (
    (Intake, "intake"),
    (Strainer, "strainer"),
    (Pump, "pump"),
    (Unit, "unit"),
    (Outlet, "outlet"),
)
OVERLAP = 0.1  # m; rooms that share no more than this hide nothing of each other
LEVEL_SLOPE = math.radians(0.5)  # less than this is called level


@dataclass(frozen=True, slots=True)
class Box:
    """A compartment as drawn, with what is heard there if it is a berth."""

    name: str
    use: str
    aft: tuple[float, ...] = measured("m")
    starboard: tuple[float, ...] = measured("m")
    height: tuple[float, ...] = measured("m")
    sleeps: bool = False
    level: float | None = measured("dB", None)

    def holds(self, spot: Spot) -> bool:
        """Return whether a point lies in it."""
        ends = zip((self.aft, self.starboard, self.height), spot, strict=True)
        return all(low <= at <= high for (low, high), at in ends)

    def hides(self, other: Box) -> bool:
        """Return whether the two overlap as seen from the side."""
        pairs = ((self.aft, other.aft), (self.height, other.height))
        return all(min(a[1], b[1]) - max(a[0], b[0]) > OVERLAP for a, b in pairs)


@dataclass(frozen=True, slots=True)
class Mark:
    """A thing at a point: aft, starboard, height [m]; `number` is its own along the loop."""

    name: str
    kind: str
    at: Spot = measured("m")
    number: int = 0


@dataclass(frozen=True, slots=True)
class Lettered:
    """A place for the pump, by its letter in the ranking; `stands` is taken, other or out; drawn
    if it is out and yet the drawing has the pump there, for want of a better one."""

    letter: str
    name: str
    stands: str
    at: Spot = measured("m")


@dataclass(frozen=True, slots=True)
class Run:
    """A hose through its points, with its length and the steepest fall or least rise of its legs.

    `ends` are the numbers of the things that it joins, and `slope` that of a straight line between
    them [rad].
    """

    name: str
    ends: tuple[int, int]
    points: tuple[Spot, ...] = measured("m")
    length: float = measured("m", 0.0)
    bore: float = measured("m", 0.0)
    rise: float = measured("m", 0.0)
    slope: float = measured("rad", 0.0)
    suction: bool = False

    @property
    def goes(self) -> str:
        """Which way the water goes."""
        if abs(self.slope) < LEVEL_SLOPE:
            return "level"
        return "rises" if self.slope > 0 else "falls"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """Everything that a drawing shows.

    `stays` is how deep the pump sits as she works. `places` are those for the pump, `intakes` the
    other ones for the intake. `trim` is nought where the waterline length, about
    whose middle she turns, is not recorded.
    """

    title: Fact
    boat: str
    stays: Fact
    boxes: tuple[Box, ...]
    marks: tuple[Mark, ...]
    runs: tuple[Run, ...]
    heel: float = measured("rad")
    places: tuple[Lettered, ...] = ()
    waterline_length: float | None = measured("m")
    beam: float | None = measured("m")
    freeboard: float | None = measured("m")
    trim: float = measured("rad")
    pillows: tuple[Mark, ...]
    intakes: tuple[Mark, ...]
    not_drawn: tuple[str, ...]
    multihull: bool


def sketch(
    case: Case, loop: Network, pump: str, heard: tuple[SoundAt, ...], words: tuple[Fact, Fact]
) -> Sketch:
    """Return the drawing of a case with the pump at a place; `words` are its title and `stays`."""
    levels = {item.berth: item.level for item in heard}
    boxes = tuple(
        Box(
            name=room.name,
            use=room.use,
            aft=room.aft,
            starboard=room.starboard,
            height=room.height,
            sleeps=room.is_berth,
            level=levels.get(room.name),
        )
        for room in case.compartment
    )
    points = {name: thing.point for name, thing in loop.things.items()}
    numbers = numbers_of(loop)
    marks = tuple(
        Mark(name, _kind(thing), at, numbers[name])
        for name, thing in loop.things.items()
        if (at := points[name]) is not None
    )
    return Sketch(
        title=words[0],
        boat=case.boat.name,
        stays=words[1],
        boxes=boxes,
        marks=marks,
        runs=tuple(_runs(loop, points, pump, numbers)),
        heel=case.boat.works_to_heel or 0.0,
        waterline_length=case.boat.waterline_length,
        beam=case.boat.beam,
        freeboard=case.boat.freeboard,
        trim=(case.boat.works_to_trim or 0.0) if case.boat.waterline_length else 0.0,
        pillows=tuple(Mark(r.name, "pillow", r.ear) for r in case.compartment if r.is_berth),
        intakes=tuple(_other_intakes(case, marks)),
        not_drawn=tuple(sorted(name for name, at in points.items() if at is None)),
        multihull="multihull" in case.boat.hull,
    )


def _other_intakes(case: Case, marks: tuple[Mark, ...]) -> Iterator[Mark]:
    """Yield the places for the intake that are not the one drawn."""
    taken = [mark.at for mark in marks if mark.kind == "intake"]
    for place in case.intake_place:
        at = place.at.point
        if at is not None and at not in taken:
            yield Mark(place.name, "other intake", at)


def _kind(thing: Thing) -> str:
    return next((word for kind, word in KINDS if isinstance(thing, kind)), "other")


def _runs(
    loop: Network, points: dict[str, Spot | None], pump: str, numbers: dict[str, int]
) -> Iterator[Run]:
    before = upstream(loop, pump) | {pump}
    for hose in loop.hoses:
        via = [at for place in hose.via if (at := place.point) is not None]
        start, end = points.get(hose.from_), points.get(hose.to)
        if start is None or end is None:
            continue
        rise = end[2] - start[2]
        yield Run(
            name=f"{hose.from_} to {hose.to}",
            ends=(numbers[hose.from_], numbers[hose.to]),
            points=(start, *via, end),
            length=hose.length,
            bore=hose.bore,
            rise=rise,
            slope=math.asin(max(-1.0, min(1.0, rise / hose.length))) if hose.length else 0.0,
            suction=hose.to in before,
        )
