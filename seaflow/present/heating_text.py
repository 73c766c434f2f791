"""The answer of `heating` as text: how cold the sea may be, then what each unit does there."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import heading, labelled, table
from seaflow.present.notes import notes_of, validity_lines
from seaflow.present.quantities import Show
from seaflow.studies.heating.study import Heating, HeatingAt, LoopHeating, UnitHeating


def heating_text(answer: Heating, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Heating, show: Show) -> Iterator[str]:
    yield (
        f"{answer.boat}: {answer.hull}, heating from a sea of "
        f"{show('temperature', answer.sea_temperature)}, salinity {answer.salinity:.3g} g/kg, "
        f"which freezes at {show('temperature', answer.freezing_temperature)}"
    )
    for loop in answer.loops:
        yield heading(f"Loop of {loop.name}")
        yield from _answer(answer, loop, show)
    for loop in answer.loops:
        title = f", {loop.name}" if len(answer.loops) > 1 else ""
        yield heading(f"The corners{title}, at a sea of {_sea(answer, show)}")
        yield _corner_table(loop, show)
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from notes_of(answer.assumptions, answer.cautions, show)


def _sea(answer: Heating, show: Show) -> str:
    return show("temperature", answer.sea_temperature)


def _answer(answer: Heating, loop: LoopHeating, show: Show) -> Iterator[str]:
    clean = loop.clean
    yield labelled("Heats", _verdict(answer, loop, show))
    why, flow = show.sentence(loop.chosen), show.both("flow", clean.flow)
    yield labelled("Pump", f"{loop.title} ({loop.pump}), {why}; {flow}")
    yield labelled("Coldest", _coldest(loop, show))
    for unit in clean.units:
        yield labelled("Unit", _unit(answer, loop, unit, show))


def _verdict(answer: Heating, loop: LoopHeating, show: Show) -> str:
    if loop.is_met:
        return f"yes, at a sea of {_sea(answer, show)} and at all {len(loop.at)} corners"
    at = next(item for item in loop.at if not item.safe)
    where = show.sentence(at.words)
    if at.ending == "no operating point":
        return f"no: with {where} the pump moves no water"
    why = "" if at.coldest is None else f", for below it {show.sentence(at.coldest.set_by)}"
    coldest = None if at.coldest is None else at.coldest.temperature
    if coldest is None:
        return f"no: with {where} in no sea{why}"
    return (
        f"not at {_sea(answer, show)}: with {where} only in a sea of "
        f"{show('temperature', coldest)} or warmer{why}"
    )


def _coldest(loop: LoopHeating, show: Show) -> str:
    def of(at: HeatingAt) -> str:
        if at.coldest is None or at.coldest.temperature is None:
            return "no sea at all"
        return show("temperature", at.coldest.temperature)

    worst = max(loop.at, key=_severity)
    text = f"all clean it may run down to a sea of {of(loop.clean)}"
    if loop.clean.coldest is not None:
        text += f"; below that {show.sentence(loop.clean.coldest.set_by)}"
    if worst is not loop.clean:
        text += f". Worst corner: {of(worst)} with {show.sentence(worst.words)}"
    return f"{text}."


def _severity(at: HeatingAt) -> float:
    found = at.coldest
    return float("inf") if found is None or found.temperature is None else found.temperature


def _unit(answer: Heating, loop: LoopHeating, unit: UnitHeating, show: Show) -> str:
    if unit.evaporating_temperature is None:
        return f"{unit.name}: {unit.state}"
    need = loop.least_flows.get(unit.name)
    least = "no flow keeps it clear of ice there"
    if need is not None:
        least = f"needs {show('flow', need)} to keep clear of ice"
    return (
        f"{unit.name}: gives {show.both('heat', unit.heating)} for {show('power', unit.power)} "
        f"({unit.coefficient:.1f} times), {show('heat', unit.heat_drawn)} of it from the sea; "
        f"gets {show('flow', unit.flow)}, {least}; water leaves at "
        f"{show('temperature', unit.outlet_temperature)}, {show('rise', unit.outlet_margin)} above "
        f"freezing; evaporates at {show('temperature', unit.evaporating_temperature)}, coldest "
        f"wall of its coil {show('temperature', unit.wall_temperature)}"
    )


def _corner_table(loop: LoopHeating, show: Show) -> str:
    first_half = ("corner", "unit", "flow", "heat", "power")
    head = (*first_half, "leaves", "evaporates", "wall", "coldest sea", "")
    rows: list[tuple[str, ...]] = []
    for at in loop.at:
        cold = None if at.coldest is None else at.coldest.temperature
        for index, unit in enumerate(at.units):
            first = index == 0
            rows.append(
                (
                    at.corner if first else "",
                    unit.name,
                    show("flow", unit.flow),
                    show("heat", unit.heating),
                    show("power", unit.power),
                    show("temperature", unit.outlet_temperature),
                    "-"
                    if unit.evaporating_temperature is None
                    else show("temperature", unit.evaporating_temperature),
                    "-"
                    if unit.wall_temperature is None
                    else show("temperature", unit.wall_temperature),
                    ("none" if cold is None else show("temperature", cold)) if first else "",
                    ("" if at.safe else "ice") if first else "",
                )
            )
    return table(head, rows, right=tuple(range(2, 9)))
