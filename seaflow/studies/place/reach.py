"""Whether the strainer that a place will really have is within reach of its seacock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Intake, Strainer, apart
from seaflow.studies.design.limits import limit
from seaflow.studies.place.routes import Candidate
from seaflow.studies.place.upstream import intakes_before, strainers_before


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


def strainer_reasons(case: Case, candidate: Candidate) -> Iterator[str]:
    """Yield what is wrong with reaching strainer and seacock; `case` has the pump there already."""
    if candidate.place.strainer_access == "none":
        yield "strainer and seacock can no longer be reached together"
        return
    if _is_seen(case, candidate):
        return
    for item in _too_far(case, candidate):
        yield (
            f"{_apart_words(case, item)}; "
            f"{quantity('length', limit('strainer_reach'))} is what one hand reaches"
        )


def strainer_remarks(case: Case, candidate: Candidate) -> Iterator[str]:
    """Yield what is worth saying of reaching strainer and seacock."""
    access = candidate.place.strainer_access
    if access == "poor":
        yield "strainer and seacock can only just be reached together"
    if access == "none":
        return
    if _is_seen(case, candidate):
        for item in _too_far(case, candidate):
            yield (
                f"{_apart_words(case, item)}, more than one hand reaches; that both are in reach "
                "is as the case records it"
            )
        return
    for item in reaches(case, candidate.pump):
        if item.away is None:
            yield (
                f"how far {_strainer(case, item)} is from {_cock(case, item)} is not known, for a "
                "position is not recorded: look whether one hand reaches both"
            )


def _too_far(case: Case, candidate: Candidate) -> Iterator[Reach]:
    for item in reaches(case, candidate.pump):
        if item.away is not None and item.away > limit("strainer_reach"):
            yield item


def _is_seen(case: Case, candidate: Candidate) -> bool:
    """Return whether `strainer_access` was judged with the intake where this place has it.

    What the case records holds for the intake of now; with another it must be measured.
    """
    if candidate.place.strainer_access is None:
        return False
    return candidate.intake is None or candidate.intake_stays


def _apart_words(case: Case, item: Reach) -> str:
    away = quantity("length", item.away or 0.0)
    return f"{_strainer(case, item)} is {away} from {_cock(case, item)}"


def _strainer(case: Case, item: Reach) -> str:
    return "the strainer" if len(case.strainer) == 1 else f'"{item.strainer}"'


def _cock(case: Case, item: Reach) -> str:
    return "its seacock" if len(case.intakes) == 1 else f'"{item.cock}"'
