"""What the rules are judged on: the case, its loops as built and run, and where things are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from seaflow.boat.case import Case
from seaflow.boat.network import Network, carrier, downstream, upstream
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.recorded_hull import SkinFitting, SkinHose
from seaflow.boat.tables.recorded_machines import KIND_UNKNOWN, PLAIN, BoatSeen
from seaflow.boat.tables.things import Hose, Intake, Outlet, Pump, Seacock, Strainer, Thing
from seaflow.forms.checklist import Address
from seaflow.model.build import Built
from seaflow.model.drive import after_pump
from seaflow.model.elements import Point
from seaflow.model.geometry import Opening, opening, openings
from seaflow.model.heights import Corners, corners, heights
from seaflow.model.loop import Loop
from seaflow.model.make_elements import point_of
from seaflow.studies.design.judge import Judgement, Ruling
from seaflow.studies.design.limits import limit
from seaflow.studies.design.start import FirstStart
from seaflow.studies.survey.rules import Unknown, Verdict
from seaflow.studies.survey.running import LoopRun
from seaflow.studies.survey.waterlines import Waterline

MOST_KEPT = 4096  # heights: a half-known boat is asked for them again with each gap
THE_BOAT = "the boat"
OF_THE_BOAT = ("boat", "sea", "supply")  # tables without a name
SHUTS = ("moves_freely", "full_turn")  # what is seen of a seacock that shuts
NO_COCK = ("none", "no valve")  # types of a seacock that is none


def is_stuck(cock: Seacock | None) -> bool:
    """Return True for a seacock that was found not to move, or not to turn all the way."""
    return any(getattr(cock and cock.seen, key, None) is False for key in SHUTS)


def boat_lacks(key: str) -> Unknown:
    """Return that a key of the boat as a whole is not recorded."""
    return Unknown("boat", THE_BOAT, key)


@dataclass(frozen=True, slots=True, eq=False)
class SurveyedLoop:
    """One loop as built; `part` is the pump fitted, None where none is or it does not fit.

    `run` is how the loop runs with it, `judged` what `size` holds against it, `start` how it
    starts, upright and heeled, and `trimmed` with the trim of the case besides. Where no pump is
    known they tell of one that cannot prime. A loop that `lacks` something is not run.
    """

    network: Network
    built: Built
    part: PumpPart | None
    run: LoopRun | None
    judged: Judgement | None
    start: FirstStart
    trimmed: FirstStart
    lacks: tuple[Unknown, ...] = ()

    @property
    def name(self) -> str:
        """The name of the loop."""
        return self.network.name

    @property
    def pump(self) -> str:
        """The name of its first pump."""
        return self.network.pumps[0].name

    def held(self, kinds: tuple[str, ...]) -> Ruling | None:
        """Return the worst that `size` holds against its pump, of these kinds."""
        return None if self.judged is None else self.judged.of(kinds)

    def primes(self, pump: Pump) -> bool | None:
        """Return whether a pump of it primes itself; None where neither sheet nor kind tells."""
        if self.part is not None:
            return self.part.self_priming
        kind = kind_of(pump)
        return None if kind in (None, KIND_UNKNOWN) else kind != PLAIN

    @property
    def no_pump(self) -> Unknown:
        """That no pump is recorded, or none that fits the supply; else what the loop lacks."""
        if self.part is not None and self.lacks:
            return self.lacks[0]
        return Unknown("pump", self.pump, "fitted")

    @property
    def loop(self) -> Loop:
        """The loop as the model sees it."""
        return self.built.loop

    @property
    def pumped(self) -> frozenset[str]:
        """The junctions behind a pump."""
        return after_pump(self.loop)

    @property
    def intakes(self) -> tuple[Intake, ...]:
        """Its intakes."""
        return tuple(item for item in self.network.things.values() if isinstance(item, Intake))

    @property
    def outlets(self) -> tuple[Outlet, ...]:
        """Its outlets."""
        return tuple(item for item in self.network.things.values() if isinstance(item, Outlet))

    @property
    def strainers(self) -> tuple[Strainer, ...]:
        """Its strainers."""
        return tuple(item for item in self.network.things.values() if isinstance(item, Strainer))

    def before_pump(self, name: str) -> bool:
        """Return True for a thing whose water has not passed a pump yet."""
        pumps = {pump.name for pump in self.network.pumps}
        return bool(pumps & downstream(self.network, name)) and not (
            pumps & upstream(self.network, name)
        )

    def is_suction(self, hose: Hose) -> bool:
        """Return True for a hose between the sea and the pump."""
        pumps = {pump.name for pump in self.network.pumps}
        return hose.to in pumps or self.before_pump(hose.to)


@dataclass(frozen=True, eq=False)
class Evidence:
    """Everything a rule may look at."""

    case: Case
    loops: tuple[SurveyedLoop, ...]
    waterlines: tuple[Waterline, ...]
    partial: Mapping[Address, Mapping[str, Any]] = field(default_factory=dict)

    @cached_property
    def waits(self) -> Mapping[Verdict, tuple[Unknown, ...]]:
        """All that a loop lacks, by what is said of it first."""
        return {loop.lacks[0]: loop.lacks for loop in reversed(self.loops) if loop.lacks}

    @property
    def boat(self) -> BoatSeen:
        """What was seen of the boat; nothing where the case has no such table."""
        return self.case.seen or BoatSeen()

    @property
    def working_heel(self) -> float | None:
        """The heel up to which the cooling must work [rad]."""
        return self.case.boat.works_to_heel

    @property
    def working_trim(self) -> float | None:
        """The trim either way that is looked at: the case's, or the stated one [rad].

        None where the waterline length is not recorded, on whose middle she trims.
        """
        if self.case.boat.waterline_length is None:
            return None
        given = self.case.boat.works_to_trim
        return limit("survey_trim") if given is None else given

    def cock_on(self, name: str) -> Seacock | None:
        """Return the seacock on an intake or outlet; one of type "none" is no seacock."""
        cock = next((item for item in self.case.seacock if item.on == name), None)
        return None if cock is None or cock.type in NO_COCK else cock

    def is_closed(self, thing: Thing) -> bool | None:
        """Return whether a seacock closes an opening; None where that is not recorded.

        A seacock that is recorded speaks for its own opening alone; one of type "none" says that
        there is none.
        """
        if self.cock_on(thing.name) is not None:
            return True
        if any(item.on == thing.name for item in self.case.seacock):
            return False
        return thing.seacock if isinstance(thing, SkinFitting) else None

    def all_at_sea(self) -> Iterator[tuple[SurveyedLoop, Intake | Outlet | SkinFitting]]:
        """Yield every opening of the hull; those outside the loops go with the first loop."""
        yield from self.things_at_sea()
        yield from ((self.loops[0], item) for item in self.case.skin_fitting)

    def openings(self) -> tuple[Opening, ...]:
        """Return what every opening that is under water at rest lets in if its hose fails."""
        found = [item for loop in self.loops for item in openings(loop.loop)]
        for item in self.case.skin_fitting:
            if item.level is not None and item.level < 0.0:
                found.append(opening(item.name, -item.level, item.bore))
        return tuple(found)

    def openings_heeled(self) -> tuple[Opening, ...]:
        """Return the same for those that are dry at rest and go under as she works."""
        found = []
        for loop, thing in self.all_at_sea():
            if thing.level is None or thing.level < 0.0:
                continue
            least = self.lowest_working(loop, thing)
            if least is not None and least < 0.0:
                found.append(opening(thing.name, -least, thing.bore))
        return tuple(found)

    def lowest_working(self, loop: SurveyedLoop, thing: Thing) -> float | None:
        """Return the least height of a thing as she works, heeled and trimmed [m]."""
        if self.working_heel is None:
            return None
        turned = self.corners(loop, thing)
        levels = [
            self.lowest(loop, thing, self.working_heel),
            None if turned is None else turned.lowest,
        ]
        return min((level for level in levels if level is not None), default=None)

    def corners(self, loop: SurveyedLoop, thing: Thing) -> Corners | None:
        """Return a thing's heights at working heel and trim together, each either way."""
        if self.working_trim is None or self.working_heel is None:
            return None
        return corners(point_of(thing), loop.loop, self.working_heel, self.working_trim)

    def things_at_sea(self) -> Iterator[tuple[SurveyedLoop, Intake | Outlet]]:
        """Yield every opening of a loop with its loop."""
        for loop in self.loops:
            yield from ((loop, intake) for intake in loop.intakes)
            yield from ((loop, outlet) for outlet in loop.outlets)

    def height(self, loop: SurveyedLoop, thing: Thing, angle: float) -> float | None:
        """Return a thing's height at an angle of heel [m]."""
        return _height(point_of(thing), loop.loop, angle)

    def lowest(self, loop: SurveyedLoop, thing: Thing, angle: float) -> float | None:
        """Return the lower of a thing's heights at an angle of heel on both tacks [m]."""
        return _lowest(point_of(thing), loop.loop, angle)

    def carrier(self, name: str) -> str:
        """Return the thing that a hose really ends at."""
        return carrier(name, self.case.seacock)

    @property
    def hoses(self) -> tuple[Hose | SkinHose, ...]:
        """All hoses, those on other openings of the hull among them."""
        return (*self.case.hose, *self.case.skin_hose)

    def floods(self, hose: Hose | SkinHose) -> bool | None:
        """Return whether the boat floods if this hose comes off; None where that is not known.

        That is so before the pump, and where an end lies below a heeled waterline.
        """
        if id(hose) not in self._flooding:
            self._flooding[id(hose)] = self._floods(hose)
        return self._flooding[id(hose)]

    @cached_property
    def _flooding(self) -> dict[int, bool | None]:
        """What was found to flood the boat, by hose: many rules ask."""
        return {}

    def _floods(self, hose: Hose | SkinHose) -> bool | None:
        if isinstance(hose, SkinHose):
            on = self.carrier(hose.on)
            fitting = next(item for item in self.case.skin_fitting if item.name == on)
            return self.may_go_under(self.loops[0], fitting)
        found: bool | None = False
        for loop in self.loops:
            if hose.label not in loop.network.labels:
                continue
            if loop.is_suction(hose):
                return True
            for end in (self.carrier(hose.from_), self.carrier(hose.to)):
                under = self.may_go_under(loop, loop.network.things[end])
                if under:
                    return True
                found = None if under is None else found
        return found

    def open_to_sea(self, where: str) -> str | None:
        """Return the opening that lets the sea in where a thing, hose or seacock of a loop is open.

        It is one that is or goes under water, and is recorded to have nothing that shuts it.
        """
        for loop, thing in self.things_at_sea():
            cock = self.cock_on(thing.name)
            here = where in loop.network.things or where in loop.network.labels
            if not here and (cock is None or where != cock.name):
                continue
            if (is_stuck(cock) or self.is_closed(thing) is False) and self.may_go_under(
                loop, thing
            ):
                return thing.name
        return None

    def may_go_under(self, loop: SurveyedLoop, thing: Thing) -> bool | None:
        """Return whether a thing is under water at rest, as she works, or heeled as far as
        requirements ask.
        """
        if thing.level is None:
            return None
        working = self.lowest_working(loop, thing)
        if thing.level < 0.0 or (working is not None and working < 0.0):
            return True
        known = [line.angle for line in self.waterlines if line.angle is not None]
        if not known:
            return None
        level = self.lowest(loop, thing, max(known))
        return None if level is None else level < 0.0


@lru_cache(MOST_KEPT)
def _height(point: Point, loop: Loop, angle: float) -> float | None:
    level = heights(point, loop, np.asarray([angle]))
    return None if level is None else float(level[0])


@lru_cache(MOST_KEPT)
def _lowest(point: Point, loop: Loop, angle: float) -> float | None:
    level = heights(point, loop, np.asarray([angle, -angle]))
    return None if level is None else float(level.min())


def kind_of(pump: Pump) -> str | None:
    """Return what kind of pump was seen, None where nobody has said anything of it."""
    return None if pump.seen is None else pump.seen.kind


def unknown_kind(pump: Pump) -> Unknown:
    """Return the question for the kind of a pump; one that nobody knows is left to be found out.

    One that is named, and does not fit its supply, is asked for by its name again.
    """
    named = pump.fitted is not None or kind_of(pump) is not None
    return Unknown("pump", pump.name, "fitted" if named else "kind")


def distance(thing: Thing, key: str) -> float | None:
    """Return the height of a thing, or its distance aft or to starboard, if recorded [m]."""
    if key == "height" or thing.at is None:
        return thing.level if key == "height" else None
    found: float | None = getattr(thing.at, key)
    return found


def unplaced(*things: Thing) -> Unknown:
    """Return the first distance that is not recorded of some things."""
    for thing in things:
        for key in ("height", "aft", "starboard"):
            if distance(thing, key) is None:
                return Unknown(table_of(thing), thing.name, key)
    raise ValueError("all of them have a place")


def hose_table(hose: Hose | SkinHose) -> str:
    """Return the table under which a checklist asks about a hose."""
    return "skin_hose" if isinstance(hose, SkinHose) else "hose"


def table_of(thing: Thing) -> str:
    """Return the table under which a checklist asks about a thing."""
    return "intake" if isinstance(thing, Intake) else thing.table
