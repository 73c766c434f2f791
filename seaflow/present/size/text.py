"""The answer of `size` as text: the answer first, then what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, fact
from seaflow.present.layout import bullet, heading, labelled
from seaflow.present.notes import INVENTED, assumption_lines, by_loop, caution_lines, validity_lines
from seaflow.present.quantities import Show
from seaflow.present.size.certainty import certainty_lines
from seaflow.present.size.tables import (
    bore_table,
    head_table,
    need_table,
    pump_table,
    reason_lines,
    suction_lines,
    supply_lines,
    worst_case_table,
)
from seaflow.studies.size.size import LoopSize, Sizing


def size_text(answer: Sizing, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Sizing, show: Show) -> Iterator[str]:
    sea = show("temperature", answer.sea_temperature)
    yield f"{answer.boat}: {answer.hull}, warmest sea {sea}, salinity {answer.salinity:.3g} g/kg"
    if answer.invented_parts:
        yield INVENTED
    yield from by_loop(
        answer.loops,
        lambda loop: (labelled(label, show.sentence(said)) for label, said in _answer(loop)),
        lambda loop, title: _details(loop, title, show),
    )
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from assumption_lines(answer.assumptions, show)
    yield from caution_lines(answer.cautions)


def _answer(loop: LoopSize) -> Iterator[tuple[str, Fact]]:
    """Yield what stands first, each sentence with its label."""
    verdict, chosen = loop.verdict, loop.chosen
    if verdict is None or chosen is None:
        yield "No pump", fact("size.no_pump_fits")
    else:
        yield {"yes": "Pump", "tight": "Tight", "no": "No pump"}[verdict.grade], verdict.pump
        yield "Why", verdict.why
        if verdict.decides is not None:
            yield "Because", fact("size.decides", said=verdict.decides)
        if verdict.cure is not None:
            yield "Cure", fact("size.cure", cure=verdict.cure)
        yield "Runs at", verdict.runs_at
        yield from (("Unit", unit) for unit in verdict.units)
        yield "How sure", verdict.how_sure
        if verdict.measure is not None:
            yield "Measure", verdict.measure
        yield "Place", verdict.place
        if verdict.next is not None:
            yield "Next", verdict.next
        yield from (("Watch out", remark) for remark in chosen.judgement.remarks)
    yield from (("Watch out", remark) for remark in loop.remarks)
    if verdict is not None:
        yield "Safety", fact("size.safety")


def _details(loop: LoopSize, title: str, show: Show) -> Iterator[str]:
    yield heading(f"What each unit needs{title}")
    yield from need_table(loop, show)
    if loop.heads is not None:
        yield heading(f"Where the head goes{title}, at {show('flow', loop.heads.flow)}")
        yield from head_table(loop.heads, show)
    chosen = loop.chosen
    if chosen is None or loop.suction is None or loop.supply is None:
        return
    name = chosen.part.name
    yield heading(f"Pumps{title}, best first")
    yield pump_table(loop, show)
    yield from reason_lines(loop, show)
    yield heading(f"Worst cases with {name}")
    yield worst_case_table(chosen, show)
    yield heading(f"Bores{title}")
    yield bore_table(loop, show)
    yield heading(f"Suction and pressures{title} with {name}")
    yield from suction_lines(loop.suction, show)
    yield heading(f"Supply of {name}")
    yield from supply_lines(loop.supply, show)
    if loop.certainty is not None:
        yield heading(f"How sure{title}")
        yield from certainty_lines(loop.certainty, name, show)
    for note in loop.notes:
        yield bullet(show.sentence(note))
