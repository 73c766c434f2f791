"""What can be changed between the sea and the outlet: holes, seacocks, hoses, cable, valves.

Only what costs enough of the head that friction takes is looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from seaflow.base.bores import is_wider
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.network import Network, Run, downstream, runs_of, upstream
from seaflow.boat.parts.part import Price, price_of
from seaflow.boat.parts.sheets import HoseSheet
from seaflow.boat.tables.things import Hose, Intake, Outlet, Seacock
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Pumping
from seaflow.model.operate import operate
from seaflow.model.point import OFF, OperatingPoint
from seaflow.model.pressures import heads_by_element
from seaflow.physics.electric.wiring import conductor_sizes
from seaflow.studies.balance.answer import throttles
from seaflow.studies.balance.branches import branches_of
from seaflow.studies.balance.setting import extra_losses
from seaflow.studies.design.changes import (
    next_bores,
    with_conductor,
    with_hose_bore,
    with_intake_bore,
    with_outlet_bore,
    with_seacock,
    with_throttles,
)
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.supply import supply_of
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.improve.options import AS_IT_IS, Group, Level, Priced

# Groups, each named as the kind of its facts.
HULL, OUTLET, VALVES = "improve.hull", "improve.outlet", "improve.valves"
SUCTION, SHARED = "improve.suction_hoses", "improve.shared_hoses"
DELIVERY, OF_UNIT, CABLE = "improve.delivery_hoses", "improve.unit_hoses", "improve.cable"


@dataclass(frozen=True, slots=True, eq=False)
class Lost:
    """What each element of a loop takes of the friction of its longest way, half dirty.

    `worst` is the unit that gets least of its need all clean. Where no water runs `shares` is
    empty, and everything may limit.
    """

    shares: Mapping[str, float]
    worst: str

    def limits(self, *names: str) -> bool:
        """Return whether things take enough together for a wider one to bring more water."""
        share = sum(self.shares.get(name, 0.0) for name in names)
        return not self.shares or share >= limit("worth_widening")


def lost_of(case: Case, built: Built, needs: Mapping[str, UnitNeed]) -> Lost:
    """Return where the friction of a loop is, and which unit gets least of its need."""
    (part, *_) = built.pumps.values()
    now = full_supply(case, built.network, part)
    half = np.asarray([0.0, 0.5])
    dirty = replace(
        now,
        strainer_blockage=half * case.design.blocked_share,
        growth=half * case.design.growth,
        sea_temperature=np.full(2, case.sea.warmest),
    )
    point = operate(built.loop, dirty)
    return Lost(_shares(built, point), _worst(built, point, needs))


def _worst(built: Built, point: OperatingPoint, needs: Mapping[str, UnitNeed]) -> str:
    units = [coil.unit for coil in built.loop.coils]
    on = [name for name in units if not np.all(point.units[name].state == OFF)] or units
    return min(on, key=lambda name: point.units[name].volume_flow[0] / (needs[name].flow or 1e-9))


def _shares(built: Built, point: OperatingPoint) -> dict[str, float]:
    pumps = {item.name for item in built.loop.elements(Pumping)}
    lost: dict[str, float] = {}
    of_link = np.zeros(len(built.loop.links))
    for item in heads_by_element(point):
        if item.name not in pumps:
            head = max(float(item.lost[1]), 0.0)
            lost[item.name] = lost.get(item.name, 0.0) + head
            of_link[item.link] += head
    whole = float((built.loop.membership * of_link[:, np.newaxis]).sum(axis=0).max())
    return {name: head / whole for name, head in lost.items()} if whole > 0.0 else {}


def groups_of(case: Case, built: Built, needs: Mapping[str, UnitNeed]) -> tuple[Group, ...]:
    """Return everything that may be changed on a loop beside its pump and its strainer."""
    found, lost = built.network, lost_of(case, built, needs)
    groups = [
        _hulls(case, found, lost),
        *_hose_groups(case, found, lost),
        _outlets(case, found, lost),
        _cables(case, built),
        *valve_group(case, built, needs),
    ]
    return tuple(group for group in groups if len(group.levels) > 1)


def _hose_groups(case: Case, network: Network, lost: Lost) -> Iterator[Group]:
    sides = hose_sides(network)
    yield _hoses(case, network, (SUCTION, ""), sides["suction"], lost)
    if len(network.units) == 1:
        every = sides["shared"] + sides["branches"]
        yield _hoses(case, network, (DELIVERY, ""), every, lost)
        return
    yield _hoses(case, network, (SHARED, ""), sides["shared"], lost)
    mine = tuple(hose for hose in sides["branches"] if lost.worst in units_of(network, hose))
    group = _hoses(case, network, (OF_UNIT, lost.worst), mine, lost)
    every_level = _each_wider(case, network, sides["branches"])
    if every_level is not None and len(mine) < len(sides["branches"]):
        group = replace(group, levels=(*group.levels, every_level))
    yield group


def hose_sides(network: Network) -> dict[str, tuple[Hose, ...]]:
    """Return the hoses before the pump, those that all units share after it, and the branches."""
    sides: dict[str, list[Hose]] = {"suction": [], "shared": [], "branches": []}
    for hose in network.hoses:
        if any(
            hose.to == pump.name or hose.to in upstream(network, pump.name)
            for pump in network.pumps
        ):
            sides["suction"].append(hose)
        elif len(units_of(network, hose)) == len(network.units) > 1:
            sides["shared"].append(hose)
        else:
            sides["branches"].append(hose)
    return {name: tuple(hoses) for name, hoses in sides.items()}


def units_of(network: Network, hose: Hose) -> tuple[str, ...]:
    """Return the units whose water passes a hose."""
    touched = {hose.from_, hose.to}
    touched |= upstream(network, hose.from_) | downstream(network, hose.to)
    return tuple(unit.name for unit in network.units if unit.name in touched)


# ----------------------------------------------------------------------------- through the hull


def _cock_on(case: Case, name: str) -> Seacock | None:
    return next((cock for cock in case.seacock if cock.on == name), None)


def _hulls(case: Case, network: Network, lost: Lost) -> Group:
    holes = [
        thing
        for thing in network.things.values()
        if isinstance(thing, Intake) and thing.table == "through_hull"
    ]
    if len(holes) != 1:
        return Group(HULL, (AS_IT_IS,))
    hole = holes[0]
    cock = _cock_on(case, hole.name)
    levels = [AS_IT_IS]
    if cock is not None and lost.limits(cock.name):
        levels += _seacocks(case, cock, hole.bore)
    if lost.limits(hole.name, *([cock.name] if cock else [])):
        levels += _openings(case, hole, cock, HULL)
    return Group(HULL, tuple(levels))


def _outlets(case: Case, network: Network, lost: Lost) -> Group:
    """Return the outlet that the water of the worst unit leaves by."""
    after = downstream(network, lost.worst)
    outlets = [
        thing
        for thing in network.things.values()
        if isinstance(thing, Outlet) and thing.name in after
    ]
    if len(outlets) != 1:
        return Group(OUTLET, (AS_IT_IS,))
    outlet = outlets[0]
    cock = _cock_on(case, outlet.name)
    levels = [AS_IT_IS]
    if cock is not None and lost.limits(cock.name):
        levels += _seacocks(case, cock, outlet.bore)
    if lost.limits(outlet.name, *([cock.name] if cock else [])):
        levels += _openings(case, outlet, cock, OUTLET)
    return Group(OUTLET, tuple(levels))


def _seacocks(case: Case, cock: Seacock, bore: float) -> Iterator[Level]:
    """Yield a seacock of full bore, where the one fitted is narrower or of a kind that costs."""
    find, usual = case.catalogue.find, default("seacock.type").text
    best = find("seacocks", usual)[1]["k"]
    if not is_wider(bore, cock.bore) and find("seacocks", cock.type)[1]["k"] <= best:
        return
    wide = max(cock.bore, bore)
    says = fact("improve.seacock", seacock=cock.name, bore=amount("bore", wide))
    apply = partial(with_seacock, name=cock.on, bore=wide, type_=usual)
    yield Level(says, apply, 1, (Priced("seacock"),), fact("improve.new_seacock"))


def _openings(
    case: Case, opening: Intake | Outlet, cock: Seacock | None, kind: str
) -> Iterator[Level]:
    """Yield an opening of the hull one and two sizes up, with the seacock on it."""
    change = with_intake_bore if kind == HULL else with_outlet_bore
    for bore in next_bores(case, opening.bore):
        things, name = [Priced("through-hull" if kind == HULL else "outlet")], kind
        if cock is not None and is_wider(bore, cock.bore):
            things.append(Priced("seacock"))
            name = f"{kind}_and_seacock"
        says = fact(name, opening=opening.name, bore=amount("bore", bore))
        apply = partial(change, name=opening.name, bore=bore)
        caution = fact("improve.new_hole" if kind == HULL else "improve.new_outlet")
        yield Level(says, apply, len(things), tuple(things), caution)


# --------------------------------------------------------------------------------------- hoses


def _hoses(
    case: Case, network: Network, group: tuple[str, str], hoses: tuple[Hose, ...], lost: Lost
) -> Group:
    """Return hoses widened together, and each run alone that takes its share."""
    kind, unit = group
    names = [hose.label for hose in hoses]
    if not hoses or not lost.limits(*names):
        return Group(kind, (AS_IT_IS,))
    narrowest = min(hose.bore for hose in hoses)
    levels = [AS_IT_IS]
    together = next_bores(case, narrowest)
    levels += [_wider(case, network, (kind, unit), hoses, bore) for bore in together]
    said = {_hoses_said(level) for level in levels}
    runs = runs_of(network, hoses)
    for run in runs if len(runs) > 1 else ():
        if not lost.limits(*(hose.label for hose in run)):
            continue
        for bore in _sizes_up(case, run, hoses):
            level = _wider(case, network, ("improve.one_hose", unit), run, bore)
            if _hoses_said(level) not in said:
                levels.append(replace(level, alone=True))
    return Group(kind, tuple(levels))


def _hoses_said(level: Level) -> tuple[object, ...]:
    """Return which hoses a level widens, and to what."""
    return () if level.says is None else (level.says["names"], level.says["bore"])


def _sizes_up(case: Case, run: Run, hoses: Collection[Hose]) -> list[float]:
    """Return the bores to try for a run: the next usual ones, and that of its wider neighbours."""
    bores = next_bores(case, run[0].bore)
    ends = {run[0].from_, run[-1].to}
    beside = [hose for hose in hoses if hose not in run and ends & {hose.from_, hose.to}]
    meets = min((hose.bore for hose in beside), default=0.0)
    return bores if not bores or not is_wider(meets, bores[-1]) else [*bores, meets]


def _wider(
    case: Case, network: Network, group: tuple[str, str], hoses: tuple[Hose, ...], bore: float
) -> Level:
    narrow = tuple(hose for hose in hoses if is_wider(bore, hose.bore))
    apply = partial(with_hose_bore, rows=frozenset(hose.row for hose in narrow), bore=bore)
    runs = runs_of(network, narrow)
    kind, unit = group
    says = fact(kind, **_named(runs), unit=unit, bore=amount("bore", bore))
    return Level(says, apply, len(runs), _bought(case, runs))


def _named(runs: tuple[Run, ...]) -> dict[str, Any]:
    """Return how many hoses these are, which, and how long together."""
    return {
        "hoses": len(runs),
        "names": tuple(run[0].label for run in runs),
        "length": amount("length", sum(hose.length for run in runs for hose in run)),
    }


def _bought(case: Case, runs: tuple[Run, ...]) -> tuple[Priced, ...]:
    hoses = tuple(Priced(run[0].label, _price(case, run)) for run in runs)
    return (*hoses, Priced("tails"), Priced("clamps"))


def _price(case: Case, run: Run) -> Price | None:
    sheet = case.catalogue.sheet("hoses", run[0].kind)
    if not isinstance(sheet, HoseSheet) or sheet.price is None:
        return None
    price = price_of(sheet.price)
    if price.amount is None:
        return None
    currency = price.currency.removesuffix("/m")
    if currency == price.currency:
        return None
    return Price(price.text, price.amount * sum(hose.length for hose in run), currency)


def _each_wider(case: Case, network: Network, hoses: tuple[Hose, ...]) -> Level | None:
    """Return every branch hose one size wider than it is."""
    above = {hose.row: next_bores(case, hose.bore) for hose in hoses}
    if not above or not all(above.values()):
        return None
    bores = {row: found[0] for row, found in above.items()}

    def apply(changed: Case) -> Case:
        for bore in dict.fromkeys(bores.values()):
            rows = [row for row, wider in bores.items() if wider == bore]
            changed = with_hose_bore(changed, rows, bore)
        return changed

    runs = runs_of(network, hoses)
    says = fact("improve.branch_hoses", **_named(runs))
    return Level(says, apply, len(runs), _bought(case, runs))


# ------------------------------------------------------------------------------ cable and valves


def _cables(case: Case, built: Built) -> Group:
    """Return thicker conductors to a pump whose speed follows its volts, where too many are lost.

    The first is the one due for the drop allowed.
    """
    place, (part, *_) = built.network.pumps[0], built.pumps.values()
    cable = place.cable
    if cable is None or cable.conductor is None or part.motor != "unregulated dc":
        return Group(CABLE, (AS_IT_IS,))
    supply = supply_of(case, place, part, 0.0)
    if (supply.drop_share or 0.0) <= limit("supply_drop") or len(built.network.pumps) > 1:
        return Group(CABLE, (AS_IT_IS,))
    due = supply.conductor_metric
    areas = [float(row["area"]) for row in conductor_sizes("metric")]
    wider = [area for area in areas if area > cable.conductor and due and area >= due.area]
    levels = [AS_IT_IS]
    for area in wider[:1]:
        says = fact("improve.cable", area=amount("area", area), thing=place.name)
        apply = partial(with_conductor, name=place.name, area=area)
        levels.append(Level(says, apply, 1, (Priced("cable"),)))
    return Group(CABLE, tuple(levels))


def valve_group(case: Case, built: Built, needs: Mapping[str, UnitNeed]) -> tuple[Group, ...]:
    """Return the balancing valves set as `balance` sets them, if branches are to share.

    Each valve that throttles counts as one change, whether it is put in or only turned.
    """
    branches = branches_of(built, needs)
    if len(branches) < 2:
        return ()
    (part, *_) = built.pumps.values()
    now: Conditions = full_supply(case, built.network, part)
    rows = {hose.label: hose.row for hose in built.network.hoses}
    valves = {
        rows[branch.hose]: branch.loss_open + float(loss)
        for branch, loss in zip(branches, extra_losses(built.loop, branches, now), strict=True)
        if throttles(float(loss))
    }
    if not valves:
        return ()
    says: Fact = fact(VALVES, valves=len(valves), branches=len(branches))
    level = Level(says, partial(with_throttles, losses=valves), len(valves))
    return (Group(VALVES, (AS_IT_IS, level)),)
