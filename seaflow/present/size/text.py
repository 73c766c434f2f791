"""What the card of `size` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case
from seaflow.present.layout import Heading, Line, bullet, labelled
from seaflow.present.notes import assumption_lines, caution_lines, each_loop, validity_lines
from seaflow.present.quantities import Show
from seaflow.present.size.certainty import certainty_lines
from seaflow.present.size.curve_text import curves_text
from seaflow.present.size.materials import materials_text
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
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.materials import boat_materials
from seaflow.studies.size.size import LoopSize, Sizing


def size_lines(answer: Sizing, show: Show, case: Case) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    curves = {one.loop: one for one in boat_curves(case, answer)}
    lists = {one.loop: one for one in boat_materials(case, answer)}
    for loop, title in each_loop(answer.loops):
        yield from _details(loop, title, show)
        if loop.name in curves:
            yield Heading(f"Pump curve over the curve of the loop{title}")
            yield from curves_text(show, curves[loop.name])
        yield Heading(f"Bill of materials{title}")
        yield from materials_text(show, lists[loop.name].items)
    yield from _of_all(answer, show)


def lines_without_curves(answer: Sizing, show: Show) -> Iterator[Line]:
    """Yield the same without curves and materials, for whom has these in another form."""
    for loop, title in each_loop(answer.loops):
        yield from _details(loop, title, show)
    yield from _of_all(answer, show)


def _of_all(answer: Sizing, show: Show) -> Iterator[Line]:
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from assumption_lines(answer.assumptions, show)
    yield from caution_lines(answer.cautions)


def _choice(loop: LoopSize) -> Iterator[tuple[str, Fact]]:
    """Yield the choice with its reasons, each sentence with its label."""
    verdict, chosen = loop.verdict, loop.chosen
    if verdict is None or chosen is None:
        yield "No pump", fact("size.no_pump_fits")
        return
    yield {"yes": "Pump", "tight": "Tight", "no": "No pump"}[verdict.grade], verdict.pump
    yield "Why", verdict.why
    if verdict.decides is not None:
        yield "Because", verdict.decides
    if verdict.cure is not None:
        yield "Cure", verdict.cure
    if verdict.cure_leaves is not None:
        yield "But", verdict.cure_leaves
    if loop.asks is not None and loop.asks.why is not None:
        yield "To buy", loop.asks.why
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


def _details(loop: LoopSize, title: str, show: Show) -> Iterator[Line]:
    yield Heading(f"The choice{title}")
    yield from (labelled(label, show.sentence(said)) for label, said in _choice(loop))
    yield Heading(f"What each unit needs{title}")
    yield from need_table(loop, show)
    if loop.heads is not None:
        yield Heading(f"Where the head goes{title}, at {show('flow', loop.heads.flow)}")
        yield from head_table(loop.heads, show)
    chosen = loop.chosen
    if chosen is None or loop.suction is None or loop.supply is None:
        return
    name = chosen.part.name
    yield Heading(f"Pumps{title}, best first")
    yield pump_table(loop, show)
    yield from reason_lines(loop, show)
    yield Heading(f"Worst cases with {name}{title}")
    yield worst_case_table(chosen, show)
    yield Heading(f"Bores{title}")
    yield bore_table(loop, show)
    yield Heading(f"Suction and pressures with {name}{title}")
    yield from suction_lines(loop.suction, show)
    yield Heading(f"Supply of {name}{title}")
    yield from supply_lines(loop.supply, chosen.n_pumps, show)
    if loop.certainty is not None:
        yield Heading(f"How sure{title}")
        yield from certainty_lines(loop.certainty, name, show)
    for note in loop.notes:
        yield bullet(show.sentence(note))
