"""What it costs to turn into, or out of, one leg of a tee, a manifold or a sea chest.

A manifold is a row of tees of its own bore: water turns off into each leg, or joins from it, in the
order in which the case names the hoses, and what goes straight on loses a little as well. How much
depends on how the flow divides. It is worked out once, at the flows that the units are rated for,
as a coefficient on the flow of the leg: so each loss still rises with its own flow and the division
has one answer. Where a leg feeds no unit nobody knows that division, and of a tee nobody knows
which leg goes straight on: there a constant stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seaflow.base.arrays import Number
from seaflow.boat.defaults import default
from seaflow.boat.network import Network
from seaflow.boat.tables.things import Fitting, Hose, Thing, Unit
from seaflow.model.elements import Fixed
from seaflow.model.make_elements import Maker
from seaflow.physics.flow.fittings import transfer_coefficient
from seaflow.physics.flow.junctions import (
    converging_branch_coefficient,
    converging_run_coefficient,
    diverging_branch_coefficient,
    diverging_run_coefficient,
)

_Tee = Callable[[Number, Number, Number, Number], Number]


def make_branching(junction: Thing, hose: Hose, maker: Maker) -> Fixed:
    """Return the loss of one leg of a junction, on the bore of its hose."""
    name = "tee branch" if isinstance(junction, Fitting) else "hose barb"
    loss = float(maker.catalogue.find("fittings", name)[1].get("k", 0.5))
    if isinstance(junction, Fitting) and junction.table == "manifold":
        by_division = _in_manifold(junction, hose, maker.network)
        loss = loss if by_division is None else by_division
    return Fixed(
        name=f"{junction.name} ({hose.label})",
        item="manifold and tees",
        bore=hose.bore,
        loss_coefficient=loss,
    )


def _in_manifold(manifold: Fitting, hose: Hose, network: Network) -> float | None:
    """Return the loss of a leg on the bore of its hose; None where the division is not known.

    A stream that is drawn along by a faster one gains head; that is counted as no loss.
    """
    parts = manifold.name == hose.from_
    legs = network.leaving(manifold.name) if parts else network.arriving(manifold.name)
    # water that joins meets the legs that joined before it: the same row, read from its other end
    row = legs if parts else legs[::-1]
    flows = [_rated(network, leg, ahead=parts) for leg in row]
    if min(flows) <= 0.0:
        return None
    tees = (
        (diverging_run_coefficient, diverging_branch_coefficient)
        if parts
        else (converging_run_coefficient, converging_branch_coefficient)
    )
    own = next(place for place, leg in enumerate(row) if leg is hose)
    lost = sum(_passed(manifold.bore, row, flows, own, tees))
    return max(float(transfer_coefficient(lost, manifold.bore, hose.bore)), 0.0)


def _passed(
    bore: float, row: tuple[Hose, ...], flows: list[float], own: int, tees: tuple[_Tee, _Tee]
) -> Iterator[float]:
    """Yield the loss at each tee that the water of a leg passes, on its flow in the wide bore."""
    for place in range(own + 1):
        branch, both = flows[place], sum(flows[place:])
        straight_on, turns = tees
        tee = turns if place == own else straight_on
        found = tee(bore, min(row[place].bore, bore), both - branch, branch)
        yield float(found) * (both / flows[own]) ** 2


def _rated(network: Network, hose: Hose, ahead: bool) -> float:
    """Return the flow for which the units along a leg are rated [m3/s]; zero if it has none."""
    thing = network.things[hose.to if ahead else hose.from_]
    further = network.leaving(thing.name) if ahead else network.arriving(thing.name)
    beyond = sum(_rated(network, other, ahead) for other in further)
    if not isinstance(thing, Unit):
        return beyond
    usual = default("unit.flow_per_cooling").value * thing.cooling / 1000.0
    return max(thing.rated_flow or usual, beyond)
