"""Mass and heads of a solved loop, worked out anew: element by element, from link flows alone."""

from dataclasses import dataclass

import numpy as np

from seaflow.model.crests import find_crest, split_losses
from seaflow.model.drive import after_pump, lift_of, paths_of, running_pump
from seaflow.model.elements import Pumping
from seaflow.model.loop import SEA
from seaflow.model.pressures import loss_of
from seaflow.physics.pumping.pump import head_and_slope

NO_FLOW = 1e-15  # m3/s, for the mass balance of a junction that is dry


@dataclass(frozen=True)
class Balance:
    """The worst of each law over all conditions.

    `mass` is relative to the flow through the junction. `head` is what is left along a link that
    carries water [m], `crest` how far a crest that holds air is from the pressure of the air [m],
    and `idle` the head that would drive a link which is open and yet dry [m].
    """

    mass: float
    head: float
    crest: float
    idle: float
    least_flow: float

    def worst(self, other: "Balance") -> "Balance":
        """Return the worse of two, law by law."""
        return Balance(
            max(self.mass, other.mass),
            max(self.head, other.head),
            max(self.crest, other.crest),
            max(self.idle, other.idle),
            min(self.least_flow, other.least_flow),
        )


PERFECT = Balance(0.0, 0.0, 0.0, 0.0, np.inf)


def balance_of(point) -> Balance:
    """Return what is left of every law of an operating point."""
    found = Balance(_mass(point), 0.0, 0.0, 0.0, float(point.flow.min()))
    for number in range(len(point.loop.links)):
        found = found.worst(_link(point, number))
    return found


def _mass(point) -> float:
    worst = 0.0
    for node in {link.end for link in point.loop.links} - {SEA}:
        into = sum(point.flow[i] for i, link in enumerate(point.loop.links) if link.end == node)
        out = sum(point.flow[i] for i, link in enumerate(point.loop.links) if link.start == node)
        worst = max(worst, float(np.abs((into - out) / np.maximum(into, NO_FLOW)).max()))
    return worst


def _link(point, number) -> Balance:
    loop, now, link = point.loop, point.conditions, point.loop.links[number]
    flow, start = point.flow[number], point.link_start_head[number]
    inside = not link.to_sea
    end = point.node_head[link.end] if inside else np.zeros(flow.shape)
    crest = find_crest(loop, link, now, link.start in after_pump(loop))
    viscosity = point.water.kinematic_viscosity
    losses = [element.losses(now) for element in link.elements]
    rise, fall = split_losses(link, losses, crest)
    lost = sum(loss_of(one, flow, viscosity) for one in rise) + lift_of(loop, link, now)
    for element in link.elements:
        if isinstance(element, Pumping):
            pump = running_pump(element, now)
            lost = lost - head_and_slope(pump.curve, flow, pump.speed)[0]
    after = sum((loss_of(one, flow, viscosity) for one in fall), np.zeros(flow.shape))
    airy = ~point.full[number]
    room = np.full(flow.shape, np.inf)  # head at the crest over its height
    if crest is not None and inside:
        room = np.where(airy, start - lost - crest.height, np.inf)
    elif crest is not None:
        after = np.where(airy, np.maximum(after, crest.above), after)
    left = start - lost - after - end
    return Balance(0.0, *_laws(left, room, flow > 0, _idle(point, number, flow)), least_flow=np.inf)


def _laws(left, room, flows, idle) -> tuple[float, float, float]:
    """Return what is left of head, crest and idle links.

    Head may be left over on a link only where its crest is at the pressure of the air.
    """
    held = np.minimum(left, room)
    head = np.where(flows & (room == np.inf), np.abs(left), 0.0)
    crest = np.where(flows & (room < np.inf), np.abs(held), 0.0)
    drive = np.where(idle, np.maximum(held, 0.0), 0.0)
    return float(head.max()), float(crest.max()), float(drive.max())


def _idle(point, number, flow):
    """Tell where a link is open and dry between ends whose heads are known, since water moves."""
    loop, link = point.loop, point.loop.links[number]
    paths = paths_of(loop, point.conditions)
    is_open = np.broadcast_to(paths.is_open, (paths.is_open.shape[0], flow.size))
    known = (paths.membership[number] @ is_open > 0) & (flow <= 0)
    for node in {link.start, link.end} - {SEA}:
        wet = sum(point.flow[i] for i, other in enumerate(loop.links) if other.end == node) > 0
        known = known & wet
    return known
