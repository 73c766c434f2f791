"""Whether the strainer that a place will really have is within reach of its seacock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Intake, Strainer, apart
from seaflow.studies.design.limits import limit
from seaflow.studies.place.routes import Candidate, intakes_before, strainers_before


@dataclass(frozen=True, slots=True)
class Reach:
    """From one strainer to one seacock that feeds it [m]; None if a position is not recorded."""

    strainer: str
    cock: str
    away: float | None


def reaches(case: Case, pump: str) -> tuple[Reach, ...]:
    """Return every strainer before a pump with every seacock that feeds it, as the case stands."""
    return tuple(
        _reach(case, strainer, intake)
        for strainer in strainers_before(case, pump)
        for intake in intakes_before(case, strainer.name)
    )


def _reach(case: Case, strainer: Strainer, intake: Intake) -> Reach:
    """A seacock without a position of its own stands on its intake."""
    cock = next((item for item in case.seacock if item.on == intake.name), None)
    at = intake.at if cock is None or cock.at is None else cock.at
    name = intake.name if cock is None else cock.name
    return Reach(strainer.name, name, apart(strainer.at, at))


def furthest(found: tuple[Reach, ...]) -> float | None:
    """Return the longest way from strainer to seacock, or None if one is not known [m]."""
    ways = [item.away for item in found if item.away is not None]
    return max(ways) if ways and len(ways) == len(found) else None


def strainer_reasons(case: Case, candidate: Candidate) -> Iterator[Fact]:
    """Yield what is wrong with reaching strainer and seacock; `case` has the pump there already."""
    if candidate.place.strainer_access == "none":
        yield fact("place.strainer_out_of_reach")
    elif not _is_seen(candidate):
        yield from _too_far(case, candidate, "place.strainer_too_far")


def strainer_remarks(case: Case, candidate: Candidate) -> Iterator[Fact]:
    """Yield what is worth saying of reaching strainer and seacock."""
    access = candidate.place.strainer_access
    if access == "poor":
        yield fact("place.strainer_barely_in_reach")
    if access == "none":
        return
    if _is_seen(candidate):
        yield from _too_far(case, candidate, "place.strainer_far_but_seen")
        return
    for item in reaches(case, candidate.pump):
        if item.away is None:
            yield fact("place.strainer_reach_unknown", strainer=item.strainer, seacock=item.cock)


def _too_far(case: Case, candidate: Candidate, kind: str) -> Iterator[Fact]:
    reach = limit("strainer_reach")
    for item in reaches(case, candidate.pump):
        if item.away is not None and item.away > reach:
            ways = {"away": amount("length", item.away), "reach": amount("length", reach)}
            yield fact(kind, strainer=item.strainer, seacock=item.cock, **ways)


def _is_seen(candidate: Candidate) -> bool:
    """Return whether `strainer_access` was judged with the intake where this place has it.

    What the case records holds for the intake of now; with another it must be measured.
    """
    return candidate.place.strainer_access is not None and candidate.intake_stays
