"""Rules on the loop after its pump: dips, starting head, units, manifolds, flushing; and clamps."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.facts import amount, fact
from seaflow.boat.network import Network, downstream, upstream
from seaflow.boat.tables.things import Fitting, Hose, Unit
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import (
    Evidence,
    SurveyedLoop,
    boat_lacks,
    distance,
    hose_table,
    table_of,
)
from seaflow.studies.survey.machines import SAME_AREA
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.running import pressure_at
from seaflow.studies.survey.severity import NEXT, NOW
from seaflow.studies.survey.suction import AT_REST, traps_of

LEAST_CLAMPS = 2
IN_A_HULL = 0.5  # m off the centreline: what lies further off is in one hull of a multihull
MOST_UNITS = 4  # on one pump: more are unusual, and relay boxes end at six


def delivery_dip(evidence: Evidence) -> Iterator[Verdict]:
    """After the pump the line rises to one high point and falls from there."""
    for loop in evidence.loops:
        pumps = {pump.name for pump in loop.network.pumps}
        dips = [
            trap
            for trap in traps_of(loop, 0.0, False)
            if trap.where == AT_REST and trap.kind == "dip" and trap.point not in pumps
        ]
        for dip in dips:
            found = fact("survey.dip", by=amount("height", dip.by), point=dip.point)
            yield Breach(f"{loop.name}, delivery", found, pressure_at(loop.run, dip.point))
        missing = without_height(loop)
        if missing is not None:
            yield missing
        elif not dips:
            yield Kept(loop.name)


def without_height(loop: SurveyedLoop) -> Unknown | None:
    """Return the first thing, or point of a hose, whose height is not recorded."""
    for link in loop.loop.links:
        for _, _, point in link.points():
            if point.height is None:
                thing = loop.network.things.get(point.label)
                return Unknown("point" if thing is None else table_of(thing), point.label, "height")
    return None


def unit_below_water(evidence: Evidence) -> Iterator[Verdict]:
    """A unit lies above the waterline."""
    for unit in evidence.case.unit:
        if unit.level is None:
            yield Unknown("unit", unit.name, "height")
        elif unit.level < 0.0:
            below = fact("survey.unit_below_water", depth=amount("height", -unit.level))
            yield Breach(unit.name, below)
        else:
            yield Kept(unit.name)


def units_in_series(evidence: Evidence) -> Iterator[Verdict]:
    """No unit gets water that another has warmed."""
    for loop in evidence.loops:
        units = {unit.name for unit in loop.network.units}
        for unit in loop.network.units:
            before = tuple(sorted(units & upstream(loop.network, unit.name)))
            breach = Breach(unit.name, fact("survey.warmed_by", units=before))
            yield breach if before else Kept(unit.name)


def multihull_crossing(evidence: Evidence) -> Iterator[Verdict]:
    """No loop of a multihull crosses from one hull to the other."""
    for loop in evidence.loops:
        if "multihull" not in evidence.case.boat.hull:
            yield Kept(loop.name)
            continue
        things = loop.network.things.values()
        sides = {thing: distance(thing, "starboard") for thing in things}
        known = [side for side in sides.values() if side is not None]
        missing = next((thing for thing, side in sides.items() if side is None), None)
        if known and min(known) < -IN_A_HULL and max(known) > IN_A_HULL:
            yield Breach(loop.name, fact("survey.crosses_hulls"))
        elif missing is not None:
            yield Unknown(table_of(missing), missing.name, "starboard")
        else:
            yield Kept(loop.name)


def no_flushing(evidence: Evidence) -> Iterator[Verdict]:
    """The loop can be flushed and drained."""
    for loop in evidence.loops:
        tees = [item for item in loop.network.things.values() if item.table == "flush_tee"]
        if tees or evidence.boat.can_be_flushed:
            yield Kept(loop.name)
        elif evidence.boat.can_be_flushed is None:
            yield boat_lacks("can_be_flushed")
        else:
            yield Breach(loop.name, fact("survey.no_flushing"))


def clamps_too_few(evidence: Evidence) -> Iterator[Verdict]:
    """Two clamps are on each end of a hose that floods, and one on any other."""
    for hose in evidence.hoses:
        dry = evidence.floods(hose) is False  # then the pump's water comes in, not the sea
        clamps = hose.seen.clamps_at_each_end if hose.seen is not None else None
        short = hose.seen is not None and hose.seen.short_barb
        if clamps is None:
            yield Unknown(hose_table(hose), hose.label, "clamps_at_each_end")
        elif clamps >= LEAST_CLAMPS or ((short or dry) and clamps == 1):
            yield Kept(hose.label)
        elif clamps:
            yield Breach(hose.label, fact("survey.one_clamp"))
        else:
            near = NEXT if dry else NOW
            yield Breach(hose.label, fact("survey.no_clamp"), near=near)


def manifold_trunk(evidence: Evidence) -> Iterator[Verdict]:
    """The trunk before a parting is as large as its branches together, or its water is slow."""
    for loop in evidence.loops:
        for name, branches in _partings(loop.network):
            trunk = _bores(loop.network.arriving(name)) + _own(loop, name)
            if trunk:
                flow = _through(loop, name, leaving=True)
                yield _wide(loop, name, (min(trunk), _bores(branches)), flow)


def shared_outlet_trunk(evidence: Evidence) -> Iterator[Verdict]:
    """Where branches join for one outlet, the line on is as large as they together, or slow."""
    for loop in evidence.loops:
        for name in loop.network.things:
            arriving = loop.network.arriving(name)
            if len(arriving) < 2 or any(_units_on(loop.network, hose) for hose in arriving):
                continue
            on = _bores(loop.network.leaving(name)) + _own(loop, name)
            if not on:  # they join at the outlet itself
                on = [float(getattr(loop.network.things[name], "bore"))]  # noqa: B009
            flow = _through(loop, name, leaving=False)
            yield _wide(loop, name, (min(on), _bores(arriving)), flow)


def _wide(
    loop: SurveyedLoop, name: str, bores: tuple[float, list[float]], flow: float | None
) -> Verdict:
    trunk, branches = bores
    ratio = trunk**2 / sum(bore**2 for bore in branches)
    if ratio >= SAME_AREA:
        return Kept(name)
    if flow is None:
        return loop.no_pump
    velocity = float(4.0 * flow / (np.pi * trunk**2))
    if velocity <= limit("trunk_velocity"):
        return Kept(name)
    narrow = fact(
        "survey.narrow_trunk", bore=amount("bore", trunk), share=ratio, branches=len(branches)
    )
    return Breach(name, narrow, (fact("survey.runs_at", velocity=amount("velocity", velocity)),))


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


def _own(loop: SurveyedLoop, name: str) -> list[float]:
    """Return the bore of a manifold or tee itself."""
    thing = loop.network.things[name]
    return [thing.bore] if isinstance(thing, Fitting) else []


def _through(loop: SurveyedLoop, name: str, leaving: bool) -> float | None:
    """Return what runs through a junction at full flow, basket clean [m3/s]."""
    if loop.run is None:
        return None
    ends = [link.start if leaving else link.end for link in loop.loop.links]
    flows = [loop.run.point.flow[index][0] for index, end in enumerate(ends) if end == name]
    return float(np.sum(np.abs(flows))) if flows else float(loop.run.point.total_flow()[0])


def branch_no_valve(evidence: Evidence) -> Iterator[Verdict]:
    """Every branch of several units has a valve, to balance and to shut."""
    for loop in evidence.loops:
        for _, branches in _partings(loop.network):
            for hose in branches:
                way = _way_to_unit(loop.network, hose)
                open_ones = [item for item in way if not _records_fittings(evidence, item)]
                if any(_has_valve(item) for item in way):
                    yield Kept(hose.label)
                elif open_ones:
                    yield Unknown("hose", open_ones[0].label, "fittings")
                else:
                    yield Breach(hose.label, fact("survey.no_branch_valve"))


def _way_to_unit(network: Network, hose: Hose) -> list[Hose]:
    """Return the hoses of a branch to its unit, or to where it parts again."""
    way = [hose]
    while True:
        onward = network.leaving(way[-1].to)
        if isinstance(network.things.get(way[-1].to), Unit) or len(onward) != 1:
            return way
        way.append(onward[0])


def _has_valve(hose: Hose) -> bool:
    return hose.balancing_valve is not None or any(_is_valve(name) for name in hose.fittings)


def _records_fittings(evidence: Evidence, hose: Hose) -> bool:
    text = evidence.case.text
    return not text.lines or ("hose", hose.row, "fittings") in text.where


def _is_valve(name: str) -> bool:
    return "valve" in name and "check" not in name and "non-return" not in name


def many_units(evidence: Evidence) -> Iterator[Verdict]:
    """No more than four units hang on one pump."""
    for loop in evidence.loops:
        units = len(loop.network.units)
        breach = Breach(loop.name, fact("survey.many_units", units=units))
        yield Kept(loop.name) if units <= MOST_UNITS else breach


OF_A_LOOP = (
    delivery_dip,
    units_in_series,
    multihull_crossing,
    no_flushing,
    manifold_trunk,
    shared_outlet_trunk,
    branch_no_valve,
    many_units,
)
RULES = (
    *OF_A_LOOP,
    unit_below_water,
    clamps_too_few,
)
