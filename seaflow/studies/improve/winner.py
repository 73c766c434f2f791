"""The choices that none of the others beats, which of them to take, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.studies.design.judge import GRADES, NO
from seaflow.studies.design.limits import limit
from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.groups import VALVES
from seaflow.studies.improve.leave import Leave
from seaflow.studies.size.to_buy import ToBuy

MOST_SHOWN = 8
WORTH = 0.02  # of a day's energy; what saves less is not worth a change more


def unbeaten(choices: Sequence[Choice]) -> list[Choice]:
    """Return the choices that none of the others beats, fewest changes first, each kind once."""
    front = [one for one in choices if not any(other.beats(one) for other in choices)]
    once: dict[tuple[float, ...], Choice] = {}
    for choice in sorted(front, key=_order):
        once.setdefault(choice.measures, choice)
    return list(once.values())


def _order(choice: Choice) -> tuple[object, ...]:
    return (choice.n_changes, -choice.keeps_rise, choice.energy_per_day, repr(choice.changes))


def few(front: Sequence[Choice], winner: Choice) -> list[Choice]:
    """Return the winner and the surest for each number of changes, then others, a few in all."""
    kept = [winner]
    by_count = sorted(front, key=lambda choice: (-choice.keeps_rise, *_order(choice)))
    counts: set[int] = {winner.n_changes}
    for choice in by_count:
        if choice.n_changes not in counts:
            counts.add(choice.n_changes)
            kept.append(choice)
    kept += [choice for choice in by_count if choice not in kept]
    return sorted(kept[:MOST_SHOWN], key=_order)


def worth_judging(front: Sequence[Choice], enough: float) -> list[Choice]:
    """Return those that are likely enough, and a few of the others."""
    sound = [choice for choice in front if choice.keeps_rise >= enough]
    others = [choice for choice in front if choice.keeps_rise < enough]
    return sound + (few(others, others[0]) if others else [])


def winner_of(front: Sequence[Choice], enough: float) -> Choice:
    """Return the choice to take.

    What takes water from the worst unit comes behind everything else that will do. A yes comes
    before a tight one, and that before a no. Of those of the best grade that are likely enough that
    with the fewest changes wins which has, as in `size`, the fewest warnings, then takes least
    energy, then the cheaper, but for one with a single change more and no more warnings that saves
    a share of it worth the work. Where none is likely enough it is the surest, and of those alike
    the one whose worst unit gets most.
    """
    front = fair(front, enough) or front
    grade = min((choice.grade for choice in front), key=GRADES.index)
    best = [choice for choice in front if choice.grade == grade]
    sound = [choice for choice in best if choice.keeps_rise >= enough]
    if not sound:
        return min(best, key=_unsure)
    fewest = min(choice.n_changes for choice in sound)
    least, one_more = (
        min(
            (choice for choice in sound if choice.n_changes == count),
            key=lambda item: (item.remarks, item.measures[2], item.price or 0.0),
            default=None,
        )
        for count in (fewest, fewest + 1)
    )
    assert least is not None
    worth = (1.0 - WORTH) * least.energy_per_day
    if one_more is None or one_more.remarks > least.remarks or one_more.energy_per_day > worth:
        return least
    return one_more


def fair(front: Sequence[Choice], enough: float) -> list[Choice]:
    """Return the choices that will do and take no water from the worst unit."""
    return [
        choice
        for choice in front
        if not choice.takes_water and choice.grade != NO and choice.keeps_rise >= enough
    ]


def worth_nothing(now: Choice, winner: Choice, enough: float) -> bool:
    """Return whether a choice that is not enough is hardly a day of a hundred better than now."""
    least = limit("hardly_ever")
    return (
        winner.keeps_rise < enough
        and winner.keeps_rise - now.keeps_rise < least
        and winner.keeps_running - now.keeps_running < least
    )


def _unsure(choice: Choice) -> tuple[float, ...]:
    rise, running, _, n_changes, _, short, _ = choice.measures
    return (rise, running, short, n_changes, choice.energy_per_day)


def better_graded(
    front: Sequence[Choice], others: Sequence[Callable[[Sequence[str]], Choice | None]]
) -> list[Choice]:
    """Return the first of the others that is graded better than all of the front, if any is.

    What takes water from the worst unit is not counted in the front.
    Each is asked whether it has one of the grades that are better, and for nothing else; none is
    asked if the front has a yes.
    """
    counted = [choice for choice in front if not choice.takes_water]
    best = min((GRADES.index(choice.grade) for choice in counted), default=len(GRADES))
    found: list[Choice] = []
    for judged in others:
        if best == 0:
            break
        choice = judged(GRADES[:best])
        if choice is not None and GRADES.index(choice.grade) < best:
            best, found = GRADES.index(choice.grade), [choice]
    return found


def better(choices: Sequence[Choice], now: Choice, enough: float) -> list[Choice]:
    """Return the choices that are not less likely to be enough than the boat as it is.

    A boat that is more than likely enough already may give up some of that; units that stop more
    often are only worth it if all is enough more often.
    """
    rise, running = min(now.keeps_rise, enough), min(now.keeps_running, limit("likely_running"))
    return [
        item
        for item in choices
        if item is now
        or item.keeps_rise > now.keeps_rise
        or (item.keeps_rise >= rise and item.keeps_running >= running)
    ]


def what(now: Choice, winner: Choice, enough: float, leave: Leave | None = None) -> Iterator[Fact]:
    """Yield what to change and what that does, or what to measure where nothing is changed."""
    if leave is not None and winner is now:
        yield fact(
            "improve.leave_and_measure",
            enough=enough,
            margin=amount("rise", leave.margin),
            over=amount("rise", leave.over),
        )
        yield leave.first
        return
    if worth_nothing(now, winner, enough):
        yield fact("improve.nothing_likelier", share=winner.keeps_rise)
        return
    if not winner.n_changes and winner.pump == now.pump:
        yield fact("improve.leave", share=winner.keeps_rise)
        return
    yield fact(
        "improve.take" if winner.keeps_rise >= enough else "improve.nearest",
        changes=named(winner),
        share=winner.keeps_rise,
        before=now.keeps_rise,
        energy=_energy(winner),
        energy_before=_energy(now),
    )
    yield from _runs_more(now, winner, enough)
    if winner.price is None:
        return
    price, currency = winner.price, winner.currency
    if winner.unpriced:
        without = winner.unpriced
        yield fact("improve.price_without", price=price, currency=currency, without=without)
    else:
        yield fact("improve.price", price=price, currency=currency)


def _runs_more(now: Choice, winner: Choice, enough: float) -> Iterator[Fact]:
    """Yield on how many more days all units run with what is not enough, if it is worth telling."""
    more = winner.keeps_running - now.keeps_running
    if winner.keeps_rise < enough and more >= limit("hardly_ever"):
        shares = {"share": winner.keeps_running, "before": now.keeps_running}
        yield fact("improve.runs_more", **shares)


def look_for(asks: ToBuy | None, pump: str, supply: Fact) -> Iterator[Fact]:
    """Yield what to ask of a pump where none of those listed gives it and nothing else helps."""
    if asks is not None:
        told = {"flow": amount("flow", asks.flow), "head": amount("head", asks.head)}
        kind = "improve.look_for" if asks.n_pumps == 1 else "improve.look_for_each"
        yield fact(kind, **told, pump=pump, pumps=asks.n_pumps, supply=supply)


def with_hoses(pair: Choice | None, alone: Choice) -> Iterator[Fact]:
    """Yield which hoses let a smaller pump do than one alone, with what to ask of that."""
    if pair is None or pair.asks is None:
        return
    kind = "improve.smaller_pump" if pair.gives else "improve.smaller_pump_named"
    if pair.asks.n_pumps > 1:
        kind = "improve.smaller_pumps" if pair.gives else "improve.smaller_pumps_named"
    yield fact(
        kind,
        changes=tuple(said for said in pair.changes if said.kind != "improve.pump"),
        flow=amount("flow", pair.asks.flow),
        head=amount("head", pair.asks.head),
        pump=pair.pump,
        pumps=pair.asks.n_pumps,
        share=pair.keeps_rise,
        energy=_energy(pair),
        energy_before=_energy(alone),
    )


def worse_off(two: tuple[Choice, Choice], alone: Sequence[Choice]) -> Iterator[Fact]:
    """Yield whose water the winner takes, if any, and what balancing valves alone do instead."""
    now, winner = two
    yield from _takes_from(winner, now)
    for choice in alone if winner.takes_water else ():
        if [said.kind for said in choice.changes] == [VALVES]:
            yield fact("improve.valves_alone", share=choice.keeps_rise)


def _takes_from(choice: Choice, now: Choice) -> Iterator[Fact]:
    if choice.takes_water:
        left, before = 1.0 + choice.margin, 1.0 + now.margin
        yield fact("improve.takes_from", unit=choice.worst, share=left, before=before)


def why(
    two: tuple[Choice, Choice],
    alone: Sequence[Choice],
    front: Sequence[Choice],
    enough: float,
    leave: Leave | None = None,
) -> Iterator[Fact]:
    """Yield why the winner stands before the others; `two` are the boat as it is and the winner."""
    now, winner = two
    if leave is not None and winner is now:
        yield from _otherwise(winner, front, enough)
        return
    if winner.keeps_rise < enough:
        nothing = worth_nothing(now, winner, enough)
        yield fact("improve.none_worth" if nothing else "improve.none_reaches", enough=enough)
        return
    rivals = [now, *alone, *front]
    if any(item.keeps_rise >= enough and item.changes != winner.changes for item in front):
        rivals = list(front)
    if not winner.n_changes:
        yield _nothing_to_do(winner, rivals, enough)
    else:
        yield from _before(two, rivals, enough)


def _otherwise(now: Choice, front: Sequence[Choice], enough: float) -> Iterator[Fact]:
    """Yield what to change if what is measured asks for more water."""
    others = [item for item in front if item is not now]
    if not others:
        yield fact("improve.no_other")
        return
    best = winner_of(others, enough)
    yield fact(
        "improve.otherwise",
        changes=named(best),
        count=best.n_changes,
        share=best.keeps_rise,
        energy=_energy(best),
    )
    yield from _takes_from(best, now)


def named(choice: Choice) -> tuple[Fact, ...]:
    """Return the changes of a choice, or that there are none."""
    return choice.changes or (fact("improve.as_it_is"),)


def remark(choice: Choice, now: Choice) -> Fact | None:
    """Return what a change alone does that the likelihoods do not tell."""
    if choice.too_much:
        return fact("improve.too_much")
    if now.runs_full and not choice.runs_full:
        return fact("improve.no_longer_full")
    if choice.takes_water and choice.pump == now.pump:
        return fact("improve.takes_water", unit=choice.worst)
    return None


def _energy(choice: Choice) -> Amount:
    return amount("energy", choice.energy_per_day)


def _before(two: tuple[Choice, Choice], others: Sequence[Choice], enough: float) -> Iterator[Fact]:
    now, winner = two
    rivals = [item for item in others if item.changes != winner.changes and not item.too_much]
    good = [item for item in rivals if item.keeps_rise >= enough]
    if good:
        best = min(good, key=lambda item: (item.n_changes, item.remarks, item.energy_per_day))
        yield fact(
            "improve.next_best",
            changes=named(best),
            count=best.n_changes,
            share=best.keeps_rise,
            energy=_energy(best),
        )
        yield from _takes_from(best, now)
        if best.reasons:
            yield fact("improve.against_it", reason=best.reasons[0])
    elif not rivals:
        yield fact("improve.nothing_else", enough=enough)
    else:
        best = max(rivals, key=lambda item: (item.keeps_rise, -item.n_changes))
        yield fact(
            "improve.only_this",
            enough=enough,
            changes=named(best),
            count=best.n_changes,
            share=best.keeps_rise,
        )


def _nothing_to_do(winner: Choice, others: Sequence[Choice], enough: float) -> Fact:
    good = [item for item in others if item.keeps_rise >= enough and not item.too_much]
    least = min(good, key=lambda item: (item.measures[2], item.n_changes), default=winner)
    if least.measures[2] >= winner.measures[2]:
        return fact("improve.nothing_to_save", enough=enough)
    return fact(
        "improve.saves_most",
        enough=enough,
        changes=named(least),
        count=least.n_changes,
        energy=_energy(least),
        before=_energy(winner),
    )
