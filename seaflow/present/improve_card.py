"""The card of `improve`: what to change on the boat, and what that brings."""

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
    loops_of,
    loops_told,
    more,
    sentences,
    to_find_out,
)
from seaflow.present.notes import INVENTED
from seaflow.present.quantities import Show
from seaflow.studies.improve.answer import Choice, Improvement, LoopImprovement

VALVES = "improve.valves"
OTHERS = ("improve.next_best", "improve.only_this", "improve.otherwise")  # name another choice
PAIR = (  # names hoses with a smaller pump
    *("improve.smaller_pump", "improve.smaller_pump_named"),
    *("improve.smaller_pumps", "improve.smaller_pumps_named"),
)
CHANGES = {  # how the card says a change
    "improve.pump": "improve.card_pump",
    "improve.strainer": "improve.card_strainer",
    "improve.hull": "improve.card_hull",
    "improve.hull_and_seacock": "improve.card_hull_and_seacock",
    "improve.seacock": "improve.card_seacock",
    "improve.suction_hoses": "improve.card_suction_hoses",
    "improve.delivery_hoses": "improve.card_delivery_hoses",
    "improve.shared_hoses": "improve.card_shared_hoses",
    "improve.unit_hoses": "improve.card_unit_hoses",
    "improve.branch_hoses": "improve.card_branch_hoses",
    "improve.one_hose": "improve.card_one_hose",
    "improve.outlet": "improve.card_outlet",
    "improve.outlet_and_seacock": "improve.card_outlet_and_seacock",
    "improve.cable": "improve.card_cable",
    VALVES: "improve.card_valves",
}
# Of a new pump: if its curve passes over what is asked, if it is enough all the same, if neither.
ONE_PUMP = (
    "improve.card_pump_to_buy",
    "improve.card_pump_enough",
    "improve.card_pump_not_listed",
)
SEVERAL_PUMPS = (
    "improve.card_pumps_to_buy",
    "improve.card_pumps_enough",
    "improve.card_pumps_not_listed",
)
BOUGHT = {
    "hose": "improve.bought_hose",
    "tail": "improve.bought_tail",
    "adapter": "improve.bought_adapter",
    "manifold": "improve.bought_tee",
    "clamp": "improve.bought_clamp",
    "fitting": "improve.bought_fitting",
    "valve": "improve.bought_valve",
    "strainer": "improve.bought_strainer",
    "through_hull": "improve.bought_through_hull",
    "outlet": "improve.bought_outlet",
    "seacock": "improve.bought_seacock",
    "pump": "improve.bought_pump",
    "cable": "improve.bought_cable",
    "protection": "improve.bought_protection",
    "terminal": "improve.bought_terminal",
}


def improve_card(answer: Improvement, show: Show) -> Card:
    """Return the card of what to change."""
    n_loops = len(answer.loops)
    days = answer.n_samples
    title = fact("improve.card_title", boat=answer.boat, loops=loops_told(n_loops), days=days)
    holes = dict.fromkeys(said for loop in answer.loops for said in loop.winner.cautions)
    careful = sentences(holes, show)
    blocks = [*loops_of(answer, lambda loop: _blocks(answer, loop, show), careful)]
    sets = any(said.kind == VALVES for loop in answer.loops for said in loop.winner.changes)
    error = 0.5 / answer.n_samples**0.5
    sure = show.sentence(fact("improve.card_sure", enough=answer.enough, error=error))
    invented = INVENTED if answer.invented_parts else None
    blocks.append(block("How sure", sure, invented, kept=1, apart=True))
    blocks.append(at_rest(answer, show))
    blocks.append(more("improve", *(["balance"] if sets else []), "size"))
    return card(show.sentence(title), blocks, n_loops)


def _blocks(answer: Improvement, loop: LoopImprovement, show: Show) -> Iterator[Block | None]:
    winner = loop.winner
    but = (
        []
        if winner.held is None or not loop.helps
        else [fact("improve.against_it", reason=winner.held)]
    )
    yield block(GRADE[winner.grade], *sentences([_decision(answer, loop), *but], show))
    advised = winner.changes if loop.helps else ()
    changes = [_change(said, answer, winner, show) for said in advised]
    parts = [_parts(winner)] if winner.parts and loop.helps else []
    said = [*changes, *sentences([*parts, *(loop.what[1:] if changes else ())], show)]
    yield block("Change", *said, kept=len(changes), listed=True, apart=True)
    if not changes:
        label = "Measure" if loop.leave is not None else "Look for"
        yield block(label, *sentences(loop.what[1:], show), apart=True)
    cure = [winner.cure] if winner.cure is not None else []
    yield block("Cure", *sentences(cure, show), apart=not changes)
    pair = [said for said in loop.why if said.kind in PAIR]
    yield block("Or", *sentences(pair, show))
    why = [said for said in loop.why if said not in pair]
    label = "Or" if why[0].kind in OTHERS and not pair else "Why"
    yield block(label, *sentences(why, show), apart=not changes)
    yield block("Now", *sentences([_now(loop)], show))
    yield to_find_out(loop.find_out, show)


def _change(said: Fact, answer: Improvement, winner: Choice, show: Show) -> str:
    """Return how the card says a change; of a new pump what to ask of it, whoever makes it.

    The pump is named as one such only where its curve passes over that.
    """
    kind, told, asks = CHANGES[said.kind], dict(said.values), winner.asks
    if said.kind == "improve.pump" and asks is not None:
        flow, head = amount("flow", asks.flow), amount("head", asks.head)
        told |= {"flow": flow, "head": head, "pumps": asks.n_pumps}
        is_enough = winner.keeps_rise >= answer.enough
        how = 0 if winner.gives else 1 if is_enough else 2
        kind = ONE_PUMP[how] if asks.n_pumps == 1 else SEVERAL_PUMPS[how]
    return show.sentence(fact(kind, **told))


def _parts(choice: Choice) -> Fact:
    """Return what is bought for a choice, in one line: how many of each kind, and how much hose."""
    counts: dict[str, float] = dict.fromkeys(BOUGHT, 0)
    for item in choice.parts:
        counts[item.kind] += item.to_cut if item.to_cut is not None else item.count or 1
    parts = [
        fact(kind, count=round(counts[name]), length=amount("length", counts[name]))
        for name, kind in BOUGHT.items()
        if counts[name]
    ]
    return fact("improve.card_parts", parts=tuple(parts))


def _decision(answer: Improvement, loop: LoopImprovement) -> Fact:
    if not loop.winner.changes or not loop.helps:
        return loop.what[0]
    kind = "improve.card_take" if loop.winner.n_changes else "improve.card_take_pump"
    if loop.winner.keeps_rise < answer.enough:
        kind = "improve.card_nearest"
    return fact(
        kind,
        pump=loop.winner.pump,
        count=loop.winner.n_changes,
        enough=answer.enough,
        share=loop.winner.keeps_rise,
        before=loop.now.keeps_rise,
        energy=amount("energy", loop.winner.energy_per_day),
        energy_before=amount("energy", loop.now.energy_per_day),
    )


def _now(loop: LoopImprovement) -> Fact:
    now = loop.now
    told = {"pump": now.pump, "chosen": loop.pump_why, "unit": now.worst}
    flow = amount("flow", now.flow)
    if now.margin < 0.0:
        return fact("improve.card_now_short", **told, flow=flow, short=-now.margin)
    return fact("improve.card_now", **told, flow=flow, more=now.margin)
