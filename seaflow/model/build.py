"""From a case to loops that the model can run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import zip_longest

import numpy as np

from seaflow.base.alike import Alike
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network, numbers_of, with_rows
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.reader.text import Path
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
class LinkPlan:
    """What a link leads through, in the order of the water: hoses by their places, and things.

    The intake is the first thing of a link from the sea; junctions are no things of it.
    """

    start: str
    end: str
    hoses: tuple[int, ...]
    things: tuple[str, ...]

    @property
    def junctions(self) -> tuple[str, ...]:
        """Where it parts from other links, and where it joins them."""
        return tuple(name for name in (self.start, self.end) if name != SEA)


@dataclass(frozen=True, slots=True)
class Built:
    """A loop ready to run, and what it was built from; pumps by place.

    `plan` has what each link leads through, `noted` what was assumed of it.
    """

    loop: Loop
    network: Network
    pumps: Mapping[str, PumpPart]
    plan: tuple[LinkPlan, ...]
    noted: tuple[tuple[Assumption, ...], ...]

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was assumed, each once."""
        return tuple(dict.fromkeys(one for some in self.noted for one in some))


_Made = tuple[Link, tuple[Assumption, ...]]
# A case, its loop and the pumps there, and how water divides at the junctions.
_Tools = tuple[Case, Network, Mapping[str, PumpPart], dict[tuple[str, bool], list[float]]]


def build_loop(case: Case, found: Network, pumps: Mapping[str, PumpPart]) -> Built:
    """Return one loop of the case with these pumps at its pump places.

    Raises
    ------
    KeyError
        If a pump place gets no pump.
    """
    plan = tuple(_plan(found))
    tools: _Tools = case, found, pumps, {}
    vented = frozenset(name for name, it in found.things.items() if it.table == "vented_loop")
    order = numbers_of(found.in_order)
    loop = Loop(found.name, (), vented=vented, order=order)
    return _built(case, Built(loop, found, pumps, plan, ()), [_made(one, tools) for one in plan])


def built_like(case: Case, other: Case, built: Built) -> Built:
    """Return the loop of a case that differs in numbers alone from the other one, which is built.

    Links of which nothing differs are shared.
    """
    found, before = with_rows(case, built.network), built.network
    tools: _Tools = case, found, built.pumps, {}
    shared = _beside(case) == _beside(other)
    divided = _divided_by(found) == _divided_by(before)
    old = zip(built.plan, built.loop.links, built.noted, strict=True)
    links = [
        (link, noted)
        if shared and (divided or not one.junctions) and _is_same(one, found, before)
        else _made(one, tools)
        for one, link, noted in old
    ]
    return _built(case, replace(built, network=found), links)


def around(case: Case, built: Built, path: Path) -> Alike[tuple[Case, Built]]:
    """Return a case and its loop, known by all that decides what a value there moves in the loop.

    An element is made of one thing or hose and of what that touches; of a leg of a junction, of how
    water divides as well. Where a suction reading tells of a strainer, all counts.
    """
    found, row = built.network, path[:2]
    if any(place.measured_suction is not None for place in found.pumps):
        return Alike((id(case),), (case, built))
    on = case.seacock[int(path[1])].on if path[0] == "seacock" else ""
    here = [it for it in found.things.values() if (it.table, it.row) == row or it.name == on]
    hoses = [hose for hose in found.hoses if ("hose", hose.row) == row]
    hoses += [hose for it in here for hose in found.arriving(it.name) + found.leaving(it.name)]
    if row[0] == "unit":
        ways = (way(name) for name in found.things for way in (found.arriving, found.leaving))
        hoses += [leg for legs in ways if len(legs) > 1 for leg in legs]
    ends = (found.things[name] for hose in hoses for name in (hose.from_, hose.to))
    beside = (case.boat, case.supply, case.unit_supply, case.seacock, case.catalogue)
    made_of = (*beside, *here, *hoses, *ends)
    known = (built.plan, *_divided_by(found), *map(id, made_of))
    return Alike(known, (case, built))


def _built(case: Case, built: Built, links: Sequence[_Made]) -> Built:
    """Return a loop with these links, on the boat of a case."""
    things, junctions = built.network.things, {name for one in built.plan for name in one.junctions}
    length = case.boat.waterline_length
    loop = replace(
        built.loop,
        links=tuple(link for link, _ in links),
        node_points=tuple(point_of(it) for name, it in things.items() if name in junctions),
        midship=0.5 * length if length is not None else 0.0,
        rated_frequency=None if case.unit_supply else case.supply.frequency,
    )
    return replace(built, loop=loop, noted=tuple(noted for _, noted in links))


def built_with(case: Case, found: Network, part: PumpPart) -> Built:
    """Return the loop with this pump at all its pump places."""
    return build_loop(case, found, {place.name: part for place in found.pumps})


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


def _plan(found: Network) -> Iterator[LinkPlan]:
    """Yield what each link of a loop leads through."""
    for intake in found.of(Intake):
        if _is_junction(found, intake.name):
            yield LinkPlan(SEA, intake.name, (), (intake.name,))
        else:
            yield _followed(found, SEA, found.leaving(intake.name)[0], (intake.name,))
    for name in found.things:
        if _is_junction(found, name):
            for hose in found.leaving(name):
                yield _followed(found, name, hose, ())


def _followed(found: Network, start: str, hose: Hose, things: tuple[str, ...]) -> LinkPlan:
    """Follow the hoses from one until the next junction or the sea."""
    places = {one.row: place for place, one in enumerate(found.hoses)}
    hoses = [places[hose.row]]
    while not _is_junction(found, hose.to):
        things = (*things, hose.to)
        if isinstance(found.things[hose.to], Outlet):
            return LinkPlan(start, SEA, tuple(hoses), things)
        hose = found.leaving(hose.to)[0]
        hoses.append(places[hose.row])
    return LinkPlan(start, hose.to, tuple(hoses), things)


def _is_same(one: LinkPlan, found: Network, other: Network) -> bool:
    """Return whether all that a link is made of is the same in two loops of one plan."""
    names = (*one.things, *one.junctions)
    return all(found.things[name] is other.things[name] for name in names) and all(
        found.hoses[place] is other.hoses[place] for place in one.hoses
    )


def _beside(case: Case) -> tuple[object, ...]:
    """Return what links are made of beside the things and hoses on them."""
    measured_at = (case.sea.warmest, case.sea.salinity, case.design.blocked_share)
    return id(case.seacock), id(case.catalogue), measured_at


def _divided_by(found: Network) -> list[tuple[float | None, float]]:
    """Return what tells how water divides between the legs of junctions."""
    return [(unit.rated_flow, unit.cooling) for unit in found.units]


def _made(one: LinkPlan, tools: _Tools) -> _Made:
    """Return a link, and what was assumed of it."""
    case, found, pumps, divided = tools
    maker = Maker(network=found, seacocks=case.seacock, catalogue=case.catalogue, divided=divided)
    hoses = [found.hoses[place] for place in one.hoses]
    things = [found.things[name] for name in one.things]
    elements: list[Element] = []
    if one.start == SEA:
        intake = things.pop(0)
        assert isinstance(intake, Intake)
        elements += make_intake(intake, maker)
    else:
        elements += _parting(maker, found.things[one.start], hoses[0])
    for hose, thing in zip_longest(hoses, things):
        elements.append(make_hose(hose, maker))
        elements += () if thing is None else _elements_of(thing, maker, pumps)
    if one.end != SEA and hoses:
        elements += _joining(maker, found.things[one.end], hoses[-1])
    link = _link(one.start, one.end, tuple(elements))
    return _measured(case, found, link), maker.assumptions


def _parting(maker: Maker, junction: Thing, hose: Hose) -> tuple[Fixed, ...]:
    if len(maker.network.leaving(junction.name)) < 2:
        return ()
    return (make_branching(junction, hose, maker),)


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
