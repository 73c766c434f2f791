"""From a case to loops that the model can run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network, numbers_of, with_rows
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Fitting, Hose, Intake, Outlet, Pump, Strainer, Thing, Unit
from seaflow.model.branching import make_branching
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Element, Fixed, Pumping
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.make_coil import make_coil
from seaflow.model.make_elements import (
    MOST_KEPT,
    Maker,
    make_fitting,
    make_hose,
    make_intake,
    make_outlet,
    make_pump,
    make_strainer,
    point_of,
)
from seaflow.model.pressures import element_losses
from seaflow.physics.flow.fittings import velocity, velocity_head
from seaflow.physics.hull.openings import head_of_pressure
from seaflow.physics.water.seawater import Seawater, seawater


@dataclass(frozen=True, slots=True)
class Built:
    """A loop ready to run, what it was built from, and what was assumed; pumps by place."""

    loop: Loop
    network: Network
    assumptions: tuple[Assumption, ...]
    pumps: Mapping[str, PumpPart]


def build_loop(
    case: Case,
    found: Network,
    pumps: Mapping[str, PumpPart],
    order: Mapping[str, int] | None = None,
) -> Built:
    """Return one loop of the case with these pumps at its pump places.

    `order` numbers its things, where that is known.

    Raises
    ------
    KeyError
        If a pump place gets no pump.
    """
    maker = Maker(network=found, seacocks=case.seacock, catalogue=case.catalogue)
    junctions = {name: thing for name, thing in found.things.items() if _is_junction(found, name)}
    links = tuple(_measured(case, found, link) for link in _links(found, junctions, maker, pumps))
    length = case.boat.waterline_length
    loop = Loop(
        name=found.name,
        links=links,
        node_points=tuple(point_of(thing) for thing in junctions.values()),
        vented=frozenset(
            thing.name for thing in found.things.values() if thing.table == "vented_loop"
        ),
        midship=0.5 * length if length is not None else 0.0,
        rated_frequency=None if case.unit_supply else case.supply.frequency,
        order=numbers_of(found.in_order) if order is None else order,
    )
    return Built(loop, found, maker.assumptions, pumps)


def built_with(case: Case, found: Network, part: PumpPart) -> Built:
    """Return the loop with this pump at all its pump places."""
    return build_loop(case, found, {place.name: part for place in found.pumps})


def built_like(case: Case, built: Built) -> Built:
    """Return the loop of a case that differs in numbers alone from the one a loop was built of."""
    return build_loop(case, with_rows(case, built.network), built.pumps, built.loop.order)


def built_with_any(case: Case, found: Network) -> Built:
    """Return a loop with a pump that stands in where which one it is does not matter."""
    return built_with(case, found, case.catalogue.any_pump())


def with_pump(case: Case, built: Built, part: PumpPart) -> Built:
    """Return a built loop with another pump at all its pump places, the rest kept as it is."""
    places = {place.name: place for place in built.network.pumps}
    if any(place.measured_suction is not None for place in places.values()):
        # a suction reading is taken at the pump's own port, so the strainer hangs on the pump
        return build_loop(case, built.network, dict.fromkeys(places, part))
    loop = built.loop.each(Pumping, lambda item: make_pump(places[item.name], part))
    return replace(built, loop=loop, pumps=dict.fromkeys(places, part))


def _measured(case: Case, found: Network, link: Link) -> Link:
    """Let a suction reading at a pump overrule the loss of the strainer before it."""
    for place in found.pumps:
        if place.measured_suction is None:
            continue
        if any(element.name == place.name for element in link.elements):
            water = seawater(case.sea.warmest, case.sea.salinity)
            return _with_measured_strainer(link, place, water, case.design.blocked_share)
    return link


def _is_junction(found: Network, name: str) -> bool:
    return len(found.leaving(name)) > 1 or len(found.arriving(name)) > 1


def _links(
    found: Network,
    junctions: Mapping[str, Thing],
    maker: Maker,
    pumps: Mapping[str, PumpPart],
) -> Iterator[Link]:
    for name, thing in found.things.items():
        if not isinstance(thing, Intake):
            continue
        first = make_intake(thing, maker)
        if name in junctions:
            yield _link(SEA, name, first)
        else:
            yield _chain(found, SEA, first, found.leaving(name)[0], (junctions, maker, pumps))
    for name in junctions:
        for hose in found.leaving(name):
            start = _parting(maker, junctions[name], hose)
            yield _chain(found, name, start, hose, (junctions, maker, pumps))


def _parting(maker: Maker, junction: Thing, hose: Hose) -> tuple[Fixed, ...]:
    if len(maker.network.leaving(junction.name)) < 2:
        return ()
    return (make_branching(junction, hose, maker),)


def _chain(
    found: Network,
    start: str,
    first: tuple[Element, ...],
    hose: Hose,
    tools: tuple[Mapping[str, Thing], Maker, Mapping[str, PumpPart]],
) -> Link:
    """Follow the hoses from one until the next junction or the sea."""
    junctions, maker, pumps = tools
    elements = list(first)
    while True:
        elements.append(make_hose(hose, maker))
        thing = found.things[hose.to]
        if thing.name in junctions:
            elements.extend(_joining(maker, junctions[thing.name], hose))
            return _link(start, thing.name, tuple(elements))
        elements.extend(_elements_of(thing, maker, pumps))
        if isinstance(thing, Outlet):
            return _link(start, SEA, tuple(elements))
        hose = found.leaving(thing.name)[0]


@lru_cache(MOST_KEPT)
def _link(start: str, end: str, elements: tuple[Element, ...]) -> Link:
    """Return a link; boats that share its elements share it too."""
    return Link(start, end, elements)


def _joining(maker: Maker, junction: Thing, hose: Hose) -> tuple[Fixed, ...]:
    joins = len(maker.network.arriving(junction.name)) > 1
    return (
        (make_branching(junction, hose, maker),) if joins and isinstance(junction, Fitting) else ()
    )


def _elements_of(thing: Thing, maker: Maker, pumps: Mapping[str, PumpPart]) -> tuple[Element, ...]:
    if isinstance(thing, Strainer):
        return (make_strainer(thing, maker),)
    if isinstance(thing, Pump):
        return (make_pump(thing, pumps[thing.name]),)
    if isinstance(thing, Unit):
        return (make_coil(thing, maker),)
    if isinstance(thing, Outlet):
        return make_outlet(thing, maker)
    assert isinstance(thing, Fitting)
    return (make_fitting(thing, maker),)


def _with_measured_strainer(link: Link, place: Pump, water: Seawater, blockage: float) -> Link:
    """Return the link with its strainer fitted to the suction reading of its pump.

    The reading is taken to stand for `blockage`, the state before cleaning. A link without a
    reading, a strainer or the pump's height comes back as it is, and so does one whose reading
    is explained without a strainer.
    """
    reading, level = place.measured_suction, place.level
    index = next((i for i, item in enumerate(link.elements) if isinstance(item, Basket)), None)
    if reading is None or level is None or index is None or blockage <= 0.0:
        return link
    strainer = link.elements[index]
    assert isinstance(strainer, Basket)
    now, flow = Conditions(sea_temperature=20.0), np.asarray([reading.flow])
    rest = 0.0
    for element in link.elements:
        if isinstance(element, Pumping):
            rest += _speed_head(reading.flow, element)
            break
        if element is not strainer:
            rest += float(element_losses(element, now, flow, water.kinematic_viscosity)[0])
    lost = -level - float(head_of_pressure(reading.gauge_pressure, water.density)) - rest
    if lost <= 0.0:
        return link
    found = lost / _speed_head(reading.flow, strainer)
    fitted = replace(strainer, measured=(found, blockage))
    return replace(link, elements=(*link.elements[:index], fitted, *link.elements[index + 1 :]))


def _speed_head(flow: float, element: Element) -> float:
    """Return what the speed in the bore of an element is worth [m]."""
    return float(velocity_head(velocity(flow, float(np.asarray(element.bore)))))
