"""The card of `balance`: who is short of water, what to set, and how to check it on board."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.card import (
    GRADE,
    Block,
    Card,
    at_rest,
    block,
    capital,
    card,
    loops_of,
    loops_told,
    more,
    pump_told,
    sentences,
    to_find_out,
)
from seaflow.present.quantities import Show
from seaflow.studies.balance.answer import Balance, LoopBalance, ValveSetting
from seaflow.studies.design.judge import YES
from seaflow.studies.design.start import cures_of


def balance_card(answer: Balance, show: Show) -> Card:
    """Return the card of a balance."""
    title = fact(
        "balance.card_title",
        boat=answer.boat,
        loops=loops_told(len(answer.loops)),
        sea=amount("temperature", answer.sea_temperature),
    )
    blocks = [*loops_of(answer, lambda loop: _blocks(loop, show))]
    blocks.append(at_rest(answer, show))
    blocks.append(more("balance", "size" if answer.grade == YES else "improve"))
    return card(show.sentence(title), blocks, len(answer.loops))


def _decision(loop: LoopBalance) -> Iterator[Fact]:
    if loop.no_start:
        yield fact("balance.no_start", said=loop.no_start[0].said)
    if loop.sets:
        yield from loop.outcome
        for item in loop.sharing[0].starving:
            yield fact("balance.as_it_is", branch=item.branch, short=-item.margin)
    elif loop.judged_set is not None and loop.starves:
        yield from (*loop.water, fact("balance.valves_alone"))
    else:
        yield from (*loop.water, *loop.outcome)
    if loop.grade != YES and not loop.no_start and loop.judged.decides is not None:
        yield loop.judged.decides


def _blocks(loop: LoopBalance, show: Show) -> Iterator[Block | None]:
    yield block(GRADE[loop.grade], *sentences(_decision(loop), show), kept=3)
    yield from _what_to_do(loop, show)


def _what_to_do(loop: LoopBalance, show: Show) -> Iterator[Block | None]:
    setting = loop.setting if loop.sets else None
    if setting is not None:
        rows = [show.sentences(_valve(row)) for row in setting.branches]
        yield block("Set", *map(capital, rows), listed=True, apart=True)
        yield block("Check", show.sentence(setting.check))
    if loop.wider is not None and loop.is_met:
        yield block("Or", *sentences([loop.wider], show))
    cure = list(cures_of(item.cure for item in loop.no_start))
    cure += [said for unit in loop.series for said in unit.says if said.kind == PIPE]
    cure += [] if loop.grade == YES else [fact("balance.improve_helps")]
    yield block("Cure", *sentences(dict.fromkeys(cure), show), apart=True)
    gives = loop.sharing[0].flow if setting is None else setting.flow
    told = (loop.pump_title, loop.pump, loop.invented, loop.pump_why, gives, loop.n_pumps)
    pump = pump_told(*told)
    yield block("Pump", *sentences([pump], show), apart=setting is None and not cure)
    sure = [loop.on_days, fact("balance.card_sure")]
    if loop.setting is not None and loop.setting.when_dirty is not None:
        sure.append(loop.setting.when_dirty)
    yield block("How sure", *sentences(sure, show), kept=len(sure[:2]), apart=True)
    yield to_find_out(loop.find_out, show)
    yield block("Watch", *sentences(_watch(loop), show), kept=1)


PIPE = "balance.pipe_in_parallel"


def _valve(row: ValveSetting) -> Iterable[Fact]:
    told = {"hose": row.hose, "branch": row.branch, "flow": amount("flow", row.flow)}
    if row.rise is None:
        told["warmer"] = fact("balance.card_no_rise")
    else:
        told["warmer"] = fact("balance.card_rise", rise=amount("rise", row.rise))
    if not row.throttled:
        yield fact("balance.card_wide", **told)
    elif row.turns is None:
        yield fact("balance.card_close", **told)
    else:
        yield fact("balance.card_turns", **told, turns=row.turns)
    if row.note is not None:
        yield row.note


def _watch(loop: LoopBalance) -> Iterator[Fact]:
    for unit in loop.series:
        yield from (said for said in unit.says if said.kind != PIPE)
    risks = [item.says for item in loop.discharges if item.risk or item.distance is None]
    yield from risks
    if risks:
        yield loop.drawn_back
