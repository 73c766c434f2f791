"""Where openings, pumps and runs lie at rest and heeled, and the angles at which that turns."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.things import Intake, Thing
from seaflow.model.geometry import dips, highest_point, immersions, legs, pump_depths
from seaflow.model.heights import crossing
from seaflow.model.make_elements import point_of
from seaflow.studies.survey.evidence import Evidence, SurveyedLoop


@dataclass(frozen=True, slots=True)
class Placed:
    """An intake, pump, outlet or other opening: its height at rest and heeled to either side.

    `turns_at` is the least heel at which an intake comes out of the water or an outlet goes under;
    None where that is not recorded or does not happen below 60 degrees: `is_known` tells which.
    """

    name: str
    kind: str
    is_known: bool
    height: float | None = measured("m")
    starboard_down: float | None = measured("m")
    port_down: float | None = measured("m")
    turns_at: float | None = measured("rad")


@dataclass(frozen=True, slots=True)
class Trimmed:
    """The same at working heel and trim together, each either way; `height` is that at rest.

    `turns_at` is the least heel, with that trim, at which an intake comes out of the water or an
    opening goes under; None where that does not happen below 60 degrees, or, without `is_known`,
    is not recorded.
    """

    name: str
    kind: str
    is_known: bool
    height: float | None = measured("m", None)
    starboard_bow: float | None = measured("m", None)
    starboard_stern: float | None = measured("m", None)
    port_bow: float | None = measured("m", None)
    port_stern: float | None = measured("m", None)
    turns_at: float | None = measured("rad", None)


@dataclass(frozen=True, slots=True)
class RunLeg:
    """A straight piece of a run, in the direction of the water: `rise` over `run` upright.

    `reverses_at` is the least heel at which a piece that rises falls, or one that falls rises; None
    where that never happens below 60 degrees, or, without `is_known`, is not recorded. One that
    is level reverses at 0 where it lies across the boat.
    """

    start: str
    end: str
    before_pump: bool
    is_known: bool
    rise: float | None = measured("m")
    run: float | None = measured("m")
    slope: float | None = measured("-")
    reverses_at: float | None = measured("rad")


@dataclass(frozen=True, slots=True)
class StartingHead:
    """The crest of a loop, to which the pump must lift before the run is full; None if that is
    not recorded.
    """

    loop: str
    crest: str | None
    height: float | None = measured("m", None)

    @property
    def told(self) -> Fact:
        """To where the pump lifts."""
        if self.crest is None or self.height is None:
            return fact("survey.crest_not_recorded", loop=self.loop)
        height = amount("height", self.height)
        return fact("survey.lifts_to", loop=self.loop, crest=self.crest, height=height)


def run_legs(evidence: Evidence) -> tuple[RunLeg, ...]:
    """Return the straight pieces of all runs, as far as their ends have a height."""
    found = []
    for loop in evidence.loops:
        for leg in legs(loop.loop, loop.pumped):
            angles = [angle for angle in leg.reverses or () if angle is not None]
            found.append(
                RunLeg(
                    leg.start,
                    leg.end,
                    leg.before_pump,
                    leg.reverses is not None,
                    leg.rise,
                    leg.run,
                    leg.slope,
                    min(angles, default=None),
                )
            )
    return tuple(found)


def starting_heads(evidence: Evidence) -> tuple[StartingHead, ...]:
    """Return the crest of every loop; none where a height is not recorded."""
    found = []
    for loop in evidence.loops:
        top = highest_point(loop.loop)
        name = loop.network.name
        found.append(StartingHead(name, *((top[0], max(top[1], 0.0)) if top else (None,))))
    return tuple(found)


def placed(evidence: Evidence) -> tuple[Placed, ...]:
    """Return where every intake, pump and outlet of the boat lies."""
    heel, found = evidence.working_heel, []
    for loop in evidence.loops:
        for item in immersions(loop.loop, heel or 0.0):
            at_heel = None if heel is None else item.at_heel
            found.append(_place(item.name, "intake", item.upright, at_heel, item.emerges))
        for pump in pump_depths(loop.loop, heel or 0.0):
            at_heel = None if heel is None else pump.at_heel
            found.append(_place(pump.name, "pump", pump.upright, at_heel, None))
        for outlet in dips(loop.loop):
            depth = None if outlet.upright is None else -outlet.upright
            thing = next(item for item in loop.outlets if item.name == outlet.name)
            at = _sides(evidence, loop, thing)
            known = None if at[0] is None or at[1] is None else (-at[0], -at[1])
            found.append(_place(outlet.name, "outlet", depth, known, outlet.goes_under))
    return (*found, *(_other(evidence, item) for item in evidence.case.skin_fitting))


def _other(evidence: Evidence, item: SkinFitting) -> Placed:
    """Return where an opening lies that is no part of a loop."""
    loop = evidence.loops[0]
    sides = _sides(evidence, loop, item)
    turns = None
    if item.level is not None and item.level >= 0.0:
        turns = crossing(point_of(item), loop.loop, 0.0, rising=False)
    known = item.level is not None and item.at is not None and item.at.starboard is not None
    return Placed(item.name, "opening", known, item.level, sides[0], sides[1], turns)


def _sides(
    evidence: Evidence, loop: SurveyedLoop, thing: Thing
) -> tuple[float | None, float | None]:
    """Return the heights of a thing at the working heel, either side down."""
    heel = evidence.working_heel
    if heel is None:
        return (None, None)
    return evidence.height(loop, thing, heel), evidence.height(loop, thing, -heel)


def trimmed(evidence: Evidence) -> tuple[Trimmed, ...]:
    """Return where everything lies at working heel and trim together."""
    found = []
    for loop in evidence.loops:
        for kind, things in (
            ("intake", loop.intakes),
            ("pump", loop.network.pumps),
            ("outlet", loop.outlets),
        ):
            found += [_trimmed(evidence, loop, kind, thing) for thing in things]
    found += [
        _trimmed(evidence, evidence.loops[0], "opening", item)
        for item in evidence.case.skin_fitting
    ]
    return tuple(found)


def _trimmed(evidence: Evidence, loop: SurveyedLoop, kind: str, thing: Thing) -> Trimmed:
    at = evidence.corners(loop, thing)
    if at is None:
        return Trimmed(thing.name, kind, False, thing.level)
    turns = None
    is_intake = isinstance(thing, Intake)
    if kind != "pump" and (is_intake or (thing.level or 0.0) >= 0.0):
        turns = crossing(point_of(thing), loop.loop, evidence.working_trim or 0.0, is_intake)
    return Trimmed(thing.name, kind, True, thing.level, *at.all, turns)


def _place(
    name: str,
    kind: str,
    depth: float | None,
    at_heel: tuple[float, float] | None,
    turns: tuple[float | None, float | None] | None,
) -> Placed:
    angles = [angle for angle in turns or () if angle is not None]
    return Placed(
        name,
        kind,
        turns is not None if kind != "pump" else at_heel is not None,
        None if depth is None else -depth,
        None if at_heel is None else -at_heel[0],
        None if at_heel is None else -at_heel[1],
        min(angles, default=None),
    )
