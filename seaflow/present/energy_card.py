"""The card of `energy`: how to run the pump, and what a day takes."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.card import (
    GRADE,
    Block,
    Card,
    at_rest,
    block,
    capital,
    card,
    cures,
    loops_of,
    loops_told,
    more,
    pump_graded,
    sentences,
    to_find_out,
)
from seaflow.present.quantities import Show
from seaflow.studies.design.judge import NO, YES, worst_of
from seaflow.studies.design.kinds import TYPICAL_WATTS
from seaflow.studies.energy.night import Night
from seaflow.studies.energy.study import Energy, LoopEnergy

SMALL = ("energy.inverter_too_small", "energy.inverter_may_not")


def energy_card(answer: Energy, show: Show) -> Card:
    """Return the card of a day's energy."""
    day = fact("energy.day_given" if answer.day_given else "energy.day_typical")
    n_loops = len(answer.loops)
    title = fact("energy.card_title", boat=answer.boat, loops=loops_told(n_loops), day=day)
    alone = n_loops == 1
    blocks = [*loops_of(answer, lambda loop: _blocks(answer, loop, show, alone))]
    if not alone:
        whole = fact("energy.whole_boat", energy=amount("energy", answer.total))
        blocks.append(block("Boat", show.sentence(whole), apart=True))
        blocks.append(block(_label(answer, YES), *sentences(_short(answer), show)))
        blocks += _night(answer, show)
    pumps = worst_of(loop.grade for loop in answer.loops)
    blocks.append(at_rest(answer, show))
    blocks.append(more("energy", "size" if pumps == YES else "improve"))
    return card(show.sentence(title), blocks, n_loops)


def _blocks(answer: Energy, loop: LoopEnergy, show: Show, alone: bool) -> Iterator[Block | None]:
    """Yield what is told of a loop, and of the night with it where she has but one."""
    pump, how = pump_graded(loop, show), sentences(loop.gains[-1:], show)
    fails = sentences(_fails(loop), show)
    says = [*fails, pump, *how] if loop.grade == NO else [*how, pump]
    short = sentences(_short(answer), show) if alone else []
    label = _label(answer, loop.grade) if alone else GRADE[loop.grade]
    yield block(label, *short, *says, kept=2 + len(short))
    speeds = [show.sentence(one) for one in _speeds(loop)]
    yield block("Set", *map(capital, speeds), apart=True)
    cure = cures(loop.judgement.rulings, show)
    yield cure
    yield block("A day", capital(show.sentence(loop.takes)), apart=not speeds and cure is None)
    if alone:
        yield from _night(answer, show)
    yield block("Left on", capital(show.sentence(loop.left_on)))
    other = [one for one in (loop.rather, loop.other_pump) if one is not None]
    yield block("Or", *sentences(other, show), kept=1)
    sure = [fact("energy.sure_given" if answer.day_given else "energy.sure_typical")]
    if loop.judgement.keeps_rise is not None and loop.judgement.keeps_running is not None:
        days = {"running": loop.judgement.keeps_running, "rise": loop.judgement.keeps_rise}
        sure.append(fact("design.card_days", **days))
    sure.append(fact("energy.day_band", energy=tuple(amount("energy", end) for end in loop.band)))
    sure[1:1] = [said for said in loop.judgement.remarks if said.kind == TYPICAL_WATTS]
    yield block("How sure", *sentences(sure, show), kept=2, apart=True)
    yield to_find_out(loop.find_out, show)
    yield block("Starts", *sentences(_starts(loop), show), kept=1)
    watch = [said for said in loop.judgement.remarks if said not in sure]
    yield block("Watch", *sentences(watch, show), kept=0)


def _label(answer: Energy, grade: str) -> str:
    """Return the label of this grade and the night's; perhaps where only a battery is not told."""
    unknown = answer.night is not None and not answer.night.bank.given
    return "Perhaps" if unknown and grade == YES else GRADE[worst_of((grade, answer.night_grade))]


def _short(answer: Energy) -> Iterator[Fact]:
    """Yield that the battery does not last the night, or hardly, or what it must hold, if so."""
    if answer.night is not None and answer.night_grade != YES:
        kind = "energy.card_night_no" if answer.night_grade == NO else "energy.card_night_short"
        if not answer.night.limit:
            kind = "energy.card_night_seldom"
        if not answer.night.bank.given:
            yield _asked_of(answer.night)
            return
        yield fact(kind, until=answer.night.limit, share=answer.night.lasting)


def _asked_of(night: Night) -> Fact:
    """Return what a battery must hold that nothing is told of."""
    volts, needed = night.bank.voltage, night.needed
    return fact(
        "energy.card_night_asks",
        energy=amount("energy", needed * volts),
        needed=amount("charge", needed),
        voltage=amount("voltage", volts),
    )


def _night(answer: Energy, show: Show) -> Iterator[Block | None]:
    """Yield how the night on the battery goes, if there is one."""
    if answer.night is None:
        return
    says, first = list(answer.night.says), 2
    if answer.inverter is not None:
        small = answer.inverter.kind in SMALL
        says.insert(first if small else len(says), answer.inverter)
    yield block("Night", *sentences(says, show), kept=first + 1)


def _fails(loop: LoopEnergy) -> Iterator[Fact]:
    """Yield what of the day itself is a no."""
    yield from (duty.fails for duty in loop.day.duties if duty.fails is not None)
    if not loop.starting.starts:
        yield from loop.starting.says[:1]


def _speeds(loop: LoopEnergy) -> Iterator[Fact]:
    """Yield the speed to set for each duty, where one takes less than full speed."""
    if loop.day.saved <= 0.0:
        return
    set_to = tuple(
        fact("energy.duty_speed", duty=duty.name, speed=duty.best.setting)
        for duty in loop.day.duties
        if duty.best is not None and duty.best.setting is not None
    )
    yield fact("energy.speeds", duties=set_to)


def _starts(loop: LoopEnergy) -> Iterator[Fact]:
    yield loop.starting.says[0]
    if loop.adjustable:
        yield loop.starting.slowest[-1]
