"""What wider hoses in the part that all branches share would do, with no valve touched."""

from __future__ import annotations

import numpy as np

from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import HoseRun
from seaflow.model.operate import operate
from seaflow.studies.balance.answer import Trunk, TrunkBore
from seaflow.studies.balance.branches import all_on, branches_of, ratios_of
from seaflow.studies.design.changes import SAME_BORE, network_named, with_hose_bore
from seaflow.studies.design.need import UnitNeed


def trunk_hoses(built: Built) -> tuple[str, ...]:
    """Return the hoses that the water of every branch passes."""
    shared = built.loop.membership.min(axis=1) > 0.0
    links = [link for link, all_ in zip(built.loop.links, shared, strict=True) if all_]
    return tuple(
        element.name for link in links for element in link.elements if isinstance(element, HoseRun)
    )


def trunk_of(
    case: Case, built: Built, part: PumpPart, needs: dict[str, UnitNeed], now: Conditions
) -> Trunk:
    """Return the shared hoses and the worst branch with each wider usual bore."""
    names = trunk_hoses(built)
    hoses = [hose for hose in built.network.hoses if hose.label in names]
    if not hoses:
        return Trunk()
    narrowest = min(hose.bore for hose in hoses)
    rows = {hose.row for hose in hoses}
    tried = []
    for bore in case.catalogue.standard_bores():
        if bore <= narrowest + SAME_BORE:
            continue
        changed = with_hose_bore(case, rows, bore)
        found = network_named(changed, built.network.name)
        wider = build_loop(changed, found, {place.name: part for place in found.pumps})
        branches = branches_of(wider, needs)
        point = operate(wider.loop, all_on(branches, now))
        shares = ratios_of(branches, point)[:, 0]
        worst = int(np.argmin(shares))
        tried.append(TrunkBore(branches[worst].name, bore, float(shares[worst]) - 1.0))
    return Trunk(names, narrowest, tuple(tried))
