"""What a pump for a loop must give and be, whoever makes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.petrol import petrol_at
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built, with_pump
from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.first_start import NO, NOT_KNOWN
from seaflow.model.point import COOLING, OperatingPoint
from seaflow.physics.pumping.pump import head as head_at
from seaflow.studies.design.boats import some_boats
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.sample import permitted_rise
from seaflow.studies.design.choose import PumpResult, tried
from seaflow.studies.design.kinds import STARVED
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.start import REFUSED, first_start
from seaflow.studies.design.supply import supply_told
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.by_point import ByPoint
from seaflow.studies.size.demand import demand_of, first_pump, flow_from, swept
from seaflow.studies.size.heads import HeadList, head_list, needed_flows, needs_with_water

Point = tuple[float, float]  # the flow of the whole loop [m3/s] and the head of all pumps [m]
MOST_DAYS = 2_000  # more would move the figure by less than it is shown to
ROUNDS = 8  # each is a run of all days; three do for most boats
OVER = 1.004  # of what must be kept, within which a figure is not more than has to be asked
DRY, MOST = 1.5, 6.0  # times the flow: where a unit does not cool yet, and where to give up

MUCH = 1.5  # times the head all clean, from which more that is asked needs a reason; our assumption
UNEVEN = 1.005  # of the sum of the needs, beyond which a loop is said to share unevenly


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What to ask of a pump, or of each of `n_pumps`: the least flow and head, and the rest.

    `clean_flow` and `clean_head` are what the loop asks with all clean in the warmest sea, and
    `why` says why much more is asked than that, None if it is not or nothing was drawn. `days` is
    the share of simulated days on which a pump of which just `flow` at `head` is known is enough,
    None where nothing was drawn.
    `most` is the flow of this loop at which the first unit gets more than its maker or its alloy
    allows, as `limited_by` tells, None where nothing limits it. `must_prime` is None where the
    height of its place is not recorded, or is typical and may be above the water. `in_reach` is
    false where no pump of the table gives so much on any supply: then no pump alone will do.
    `ignition_protected` is true where petrol or its vapour may come to the pump. Where the loop has
    `n_pumps`, all figures are of each: pumps side by side share the water, and those one after
    another the head.
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
    clean_flow: float = measured("m3/s", 0.0)
    clean_head: float = measured("m", 0.0)
    why: Fact | None = None


def gives(case: Case, built: Built, asks: ToBuy) -> bool:
    """Return whether the curve of the pump in a loop passes over what is asked, on full supply."""
    place = built.network.pumps[0]
    now = full_supply(case, built.network, built.pumps[place.name])
    running = running_pump(built.loop.pumps[0], now)
    speed = float(np.max(np.asarray(running.speed)))
    flow = asks.flow * (place.in_parallel or 1)
    return bool(speed > 0.0 and head_at(running.curve, flow, speed) >= asks.head)


def to_buy(
    case: Case, built: Built, needs: Mapping[str, UnitNeed], sampling: Sampling
) -> ToBuy | None:
    """Return what to ask of a pump for a loop, whichever one is aboard or named.

    `built` is the loop with any pump. None where the loop itself must be changed first: no pump is
    enough, or every one would starve or not start.
    """
    wet, now = needs_with_water(built, needs), worst_cases(case)[0].conditions
    place, heads = built.network.pumps[0], head_list(built, wet, now)
    if heads.flow <= 0.0:
        return None
    days = replace(sampling, n_samples=min(sampling.n_samples, MOST_DAYS))
    told = ByPoint(case, built, _share_of_one(built, needs), days)
    point = _swept(told, heads)
    clean = _clean(told, heads, needs, point)
    asked = clean if clean is None or sampling.n_samples < 1 else _on_most_days(told, heads, clean)
    if clean is None or asked is None:
        return None
    part = told.part(*asked)
    lift = default("pump.priming_lift").value
    item = _tried(told, replace(part, self_priming=True, priming_lift=lift), needs)
    if any(one.grade == NO and _is_of_the_loop(one.said) for one in item.judgement.rulings):
        return None
    rows = built.loop.pumps_in_a_row
    flow, head = asked[0] * told.share, asked[1] / rows
    most, limited_by = min(_allowed(case, needs, built, point), default=(None, ""))
    return ToBuy(
        flow=flow,
        head=head,
        most=None if most is None else most * told.share,
        limited_by=limited_by,
        port=_port(built.network, place) or part.inlet,
        days=None if sampling.n_samples < 1 else limit("likely_enough"),
        must_prime=_must_prime(case, built, part),
        supply=supply_told(case),
        in_reach=_given_by_some(case, flow, head),
        ignition_protected=any(petrol_at(case, pump) for pump in built.network.pumps),
        n_pumps=built.loop.n_pumps,
        clean_flow=clean[0] * told.share,
        clean_head=clean[1] / rows,
        why=None if sampling.n_samples < 1 else _why(told, clean, asked[1], heads.flow),
    )


def _why(told: ByPoint, clean: Point, head: float, of_units: float) -> Fact | None:
    """Return why so much more head is asked than all clean, or more flow than the units need.

    `head` is what is asked; None where neither is so. The pumps of a loop of several are told of
    each.
    """
    loop, is_uneven = told.built.loop, clean[0] > UNEVEN * of_units
    if head < MUCH * clean[1] and not is_uneven:
        return None
    each = amount("head", clean[1] / loop.pumps_in_a_row)
    if loop.n_pumps > 1:
        return fact("size.why_more_each", flow=amount("flow", clean[0] * told.share), head=each)
    units = amount("flow", of_units)
    uneven = fact("size.uneven", units=units) if is_uneven else fact("size.nothing")
    return fact("size.why_more", flow=amount("flow", clean[0]), head=each, uneven=uneven)


def _swept(told: ByPoint, heads: HeadList) -> OperatingPoint:
    """Return the loop, all clean in the warmest sea, run at many speeds of a pump."""
    part = told.part(heads.flow, heads.head)
    built = with_pump(told.case, told.built, part)
    return swept(told.case, built, part, worst_cases(told.case)[0].conditions)


def _clean(
    told: ByPoint, heads: HeadList, needs: Mapping[str, UnitNeed], point: OperatingPoint
) -> Point | None:
    """Return what gives every unit its need as a loop run at many speeds shares its water."""
    asked = demand_of(point, told.built, needs.values())
    if asked is None:
        return None
    flow = float(np.interp(asked.flow, first_pump(point).volume_flow, point.total_flow()))
    # pumps at several places have each their own units, as the needs tell
    if len(told.built.network.pumps) > 1 or flow <= UNEVEN * heads.flow:
        return heads.flow, heads.head
    return flow, max(asked.head * told.built.loop.pumps_in_a_row, heads.head)


def _on_most_days(told: ByPoint, heads: HeadList, clean: Point) -> Point | None:
    """Return a flow and a head that are enough on the share of days that is likely enough.

    They hold for a pump of which that point alone is known, on its own doubtful curve. None where
    no flow is enough. Neither is less than what the loop asks all clean.
    """
    lift, enough = heads.head - heads.friction, limit("likely_enough")
    flow, head = _scaled(told, heads, told.days(*clean).point)
    for _ in range(ROUNDS):
        flow, head = max(flow, clean[0]), max(head, clean[1])
        kept = told.kept(flow, head, enough)
        if 1.0 <= kept <= OVER or (kept > OVER and (flow, head) == clean):
            return flow, head
        more = 0.5 * (1.0 + OVER) / kept if kept > 0.0 else DRY
        flow, head = flow * more, lift + (head - lift) * more**2
        if flow > MOST * clean[0]:
            break
    return None


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


def _scaled(told: ByPoint, heads: HeadList, point: OperatingPoint) -> Point:
    """Return a flow, and a head at it, that would be enough on that share of days, by scaling them.

    On each day drawn the flow that keeps the permitted rise is that which ran, times the rise over
    the permitted one, for the heat hardly depends on the flow; the head follows by the square of
    the flow above the lift. Both are taken at the least quantile at which that share of days asks
    no more of either: a day that asks for much flow is seldom one that asks for much head at it.
    Neither is less than what the design needs.
    """
    ratio = _most_asked(told.case, told.built, point)
    first, ran = next(iter(point.pumps.values())), point.total_flow()
    lost = first.head * told.built.loop.pumps_in_a_row
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
    case: Case, needs: Mapping[str, UnitNeed], built: Built, point: OperatingPoint
) -> Iterator[tuple[float, str]]:
    """Yield the flow of a loop run at many speeds at which a unit has all that it is allowed.

    That is what its maker allows, or its alloy.
    """
    alloys, total = {unit.name: unit.alloy for unit in case.unit}, point.total_flow()
    for coil in built.loop.coils:
        flow, most = point.units[coil.unit].volume_flow, needs[coil.unit].most
        if most is not None and (found := flow_from(total, flow, most)) is not None:
            yield found, "maker"
        alloy, velocity = alloys[coil.unit], coil.velocity(flow)
        fastest = None if alloy is None else case.catalogue.fastest_water(alloy)[1]
        if fastest is None or velocity is None:
            continue
        if (found := flow_from(total, np.asarray(velocity), fastest)) is not None:
            yield found, "alloy"


def _must_prime(case: Case, built: Built, part: PumpPart) -> bool | None:
    """Return whether a pump that cannot prime itself would not start here; None: not known.

    What is typical of a boat may lift her pump out of the water, so a few such boats are asked.
    """
    plain = replace(part, self_priming=False, priming_lift=0.0)
    now = full_supply(case, built.network, plain)
    must = _cannot_start(case, built, plain, now)
    if must is not False:
        return must
    boats = some_boats(case, built.network.name, DEFAULT_SEED)
    sure = all(_cannot_start(boat, hers, plain, now) is False for boat, hers, _ in boats)
    return False if sure else None


def _tried(told: ByPoint, part: PumpPart, needs: Mapping[str, UnitNeed]) -> PumpResult:
    (item,) = tried([((told.case, told.built, needs), part)], with_speeds=False)
    return item.result


def _is_of_the_loop(said: Fact) -> bool:
    """Return whether it is the loop that keeps a pump from running, whichever it is."""
    refused = (kind for kind in REFUSED if kind != "start.too_high")  # a stronger one pushes it up
    return said.kind in (*STARVED, "design.no_flow_cools", *refused)


def _cannot_start(case: Case, built: Built, part: PumpPart, now: Conditions) -> bool | None:
    """Return whether a pump does not start upright or heeled; None: not known."""
    start = first_start(case, with_pump(case, built, part), part, now)
    if start.outcome == NOT_KNOWN:
        return None
    return start.outcome == NO or bool(start.on_a_tack)
