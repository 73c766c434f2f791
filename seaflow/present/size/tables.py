"""The tables below the answer of `size`."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.layout import bullet, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.need import Criterion
from seaflow.studies.design.supply import SupplyResult
from seaflow.studies.size.heads import HeadItem, HeadList
from seaflow.studies.size.size import LoopSize
from seaflow.studies.size.suction import SuctionResult

BAR = 24  # characters of the longest bar
_SUCTION = {
    "crest": "highest point after the pump",
    "suction peak": "high point of the suction run",
    "peak": "high point",
    "suction": "suction side",
}


def below(said: Fact, show: Show) -> str:
    """Return a sentence as it stands below a table."""
    return labelled("", show.sentence(said), 4)


def need_table(loop: LoopSize, show: Show) -> Iterator[str]:
    """Yield what each unit needs and which criterion sets it."""
    rows = [
        (
            need.name,
            show("heat", need.cooling),
            show("heat", need.heat_rejected),
            show("flow", need.flow),
            show.sentence(need.set_by),
            show("temperature", need.outlet_temperature),
            show("rise", need.temperature_rise),
            show("rise", need.cut_out_margin) if need.cut_out_margin is not None else "trips",
        )
        for need in loop.needs
    ]
    head = ("unit", "cooling", "rejected", "water", "set by", "leaves at", "rise", "to cut-out")
    yield table(head, rows, right=(1, 2, 3, 5, 6, 7))
    yield below(fact("size.at_need"), show)
    for need in loop.needs:
        criteria = "; ".join(show.sentence(_criterion(item)) for item in need.criteria)
        least = amount("flow", need.least)
        yield below(fact("size.need_of", unit=need.name, criteria=criteria, least=least), show)
        lower, upper = (amount("flow", flow) for flow in need.rule_flows)
        yield below(fact("size.rules", lower=lower, upper=upper, says=need.rule_says), show)
        if not need.can_run:
            yield below(fact("design.no_flow_cools", unit=need.name), show)


def _criterion(item: Criterion) -> Fact:
    if item.flow is not None:
        return fact("size.criterion", what=item.what, flow=amount("flow", item.flow))
    if item.source == "case":
        return fact("size.criterion_unknown", what=item.what)
    return fact("size.criterion_hopeless", what=item.what)


def head_table(heads: HeadList, show: Show) -> Iterator[str]:
    """Yield the heads item by item, with a bar that shows what costs most."""
    most = max((item.head for item in heads.items), default=1.0)
    rows = [_head_row(item, heads, most, show) for item in heads.items]
    yield table(("where", "what", "velocity", "head", "share", ""), rows, right=(2, 3, 4))
    friction = amount("head", heads.friction)
    if heads.to_unit:
        yield below(fact("size.friction", unit=heads.to_unit, head=friction), show)
    else:
        yield below(fact("size.friction_to_outlet", head=friction), show)
    yield below(_lift(heads), show)
    head, flow = amount("head", heads.head), amount("flow", heads.flow)
    yield below(fact("size.must_give", head=head, flow=flow), show)


def _lift(heads: HeadList) -> Fact:
    outlet = amount("head", heads.static_running)
    if not heads.crest:
        return fact("size.lift", outlet=outlet)
    highest = amount("head", heads.static_starting)
    if heads.leg_runs_full:
        return fact("size.lift_full", highest=highest, crest=heads.crest, outlet=outlet)
    return fact("size.lift_airy", highest=highest, crest=heads.crest, outlet=outlet)


def _head_row(item: HeadItem, heads: HeadList, most: float, show: Show) -> tuple[str, ...]:
    share = item.head / heads.friction if item.on_worst_path and heads.friction > 0 else None
    bar = "#" * max(round(BAR * item.head / most), 0)
    speed = show("velocity", item.velocity) if item.velocity is not None else ""
    return (item.thing, item.item, speed, show("head", item.head), percent(share), bar)


def pump_table(loop: LoopSize, show: Show) -> str:
    """Return the pumps with where they run and how far they meet the need."""
    rows = []
    for number, result in enumerate(loop.pumps, 1):
        at = result.design
        rows.append(
            (
                str(number),
                result.part.name + (" *" if result.fitted else ""),
                show("flow", at.flow),
                show("head", at.head),
                percent(at.share_of_free_flow),
                _a_day(result, show),
                _margin(result, "need"),
                _margin(result, "least"),
                result.judgement.grade,
            )
        )
    head = ("", "pump", "flow", "head", "of open flow", "a day", "to need", "when dirty", "will do")
    return table(head, rows, right=(0, 2, 3, 4, 5, 6, 7))


def _a_day(result: PumpResult, show: Show) -> str:
    """Return what cooling takes in a day with a pump."""
    takes = result.energy_per_day
    return "-" if takes is None else show("energy", takes)


def _margin(result: PumpResult, asks: str) -> str:
    """Return the least margin of a unit in the worst cases that ask this of the flow."""
    units = [unit for at in result.at if at.asks == asks for unit in at.units]
    margins = [unit.margin for unit in units if unit.margin is not None]
    return percent(min(margins), signed=True) if margins else "-"


def reason_lines(loop: LoopSize, show: Show) -> Iterator[str]:
    """Yield one sentence for every pump that is tight or will not do."""
    marked = next((result for result in loop.pumps if result.fitted), None)
    if marked is not None:
        yield "  " + show.sentence(
            fact("size.asked_mark" if marked.asked_for else "size.fitted_mark")
        )
    yield below(fact("size.margins"), show)
    for result in loop.pumps:
        held = result.judgement.decides
        if held is not None:
            kind = "size.not_this" if result.judgement.grade == "no" else "size.tight_with_this"
            yield bullet(show.sentence(fact(kind, pump=result.part.name, reason=held)))
    judged = [(result.part.name, result.judgement) for result in loop.pumps]
    tried = {name: one.drawn_boats for name, one in judged if one.drawn_boats}
    if tried and any(one.grade == "yes" for name, one in judged if name not in tried):
        told = {"pumps": tuple(tried), "boats": max(tried.values())}
        yield bullet(show.sentence(fact("size.tried_on_boats", **told)))


def worst_case_table(chosen: PumpResult, show: Show) -> str:
    """Return where the chosen pump runs in each worst case, and each unit with it."""
    rows = []
    for at in chosen.at:
        for number, unit in enumerate(at.units):
            first = number == 0
            is_held, cools = at.asks != "most", unit.state == "cooling"
            leaves = show("temperature", unit.outlet_temperature)
            rows.append(
                (
                    show.sentence(at.where) if first else "",
                    show("flow", at.flow) if first else "",
                    show("head", at.head) if first else "",
                    unit.name,
                    show("flow", unit.flow),
                    at.asks if is_held else "",
                    percent(unit.margin, signed=True) if is_held else "",
                    leaves if cools else unit.state,
                    show("velocity", unit.coil_velocity) if unit.coil_velocity is not None else "",
                )
            )
    head = ("case", "flow", "head", "unit", "gets", "against", "margin", "leaves at", "in coil")
    return table(head, rows, right=(1, 2, 4, 6, 7, 8))


def bore_table(loop: LoopSize, show: Show) -> str:
    """Return the bores against what velocity and loss ask for."""
    rows = [
        (
            item.kind,
            item.thing,
            show("velocity", item.velocity),
            show("bore", item.has),
            show("bore", item.suggested),
            show.sentence(item.verdict),
        )
        for item in loop.bores
    ]
    return table(("", "thing", "velocity", "has", "suggested", "verdict"), rows, right=(2, 3, 4))


def suction_lines(suction: SuctionResult, show: Show) -> Iterator[str]:
    """Yield the gauge pressures and the NPSH."""
    rows = [
        (
            item.point,
            _SUCTION[item.kind],
            show("height", item.height),
            show("pressure", item.gauge_design),
            show("pressure", item.gauge_lowest),
            show.sentence(item.lowest_at),
        )
        for item in suction.points
    ]
    head = ("point", "", "height", "gauge, design", "gauge, lowest", "in the case of")
    yield table(head, rows, right=(2, 3, 4))
    yield below(fact("size.gauge_signs"), show)
    yield below(_npsh(suction), show)
    if suction.npsh_by_gauge is not None and suction.gauge_flow is not None:
        by_gauge, flow = amount("head", suction.npsh_by_gauge), amount("flow", suction.gauge_flow)
        yield below(fact("size.npsh_by_gauge", head=by_gauge, flow=flow), show)
    for place in suction.not_recorded:
        yield below(fact("size.height_unknown", point=place), show)


def _npsh(suction: SuctionResult) -> Fact:
    decides = suction.decides
    if suction.npsh_available is None:
        return fact("size.npsh_unknown", decides=decides)
    available = amount("head", suction.npsh_available)
    if suction.npsh_required is None:
        return fact("size.npsh_required_unknown", available=available, decides=decides)
    required = amount("head", suction.npsh_required)
    return fact("size.npsh", available=available, required=required, decides=decides)


def supply_lines(supply: SupplyResult, n_pumps: int, show: Show) -> Iterator[str]:
    """Yield current, cable and protection of one pump place of a loop with as many pumps."""
    current = amount("current", supply.current)
    low, high = supply.starting_current
    start = (amount("current", low), amount("current", high))
    if supply.power_factor is None:
        yield below(fact("size.draws", current=current, start=start), show)
    else:
        factor = supply.power_factor
        yield below(fact("size.draws_by_factor", current=current, factor=factor, start=start), show)
    if supply.n_pumps > 1:
        every = (supply.current, low, high)
        each, *starts = (amount("current", amps / supply.n_pumps) for amps in every)
        told = fact("size.draws_of_all", pumps=supply.n_pumps, each=each, start=tuple(starts))
        yield below(told, show)
    elif n_pumps > 1:
        yield below(fact("size.draws_of_one", pumps=n_pumps), show)
    for said in _cable(supply):
        yield below(said, show)
    yield below(fact("size.protection"), show)


def _cable(supply: SupplyResult) -> Iterator[Fact]:
    metric, american = supply.conductor_metric, supply.conductor_us
    if supply.cable_length is None:
        yield fact("size.cable_unknown")
        return
    length = amount("length", supply.cable_length)
    if metric is None or american is None:
        yield fact("size.cable_too_long", length=length)
    else:
        yield fact(
            "size.cable",
            length=length,
            metric=metric.name,
            american=american.name,
            set_by=metric.decided_by,
            drop=metric.drop_share,
        )
    if supply.conductor_fitted is None:
        yield fact("size.conductor_unknown")
        return
    told = {
        "area": amount("area", supply.conductor_fitted),
        "drop": amount("voltage", supply.voltage_drop or 0.0),
        "share": supply.drop_share or 0.0,
    }
    if supply.conductor_is_enough:
        yield fact("size.conductor_enough", **told)
    else:
        yield fact("size.conductor_too_thin", **told)
