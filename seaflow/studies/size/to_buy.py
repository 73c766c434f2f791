"""What a pump for a loop must give and be, whoever makes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.petrol import petrol_at
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.first_start import NO, NOT_KNOWN
from seaflow.model.point import COOLING, OperatingPoint
from seaflow.physics.pumping.pump import head as head_at
from seaflow.studies.design.boats import some_boats
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.sample import Sample, permitted_rise
from seaflow.studies.design.choose import PumpResult, Ranked
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.start import first_start
from seaflow.studies.design.supply import supply_told
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.heads import HeadList, head_list, needed_flows, needs_with_water


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What to ask of a pump, or of each of `n_pumps`: the least flow and head, and the rest.

    `days` is the share of simulated days on which a pump that just gives `flow` at `head` is
    enough, None if nothing was drawn. `most` is the flow of this loop at which the first unit gets
    more than its maker or its alloy allows, as `limited_by` tells, None where nothing limits it.
    `must_prime` is None where the height of its place is not recorded, or is typical and may be
    above the water. `in_reach` is false where no pump of the table gives so much on any supply:
    then no pump alone will do. `ignition_protected` is true where petrol or its vapour may come to
    the pump. Where the loop has `n_pumps`, all figures are of each: pumps side by side share the
    water, and those one after another the head.
    """

    flow: float = measured("m3/s")
    head: float = measured("m")
    most: float | None = measured("m3/s")
    port: float | None = measured("m")
    days: float | None = measured("-")
    limited_by: str = ""
    must_prime: bool | None = None
    supply: Fact | None = None
    in_reach: bool = True
    ignition_protected: bool = False
    n_pumps: int = 1


def asked_of_a_pump(
    case: Case, best: Ranked, needs: Mapping[str, UnitNeed], drawn: Sample | None
) -> ToBuy:
    """Return what to ask of a pump for a loop of which no heads are listed yet."""
    conditions = worst_cases(case)[0].conditions
    heads = head_list(best.built, needs_with_water(best.built, needs), conditions)
    return to_buy(case, best, tuple(needs.values()), heads, drawn)


def gives(case: Case, built: Built, asks: ToBuy) -> bool:
    """Return whether the curve of the pump in a loop passes over what is asked, on full supply."""
    place = built.network.pumps[0]
    now = full_supply(case, built.network, built.pumps[place.name])
    running = running_pump(built.loop.pumps[0], now)
    speed = float(np.max(np.asarray(running.speed)))
    flow = asks.flow * (place.in_parallel or 1)
    return bool(speed > 0.0 and head_at(running.curve, flow, speed) >= asks.head)


def to_buy(
    case: Case,
    best: Ranked,
    needs: tuple[UnitNeed, ...],
    heads: HeadList,
    drawn: Sample | None,
) -> ToBuy:
    """Return what to ask of a pump for a loop; `best` tells where its water goes."""
    built, place = best.built, best.built.network.pumps[0]
    flow, head, days = heads.flow, heads.head, None
    if drawn is not None:
        flow, head = _on_most_days(case, built, drawn.point, heads)
        days = limit("likely_enough")
    most, limited_by = min(_allowed(case, needs, best.result), default=(None, ""))
    share = _share_of_one(built, {need.name: need for need in needs})
    flow, head = flow * share, head / built.loop.pumps_in_a_row
    return ToBuy(
        flow=flow,
        head=head,
        most=None if most is None else most * share,
        limited_by=limited_by,
        port=_port(built.network, place) or best.result.part.inlet,
        days=days,
        must_prime=_must_prime(case, best),
        supply=supply_told(case),
        in_reach=_given_by_some(case, flow, head),
        ignition_protected=any(petrol_at(case, pump) for pump in built.network.pumps),
        n_pumps=built.loop.n_pumps,
    )


def _share_of_one(built: Built, needs: Mapping[str, UnitNeed]) -> float:
    """Return how much of the water of a loop passes the pump that must give most of it."""
    loop = built.loop
    if loop.n_pumps == 1:
        return 1.0
    flow = needed_flows(loop, needs_with_water(built, needs))
    whole = sum(flow[number] for number, link in enumerate(loop.links) if link.from_sea)
    most = max(flow[loop.link_of(pump)] / pump.n_pumps for pump in loop.pumps)
    return float(most / whole) if 0.0 < whole < np.inf else 1.0 / loop.n_pumps


def _given_by_some(case: Case, flow: float, head: float) -> bool:
    """Return whether any pump of the table that runs all day gives this head at this flow.

    That is asked of every supply, for the table holds few pumps of each.
    """
    lasting = (part for part in case.catalogue.pumps() if part.continuous)
    return any(head_at(part.curve, flow, 1.0) >= head for part in lasting)


def _port(found: Network, place: Pump) -> float | None:
    """Return the bore of the suction port to ask for [m]: as recorded, else that of its hose."""
    arriving = found.arriving(place.name)
    return place.port or (arriving[0].bore if arriving else None)


def _on_most_days(
    case: Case, built: Built, point: OperatingPoint, heads: HeadList
) -> tuple[float, float]:
    """Return a flow, and a head at it, that are enough on the share of days that is likely enough.

    On each day drawn the flow that keeps the permitted rise is that which ran, times the rise over
    the permitted one, for the heat hardly depends on the flow; the head follows by the square of
    the flow above the lift. Both are taken at the least quantile at which that share of days asks
    no more of either: a day that asks for much flow is seldom one that asks for much head at it.
    Neither is less than what the design needs.
    """
    ratio = _most_asked(case, built, point)
    first, ran = next(iter(point.pumps.values())), point.total_flow()
    lost = first.head * built.loop.pumps_in_a_row
    lift = heads.head - heads.friction
    runs = np.isfinite(ratio) & (ran > 0.0)
    if not runs.any():
        return heads.flow, heads.head
    flows = (ran * ratio)[runs]
    friction = (np.maximum(lost - lift, 0.0) * ratio**2)[runs]
    flow, most = _together(flows, friction, limit("likely_enough"))
    flow = max(heads.flow, flow)
    return flow, max(heads.head, lift + most)


def _together(one: Array, other: Array, share: float) -> tuple[float, float]:
    """Return the ends, at one quantile of both, between which both lie on a share of days."""
    ranks = [np.argsort(np.argsort(values)) for values in (one, other)]
    worst = np.sort(np.maximum(*ranks))
    rank = int(worst[int(np.ceil(share * one.size)) - 1])
    return float(np.sort(one)[rank]), float(np.sort(other)[rank])


def _most_asked(case: Case, built: Built, point: OperatingPoint) -> Array:
    """Return by how much each day's flow must grow for the unit that lacks most, or nan.

    Units that are off ask for nothing.
    """
    ratios = []
    for coil in (one for one in built.loop.coils if one.switched_on):
        unit = point.units[coil.unit]
        rise = unit.temperature_rise / permitted_rise(case, coil.unit)
        ratios.append(np.where(unit.state == COOLING, rise, np.nan))
    return np.max(ratios, axis=0) if ratios else np.full(point.size, np.nan)


def _allowed(
    case: Case, needs: tuple[UnitNeed, ...], best: PumpResult
) -> Iterator[tuple[float, str]]:
    """Yield the flow of the whole loop at which a unit has all its maker, or its alloy, allows.

    The units share the water as they do at the design point.
    """
    by_name, alloys = {need.name: need for need in needs}, {it.name: it.alloy for it in case.unit}
    for unit in best.design.units:
        if unit.flow <= 0.0:
            continue
        most, alloy = by_name[unit.name].most, alloys[unit.name]
        if most is not None:
            yield best.design.flow * most / unit.flow, "maker"
        fastest = None if alloy is None else case.catalogue.fastest_water(alloy)[1]
        if fastest is not None and unit.coil_velocity:
            yield best.design.flow * fastest / unit.coil_velocity, "alloy"


def _must_prime(case: Case, best: Ranked) -> bool | None:
    """Return whether a pump that cannot prime itself would not start here; None: not known.

    What is typical of a boat may lift her pump out of the water, so a few such boats are asked.
    """
    plain = replace(best.result.part, self_priming=False, priming_lift=0.0)
    must = _cannot_start(case, best.built, plain, best.design)
    if must is not False:
        return must
    boats = some_boats(case, best.built.network.name, DEFAULT_SEED)
    sure = all(_cannot_start(boat, hers, plain, best.design) is False for boat, hers, _ in boats)
    return False if sure else None


def _cannot_start(case: Case, built: Built, part: PumpPart, now: Conditions) -> bool | None:
    """Return whether a pump does not start upright or heeled; None: not known."""
    start = first_start(case, built, part, now)
    if start.outcome == NOT_KNOWN:
        return None
    return start.outcome == NO or bool(start.on_a_tack)
