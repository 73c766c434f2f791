"""Changes to a boat on paper: the same case with other hoses, another strainer or hole."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.tables.balancing import BalancingValve, ValvePoint

SAME_BORE = 1e-6  # m


def network_named(case: Case, name: str) -> Network:
    """Return the loop of a case by its name."""
    return next(found for found in network.loops(case) if found.name == name)


def next_bore(case: Case, bore: float, steps: int = 1) -> float | None:
    """Return the usual bore some steps above one; None where the table ends."""
    wider = [found for found in case.catalogue.standard_bores() if found > bore + SAME_BORE]
    return wider[steps - 1] if len(wider) >= steps else None


def with_hose_bore(case: Case, rows: Collection[int], bore: float) -> Case:
    """Return the case with these hoses at least this wide, and the usual barbs for it."""
    hoses = tuple(
        replace(hose, bore=bore, barb_bore=None)
        if hose.row in rows and hose.bore < bore - SAME_BORE
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses)


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
