"""What head the loop costs at the flow that is needed, item by item."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.drive import outlet_height
from seaflow.model.elements import Coil, Element, HoseRun, Pumping
from seaflow.model.loop import Loop
from seaflow.model.losses import Losses, fitting
from seaflow.model.pressures import asked_heads, loss_of
from seaflow.physics.water.seawater import seawater
from seaflow.studies.design.need import UnitNeed

LEAST_LOST = 0.02  # m of lift not given back that is worth a remark


@dataclass(frozen=True, slots=True)
class HeadItem:
    """One line of the list of heads."""

    item: str
    thing: str
    flow: float = measured("m3/s")
    velocity: float | None = measured("m/s")
    head: float = measured("m")
    on_worst_path: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadList:
    """The head a pump must give for the flow that is needed, and what makes it up.

    `static_running` is the height of the outlet, `static_starting` that which the water must first
    reach, and must reach all the time unless `leg_runs_full` tells that the leg after it does;
    `fills_at` is the flow at which it would, None where a vent forbids it.
    """

    flow: float = measured("m3/s")
    head: float = measured("m")
    friction: float = measured("m")
    static_running: float = measured("m")
    static_starting: float = measured("m")
    crest: str
    leg_runs_full: bool
    fills_at: float | None = measured("m3/s")
    to_unit: str
    submerged_outlets: tuple[str, ...]
    items: tuple[HeadItem, ...]

    @property
    def not_given_back(self) -> float:
        """What the fall after the highest point does not give back, as it does not run full [m]."""
        return 0.0 if self.leg_runs_full else self.head - self.friction - self.static_running

    @property
    def by_thing(self) -> tuple[HeadItem, ...]:
        """What each thing on the worst path costs: a hose with its barbs, bends and fittings."""
        found: dict[str, HeadItem] = {}
        for item in self.items:
            if item.on_worst_path:
                before = found.get(item.thing)
                head = item.head + (before.head if before else 0.0)
                found[item.thing] = replace(before or item, head=head)
        return tuple(found.values())


def needs_with_water(built: Built, needs: Mapping[str, UnitNeed]) -> dict[str, UnitNeed]:
    """Return the needs of the units whose branch is not shut; all of them where each is.

    Water takes its way through the coil of a unit that is off as well.
    """
    open_ = {coil.unit for coil in built.loop.coils if not coil.branch_shut} & needs.keys()
    return {name: need for name, need in needs.items() if name in open_ or not open_}


def needed_flows(loop: Loop, needs: Mapping[str, UnitNeed]) -> Array:
    """Return the flow of each link when every unit of `needs` gets just what it needs [m3/s]."""
    flow = np.zeros(len(loop.links))
    for path, share in _path_shares(loop, needs):
        for number in path:
            flow[number] += share
    return flow


def _path_shares(loop: Loop, needs: Mapping[str, UnitNeed]) -> list[tuple[tuple[int, ...], float]]:
    """Give each path the largest need on it, parted over the paths through the same units."""
    paths = loop.paths
    units = [
        tuple(
            element.unit
            for i in path
            for element in loop.links[i].elements
            if isinstance(element, Coil)
        )
        for path in paths
    ]
    shares = []
    for path, names in zip(paths, units, strict=True):
        need = max((needs[name].flow for name in names if name in needs), default=0.0)
        shares.append((path, need / units.count(names)))
    return shares


def head_list(built: Built, needs: Mapping[str, UnitNeed], now: Conditions) -> HeadList:
    """Return the heads at the needed flows under the conditions `now`, all clean."""
    loop = built.loop
    flow = needed_flows(loop, needs)
    viscosity = float(seawater(now.sea_temperature, now.salinity).kinematic_viscosity)
    asked = max(asked_heads(loop, now, flow, viscosity), key=lambda path: path.head)
    items = tuple(
        item
        for number, link in enumerate(loop.links)
        for element in link.elements
        for item in _items(element, now, (float(flow[number]), viscosity), number in asked.path)
    )
    levels = {link.elements[-1].name: outlet_height(loop, link, now) for link in loop.links}
    units = [e.unit for n in asked.path for e in loop.links[n].elements if isinstance(e, Coil)]
    return HeadList(
        flow=float(sum(flow[n] for n, link in enumerate(loop.links) if link.from_sea)),
        head=asked.head,
        friction=asked.friction,
        static_running=asked.outlet,
        static_starting=asked.highest,
        crest=asked.crest,
        leg_runs_full=asked.runs_full,
        fills_at=asked.fills_at,
        to_unit=units[-1] if units else "",
        submerged_outlets=tuple(
            name for name, level in levels.items() if level is not None and np.max(level) < 0.0
        ),
        items=items,
    )


def _items(
    element: Element, now: Conditions, at: tuple[float, float], on_worst: bool
) -> list[HeadItem]:
    flow, viscosity = at
    if isinstance(element, Pumping) or flow <= 0.0:
        return []
    area = np.pi * float(np.asarray(element.bore)) ** 2 / 4.0
    velocity = None if isinstance(element, Coil) else float(flow / area)
    if isinstance(element, HoseRun):
        return [
            HeadItem(word, element.name, flow, velocity, _head(part, flow, viscosity), on_worst)
            for word, part in _hose_parts(element, now)
        ]
    head = _head(element.losses(now), flow, viscosity)
    return [HeadItem(element.item, element.name, flow, velocity, head, on_worst)]


def _hose_parts(hose: HoseRun, now: Conditions) -> list[tuple[str, Losses]]:
    n_barbs = len(hose.barb_bores)
    parts = [
        ("hose", Losses(pipes=hose.losses(now).pipes)),
        (f"{n_barbs} barbs" if n_barbs > 1 else "barb", Losses(hose.barbs())),
    ]
    if np.any(np.asarray(hose.fittings_coefficient) > 0):
        parts.append(("bends, fittings", fitting(hose.fittings_coefficient, hose.bore)))
    return parts


def _head(losses: Losses, flow: float, viscosity: float) -> float:
    return float(loss_of(losses, np.asarray([flow]), viscosity)[0])
