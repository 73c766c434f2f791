"""The tables below the answer of `size`."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.need import Criterion
from seaflow.studies.design.supply import SupplyResult
from seaflow.studies.size.heads import HeadItem, HeadList
from seaflow.studies.size.size import LoopSize, Sizing

BAR = 24  # characters of the longest bar


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
    for need in loop.needs:
        parts = [_criterion(item, show) for item in need.criteria]
        yield labelled(
            "",
            f"{need.name}: "
            + "; ".join(parts)
            + f". Floor when dirty: {show('flow', need.least)}.",
            4,
        )
        low, high = need.rule_flows
        yield labelled(
            "",
            f"Rules of thumb disagree: 2 gpm per ton asks {show('flow', low)}, "
            f"3 gpm per ton {show('flow', high)}; "
            f"the need found is {show.sentence(need.rule_says)}.",
            4,
        )
        if not need.can_run:
            yield labelled(
                "", f"No flow of water keeps {need.name} clear of its cut-out at this sea.", 4
            )


def _criterion(item: Criterion, show: Show) -> str:
    name = show.sentence(item.what)
    if item.flow is not None:
        return f"{name} {show('flow', item.flow)}"
    return f"{name}: not recorded" if item.source == "case" else f"{name}: no flow does that"


def head_table(heads: HeadList, show: Show) -> Iterator[str]:
    """Yield the heads item by item, with a bar that shows what costs most."""
    most = max((item.head for item in heads.items), default=1.0)
    rows = [_head_row(item, heads, most, show) for item in heads.items]
    yield table(("where", "what", "velocity", "head", "share", ""), rows, right=(2, 3, 4))
    static = show("head", heads.static_running)
    yield labelled(
        "", f"Friction to {heads.to_unit or 'the outlet'}: {show('head', heads.friction)}.", 4
    )
    if heads.crest:
        full = "runs full and gives its height back"
        if not heads.leg_runs_full:
            full = "does not run full, and its fall pays for no more than its own friction"
        yield labelled(
            "",
            f"Static: {show('head', heads.static_starting)} to start (highest point: "
            f"{heads.crest}), {static} at the outlet once running; the leg after the highest point "
            f"{full} at this flow (Froude number, Wisner 1975).",
            4,
        )
    else:
        yield labelled("", f"Static: {static}, the height of the outlet, to start and to run.", 4)
    yield labelled(
        "", f"The pump must give {show('head', heads.head)} at {show('flow', heads.flow)}.", 4
    )


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
        margins = [unit.margin for unit in at.units if unit.margin is not None]
        floors = [
            unit.margin
            for corner in result.at[1:]
            if corner.asks == "least"
            for unit in corner.units
            if unit.margin is not None
        ]
        rows.append(
            (
                str(number),
                result.part.name + (" *" if result.fitted else ""),
                show("flow", at.flow),
                show("head", at.head),
                percent(at.share_of_free_flow),
                show("power", at.power),
                percent(min(margins), signed=True) if margins else "-",
                percent(min(floors), signed=True) if floors else "-",
                "yes" if result.judgement.recommended else "no",
            )
        )
    head = (
        "",
        "pump",
        "flow",
        "head",
        "of free flow",
        "power",
        "to need",
        "to floor, dirty",
        "will do",
    )
    return table(head, rows, right=(0, 2, 3, 4, 5, 6, 7))


def reason_lines(loop: LoopSize, show: Show) -> Iterator[str]:
    """Yield one sentence for every pump that will not do."""
    if any(result.fitted for result in loop.pumps):
        yield "  * fitted now"
    yield labelled(
        "",
        "To need: the worst unit against its need, all clean. To floor: the worst unit against its "
        "floor (no trip, maker's least flow) with a blocked strainer, low volts or growth.",
        4,
    )
    for result in loop.pumps:
        if result.judgement.reasons:
            yield bullet(f"not {result.part.name}: {show.sentence(result.judgement.reasons[0])}.")


def corner_table(chosen: PumpResult, show: Show) -> Iterator[str]:
    """Yield where the chosen pump runs at each corner, and each unit with it."""
    rows = []
    for at in chosen.at:
        for number, unit in enumerate(at.units):
            first = number == 0
            rows.append(
                (
                    show.sentence(at.where) if first else "",
                    show("flow", at.flow) if first else "",
                    show("head", at.head) if first else "",
                    unit.name,
                    show("flow", unit.flow),
                    {"need": "need", "least": "least", "most": ""}[at.asks],
                    percent(unit.margin, signed=True) if at.asks != "most" else "",
                    show("temperature", unit.outlet_temperature)
                    if unit.state == "cooling"
                    else unit.state,
                    show("velocity", unit.coil_velocity) if unit.coil_velocity is not None else "",
                )
            )
    head = ("corner", "flow", "head", "unit", "gets", "against", "margin", "leaves at", "in coil")
    yield table(head, rows, right=(1, 2, 4, 6, 7, 8))


def bore_table(loop: LoopSize, show: Show) -> str:
    """Return the bores against what velocity and loss ask for."""
    rows = [
        (
            item.kind,
            item.thing,
            show("velocity", item.velocity),
            show("bore", item.has),
            show("bore", item.suggested),
            item.verdict,
        )
        for item in loop.bores
    ]
    return table(("", "thing", "velocity", "has", "suggested", "verdict"), rows, right=(2, 3, 4))


def suction_lines(loop: LoopSize, show: Show) -> Iterator[str]:
    """Yield the gauge pressures and the NPSH."""
    suction = loop.suction
    assert suction is not None
    rows = [
        (
            item.point,
            item.kind,
            show("height", item.height),
            show("pressure", item.gauge_design),
            show("pressure", item.gauge_lowest),
            item.lowest_at,
        )
        for item in suction.points
    ]
    head = ("point", "", "height", "gauge, design", "gauge, lowest", "at corner")
    yield table(head, rows, right=(2, 3, 4))
    yield labelled("", "Plus: the sea pushes water in. Minus: the pump sucks a vacuum.", 4)
    if suction.npsh_available is not None:
        required = (
            "not given" if suction.npsh_required is None else show("head", suction.npsh_required)
        )
        yield labelled(
            "",
            f"NPSH available {show('head', suction.npsh_available)}, required {required}: "
            f"{show.sentence(suction.decides)}.",
            4,
        )
    else:
        yield labelled("", f"NPSH: {show.sentence(suction.decides)}.", 4)
    if suction.npsh_by_gauge is not None and suction.gauge_flow is not None:
        yield labelled(
            "",
            f"By the gauge reading of the case it was {show('head', suction.npsh_by_gauge)} at "
            f"{show('flow', suction.gauge_flow)}, in the warmest sea.",
            4,
        )
    for place in suction.not_recorded:
        yield labelled("", f"Height of {place}: not recorded, so its pressure is not known.", 4)


_DECIDED = {"least size": "the smallest size allowed"}


def supply_lines(loop: LoopSize, show: Show) -> Iterator[str]:
    """Yield current, cable and protection."""
    supply = loop.supply
    assert supply is not None
    low, high = supply.starting_current
    factor = (
        "" if supply.power_factor is None else f" at a power factor of {supply.power_factor:.2g}"
    )
    yield labelled(
        "",
        f"Draws up to {show('current', supply.current)}{factor}; "
        f"starts with {show.number('current', low)} to {show('current', high)}.",
        4,
    )
    yield from _cable_lines(supply, show)
    yield labelled(
        "",
        "Over-current protection: check that a breaker or fuse at the source of supply protects "
        "the conductor, and that it lets the starting current pass. "
        "Check the current editions of ISO 13297 and ABYC E-11.",
        4,
    )


def _cable_lines(supply: SupplyResult, show: Show) -> Iterator[str]:
    metric, american = supply.conductor_metric, supply.conductor_us
    if supply.cable_length is None:
        yield labelled("", "Cable: not recorded, so neither its drop nor its size is checked.", 4)
        return
    due = "no standard conductor is thick enough: a shorter run is due."
    if metric is not None and american is not None:
        due = (
            f"{metric.name.replace('mm2', 'mm²')} or {american.name} is due, set by "
            f"{_DECIDED.get(metric.decided_by, metric.decided_by)}, "
            f"drop {percent(metric.drop_share)}."
        )
    yield labelled("", f"Cable of {show('length', supply.cable_length)} one way: {due}", 4)
    if supply.conductor_fitted is None:
        yield labelled("", "Conductor fitted: not recorded.", 4)
        return
    verdict = "enough" if supply.conductor_is_enough else "too thin"
    drop = 0.0 if supply.drop_share is None else supply.drop_share
    yield labelled(
        "",
        f"Fitted: {show('area', supply.conductor_fitted)}, "
        f"drop {show('voltage', supply.voltage_drop)} ({drop:.1%}): {verdict}.",
        4,
    )


_NO_SUBJECT = ("limit", "the design", "the sea")
MOST_NAMED = 2  # things that share an assumption before they are only counted


def assumption_lines(answer: Sizing, show: Show) -> Iterator[str]:
    """Yield every default and limit with its source."""
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in answer.assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped.items():
        own = [subject for subject in subjects if subject not in _NO_SUBJECT]
        who = f"{', '.join(own)}: " if own else ""
        if len(own) > MOST_NAMED:
            who = f"{own[0]} and {len(own) - 1} more: "
        yield bullet(f"{who}{meaning}: {show.typed(value)} ({source})")


def caution_lines(answer: Sizing) -> Iterator[str]:
    """Yield the cautions."""
    for item in answer.cautions:
        yield bullet(f"{item.title}. {item.text}", mark="!")
