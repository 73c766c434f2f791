"""Head and gauge pressure along the loop, element by element, and the head that flows ask for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array, Number
from seaflow.base.constants import HAIR
from seaflow.model.conditions import Conditions
from seaflow.model.crests import Crest, find_crest, split_losses
from seaflow.model.drive import after_pump, lift_of, running_pump
from seaflow.model.elements import Element, HoseRun, Point, Pumping
from seaflow.model.heights import height_of
from seaflow.model.loop import Link, Loop
from seaflow.model.losses import Losses
from seaflow.model.point import OperatingPoint
from seaflow.model.system import LinkLosses, Paths, assemble
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.suction import gauge_pressure
from seaflow.physics.pumping.pump import head_and_slope


@dataclass(frozen=True, slots=True, eq=False)
class ElementHead:
    """What one element costs: head lost in it (a pump's is negative) and total head after it."""

    name: str
    item: str
    link: int
    lost: Array
    head_after: Array


@dataclass(frozen=True, slots=True, eq=False)
class PressurePoint:
    """Gauge pressure [Pa] and total head [m] at a point of the loop; nan where unknown."""

    label: str
    link: int
    before_pump: bool
    is_crest: bool
    height: Array
    head: Array
    gauge: Array


def element_losses(
    element: Element, now: Conditions, flow: Array, viscosity: Array | float
) -> Array:
    """Return the head lost in one element at these flows [m]."""
    return loss_of(element.losses(now), flow, viscosity)


def loss_of(losses: Losses, flow: Array, viscosity: Array | float) -> Array:
    """Return the head that losses cost at these flows [m]."""
    return loss_in_a_row((losses,), flow, viscosity)


def loss_in_a_row(row: Sequence[Losses], flow: Array, viscosity: Array | float) -> Array:
    """Return the head that all losses of a row cost at these flows [m]."""
    paths = Paths(np.ones((1, 1)), np.ones((1, 1), dtype=bool))
    link = LinkLosses(tuple(row), lift=sum((part.constant for part in row), 0.0))
    system = assemble([link], paths, viscosity, flow.shape[-1])
    return np.asarray(system.heads(flow[np.newaxis])[0][0])


def heads_by_element(point: OperatingPoint) -> tuple[ElementHead, ...]:
    """Return what each element of the loop costs where it runs, in order of links."""
    now, found = point.conditions, []
    for number, link in enumerate(point.loop.links):
        flow, head = point.flow[number], point.link_start_head[number]
        for element in link.elements:
            lost = element_losses(element, now, flow, point.water.kinematic_viscosity)
            if isinstance(element, Pumping):
                pump = running_pump(element, now)
                lost = lost - head_and_slope(pump.curve, flow, pump.speed)[0]
            head = head - lost
            found.append(ElementHead(element.name, element.item, number, lost, head))
    return tuple(found)


def pressures(point: OperatingPoint) -> tuple[PressurePoint, ...]:
    """Return the gauge pressure at every point whose height is known.

    The pressure is that at the near end of the thing that stands there; of a pump it is the
    inlet. Where the leg after a crest holds air the pressure there is that of the air.
    """
    heads = {(item.link, item.name): item for item in heads_by_element(point)}
    pumped = after_pump(point.loop)
    found: list[PressurePoint] = []
    for number, link in enumerate(point.loop.links):
        found.extend(_along(point, number, link, heads, link.start in pumped))
    return tuple(found)


def _along(
    point: OperatingPoint,
    number: int,
    link: Link,
    heads: dict[tuple[int, str], ElementHead],
    pumped: bool,
) -> list[PressurePoint]:
    flow, found = point.flow[number], []
    crest = find_crest(point.loop, link, point.conditions, pumped)
    airy = ~point.full[number]
    before_pump = not pumped
    for index, share, place in link.points():
        element = link.elements[index]
        height = height_of(place, point.conditions, point.loop)
        before = before_pump
        before_pump = before and not isinstance(element, Pumping)
        if height is None:
            continue
        item = heads[number, element.name]
        start = item.head_after + item.lost
        head = start - share * item.lost if isinstance(element, HoseRun) else start
        if crest is not None:
            lower = np.minimum(head, crest.height)
            head = np.where(airy & (index > np.asarray(crest.element)), lower, head)
        speed = velocity(flow, element.bore)
        here = np.zeros(1, dtype=bool) if crest is None else crest.sits_at(index, share)
        gauge = gauge_pressure(head, height, speed, point.water.density)
        gauge = np.where(airy & here, np.maximum(gauge, 0.0), gauge)
        found.append(
            PressurePoint(
                label=place.label,
                link=number,
                before_pump=before,
                is_crest=bool(here.any()),
                height=_full(height, flow),
                head=head,
                gauge=np.asarray(gauge),
            )
        )
    return found


def _full(value: object, flow: Array) -> Array:
    return np.broadcast_to(np.asarray(value, dtype=float), flow.shape)


def pump_gauge(point: OperatingPoint, after: bool = False) -> Array | None:
    """Return the gauge pressure before or after the first pump [Pa]; None without its height."""
    pump = point.loop.pumps[0]
    height = None if pump.point is None else height_of(pump.point, point.conditions, point.loop)
    if height is None:
        return None
    at = point.pumps[pump.name]
    head = at.inlet_head + (at.head if after else 0.0)
    speed = velocity(at.volume_flow, pump.bore)
    return np.asarray(gauge_pressure(head, height, speed, point.water.density))


def high_points(link: Link) -> tuple[Point, ...]:
    """Return the points of a link that stand higher than both their neighbours."""
    points = [point for _, _, point in link.points() if point.height is not None]
    found = []
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        level = [float(np.mean(np.asarray(item.height))) for item in (before, here, after)]
        if level[1] > max(level[0], level[2]) + HAIR:
            found.append(here)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class AskedHead:
    """What one path asks of its pump at given flows [m].

    `highest` is what the water must first reach: the outlet, or else `crest`, the point named.
    `runs_full` tells that the legs after crests give their height back; `fills_at` is the flow
    from which one that does not would [m3/s], None where a vent forbids it.
    """

    path: tuple[int, ...]
    head: float
    friction: float
    outlet: float
    highest: float
    crest: str
    runs_full: bool
    fills_at: float | None


@dataclass(frozen=True, slots=True, eq=False)
class _LinkHead:
    """Head lost in a link, the part of it up to its crest, and whether the leg after it is full."""

    lost: float
    climb: float
    crest: Crest | None
    full: bool


def asked_heads(
    loop: Loop, now: Conditions, flow: Array, viscosity: float
) -> tuple[AskedHead, ...]:
    """Return what each path asks of its pump at one flow for each link [m3/s]."""
    links = [
        _link_head(loop, link, now, flow[number : number + 1], viscosity)
        for number, link in enumerate(loop.links)
    ]
    return tuple(
        _asked(path, [links[number] for number in path], lift_of(loop, loop.links[path[-1]], now))
        for path in loop.paths
    )


def _link_head(loop: Loop, link: Link, now: Conditions, flow: Array, viscosity: float) -> _LinkHead:
    losses = [element.losses(now) for element in link.elements]
    crest = find_crest(loop, link, now, link.start in after_pump(loop))
    rise, _ = split_losses(link, losses, crest)
    lost, climb = (float(loss_in_a_row(parts, flow, viscosity)[0]) for parts in (losses, rise))
    return _LinkHead(lost, climb, crest, crest is None or bool(np.all(crest.runs_full(flow))))


def _asked(path: tuple[int, ...], links: list[_LinkHead], lift: Number) -> AskedHead:
    """Return the largest of what the outlet asks and each crest with air in the leg after it.

    The fall after such a crest pays for the friction there.
    """
    outlet, friction = float(np.max(lift)), sum(link.lost for link in links)
    head, highest, label, before = friction + outlet, outlet, "", 0.0
    airy: Crest | None = None
    for link in links:
        if link.crest is not None:
            height = float(np.max(link.crest.height))
            if height > highest:
                highest, label = height, link.crest.label
            if not link.full:
                head, airy = max(head, before + link.climb + height), link.crest
        before += link.lost
    fills_at = None if airy is None else airy.fills_at()
    return AskedHead(path, head, friction, outlet, highest, label, airy is None, fills_at)
