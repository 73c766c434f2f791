"""What it costs to turn into, or out of, one leg of a tee, a manifold or a sea chest.

A manifold is a row of tees of its own bore. What a leg loses depends on how the flow divides: it is
worked out once, at the flows that the units are rated for, as a coefficient on the flow of the leg,
so that each loss still rises with its own flow and the division has one answer. Nobody records the
order of the legs, so each stands in the middle of the row, where half of what the others carry goes
straight on past it; going straight on costs next to nothing. Where a leg feeds no unit the division
is not known, and of a tee nobody knows which leg goes straight on: there a constant stands.
"""

from __future__ import annotations

from functools import lru_cache

from seaflow.boat.defaults import default
from seaflow.boat.network import Network
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.tables.things import Fitting, Hose, Thing, Unit
from seaflow.model.elements import Fixed
from seaflow.model.make_elements import MOST_KEPT, Maker
from seaflow.physics.flow.fittings import transfer_coefficient
from seaflow.physics.flow.junctions import (
    converging_branch_coefficient,
    diverging_branch_coefficient,
)


def make_branching(junction: Thing, hose: Hose, maker: Maker) -> Fixed:
    """Return the loss of one leg of a junction, on the bore of its hose."""
    flows = None
    if isinstance(junction, Fitting) and junction.table == "manifold":
        flows = _division(junction, hose, maker)
    return _branching(junction, hose, flows, maker.catalogue)


@lru_cache(MOST_KEPT)
def _branching(
    junction: Thing, hose: Hose, flows: tuple[float, float] | None, catalogue: Catalogue
) -> Fixed:
    """Return the loss of one leg, with what flows in it and past it where that is known."""
    if flows is not None and isinstance(junction, Fitting):
        loss = _in_manifold(junction, hose, *flows)
    else:
        name = "tee branch" if isinstance(junction, Fitting) else "hose barb"
        loss = float(catalogue.find("fittings", name)[1].get("k", 0.5))
    return Fixed(
        name=f"{junction.name} ({hose.label})",
        item="manifold and tees",
        bore=_leg_bore(junction, hose),
        loss_coefficient=loss,
    )


def _leg_bore(junction: Thing, hose: Hose) -> float:
    """Return the size of hose that the tail of a leg carries."""
    adapter = hose.adapter_at(hose.from_ != junction.name)
    return hose.bore if adapter is None else adapter.bore


def _division(manifold: Fitting, hose: Hose, maker: Maker) -> tuple[float, float] | None:
    """Return the flow of a leg and what passes it; None where the division is not known."""
    parts, network = manifold.name == hose.from_, maker.network
    legs = network.leaving(manifold.name) if parts else network.arriving(manifold.name)
    known = (manifold.name, parts)
    if known not in maker.divided:
        maker.divided[known] = [_rated(network, leg, ahead=parts) for leg in legs]
    flows = maker.divided[known]
    if min(flows) <= 0.0:
        return None
    own = flows[next(place for place, leg in enumerate(legs) if leg is hose)]
    return own, 0.5 * (sum(flows) - own)


def _in_manifold(manifold: Fitting, hose: Hose, own: float, passing: float) -> float:
    """Return the loss of a leg on the bore of its hose.

    A leg that a faster stream draws along gains head; that is counted as no loss.
    """
    parts = manifold.name == hose.from_
    tee = diverging_branch_coefficient if parts else converging_branch_coefficient
    bore, leg = manifold.bore, _leg_bore(manifold, hose)
    lost = tee(bore, min(leg, bore), passing, own) * ((passing + own) / own) ** 2
    return max(float(transfer_coefficient(lost, bore, leg)), 0.0)


def _rated(network: Network, hose: Hose, ahead: bool) -> float:
    """Return the flow for which the units along a leg are rated [m3/s]; zero if it has none."""
    thing = network.things[hose.to if ahead else hose.from_]
    further = network.leaving(thing.name) if ahead else network.arriving(thing.name)
    beyond = sum(_rated(network, other, ahead) for other in further)
    if not isinstance(thing, Unit):
        return beyond
    usual = default("unit.flow_per_cooling").value * thing.cooling / 1000.0
    return max(thing.rated_flow or usual, beyond)
