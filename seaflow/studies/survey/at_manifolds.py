"""Rules on several units behind one pump: trunk, branches, valves, shared outlets."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.network import Network, downstream
from seaflow.boat.tables.things import Fitting, Hose, Unit
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.facts import Facts, LoopFacts
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

SAME_AREA = 0.999
MOST_UNITS = 4  # on one pump: more are unusual, and relay boxes end at six


def manifold_trunk(facts: Facts) -> Iterator[Verdict]:
    """The trunk before a parting is as large as its branches together, or its water is slow."""
    for loop in facts.loops:
        for name, branches in _partings(loop.network):
            trunk = _bores(loop.network.arriving(name)) + _own(loop, name)
            if trunk:
                flow = _through(facts, loop, name, leaving=True)
                yield from _wide(loop, name, (min(trunk), _bores(branches)), flow)


def shared_outlet_trunk(facts: Facts) -> Iterator[Verdict]:
    """Where branches join for one outlet, the line on is as large as they together, or slow."""
    for loop in facts.loops:
        for name in loop.network.things:
            arriving = loop.network.arriving(name)
            if len(arriving) < 2 or any(_units_on(loop.network, hose) for hose in arriving):
                continue
            on = _bores(loop.network.leaving(name)) + _own(loop, name)
            if not on:  # they join at the outlet itself
                on = [float(getattr(loop.network.things[name], "bore"))]  # noqa: B009
            flow = _through(facts, loop, name, leaving=False)
            yield from _wide(loop, name, (min(on), _bores(arriving)), flow)


def _wide(
    loop: LoopFacts, name: str, bores: tuple[float, list[float]], flow: float | None
) -> Iterator[Verdict]:
    trunk, branches = bores
    ratio = trunk**2 / sum(bore**2 for bore in branches)
    if ratio >= SAME_AREA:
        yield Fine(name)
        return
    if flow is None:
        place = loop.network.pumps[0]
        yield Unknown(place.name, ("pump", place.name, "fitted"))
        return
    velocity = 4.0 * flow / (np.pi * trunk**2)
    if velocity <= limit("trunk_velocity"):
        yield Fine(name)
        return
    words = (
        f"the line that all its water passes, {quantity('bore', trunk)}, has {ratio:.0%} of the "
        f"area of its {len(branches)} branches"
    )
    yield Fault(name, words, f"its water runs at {quantity('velocity', float(velocity))}")


def _partings(network: Network) -> Iterator[tuple[str, tuple[Hose, ...]]]:
    """Yield each place where the water parts for several units, with the hoses that leave it."""
    for name in network.things:
        leaving = network.leaving(name)
        if len(leaving) > 1 and all(_units_on(network, hose) for hose in leaving):
            yield name, leaving


def _units_on(network: Network, hose: Hose) -> set[str]:
    """Return the units that the water of a hose still comes to."""
    units = {unit.name for unit in network.units}
    return units & ({hose.to} | downstream(network, hose.to))


def _bores(hoses: tuple[Hose, ...]) -> list[float]:
    return [hose.bore for hose in hoses]


def _own(loop: LoopFacts, name: str) -> list[float]:
    """Return the bore of a manifold or tee itself."""
    thing = loop.network.things[name]
    return [thing.bore] if isinstance(thing, Fitting) else []


def _through(facts: Facts, loop: LoopFacts, name: str, leaving: bool) -> float | None:
    """Return what runs through a junction at full flow, basket clean [m3/s]."""
    run = facts.runs.get(loop.network.name)
    if run is None:
        return None
    ends = [link.start if leaving else link.end for link in loop.loop.links]
    flows = [run.point.flow[index][0] for index, end in enumerate(ends) if end == name]
    return float(np.sum(np.abs(flows))) if flows else float(run.point.total_flow()[0])


def branch_no_valve(facts: Facts) -> Iterator[Verdict]:
    """Every branch of several units has a valve, to balance and to shut."""
    for loop in facts.loops:
        for _, branches in _partings(loop.network):
            for hose in branches:
                has = _has_valve(loop.network, hose)
                words = "no valve is between where it parts and its unit"
                yield Fine(hose.label) if has else Fault(hose.label, words)


def _has_valve(network: Network, hose: Hose) -> bool:
    """Return whether a valve is on the way of a branch to its unit, or to where it parts again."""
    here: Hose | None = hose
    while here is not None:
        if here.balancing_valve is not None or any(_is_valve(name) for name in here.fittings):
            return True
        onward = network.leaving(here.to)
        ends = isinstance(network.things.get(here.to), Unit) or len(onward) != 1
        here = None if ends else onward[0]
    return False


def _is_valve(name: str) -> bool:
    return "valve" in name and "check" not in name and "non-return" not in name


def many_units(facts: Facts) -> Iterator[Verdict]:
    """No more than four units hang on one pump."""
    for loop in facts.loops:
        units = len(loop.network.units)
        fault = Fault(loop.network.name, f"{units} units hang on it")
        yield Fine(loop.network.name) if units <= MOST_UNITS else fault
