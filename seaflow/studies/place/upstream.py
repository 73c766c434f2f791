"""What is joined to a pump by hoses: all before it, and behind it as far as the first units."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.boat.case import Case
from seaflow.boat.network import carrier
from seaflow.boat.tables.things import Hose, Intake, Strainer


def _ends(case: Case, hose: Hose) -> tuple[str, str]:
    return carrier(hose.from_, case.seacock), carrier(hose.to, case.seacock)


def hoses_before(case: Case, name: str) -> Iterator[tuple[Hose, str]]:
    """Yield every hose upstream of a thing with the name of what it starts at."""
    waiting, seen = [name], {name}
    while waiting:
        end = waiting.pop()
        for hose in case.hose:
            start, to = _ends(case, hose)
            if to == end:
                yield hose, start
                if start not in seen:
                    seen.add(start)
                    waiting.append(start)


def strainers_before(case: Case, pump: str) -> tuple[Strainer, ...]:
    """Return the strainers upstream of a pump, through tees and manifolds too."""
    before = {start for _, start in hoses_before(case, pump)}
    return tuple(strainer for strainer in case.strainer if strainer.name in before)


def intakes_before(case: Case, name: str) -> tuple[Intake, ...]:
    """Return the intakes that feed a thing."""
    before = {start for _, start in hoses_before(case, name)}
    return tuple(intake for intake in case.intakes if intake.name in before)


def hose_metres(case: Case, pump: str) -> float:
    """Return the length of all hoses from the intakes to the first things behind the pump [m].

    Tees, manifolds and other fittings behind the pump are passed.
    """
    found = {id(hose): hose for hose, _ in hoses_before(case, pump)}
    passed = {thing.name for thing in case.fittings}
    waiting, seen = [pump], {pump}
    while waiting:
        start = waiting.pop()
        for hose in case.hose:
            begin, to = _ends(case, hose)
            if begin == start:
                found[id(hose)] = hose
                if to in passed and to not in seen:
                    seen.add(to)
                    waiting.append(to)
    return sum(hose.length for hose in found.values())
