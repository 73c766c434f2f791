"""What the card of `heating` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.heating_card import unit_told
from seaflow.present.layout import Heading, Line, labelled, table
from seaflow.present.notes import each_loop, notes_of, pump_lines, validity_lines
from seaflow.present.quantities import Show
from seaflow.studies.heating.in_the_cold import HeatingAt, UnitHeating
from seaflow.studies.heating.study import Heating, LoopHeating


def heating_lines(answer: Heating, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    for loop, title in each_loop(answer.loops):
        yield Heading(f"How cold the sea may be{title}")
        yield from _answer(loop, show)
        yield from _details(answer, loop, title, show)
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from notes_of(answer.assumptions, answer.cautions, show)


def _answer(loop: LoopHeating, show: Show) -> Iterator[Line]:
    clean = loop.clean
    yield labelled("Heats", show.sentence(loop.heats))
    yield from pump_lines(loop, show, f", {show.both('flow', clean.flow)}")
    yield labelled("Starts", show.sentences(loop.starts))
    yield labelled("Coldest", show.sentences(loop.down_to))
    day = fact("heating.day", energy=amount("energy", loop.energy_per_day))
    yield labelled("A day", show.sentence(day))
    for unit in clean.units:
        yield labelled("Unit", show.sentence(_gives(unit, loop.least_flows.get(unit.name))))


def _gives(unit: UnitHeating, least_flow: float | None) -> Fact:
    if unit.evaporating_temperature is None or unit.wall_temperature is None:
        return fact("heating.stops", unit=unit.name, state=unit.state)
    return fact(
        "heating.gives",
        **unit_told(unit, least_flow),
        times=unit.coefficient,
        drawn=amount("heat", unit.heat_drawn),
        evaporates=amount("temperature", unit.evaporating_temperature),
        wall=amount("temperature", unit.wall_temperature),
    )


def _details(answer: Heating, loop: LoopHeating, title: str, show: Show) -> Iterator[Line]:
    yield Heading(f"Worst cases{title}, in a sea of {show('temperature', answer.sea_temperature)}")
    yield _worst_table(loop, show)


def _worst_table(loop: LoopHeating, show: Show) -> str:
    head = ("worst case", "unit", "flow", "heat", "power", "leaves", "evaporates", "wall")
    rows = [
        (
            "" if index else at.name,
            unit.name,
            show("flow", unit.flow),
            show("heat", unit.heating),
            show("power", unit.power),
            show("temperature", unit.outlet_temperature),
            _or_dash(unit.evaporating_temperature, show),
            _or_dash(unit.wall_temperature, show),
            *(("", "") if index else _coldest(at, show)),
        )
        for at in loop.at
        for index, unit in enumerate(at.units)
    ]
    return table((*head, "coldest sea", ""), rows, right=tuple(range(2, 9)))


def _coldest(at: HeatingAt, show: Show) -> tuple[str, str]:
    coldest = at.coldest.temperature
    sea = "none" if coldest is None else show("temperature", coldest)
    return sea, "" if at.safe else "ice"


def _or_dash(temperature: float | None, show: Show) -> str:
    return "-" if temperature is None else show("temperature", temperature)
