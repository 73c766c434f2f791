"""Rules on what else opens into the sea near an intake: discharges, the engine, warm water."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.tables.recorded_hull import ENGINE_INTAKE, FOUL, SkinFitting
from seaflow.boat.tables.things import Intake, Outlet, Thing
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.at_intakes import feeds_engine
from seaflow.studies.survey.facts import Facts, place_of, table_of, unplaced
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

IN_STREAM = 0.5  # m off the line of the stream: own choice, the distance asked for itself
IN_LINE = 0.15, 1.0  # m off that line and m along it: own choice for "directly in line"


def _distance(one: Thing, other: Thing) -> float | None:
    places = place_of(one), place_of(other)
    if places[0] is None or places[1] is None:
        return None
    return float(np.linalg.norm(np.subtract(places[0], places[1])))


def is_upstream(first: Thing, intake: Thing) -> bool:
    """Return whether an opening lies ahead of an intake and in line with it."""
    there, here = place_of(first), place_of(intake)
    if there is None or here is None:
        return False
    return there[0] < here[0] and abs(there[1] - here[1]) < IN_STREAM


def intake_discharge(facts: Facts) -> Iterator[Verdict]:
    """The intake lies off every discharge, and not downstream of one."""
    foul = [item for item in facts.case.skin_fitting if item.use in FOUL]
    for intake in facts.case.intakes:
        told = None if intake.seen is None else intake.seen.discharge_distance
        verdicts = [_from_discharge(intake, item) for item in foul]
        if told is not None:
            near = told < limit("discharge_distance")
            words = f"a discharge lies {quantity('length', told)} from it"
            verdicts.append(Fault(intake.name, words) if near else Fine(intake.name))
        elif not facts.boat.all_openings_listed and not any(
            isinstance(item, Fault) for item in verdicts
        ):
            fact = ("intake", intake.name, "discharge_distance")
            verdicts.append(Unknown(intake.name, fact))
        yield from verdicts or [Fine(intake.name)]


def _from_discharge(intake: Intake, item: SkinFitting) -> Verdict:
    apart = _distance(intake, item)
    if apart is None:
        return unplaced(intake, item)
    if apart < limit("discharge_distance"):
        return Fault(intake.name, f'"{item.name}" lies {quantity("length", apart)} from it')
    if is_upstream(item, intake):
        words = f'it lies in the stream of "{item.name}", {quantity("length", apart)} ahead of it'
        return Fault(intake.name, words)
    return Fine(intake.name)


def intake_near_engine(facts: Facts) -> Iterator[Verdict]:
    """The intake lies off that of the engine, and not directly in line with it."""
    engines = [item for item in facts.case.skin_fitting if item.use == ENGINE_INTAKE]
    shared = any(feeds_engine(intake) for intake in facts.case.intakes)
    for intake in facts.case.intakes:
        if not engines and not facts.boat.all_openings_listed and not shared:
            yield Unknown("the boat", ("boat", "the boat", "all_openings_listed"))
            continue
        for item in engines:
            yield _from_engine(intake, item)
        if not engines:
            yield Fine(intake.name)


def _from_engine(intake: Intake, item: SkinFitting) -> Verdict:
    apart, here, there = _distance(intake, item), place_of(intake), place_of(item)
    if apart is None or here is None or there is None:
        return unplaced(intake, item)
    if apart < limit("engine_intake_distance"):
        return Fault(intake.name, f'"{item.name}" lies {quantity("length", apart)} from it')
    if abs(there[1] - here[1]) < IN_LINE[0] and abs(there[0] - here[0]) < IN_LINE[1]:
        words = f'"{item.name}" lies directly in line with it, {quantity("length", apart)} off'
        return Fault(intake.name, words)
    return Fine(intake.name)


def outlet_near_intake(facts: Facts) -> Iterator[Verdict]:
    """The outlet lies away from the intake and not ahead of it in line."""
    for loop in facts.loops:
        for outlet in loop.outlets:
            for intake in loop.intakes:
                yield _apart(intake, outlet)


def _apart(intake: Intake, outlet: Outlet) -> Verdict:
    apart = _distance(intake, outlet)
    if apart is None:
        missing = intake if place_of(intake) is None else outlet
        return Unknown(missing.name, (table_of(missing), missing.name, "aft"))
    if apart < limit("outlet_distance"):
        return Fault(outlet.name, f"it lies {quantity('length', apart)} from the intake")
    if is_upstream(outlet, intake):
        words = f"it lies {quantity('length', apart)} ahead of the intake, in line with it"
        return Fault(outlet.name, words, "", "advisory")
    return Fine(outlet.name)
