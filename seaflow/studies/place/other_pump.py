"""Which pump would do at a place where the one that is placed falls short."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.design.choose import PumpResult, candidates
from seaflow.studies.design.kinds import told_first
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.which_pump import judged_each
from seaflow.studies.place.rank import PlaceResult
from seaflow.studies.place.routes import Candidate, loop_of


def with_other_pumps(
    part: PumpPart,
    cases: Sequence[Case],
    offered: Sequence[Candidate],
    results: Sequence[PlaceResult],
) -> list[PlaceResult]:
    """Say which pump would do where this one falls short and nothing else is wrong.

    Where it does not start for lack of priming, only one that primes itself will do.
    """
    found = list(results)
    boats = enumerate(map(partial(_other_pumps, part), cases, offered, results))
    asked = {row: boat for row, boat in boats if boat is not None}
    for row, order in zip(asked, judged_each(list(asked.values()), hopeful=True), strict=True):
        primes = any(map(_is_of_a_start, found[row].hydraulic_reasons))
        for item in order:
            one = item.result.part
            if item.result.judgement.recommended and (one.self_priming or not primes):
                said = _would_do(item.result)
                found[row] = replace(found[row], warnings=(*found[row].warnings, said))
                break
    return found


def _would_do(result: PumpResult) -> Fact:
    """Return that a pump would do, or what makes it tight."""
    named, doubt = (
        pump_named(result.part.title, result.part.name),
        told_first(result.judgement.doubts),
    )
    if doubt is None:
        return fact("place.other_pump_would_do", pump=named)
    return fact("place.other_pump_is_tight", pump=named, reason=doubt)


def _other_pumps(
    part: PumpPart, here: Case, candidate: Candidate, result: PlaceResult
) -> tuple[Case, Network] | None:
    """Return a boat with the pumps that may do at a place instead; None if there is no other."""
    kinds = {said.kind for said in result.hydraulic_reasons if _is_of_a_start(said)}
    if not result.hydraulic_reasons or kinds - {"start.pump_above_water"}:
        return None
    found = loop_of(here, candidate.pump)
    every = candidates(here, found.pumps[0])
    able = tuple(one.name for one in every if one.self_priming or not kinds)
    if not set(able) - {part.name}:
        return None
    return (replace(here, design=replace(here.design, pumps=able)) if kinds else here), found


def _is_of_a_start(said: Fact) -> bool:
    return said.kind.startswith("start.")
