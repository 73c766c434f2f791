"""What a pump must give, and its electrical side: cable, protection, terminals, dry running."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.physics.electric.wiring import conductor_sizes, largest_fuse
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.judge import NO as REFUSED
from seaflow.studies.design.limits import limit
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.supply import SupplyResult, supply_of, supply_told
from seaflow.studies.size.item import Item
from seaflow.studies.size.size import LoopSize
from seaflow.studies.survey.evidence import Evidence
from seaflow.studies.survey.wiring import conductor_of

CABLES = {"ac": "materials.cable_ac", "dc": "materials.cable_dc"}
CABLES_OF = {"ac": "materials.cable_ac_of", "dc": "materials.cable_dc_of"}


def pump_items(evidence: Evidence, found: Network, sized: LoopSize) -> Iterator[Item]:
    """Yield what the pump of each place must give, and its cable, protection and terminals."""
    case, chosen = evidence.case, sized.chosen
    for place in found.pumps:
        asks = sized.asks
        can_be_bought = asks is not None and asks.in_reach
        unknown = asks is not None and asks.must_prime is None
        yield Item(
            "pump",
            _asked(case, found, place, sized),
            (place.name,),
            pump_is_aboard(chosen) if can_be_bought else None,
            place.in_parallel or 1,
            rule=_picked(chosen),
            question=fact("materials.is_it_under_water", thing=place.name) if unknown else None,
        )
        if chosen is not None and not chosen.part.dry_run_protection:
            yield Item("pump", fact("materials.dry_run"), (place.name,), None, 1)
        if place.check_valve:
            what = fact("materials.pump_check_valve")
            yield Item("valve", what, (place.name,), True if place.seen is not None else None, 1)
        if chosen is not None:
            power = chosen.design.power * chosen.power_share(place)
            supply = supply_of(case, place, chosen.part, power)
            yield from electric_items(evidence, place, chosen.part, supply)


def pump_is_aboard(chosen: PumpResult | None) -> bool:
    """Return whether the pump to have is the one fitted now, which will do."""
    return chosen is not None and chosen.fitted and chosen.judgement.grade != REFUSED


def _picked(chosen: PumpResult | None) -> Fact | None:
    """Return which pump the sizing puts first, and whether that is an invented one."""
    if chosen is None:
        return None
    kind = "materials.fitted_does" if chosen.fitted else "materials.own_sheet"
    if chosen.asked_for:
        kind = "materials.asked_does" if pump_is_aboard(chosen) else "materials.asked_does_not"
    elif chosen.fitted and not pump_is_aboard(chosen):
        kind = "materials.fitted_does_not"
    elif chosen.part.invented and not chosen.fitted:
        kind = "materials.invented"
    part = chosen.part
    return fact(kind, pump=pump_named(part.title, part.name))


def _asked(case: Case, found: Network, place: Pump, sized: LoopSize) -> Fact:
    """Return what to ask of a pump, in the figures of the sizing."""
    asks = sized.asks
    if asks is None:
        return fact("materials.no_pump_is_enough")
    supply = supply_told(case)
    flow, head = amount("flow", asks.flow), amount("head", asks.head)
    if not asks.in_reach:
        return fact("materials.no_pump_gives", flow=flow, head=head)
    kind = "materials.pump_each" if asks.n_pumps > 1 else "materials.pump"
    what = fact(kind, flow=flow, head=head, supply=supply)
    if asks.most is not None:
        what = fact("materials.pump_at_most", pump=what, most=amount("flow", asks.most))
    suction, delivery = found.arriving(place.name), found.leaving(place.name)
    if suction and delivery:
        bores = {"suction": suction[0].bore, "delivery": delivery[0].bore}
        sizes = {name: amount("bore", bore) for name, bore in bores.items()}
        what = fact("materials.for_hoses", pump=what, **sizes)
    if asks.ignition_protected:
        what = fact("materials.ignition_protected", pump=what)
    if asks.must_prime is None:
        return what
    kind = "materials.self_priming" if asks.must_prime else "materials.any_priming"
    return fact(kind, pump=what)


def electric_items(
    evidence: Evidence, place: Pump, part: PumpPart, supply: SupplyResult
) -> Iterator[Item]:
    """Yield cable, protection and terminals of one pump place."""
    wires = 2 if part.current == "dc" else 3
    due, cable = supply.conductor_metric, place.cable
    enough = bool(supply.conductor_is_enough)
    where = (place.name,)
    if cable is None or due is None or supply.conductor_us is None:
        asks = "materials.cable_length" if cable is None else "materials.no_cable_is_enough"
        unknown = fact(asks, thing=place.name)
        yield Item("cable", fact(CABLES[part.current]), where, question=unknown)
        yield from _protections(evidence, place, supply, None)
        return
    fitted = cable.conductor
    both = amount("length", 2.0 * cable.length)
    told = {"both": both, "least": due.name, "american": supply.conductor_us.name}
    what = fact(CABLES_OF[part.current], **told)
    rule = fact("materials.cable_set_by", set_by=due.decided_by, drop=due.drop_share)
    if fitted is not None:
        kind = "materials.cable_enough" if enough else "materials.cable_too_thin"
        rule = fact(kind, fitted=amount("area", fitted), least=due.name)
    aboard = None if fitted is None else enough
    yield Item("cable", what, where, aboard, length=cable.length, to_cut=cable.length, rule=rule)
    yield from _protections(evidence, place, supply, enough)
    size = fact("materials.terminals", least=due.name, american=supply.conductor_us.name)
    if enough and fitted is not None:
        size = fact("materials.terminals_fitted", fitted=amount("area", fitted))
    ends = wires * (1 + (place.in_parallel or 1))
    crimped = True if enough and place.seen is not None and place.seen.crimped else None
    yield Item("terminal", size, where, crimped, ends)


def _protections(
    evidence: Evidence, place: Pump, supply: SupplyResult, enough: bool | None
) -> Iterator[Item]:
    """Yield the protection of a cable, and that of each pump where it feeds several."""
    of_cable, n_pumps = _protection(evidence, place, supply, enough), supply.n_pumps
    if n_pumps == 1:
        yield of_cable
        return
    yield replace(
        of_cable, what=fact("materials.shared_protection", what=of_cable.what, pumps=n_pumps)
    )
    each = amount("current", supply.current / n_pumps)
    what = fact("materials.own_protection", least=each)
    yield Item("protection", what, (place.name,), None, n_pumps)


def _protection(evidence: Evidence, place: Pump, supply: SupplyResult, enough: bool | None) -> Item:
    """Return the range of the breaker or fuse: above what the pump draws, within its conductor."""
    least, volts = supply.current, evidence.case.supply.voltage
    carries = _carries(evidence, place, supply, bool(enough))
    rated = None if place.seen is None else place.seen.breaker
    if carries is None or enough is None:
        asks = fact("materials.protection_needs_cable", thing=place.name)
        what = fact("materials.protection_unknown", least=amount("current", least))
        return Item("protection", what, (place.name,), count=1, question=asks)
    most = largest_fuse(carries, volts)
    range_ = {"least": amount("current", least), "most": amount("current", most)}
    if most <= least:
        what = fact("materials.no_protection_fits", **range_)
        return Item("protection", what, (place.name,), count=1)
    start = tuple(amount("current", item) for item in supply.starting_current)
    what = fact("materials.protection", **range_, start=start)
    aboard, rule = None, fact("materials.protection_rule", carries=amount("current", carries))
    if rated is not None:
        aboard = least < rated <= most
        kind = "materials.breaker_fits" if aboard else "materials.breaker_does_not_fit"
        rule = fact(kind, rated=amount("current", rated), rule=rule)
    question = None
    if place.cable is not None and place.cable.hot_space is None:
        question = fact("materials.is_it_hot", thing=place.name, share=limit("hot_conductor"))
    return Item("protection", what, (place.name,), aboard, 1, rule=rule, question=question)


def _carries(evidence: Evidence, place: Pump, supply: SupplyResult, fitted: bool) -> float | None:
    """Return what the conductor carries where it runs [A]; as in a hot space where none tells."""
    wire = conductor_of(evidence, place) if fitted else None
    if wire is not None:
        return wire.carries_there or wire.carries_hot
    due = supply.conductor_metric
    if due is None:
        return None
    row = next(row for row in conductor_sizes("metric") if row["name"] == due.name)
    is_cool = place.cable is not None and place.cable.hot_space is False
    return float(row["ampacity"]) * (1.0 if is_cool else limit("hot_conductor"))
