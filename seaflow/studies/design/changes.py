"""Changes to a boat on paper: the same case with other hoses, another strainer or hole."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.tables.balancing import BalancingValve, ValvePoint
from seaflow.boat.tables.things import Fitting, Hose, Thing

Run = tuple[Hose, ...]  # in order of the water

SAME_BORE = 1e-6  # m


def network_named(case: Case, name: str) -> Network:
    """Return the loop of a case by its name."""
    return next(found for found in network.loops(case) if found.name == name)


def next_bore(case: Case, bore: float, steps: int = 1) -> float | None:
    """Return the usual bore some steps above one; None where the table ends."""
    wider = [found for found in case.catalogue.standard_bores() if found > bore + SAME_BORE]
    return wider[steps - 1] if len(wider) >= steps else None


def runs_of(network: Network, hoses: Collection[Hose]) -> tuple[Run, ...]:
    """Return these hoses run by run: pieces of one bore and kind with plain joints are one run.

    A run is bought and laid as one hose, so it counts as one.
    """
    after: dict[int, Hose] = {}
    for hose in hoses:
        leaving = [other for other in network.leaving(hose.to) if other in hoses]
        if len(leaving) == 1 and _joins(network.things.get(hose.to), hose, leaving[0]):
            after[hose.row] = leaving[0]
    joined = {hose.row for hose in after.values()}
    found = []
    for first in hoses:
        if first.row not in joined:
            run = [first]
            while run[-1].row in after:
                run.append(after[run[-1].row])
            found.append(tuple(run))
    return tuple(found)


def _joins(thing: Thing | None, before: Hose, after: Hose) -> bool:
    """Return whether a thing is a plain joint of two pieces of the same hose."""
    if not isinstance(thing, Fitting) or thing.table != "reducer" or before.kind != after.kind:
        return False
    bores = (thing.bore, thing.second_bore or thing.bore, after.bore)
    return all(abs(bore - before.bore) <= SAME_BORE for bore in bores)


def with_hose_bore(case: Case, rows: Collection[int], bore: float) -> Case:
    """Return the case with these hoses at least this wide, with the usual barbs and joints."""
    mine = [hose for hose in case.hose if hose.row in rows]
    between = {hose.to for hose in mine} & {hose.from_ for hose in mine}
    joints = tuple(
        replace(joint, bore=bore, second_bore=bore)
        if joint.name in between
        and abs((joint.second_bore or joint.bore) - joint.bore) <= SAME_BORE
        and joint.bore < bore - SAME_BORE
        else joint
        for joint in case.reducer
    )
    hoses = tuple(
        replace(hose, bore=bore, barb_bore=None)
        if hose.row in rows and hose.bore < bore - SAME_BORE
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses, reducer=joints)


def with_throttles(case: Case, losses: Mapping[int, float]) -> Case:
    """Return the case with valves set to these loss coefficients, by row of hose, on its bore."""
    hoses = tuple(
        replace(hose, balancing_valve=_set_to(losses[hose.row], hose.bore))
        if hose.row in losses
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses)


def _set_to(loss: float, bore: float) -> BalancingValve:
    return BalancingValve(bore=bore, points=(ValvePoint(turns=1.0, loss=loss),))


def with_strainer(case: Case, name: str, model: str) -> Case:
    """Return the case with another strainer; what was known of the old one is forgotten.

    A suction reading tells of the old strainer, so it is left out too.
    """
    strainers = tuple(
        replace(item, model=model, port=None, basket_area=None, open_share=None, clean_loss=None)
        if item.name == name
        else item
        for item in case.strainer
    )
    pumps = tuple(replace(place, measured_suction=None) for place in case.pump)
    return replace(case, strainer=strainers, pump=pumps)


def with_intake_bore(case: Case, name: str, bore: float) -> Case:
    """Return the case with a through-hull and the seacock on it this wide."""
    holes = tuple(
        replace(hole, bore=bore) if hole.name == name else hole for hole in case.through_hull
    )
    cocks = tuple(
        replace(cock, bore=max(bore, cock.bore)) if cock.on == name else cock
        for cock in case.seacock
    )
    return replace(case, through_hull=holes, seacock=cocks)
