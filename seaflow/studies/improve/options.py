"""What can be changed on a loop: bores one or two sizes up, a bigger strainer, another pump."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network, downstream, upstream
from seaflow.boat.parts.part import Price, PumpPart, price_of
from seaflow.boat.parts.sheets import HoseSheet
from seaflow.boat.tables.things import Hose, Intake, Strainer
from seaflow.model.build import Built
from seaflow.studies.balance.branches import branches_of
from seaflow.studies.balance.setting import extra_losses
from seaflow.studies.design.changes import (
    SAME_BORE,
    Run,
    next_bore,
    runs_of,
    with_hose_bore,
    with_intake_bore,
    with_strainer,
    with_throttles,
)
from seaflow.studies.design.choose import candidates
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.start import first_start
from seaflow.studies.design.which_pump import built_with, full_supply
from seaflow.studies.design.worst_cases import worst_cases

MOST_STEPS = 2  # sizes up
# Groups, each named as the kind of its facts.
HULL, VALVES, SUCTION = "improve.hull", "improve.valves", "improve.suction_hoses"
SHARED, DELIVERY = "improve.shared_hoses", "improve.delivery_hoses"
OF_UNIT = "improve.unit_hoses"
LEAST_LOSS = 0.05  # extra loss coefficient; less is a valve wide open


@dataclass(frozen=True, slots=True)
class Priced:
    """One thing that is bought for a change; the price is None where nobody gave one."""

    name: str
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """One size of one thing: what it is, the case with it, and how many things it changes."""

    says: Fact | None
    apply: Callable[[Case], Case]
    n_changes: int
    bought: tuple[Priced, ...] = ()
    caution: Fact | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Things that are changed together, with their sizes; the boat as it is comes first."""

    name: str
    levels: tuple[Level, ...]


def unchanged(case: Case) -> Case:
    """Return the case as it is."""
    return case


AS_IT_IS = Level(None, unchanged, 0)


def bore_groups(case: Case, network: Network, worst: str) -> tuple[Group, ...]:
    """Return the holes and hoses that can be made wider; `worst` is the unit that gets least."""
    found = [_hulls(case, network)]
    sides = hose_sides(network)
    found += [
        _hoses(case, network, SUCTION, sides["suction"]),
        _hoses(case, network, SHARED, sides["shared"]),
    ]
    if len(network.units) == 1:
        found[-1] = _hoses(case, network, DELIVERY, sides["shared"] + sides["branches"])
    else:
        found.append(_branches(case, network, sides["branches"], worst))
    return tuple(group for group in found if len(group.levels) > 1)


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


def _hulls(case: Case, network: Network) -> Group:
    levels = [AS_IT_IS]
    cocks = {cock.on: cock for cock in case.seacock}
    holes = [
        thing
        for thing in network.things.values()
        if isinstance(thing, Intake) and thing.table == "through_hull"
    ]
    for steps in range(1, MOST_STEPS + 1):
        if len(holes) != 1:
            break
        hole = holes[0]
        bore = next_bore(case, hole.bore, steps)
        if bore is None:
            break
        cock = cocks.get(hole.name)
        things, says = [Priced("through-hull")], fact("improve.hull", bore=amount("bore", bore))
        if cock is not None and cock.bore < bore - SAME_BORE:
            things.append(Priced("seacock"))
            says = fact("improve.hull_and_seacock", bore=amount("bore", bore))
        apply = partial(with_intake_bore, name=hole.name, bore=bore)
        caution = fact("improve.new_hole")
        levels.append(Level(says, apply, len(things), tuple(things), caution))
    return Group(HULL, tuple(levels))


def _hoses(
    case: Case, network: Network, kind: str, hoses: tuple[Hose, ...], unit: str = ""
) -> Group:
    levels = [AS_IT_IS]
    narrowest = min((hose.bore for hose in hoses), default=0.0)
    for steps in range(1, MOST_STEPS + 1):
        bore = next_bore(case, narrowest, steps)
        if bore is None or not hoses:
            break
        narrow = tuple(hose for hose in hoses if hose.bore < bore - SAME_BORE)
        apply = partial(with_hose_bore, rows=frozenset(hose.row for hose in narrow), bore=bore)
        runs = runs_of(network, narrow)
        says = fact(kind, **_named(runs), unit=unit, bore=amount("bore", bore))
        levels.append(Level(says, apply, len(runs), _bought(case, runs)))
    return Group(kind, tuple(levels))


def _named(runs: tuple[Run, ...]) -> dict[str, Any]:
    """Return how many hoses these are, which, and how long together."""
    return {
        "hoses": len(runs),
        "names": tuple(run[0].label for run in runs),
        "length": amount("length", sum(hose.length for run in runs for hose in run)),
    }


def _bought(case: Case, runs: tuple[Run, ...]) -> tuple[Priced, ...]:
    return tuple(Priced(run[0].label, _price(case, run)) for run in runs)


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


def _branches(case: Case, network: Network, hoses: tuple[Hose, ...], worst: str) -> Group:
    mine = tuple(hose for hose in hoses if worst in units_of(network, hose))
    levels = list(_hoses(case, network, OF_UNIT, mine, worst).levels)
    every = _each_wider(case, network, hoses)
    if every is not None and len(mine) < len(hoses):
        levels.append(every)
    return Group(OF_UNIT, tuple(levels))


def _each_wider(case: Case, network: Network, hoses: tuple[Hose, ...]) -> Level | None:
    """Return every branch hose one size wider than it is."""
    bores = {hose.row: next_bore(case, hose.bore) for hose in hoses}
    if any(bore is None for bore in bores.values()) or not bores:
        return None

    def apply(changed: Case) -> Case:
        for bore in dict.fromkeys(bores.values()):
            assert bore is not None
            rows = [row for row, wider in bores.items() if wider == bore]
            changed = with_hose_bore(changed, rows, bore)
        return changed

    runs = runs_of(network, hoses)
    says = fact("improve.branch_hoses", **_named(runs))
    return Level(says, apply, len(runs), _bought(case, runs))


def valve_group(case: Case, built: Built, needs: Mapping[str, UnitNeed]) -> tuple[Group, ...]:
    """Return the balancing valves set as `balance` would, if there are branches to share among.

    Each valve that throttles counts as one change, whether it is put in or only turned.
    """
    branches = branches_of(built, needs)
    if len(branches) < 2:
        return ()
    losses = extra_losses(built.loop, branches, worst_cases(case)[0].conditions)
    rows = {hose.label: hose.row for hose in built.network.hoses}
    valves = {
        rows[branch.hose]: branch.loss_open + float(loss)
        for branch, loss in zip(branches, losses, strict=True)
        if loss > LEAST_LOSS
    }
    if not valves:
        return ()
    says = fact(VALVES, valves=len(valves), branches=len(branches))
    level = Level(says, partial(with_throttles, losses=valves), len(valves))
    return (Group(VALVES, (AS_IT_IS, level)),)


def strainer_levels(case: Case, network: Network) -> tuple[Level, ...]:
    """Return the strainer as it is, and those of the table with ports one and two sizes up."""
    fitted = [thing for thing in network.things.values() if isinstance(thing, Strainer)]
    if len(fitted) != 1:
        return (AS_IT_IS,)
    now = fitted[0]
    port = now.port or (case.catalogue.strainer(now.model).port if now.model else 0.0)
    sheets = [case.catalogue.strainer(name) for name in case.catalogue.rows("strainers")]
    wider = sorted(
        (sheet for sheet in sheets if sheet.port > port + SAME_BORE),
        key=lambda sheet: (sheet.port, sheet.name),
    )
    ports = sorted({sheet.port for sheet in wider})[:MOST_STEPS]
    levels = [AS_IT_IS]
    for sheet in (item for item in wider if item.port in ports):
        price = None if sheet.price is None else price_of(sheet.price)
        says = fact("improve.strainer", strainer=sheet.name, ports=amount("bore", sheet.port))
        apply = partial(with_strainer, name=now.name, model=sheet.name)
        levels.append(Level(says, apply, 1, (Priced(f"strainer {sheet.name}", price),)))
    return tuple(levels)


def pump_choices(
    case: Case, network: Network, now: PumpPart
) -> tuple[tuple[PumpPart, ...], tuple[Fact, ...]]:
    """Return the pump as it is and those that may stand in its place, and why others may not."""
    place = network.pumps[0]
    found, left = [now], []
    hopeless = bool(_keeps_from_starting(case, network, now))
    for part in candidates(case, place):
        if part.name == now.name:
            continue
        if not part.continuous:
            left.append(fact("improve.not_continuous", pump=part.name))
        elif (reasons := _keeps_from_starting(case, network, part)) and not hopeless:
            left.append(fact("improve.does_not_start", pump=part.name, reasons=reasons))
        else:
            found.append(part)
    return tuple(found), tuple(left)


def _keeps_from_starting(case: Case, network: Network, part: PumpPart) -> tuple[Fact, ...]:
    """Return what keeps a pump from ever getting the water moving here; nothing if it can."""
    built, now = built_with(case, network, part), full_supply(case, network, part)
    start = first_start(case, built, part, now)
    return tuple(said for said, _ in start.refused)


def total_price(
    bought: tuple[Priced, ...],
) -> tuple[float | None, str, tuple[str, ...]]:
    """Return the sum of the prices in the first currency met, and what has none in it."""
    known = [item.price for item in bought if item.price and item.price.amount is not None]
    currency = known[0].currency if known else ""
    total, unpriced = 0.0, []
    for item in bought:
        price = item.price
        if price is None or price.amount is None or price.currency != currency:
            unpriced.append(item.name)
        else:
            total += price.amount
    return (total if known else None), currency, tuple(unpriced)
