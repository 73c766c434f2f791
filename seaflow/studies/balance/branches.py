"""The branches of a loop, what each carries, and what wider hoses before them all would do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.network import downstream, runs_of
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.balancing import BalancingValve, on_bore
from seaflow.boat.tables.things import Outlet
from seaflow.model.build import Built, built_with
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil, HoseRun
from seaflow.model.loop import Link, Loop
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.studies.balance.answer import BranchFlow, Sharing, Trunk, TrunkBore
from seaflow.studies.design.changes import network_named, wider_bores, with_hose_bore
from seaflow.studies.design.need import UnitNeed


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """A link with the coils of one unit, or of several in a row, and the hose to throttle.

    `loss_now` is what its balancing valve costs as it is set, on the bore of that hose, and
    `loss_open` wide open; both nothing without one.
    """

    name: str
    units: tuple[str, ...]
    link: int
    outlets: tuple[str, ...]
    need: float
    hose: str
    bore: float
    valve: BalancingValve | None = None

    @property
    def loss_now(self) -> float:
        """What its valve costs now, on the bore of the hose."""
        valve = self.valve
        return 0.0 if valve is None else on_bore(valve.loss_now, valve.bore, self.bore)

    @property
    def loss_open(self) -> float:
        """What its valve costs wide open, on the bore of the hose."""
        valve = self.valve
        return 0.0 if valve is None else on_bore(valve.open_loss, valve.bore, self.bore)


def branches_of(built: Built, needs: Mapping[str, UnitNeed]) -> tuple[Branch, ...]:
    """Return the branches of a loop; units in a row in one need the larger of their flows."""
    valves = {hose.label: hose.balancing_valve for hose in built.network.hoses}
    found = []
    for number, link in enumerate(built.loop.links):
        units = [element.unit for element in link.elements if isinstance(element, Coil)]
        if not units:
            continue
        hoses = [element for element in link.elements if isinstance(element, HoseRun)]
        hose = next((item for item in hoses if valves.get(item.name) is not None), hoses[0])
        found.append(
            Branch(
                name=" and ".join(units),
                units=tuple(units),
                link=number,
                outlets=_outlets(built, units),
                need=max(needs[unit].flow for unit in units) or _rated(link, units),
                hose=hose.name,
                bore=float(np.asarray(hose.bore)),
                valve=valves.get(hose.name),
            )
        )
    return tuple(found)


def _outlets(built: Built, units: Iterable[str]) -> tuple[str, ...]:
    """Return the outlets that the water of some units leaves by."""
    passed = set[str]().union(*(downstream(built.network, unit) for unit in units))
    return tuple(out.name for out in built.network.of(Outlet) if out.name in passed)


def _rated(link: Link, units: list[str]) -> float:
    """Return the rated flow, for units that no flow of water is enough for."""
    coils = [element for element in link.elements if isinstance(element, Coil)]
    return max(float(np.asarray(coil.rated_flow)) for coil in coils if coil.unit in units)


def throttled(loop: Loop, branches: tuple[Branch, ...], extra: Array) -> Loop:
    """Return the loop with every valve wide open but for an extra loss coefficient on each branch.

    `extra` has the shape (branches,) or (branches, conditions), on the bore of each hose.
    """
    for branch, loss in zip(branches, extra, strict=True):
        hose = next(item for item in loop.elements(HoseRun) if item.name == branch.hose)
        base = np.asarray(hose.fittings_coefficient) - branch.loss_now + branch.loss_open
        loop = loop.changed(hose, fittings_coefficient=base + loss)
    return loop


def all_on(branches: tuple[Branch, ...], now: Conditions) -> Conditions:
    """Return the conditions with every unit running and every branch open, whatever the case."""
    units = [unit for branch in branches for unit in branch.units]
    return replace(now, running=dict.fromkeys(units, True), branch_shut=dict.fromkeys(units, False))


def ratios_of(branches: tuple[Branch, ...], point: OperatingPoint) -> Array:
    """Return flow over need: (branches, conditions)."""
    return np.stack([point.flow[branch.link] / branch.need for branch in branches])


def sharing_of(loop: Loop, branches: tuple[Branch, ...], now: Conditions) -> tuple[Sharing, ...]:
    """Return how the water is shared with all branches open, then with each shut."""
    size = len(branches) + 1
    shut = {
        unit: np.arange(size) == index
        for index, branch in enumerate(branches, 1)
        for unit in branch.units
    }
    everything = replace(
        all_on(branches, now),
        sea_temperature=np.full(size, now.sea_temperature),
        branch_shut=shut,
    )
    point = operate(loop, everything)
    power, total = point.total_power(), point.total_flow()
    found = []
    for index in range(size):
        rows = tuple(
            _branch_flow(branch, point.flow[branch.link], index)
            for number, branch in enumerate(branches, 1)
            if number != index
        )
        name = branches[index - 1].name if index else ""
        found.append(Sharing(name, float(total[index]), float(power[index]), rows))
    return tuple(found)


def _branch_flow(branch: Branch, flow: Array, index: int) -> BranchFlow:
    here, open_ = float(flow[index]), float(flow[0])
    return BranchFlow(
        branch=branch.name,
        flow=here,
        need=branch.need,
        margin=here / branch.need - 1.0,
        gained=here / open_ - 1.0 if open_ > 0.0 else 0.0,
    )


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
    for bore in wider_bores(case, narrowest):
        changed = with_hose_bore(case, rows, bore)
        found = network_named(changed, built.network.name)
        wider = built_with(changed, found, part)
        branches = branches_of(wider, needs)
        point = operate(wider.loop, all_on(branches, now))
        shares = ratios_of(branches, point)[:, 0]
        worst = int(np.argmin(shares))
        tried.append(TrunkBore(branches[worst].name, bore, float(shares[worst]) - 1.0))
    runs = tuple(run[0].label for run in runs_of(built.network, hoses))
    return Trunk(runs, narrowest, tuple(tried))
