"""Place the pumps of a boat: from a case to an answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.checks.rooms import PLACES_SHOWN
from seaflow.boat.defaults import Assumption, assumed
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.physics.sound.levels import level_sum
from seaflow.studies.design.at_rest import is_at_rest, left_at_rest, loops_in_use, require_in_use
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.find_out import next_of
from seaflow.studies.design.choose import Ranked
from seaflow.studies.design.judge import NO, worst_of
from seaflow.studies.design.limits import limits_used
from seaflow.studies.design.which_pump import asked_of
from seaflow.studies.place.advice import Advice, advice_for
from seaflow.studies.place.boats import on_drawn_boats, stays_first
from seaflow.studies.place.cures import cures
from seaflow.studies.place.must_hold import standing
from seaflow.studies.place.other_pump import with_other_pumps
from seaflow.studies.place.pump_sound import footing_of, resonance, sound_of
from seaflow.studies.place.rank import (
    IntakeRank,
    PlaceResult,
    Sensitivity,
    gaps,
    in_order,
    intakes_in_order,
    letter_at,
    sensitivity,
)
from seaflow.studies.place.rooms import (
    Rooms,
    rooms_of,
    with_usual_partitions,
    without_partition,
)
from seaflow.studies.place.routes import (
    GIVEN,
    ROUTED,
    STAYS,
    UNKNOWN,
    Candidate,
    cable_basis,
    cable_slack_of,
    loop_of,
    placed,
    places_offered,
    slack_of,
    stands_now,
)
from seaflow.studies.place.sketch import Lettered, Sketch, sketch
from seaflow.studies.place.sound import heard, ranking_width
from seaflow.studies.place.water import Water, run_each, waters_of

SAME_SPEED = 0.002  # of rated speed; less is 0.05 dB, and no difference
LIMITS = ("pump_below_water", "strainer_reach", "npsh_margin", "suction_vacuum", "nearest_ear")
BOARDS = ("neighbour", "further", "board_length", "board_width", "locker_leak")
_Offer = tuple[Pump, tuple[Candidate, ...]]  # a pump of the case, and its places


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPlacing:
    """The answer for one pump: its places in order, and the advice.

    `chosen` says why it is this pump, `rather` which one `size` would recommend where the pump is
    to stand by the case; `speeds` names the places where
    the pump turns faster or slower; `cost_notes` say what hoses and cables rest on.
    """

    pump: str
    part: PumpPart
    places: tuple[PlaceResult, ...]
    gaps: tuple[Fact, ...]
    advice: Advice
    sketch: Sketch
    chosen: Fact | None = None
    rather: Fact | None = None
    speeds: Fact | None
    cost_notes: tuple[Fact, ...]
    a_level: float = measured("dB")
    speed_ratio: float = measured("-")
    ranking_width: float = measured("dB")
    sensitivity: Sensitivity | None
    intakes: tuple[IntakeRank, ...]

    @property
    def grade(self) -> str:
        """That of the place put first."""
        return self.places[0].grade if self.places else NO

    @property
    def is_met(self) -> bool:
        """True if a place holds."""
        return bool(self.places) and self.places[0].holds


@dataclass(frozen=True, slots=True)
class Together:
    """A berth with every pump running: the level, its uncertainty, and the pump heard most."""

    berth: str
    loudest: str
    level: float = measured("dB")
    half_width: float = measured("dB")


@dataclass(frozen=True, slots=True)
class PlacingAnswer:
    """The answer for the whole boat; `not_parted` are rooms that touch with nothing recorded.

    `at_rest` tells the loops that it leaves out.
    """

    ALSO = ("grade",)

    boat: str
    hull: str
    pumps: tuple[PumpPlacing, ...]
    together: tuple[Together, ...]
    assumptions: tuple[Assumption, ...]
    cautions: tuple[Caution, ...]
    works_to_heel: float | None = measured("rad")
    not_parted: tuple[tuple[str, str], ...] = ()
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of the first places."""
        return worst_of(item.grade for item in self.pumps)


def place(case: Case, pump: str | None = None) -> PlacingAnswer:
    """Return the places of a case in order for every pump that has any.

    `pump` names another pump than the one fitted, or recommended where none is.

    Raises
    ------
    SeaflowError
        If the case offers no place, names no compartment, no pump fits its supply, or the pump
        named is not known or does not; or if every unit is switched off.
    """
    loops_in_use(case)  # where every unit is off, that is told first
    if not case.pump_place or not case.compartment:
        raise SeaflowError([_nothing_to_place(case)])
    not_parted, case = without_partition(case), with_usual_partitions(case)
    rooms = rooms_of(case)
    found, notes = [], list(case.assumptions)
    offers = [(spot, places_offered(case, spot.name)) for spot in case.pump]
    for spot, offered in _in_use(case, [one for one in offers if one[1]]):
        here = case.on_supply_of(spot)
        asked = asked_of(here, loop_of(here, spot.name), pump)
        answer, noted = _one_pump(replace(rooms, case=here), asked.result.part, offered)
        found.append(replace(answer, chosen=asked.why, rather=asked.rather))
        notes += [item for item in noted if item not in notes]
    return PlacingAnswer(
        boat=case.boat.name,
        hull=case.boat.hull,
        pumps=tuple(found),
        together=_together(found),
        assumptions=(*notes, *_assumptions(case), *_usual_partitions(not_parted)),
        cautions=cautions("place", [item.part.kind for item in found], case.high_voltage),
        at_rest=left_at_rest(case),
        works_to_heel=case.boat.works_to_heel,
        not_parted=not_parted,
    )


def _in_use(case: Case, offers: Sequence[_Offer]) -> list[_Offer]:
    """Return the pumps whose loop has a unit that is switched on.

    Raises
    ------
    SeaflowError
        If there is none among them.
    """
    loops = [loop_of(case, spot.name) for spot, _ in offers]
    found = [one for one, loop in zip(offers, loops, strict=True) if not is_at_rest(loop)]
    if loops and not found:
        require_in_use(case, loops[0])
    return found


def _one_pump(
    rooms: Rooms, part: PumpPart, offered: tuple[Candidate, ...]
) -> tuple[PumpPlacing, tuple[Assumption, ...]]:
    case, width = rooms.case, ranking_width()
    cases = [placed(case, item) for item in offered]
    ran = run_each(cases, offered[0].pump, part)
    runs = zip(cases, ran, waters_of(case, cases, offered, ran), strict=True)
    each = [_result(rooms, part, *run) for run in zip(offered, runs, strict=True)]
    results = in_order(with_other_pumps(part, cases, offered, each), width)
    results, levels = on_drawn_boats(case, offered[0].pump, part, results)
    first = results[0]
    sound = sound_of(part, case.supply.frequency, first.speed_ratio)
    sure = sensitivity(results, width)
    advice = advice_for(results, width, sure, sound)
    drawn = stays_first(results, levels, width)
    answer = PumpPlacing(
        pump=offered[0].pump,
        part=part,
        places=results,
        gaps=gaps(results, width),
        advice=replace(advice, how_sure=(*drawn, *advice.how_sure)),
        sketch=_drawn(case, offered, results),
        speeds=speeds_of(results),
        cost_notes=tuple(_cost_notes(results)),
        a_level=sound.a_level,
        speed_ratio=first.speed_ratio,
        ranking_width=width,
        sensitivity=sure,
        intakes=intakes_in_order(results),
    )
    return answer, sound.assumptions


def _result(
    rooms: Rooms, part: PumpPart, candidate: Candidate, run: tuple[Case, Ranked, Water]
) -> PlaceResult:
    case, where, (here, ranked, water) = rooms.case, candidate.place, run
    stands = standing(here, candidate, part, ranked.built)
    speed = ranked.result.design.speed_ratio
    sound = sound_of(part, case.supply.frequency, speed)
    berths = heard(rooms, where, sound)
    setting, slower = ranked.result.setting, None
    if setting is not None and 0.0 < setting.speed < speed:
        slower = (sound_of(part, case.supply.frequency, setting.speed), setting.speed)
    warning = resonance(sound, footing_of(where).mount)
    return PlaceResult(
        name=candidate.name,
        compartment=where.compartment,
        access=where.access,
        standing=stands,
        water=water,
        sound=berths,
        cures=cures(rooms, where, sound, slower) if berths else (),
        warnings=(warning,) if warning else (),
        louder_by=sound.air_adds if berths and (water.draws_air or water.starved) else (),
        pump_place=where.name,
        intake_place=candidate.intake.name if candidate.intake else "",
        speed_ratio=speed,
        stands_now=stands_now(case, candidate),
        find_out=next_of(ranked.unseen),
    )


def _drawn(case: Case, offered: tuple[Candidate, ...], results: tuple[PlaceResult, ...]) -> Sketch:
    """Return the drawing of the first place, with the others by their letter in the ranking.

    With several places for the intake a place for the pump is drawn once, by its first letter.
    """
    first, spots = results[0], {item.name: item for item in offered}
    shown = spots[first.name]
    here = placed(case, shown)
    which = "first" if first.level is None else "quietest"
    title = fact(
        "place.drawing",
        which="recommended" if first.holds else which,
        pump=shown.pump if len(case.pump) > 1 else "",
        place=first.name,
    )
    lettered: dict[str, Lettered] = {}
    for position, result in enumerate(results):
        if result is first:
            stands = "taken" if first.holds else "drawn"
        else:
            stands = "out" if result.rank is None else "other"
        spot, name = spots[result.name].place.spot, result.pump_place
        lettered.setdefault(name, Lettered(letter_at(position), name, stands, spot))
    words = (title, first.standing.stays)
    drawing = sketch(here, loop_of(here, shown.pump), shown.pump, first.sound, words)
    return replace(drawing, places=tuple(lettered.values()))


def speeds_of(results: tuple[PlaceResult, ...]) -> Fact | None:
    """Return how fast the pump turns at each place, where volts or load make that differ."""
    ratios = [item.speed_ratio for item in results]
    if max(ratios) - min(ratios) <= SAME_SPEED or not results[0].sound:
        return None
    each = tuple(fact("place.speed", place=item.name, share=item.speed_ratio) for item in results)
    return fact("place.speeds_differ", places=each)


def _cost_notes(results: tuple[PlaceResult, ...]) -> Iterator[Fact]:
    """Yield whether figures are of several pumps, and what hoses and cables rest on."""
    several = {result.water.n_pumps for result in results if result.water is not None} - {1}
    yield from (fact("place.several_pumps", pumps=count) for count in several)
    for result in results:
        if result.stands_now:
            yield fact("place.stands_here_now", place=result.name)
    bases = {result.water.cable_basis for result in results if result.water is not None} - {STAYS}
    if bases == {GIVEN}:
        yield fact("place.cable_as_now_everywhere")
    elif GIVEN in bases:
        yield fact("place.cable_as_now")
    elif UNKNOWN in bases:
        yield fact("place.cable_unknown")
    elif bases == {ROUTED}:
        yield fact("place.cable_from_panel")


def _together(pumps: list[PumpPlacing]) -> tuple[Together, ...]:
    """Return what is heard at each berth with every pump running at its first place.

    Nothing where a single pump is placed, or a pump has no place that holds.
    """
    if len(pumps) < 2 or not all(pump.is_met for pump in pumps):
        return ()
    found = []
    for number, berth in enumerate(item.berth for item in pumps[0].places[0].sound):
        levels = {pump.pump: pump.places[0].sound[number] for pump in pumps}
        loudest = max(levels, key=lambda name: (levels[name].level, name))
        level = float(level_sum(np.asarray([item.level for item in levels.values()])))
        found.append(Together(berth, loudest, level, levels[loudest].half_width))
    return tuple(found)


# --- what stood in for what the case leaves open ---


def _assumptions(case: Case) -> Iterator[Assumption]:
    placing = case.placing
    given = placing is not None and placing.slack is not None
    yield _factor("placing.slack", slack_of(case), given)
    yield assumed("placing.bends", "places")
    yield from _of_cables(case)
    for name in BOARDS:
        yield assumed(f"placing.{name}", "places")
    for place in case.pump_place:
        for key in ("mount", "first_clip"):
            if getattr(place, key) is None:
                yield assumed(f"placing.{key}", place.name)
    if any(wall.lining and wall.lining_gap is None for wall in case.partition):
        yield assumed("placing.lining_gap", "partitions")
    yield from limits_used(*LIMITS)


def _usual_partitions(pairs: tuple[tuple[str, str], ...]) -> Iterator[Assumption]:
    for one, other in pairs:
        for name in ("partition", "partition_opening", "partition_door"):
            yield assumed(f"placing.{name}", f"{one} and {other}")


def _of_cables(case: Case) -> Iterator[Assumption]:
    """Yield where the lengths of the cables come from, pump by pump."""
    found = {
        pump: {cable_basis(case, item) for item in places_offered(case, pump.name)}
        for pump in case.pump
    }
    if any(ROUTED in bases for bases in found.values()):
        given = case.placing is not None and case.placing.cable_slack is not None
        yield _factor("placing.cable_slack", cable_slack_of(case), given)
    for pump, bases in found.items():
        if GIVEN in bases:
            yield assumed("placing.cable_as_now", pump.name)
        if UNKNOWN in bases:
            yield assumed("placing.no_cable", pump.name)
        if bases - {STAYS, GIVEN, UNKNOWN} and (pump.cable is None or pump.cable.conductor is None):
            yield assumed("placing.no_conductor", pump.name)


def _factor(name: str, value: float, given: bool) -> Assumption:
    noted = assumed(name, "places")
    return replace(noted, value=f"{value:.3g}", source="the case") if given else noted


def _nothing_to_place(case: Case) -> Problem:
    what = "pump_place" if not case.pump_place else "compartment"
    return Problem(
        "S55",
        f"the case has no {what.replace('_', ' ')}",
        why="Places are compared by the compartments they are in and what stands between them.",
        write=f"Add [[{what}]] tables; {PLACES_SHOWN}",
        file=case.text.file,
    )
