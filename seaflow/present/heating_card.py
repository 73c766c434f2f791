"""The card of `heating`: whether the units may heat, and how cold the sea may be."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.card import (
    GRADE,
    Block,
    Card,
    at_rest,
    block,
    card,
    cures,
    loops_of,
    more,
    pump_graded,
    pump_told,
    sentences,
    to_find_out,
)
from seaflow.present.quantities import Show
from seaflow.studies.design.judge import TIGHT, YES
from seaflow.studies.heating.in_the_cold import UnitHeating
from seaflow.studies.heating.study import Heating, LoopHeating


def heating_card(answer: Heating, show: Show) -> Card:
    """Return the card of heating with the sea as the source."""
    sea = amount("temperature", answer.sea_temperature)
    title = fact("heating.card_title", boat=answer.boat, sea=sea)
    blocks = [*loops_of(answer, lambda loop: _blocks(answer, loop, show))]
    blocks.append(at_rest(answer, show))
    blocks.append(more("heating", "size" if answer.grade == YES else "improve"))
    return card(show.sentence(title), blocks, len(answer.loops))


def _blocks(answer: Heating, loop: LoopHeating, show: Show) -> Iterator[Block | None]:
    deciding = loop.judgement.deciding
    icy = deciding is not None and deciding.said.kind.startswith("heating.")
    heats = loop.heats
    if deciding is not None and icy and loop.grade == TIGHT:
        sea = amount("temperature", answer.sea_temperature)
        heats = fact("heating.card_tight", sea=sea, said=deciding.said)
    held = deciding is not None and not icy
    pump = pump_graded(loop, show) if held else None
    yield block(GRADE[loop.grade], *sentences([heats], show), pump)
    cure = cures(loop.judgement.rulings, show)
    yield cure
    yield block("Coldest", *sentences(loop.down_to, show), apart=cure is None)
    for number, unit in enumerate(loop.clean.units):
        said = _unit(unit, loop.least_flows.get(unit.name))
        yield block("" if number else "Unit", *sentences([said], show))
    if not held:
        gives = (loop.clean.flow, loop.n_pumps)
        told = pump_told(loop.title, loop.pump, loop.invented, loop.chosen, *gives)
        yield block("Pump", *sentences([told], show))
    yield block("Or", *sentences([one for one in [loop.rather] if one is not None], show))
    freezing = amount("temperature", answer.freezing_temperature)
    sure = fact("heating.sure", salinity=answer.salinity, freezing=freezing)
    yield block("How sure", show.sentence(sure), apart=True)
    yield to_find_out(loop.find_out, show)
    yield block("Watch", *sentences(loop.judgement.remarks, show), kept=0)


def _unit(unit: UnitHeating, least_flow: float | None) -> Fact:
    if unit.evaporating_temperature is None:
        return fact("heating.stops", unit=unit.name, state=unit.state)
    return fact("heating.card_unit", **unit_told(unit, least_flow))


def unit_told(unit: UnitHeating, least_flow: float | None) -> dict[str, object]:
    """Return what a unit that heats gives, takes and leaves, for its sentences."""
    least = fact("heating.no_flow_is_enough")
    if least_flow is not None:
        least = fact("heating.least_flow", flow=amount("flow", least_flow))
    return {
        "unit": unit.name,
        "heat": amount("heat", unit.heating),
        "power": amount("power", unit.power),
        "flow": amount("flow", unit.flow),
        "least": least,
        "leaves": amount("temperature", unit.outlet_temperature),
        "margin": amount("rise", unit.outlet_margin),
    }
