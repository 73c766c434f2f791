"""Place the pumps of a boat: from a case to an answer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seaflow.base.measured import measured
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.place.advice import Advice, advice_for
from seaflow.studies.place.cures import Spot, cures
from seaflow.studies.place.house import House, house_of, without_partition
from seaflow.studies.place.hydraulic import best_pumps, part_for, run_with, water_of
from seaflow.studies.place.intakes import IntakeRank, intakes_in_order
from seaflow.studies.place.loudness import tone_words
from seaflow.studies.place.must_hold import standing
from seaflow.studies.place.rank import Gap, Outcome, gaps, in_order
from seaflow.studies.place.routes import Candidate, candidates, placed, stands_now
from seaflow.studies.place.sensitivity import Sensitivity, sensitivity
from seaflow.studies.place.sketch import Mark, Sketch, sketch
from seaflow.studies.place.sound import footing_of, heard, ranking_width
from seaflow.studies.place.source import resonance, source_of
from seaflow.studies.place.taken import taken
from seaflow.studies.place.together import Together, together


@dataclass(frozen=True, slots=True)
class PumpPlacing:
    """The answer for one pump: its places in order, and the advice."""

    pump: str
    part: PumpPart
    note: str
    outcomes: tuple[Outcome, ...]
    gaps: tuple[Gap, ...]
    advice: Advice
    sketch: Sketch
    a_level: float = measured("dB")
    speed_ratio: float = measured("-")
    ranking_width: float = measured("dB")
    sensitivity: Sensitivity | None = None
    intakes: tuple[IntakeRank, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if a place holds."""
        return bool(self.outcomes) and self.outcomes[0].holds


@dataclass(frozen=True, slots=True)
class PlacingAnswer:
    """The answer for the whole boat."""

    boat: str
    hull: str
    pumps: tuple[PumpPlacing, ...]
    together: tuple[Together, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    works_to_heel: float | None = measured("rad", None)
    not_parted: tuple[str, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if every pump has a place that holds."""
        return all(item.is_met for item in self.pumps)


def place(case: Case) -> PlacingAnswer:
    """Return the places of a case in order for every pump that has any.

    Raises
    ------
    SeaflowError
        If the case offers no place, names no compartment, or no pump fits its supply.
    """
    if not case.pump_place or not case.compartment:
        raise SeaflowError([_nothing_to_place(case)])
    house = house_of(case)
    found, notes = [], list(case.assumptions)
    for pump in case.pump:
        offered = candidates(case, pump.name)
        if offered:
            chosen = part_for(case, pump)
            if chosen is None:
                raise SeaflowError([_no_pump(case)])
            answer, noted = _one_pump(case, house, chosen[0], offered)
            found.append(replace(answer, note=chosen[1]))
            notes += [item for item in noted if item not in notes]
    return PlacingAnswer(
        boat=case.boat.name,
        hull=case.boat.hull,
        pumps=tuple(found),
        together=together((item.pump, item.outcomes[0]) for item in found),
        assumptions=(*notes, *taken(case)),
        cautions=cautions("place"),
        works_to_heel=case.boat.works_to_heel,
        not_parted=without_partition(case),
    )


def _one_pump(
    case: Case, house: House, part: PumpPart, offered: tuple[Candidate, ...]
) -> tuple[PumpPlacing, tuple[Assumption, ...]]:
    width = ranking_width()
    outcomes = in_order((_outcome(case, house, part, item) for item in offered), width)
    source = source_of(part, case.supply.frequency, outcomes[0].speed_ratio)
    shown = next(item for item in offered if item.name == outcomes[0].name)
    here = placed(case, shown)
    loop = next(loop for loop in network.loops(here) if shown.pump in loop.things)
    whose = f" for {shown.pump}" if len(case.pump) > 1 else ""
    holds = "Recommended place" if outcomes[0].holds else "No place holds; the first of them"
    if not outcomes[0].holds and outcomes[0].level is not None:
        holds = "No place holds; the quietest"
    drawing = sketch(here, loop, shown.pump, outcomes[0].sound, (holds + whose, shown.name))
    sure = sensitivity(outcomes, width)
    answer = PumpPlacing(
        pump=shown.pump,
        part=part,
        note="",
        outcomes=outcomes,
        gaps=gaps(outcomes, width),
        advice=advice_for(outcomes, width, sure, tone_words(source.tone, source.shaft_frequency)),
        sketch=replace(
            drawing,
            depth_at_heel=outcomes[0].standing.depth_at_heel,
            when=outcomes[0].standing.when,
            others=_others(offered, outcomes),
        ),
        a_level=source.a_level,
        speed_ratio=outcomes[0].speed_ratio,
        ranking_width=width,
        sensitivity=sure,
        intakes=intakes_in_order(outcomes),
    )
    return answer, source.assumptions


def _others(offered: tuple[Candidate, ...], outcomes: tuple[Outcome, ...]) -> tuple[Mark, ...]:
    """Return the other places by their number in the ranking; x for those that are out.

    With several places for the intake a place for the pump is drawn once, by its best number.
    """
    found, drawn = [], {outcomes[0].pump_place}
    for outcome in outcomes[1:]:
        if outcome.pump_place in drawn:
            continue
        drawn.add(outcome.pump_place)
        spot = next(item.place.spot for item in offered if item.name == outcome.name)
        number = "x" if outcome.rank is None else str(outcome.rank)
        found.append(Mark(number, "other place", spot))
    return tuple(found)


def _outcome(case: Case, house: House, part: PumpPart, candidate: Candidate) -> Outcome:
    here = placed(case, candidate)
    ranked = run_with(here, candidate.pump, part)
    if ranked is None:
        raise SeaflowError([_no_pump(case)])
    water = water_of(here, candidate, ranked)
    stands = standing(here, candidate, part, ranked.built)
    speed = ranked.result.design.speed_ratio
    source = source_of(part, case.supply.frequency, speed)
    footing = footing_of(candidate.place)
    sound = heard(case, house, candidate.place, source, footing)
    setting, slower = ranked.result.setting, None
    if setting is not None and 0.0 < setting.speed < speed:
        words = f"set to {setting.speed:.0%} of full speed, which still meets the need"
        slower = (source_of(part, case.supply.frequency, setting.speed), words)
    warning = resonance(source, footing.mount)
    outcome = Outcome(
        name=candidate.name,
        compartment=candidate.place.compartment,
        access=candidate.place.access,
        standing=stands,
        water=water,
        sound=sound,
        cures=cures(Spot(case, house, candidate.place, source), slower) if sound else (),
        warnings=(warning,) if warning else (),
        louder_by=source.air_adds if sound and (stands.draws_air or water.starved) else (),
        pump_place=candidate.place.name,
        intake_place=candidate.intake.name if candidate.intake else "",
        speed_ratio=speed,
        stands_now=stands_now(case, candidate),
    )
    return _with_other_pump(here, candidate, outcome)


def _with_other_pump(here: Case, candidate: Candidate, outcome: Outcome) -> Outcome:
    """Say which pump would do where this one falls short and nothing else is wrong.

    Where it may lose its prime, only one that primes itself will do.
    """
    prime = bool(outcome.standing.hydraulic)
    if not outcome.hydraulic_reasons or (prime and not outcome.standing.only_prime):
        return outcome
    wanted = (
        item.result.part
        for item in best_pumps(here, candidate.pump)
        if item.result.judgement.recommended and (item.result.part.self_priming or not prime)
    )
    part = next(wanted, None)
    if part is None:
        return outcome
    words = (
        f"another pump, {part.title} ({part.name}), would meet the need there; its sound is its own"
    )
    return replace(outcome, warnings=(*outcome.warnings, words))


def _nothing_to_place(case: Case) -> Problem:
    what = "pump_place" if not case.pump_place else "compartment"
    return Problem(
        "S55",
        f"the case has no {what.replace('_', ' ')}",
        why="Places are compared by the compartments they are in and what stands between them.",
        write=f"Add [[{what}]] tables; docs/placing.md shows how, cases/ketch-one-unit.toml has "
        "some.",
        file=case.text.file,
    )


def _no_pump(case: Case) -> Problem:
    supply = f"{case.supply.voltage:g} V {case.supply.current.upper()}"
    return Problem(
        "S55",
        f"no pump of the table fits a supply of {supply}",
        why="The flow at each place hangs on the pump.",
        write='Name one in the pump\'s table: fitted = "...", or give your own with --parts.',
        file=case.text.file,
    )
