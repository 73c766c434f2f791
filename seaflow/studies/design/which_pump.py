"""Which pump a question is asked of: the one named, the one fitted, or the one to recommend."""

from __future__ import annotations

from dataclasses import replace

from seaflow.base.facts import Fact, fact
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import NoSuchPart, PumpPart
from seaflow.model.build import Built, build_loop
from seaflow.model.conditions import Conditions
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, DEFAULT_SEED
from seaflow.studies.design.choose import rank_pumps
from seaflow.studies.design.likelihood import Sampling, with_certainty
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.supply import cable_drop, fits
from seaflow.studies.design.worst_cases import worst_cases


def picked_loop(case: Case, found: Network, name: str | None) -> tuple[Built, PumpPart, Fact]:
    """Return a loop with the pump that is asked of, the pump, and why it is that one.

    Raises
    ------
    SeaflowError
        If no pump has the name, or none fits the supply.
    """
    part, why = _picked(case, found, name)
    return built_with(case, found, part), part, why


def built_with(case: Case, found: Network, part: PumpPart) -> Built:
    """Return the loop with this pump at all its pump places."""
    return build_loop(case, found, {place.name: part for place in found.pumps})


def full_supply(case: Case, found: Network, part: PumpPart) -> Conditions:
    """Return the design point with the volts that reach a pump."""
    now = worst_cases(case)[0].conditions
    return replace(now, voltage=cable_drop(case, found.pumps[0], part, now))


def _picked(case: Case, found: Network, name: str | None) -> tuple[PumpPart, Fact]:
    if name is not None:
        return _named(case, name), fact("design.pump_asked_for")
    fitted = found.pumps[0].fitted
    if fitted is not None and fits(case, case.catalogue.pump(fitted)):
        return case.catalogue.pump(fitted), fact("design.pump_fitted")
    built = built_with(case, found, case.catalogue.any_pump())  # the need is the same with any
    needs = {need.name: need for need in unit_needs(case, built)}
    ranked = rank_pumps(case, built, needs)
    if not ranked:
        raise SeaflowError([_nothing_fits(case)])
    ranked, _ = with_certainty(case, ranked, needs, Sampling(DEFAULT_SAMPLES, DEFAULT_SEED))
    best = ranked[0].result
    if best.judgement.recommended:
        return best.part, fact("design.pump_recommended")
    return best.part, fact("design.pump_nearest")


def _named(case: Case, name: str) -> PumpPart:
    try:
        part = case.catalogue.pump(name)
    except NoSuchPart as missing:
        raise SeaflowError([Problem("S16", *missing.texts)]) from None
    if not fits(case, part):
        raise SeaflowError([_does_not_fit(case, part)])
    return part


def _does_not_fit(case: Case, part: PumpPart) -> Problem:
    return Problem(
        "F13",
        f"{part.name} is made for {part.voltage:g} V {part.current.upper()} and the supply is "
        f"{case.supply.voltage:g} V {case.supply.current.upper()}",
        why="On another supply it would not run, or not for long.",
        write="Name a pump made for this supply; seaflow parts pumps lists them.",
    )


def _nothing_fits(case: Case) -> Problem:
    return Problem(
        "F13",
        f"no pump known is made for {case.supply.voltage:g} V {case.supply.current.upper()}",
        why="On another supply a pump would not run, or not for long.",
        write="Read your own with --parts FILE.",
    )
