"""The answer of `size` as text: the answer first, then what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, heading, labelled
from seaflow.present.notes import INVENTED, validity_lines
from seaflow.present.quantities import Show, percent
from seaflow.present.size.certainty import certainty_lines
from seaflow.present.size.tables import (
    assumption_lines,
    bore_table,
    caution_lines,
    corner_table,
    head_table,
    need_table,
    pump_table,
    reason_lines,
    suction_lines,
    supply_lines,
)
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.limits import limit
from seaflow.studies.size.size import LoopSize, Sizing


def size_text(answer: Sizing, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Sizing, show: Show) -> Iterator[str]:
    sea = show("temperature", answer.sea_temperature)
    yield f"{answer.boat}: {answer.hull}, warmest sea {sea}, salinity {answer.salinity:.3g} g/kg"
    if answer.invented_parts:
        yield INVENTED
    for loop in answer.loops:
        yield heading(f"Loop of {loop.name}")
        yield from _answer(loop, show)
    for loop in answer.loops:
        title = f", {loop.name}" if len(answer.loops) > 1 else ""
        yield from _details(loop, title, show)
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield heading("What was assumed")
    yield from assumption_lines(answer, show)
    yield heading("Cautions")
    yield from caution_lines(answer)


def _answer(loop: LoopSize, show: Show) -> Iterator[str]:
    chosen = loop.chosen
    if chosen is None:
        yield labelled("No pump", "no pump of the table fits this supply; see docs on parts.")
        for remark in loop.remarks:
            yield labelled("Watch out", show.sentence(remark))
        return
    yield labelled("Pump" if loop.is_met else "No pump", _verdict(loop, chosen))
    yield labelled("Why", _why(loop, chosen, show))
    yield labelled("Runs at", _runs_at(chosen, show))
    for need in loop.needs:
        yield labelled("Unit", _unit(loop, need.name, show))
    yield labelled("How sure", _how_sure(loop, chosen, show))
    if loop.certainty is not None:
        yield labelled("Measure", _measure_first(loop, show))
    yield labelled("Place", _place(chosen, show))
    if not loop.is_met:
        yield labelled("Next", "seaflow improve shows which hose, strainer or pump helps most.")
    for remark in (*chosen.judgement.remarks, *loop.remarks):
        yield labelled("Watch out", show.sentence(remark))
    yield labelled("Heed", "the cautions at the end, before any work.")


def _verdict(loop: LoopSize, chosen: PumpResult) -> str:
    fitted = ", the pump fitted now" if chosen.fitted else ""
    name = f"{chosen.part.title} ({chosen.part.name}){fitted}"
    if loop.is_met:
        return name
    return f"none of {len(loop.pumps)} meets the need; nearest is {name}"


def _why(loop: LoopSize, chosen: PumpResult, show: Show) -> str:
    if not loop.is_met:
        return show.sentence(chosen.judgement.reasons[0])
    meet = [result for result in loop.pumps if result.judgement.recommended]
    others = ", and it is the only one that does"
    if len(meet) > 1:
        others = f"; of the {len(meet)} that do it has the fewest remarks, then the least power"
    text = f"it keeps every unit supplied at all {len(chosen.at)} corners{others}"
    fitted = next((result for result in loop.pumps if result.fitted and result is not chosen), None)
    if fitted is not None and fitted.judgement.reasons:
        text += f"; the one fitted now does not: {show.sentence(fitted.judgement.reasons[0])}"
    return text


def _runs_at(chosen: PumpResult, show: Show) -> str:
    at = chosen.design
    if at.flow <= 0:
        return at.ending
    words = "" if at.ending == "flowing" else f"; {at.ending}"
    if chosen.setting is not None:
        words += (
            f"; set to {percent(chosen.setting.speed)} of full speed it still meets the need, "
            f"with {show('power', chosen.setting.power)}"
        )
    return (
        f"{show.both('flow', at.flow)} against {show('head', at.head)}, "
        f"{percent(at.share_of_free_flow)} of its free flow, {show('power', at.power)}{words}"
    )


def _unit(loop: LoopSize, name: str, show: Show) -> str:
    need = next(item for item in loop.needs if item.name == name)
    chosen = loop.chosen
    assert chosen is not None
    at = next(unit for unit in chosen.design.units if unit.name == name)
    text = (
        f"{name}: {show.both('heat', need.cooling)} cooling needs {show('flow', need.flow)} "
        f"({show.sentence(need.set_by)})"
    )
    if at.state != "cooling":
        return f"{text}; there it is: {at.state}"
    margin = "" if at.margin is None else f" ({percent(at.margin, signed=True)})"
    return (
        f"{text}, gets {show('flow', at.flow)}{margin}; water leaves at "
        f"{show('temperature', at.outlet_temperature)}, {show('rise', at.temperature_rise)} warmer"
    )


def _how_sure(loop: LoopSize, chosen: PumpResult, show: Show) -> str:
    held = [at for at in chosen.at if at.asks != "most"]
    worst = min(held, key=lambda at: at.flow)
    dirtiest = f"Dirtiest corner: {show('flow', worst.flow)} at {show.sentence(worst.where)}."
    found = loop.certainty
    mine = None if found is None else found.of(chosen.part.name)
    if found is None or mine is None:
        return dirtiest
    flow = mine.bands[0]
    return (
        f"over the season, in {found.n_samples} tries with every uncertain figure drawn anew, all "
        f"units keep running in {percent(mine.keeps_running)} and keep the permitted rise in "
        f"{percent(mine.keeps_rise)}; flow {show.number('flow', flow.low)} to "
        f"{show('flow', flow.high)} in nine of ten. {dirtiest}"
    )


def _measure_first(loop: LoopSize, show: Show) -> str:
    assert loop.certainty is not None
    return f"{show.sentence(loop.certainty.decides)}."


def _place(chosen: PumpResult, show: Show) -> str:
    self_priming = chosen.part.self_priming
    depth = "as low as the run allows"
    if not self_priming:
        least = show("height", limit("pump_below_water"))
        depth = f"at least {least} below the waterline on either tack"
    return (
        f"{depth}, suction rising all the way to it, away from sleeping berths and off their "
        "bulkheads, on a soft mount, dry, and where strainer and seacock can be reached"
    )


def _details(loop: LoopSize, title: str, show: Show) -> Iterator[str]:
    yield heading(f"What each unit needs{title}")
    yield from need_table(loop, show)
    if loop.heads is not None:
        yield heading(f"Where the head goes{title}, at {show('flow', loop.heads.flow)}")
        yield from head_table(loop.heads, show)
    if not loop.pumps:
        return
    yield heading(f"Pumps{title}, best first")
    yield pump_table(loop, show)
    yield from reason_lines(loop, show)
    assert loop.chosen is not None
    yield heading(f"The corners with {loop.chosen.part.name}")
    yield from corner_table(loop.chosen, show)
    yield heading(f"Bores{title}")
    yield bore_table(loop, show)
    yield heading(f"Suction and pressures{title} with {loop.chosen.part.name}")
    yield from suction_lines(loop, show)
    yield heading(f"Supply of {loop.chosen.part.name}")
    yield from supply_lines(loop, show)
    if loop.certainty is not None:
        yield heading(f"How sure{title}")
        yield from certainty_lines(loop.certainty, loop.chosen.part.name, show)
    for note in loop.notes:
        yield bullet(show.sentence(note))
