"""The card of `size`: which pump, what to heed, what to buy, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.present.card import (
    GRADE,
    Block,
    Card,
    at_rest,
    block,
    capital,
    card,
    cures,
    gives,
    loops_of,
    loops_told,
    more,
    sentences,
    to_find_out,
    typical_told,
)
from seaflow.present.quantities import Show
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.kinds import SHORT_DAYS
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.pump_at import UnitAt
from seaflow.studies.size.size import LoopSize, Sizing
from seaflow.studies.size.to_buy import ToBuy
from seaflow.studies.size.verdict import part_of_curve

KINDS = {  # by grade, of a pump asked for, of one fitted now and of any other
    YES: ("size.card_asked_does", "size.card_keep", "size.card_fit"),
    TIGHT: ("size.card_asked_tight", "size.card_fitted_tight", "size.card_tight"),
    NO: ("size.card_asked_no", "size.card_fitted_no", "size.card_no"),
}
PRIME = {
    True: "size.card_prime",
    False: "size.card_no_prime",
    None: "size.card_prime_unknown",
}
PROTECTION = {True: "size.dry_run_and_ignition", False: "size.dry_run"}
SURE = {"size.how_sure": "size.card_sure", "size.how_sure_once": "size.card_sure_once"}
NOTHING = fact("size.nothing")


def size_card(answer: Sizing, show: Show) -> Card:
    """Return the card of a sizing."""
    n_loops = len(answer.loops)
    title = fact(
        "size.card_title",
        boat=answer.boat,
        loops=loops_told(n_loops),
        sea=amount("temperature", answer.sea_temperature),
        supply=answer.supply,
    )
    places = {loop.verdict.place for loop in answer.loops if loop.verdict is not None}
    blocks = [*loops_of(answer, lambda loop: _blocks(loop, (n_loops > 1, len(places) > 1), show))]
    blocks += [_place(place, show) for place in places if len(places) == 1]
    blocks.append(at_rest(answer, show))
    blocks.append(more("size", "place" if answer.grade == YES else "improve"))
    return card(show.sentence(title), blocks, n_loops)


def _blocks(loop: LoopSize, many: tuple[bool, bool], show: Show) -> Iterator[Block | None]:
    """Yield the blocks of a loop; `many` tells of several loops, and of several places to tell."""
    several, with_place = many
    yield _decision(loop, show)
    yield from _what_to_do(loop, several, show)
    if with_place and loop.verdict is not None:
        yield _place(loop.verdict.place, show)
    yield from _how_sure(loop, show)


def _decision(loop: LoopSize, show: Show) -> Block | None:
    best = loop.chosen
    if best is None:
        return block("No", show.sentence(fact("size.no_pump_fits")))
    fitted, (unit, *others) = tuple(_now(loop, best)), _units(loop, best)
    facts = (_verdict(best), _runs(best), unit, *fitted, *others)
    says = (capital(show.sentence(one)) for one in facts)
    return block(GRADE[loop.grade], *says, kept=3 + len(fitted))


def _verdict(best: PumpResult) -> Fact:
    grade, decides = best.judgement.grade, best.judgement.decides
    part = best.part
    told = {"pump": pump_named(part.title, part.name, part.invented)}
    kind = KINDS[grade][0 if best.asked_for else 1 if best.fitted else 2]
    if decides is None:
        return fact(kind, **told)
    return fact(kind, **told, said=decides, clean=_clean(best, decides))


def _clean(best: PumpResult, said: Fact) -> Fact:
    """Return that all clean it gives enough, where days alone speak against it."""
    enough = all(unit.margin is None or unit.margin >= 0.0 for unit in best.design.units)
    return fact("size.card_enough_clean") if said.kind in SHORT_DAYS and enough else NOTHING


def _now(loop: LoopSize, best: PumpResult) -> Iterator[Fact]:
    """Yield why the pump fitted now is not the one, where that is another."""
    now = next((one for one in loop.pumps if one.fitted and one is not best), None)
    if now is not None and now.judgement.decides is not None:
        said, cure = now.judgement.decides, now.judgement.keeps_with
        if cure is not None:
            yield fact("size.card_now_cured", said=said, cure=cure)
        else:
            kind = "size.card_now_no" if now.judgement.grade == NO else "size.card_now_tight"
            yield fact(kind, said=said)


def _runs(best: PumpResult) -> Fact:
    at, slower = best.design, NOTHING
    if at.flow <= 0.0:
        return fact("size.card_still", ending=at.ending)
    if best.setting is not None:
        power = amount("power", best.setting.power)
        slower = fact("size.card_slower", speed=best.setting.speed, power=power)
    kind = "size.card_runs_typical" if best.part.power_is_typical else "size.card_runs"
    return fact(
        kind,
        who=gives(best.n_pumps),
        flow=amount("flow", at.flow),
        head=amount("head", at.head),
        part=part_of_curve(at.share_of_free_flow),
        power=amount("power", at.power),
        slower=slower,
    )


def _who(n_pumps: int, one: str, many: str) -> Fact:
    """Return what is said of the pump, or of as many."""
    return fact(one) if n_pumps == 1 else fact(many, pumps=n_pumps)


def _units(loop: LoopSize, best: PumpResult) -> Iterator[Fact]:
    """Yield how the unit that is shortest of water fares, and in short how the others do."""
    needs = {need.name: amount("flow", need.flow) for need in loop.needs}
    first, *others = sorted(best.design.units, key=_margin)
    yield _unit(first, needs[first.name], best.design.units)
    if others:
        yield fact("size.card_others", units=tuple(_other(it, needs[it.name]) for it in others))


def _margin(unit: UnitAt) -> float:
    return -1.0 if unit.margin is None else unit.margin


def _unit(unit: UnitAt, need: Amount, every: Sequence[UnitAt]) -> Fact:
    """Return how a unit fares, and how near the cut-out is to the unit that is nearest to it."""
    if unit.state != "cooling":
        return fact("size.card_unit_fails", unit=unit.name, need=need, state=unit.state)
    flow, leaves = amount("flow", unit.flow), amount("temperature", unit.outlet_temperature)
    told = {"unit": unit.name, "need": need, "flow": flow, "leaves": leaves}
    if unit.cut_out_margin is None:
        return fact("size.card_unit_bare", **told)
    least, nearest = min(
        (one.cut_out_margin, one.name) for one in every if one.cut_out_margin is not None
    )
    rise, margin = amount("rise", unit.temperature_rise), amount("rise", least)
    if least == unit.cut_out_margin:
        return fact("size.card_unit", **told, rise=rise, margin=margin)
    return fact("size.card_unit_and_nearest", **told, rise=rise, margin=margin, nearest=nearest)


def _other(unit: UnitAt, need: Amount) -> Fact:
    if unit.state != "cooling":
        return fact("size.card_other_fails", unit=unit.name, need=need, state=unit.state)
    return fact("size.card_other", unit=unit.name, need=need, flow=amount("flow", unit.flow))


def _what_to_do(loop: LoopSize, several: bool, show: Show) -> Iterator[Block | None]:
    best = loop.chosen
    if best is None:
        return
    cure = cures(best.judgement.rulings, show)
    yield cure
    if loop.asks is not None:
        sheets = [show.sentence(one) for one in _sheets(loop)]
        label = "Or buy" if best.fitted and loop.grade != NO else "Buy"
        why = () if several or loop.asks.why is None else (loop.asks.why,)
        asked = _buy(loop.asks) if loop.asks.in_reach else _no_pump_alone(loop.asks)
        buy = show.sentences((*asked, *why))
        yield block(label, buy, *sheets, kept=1, listed=True, apart=cure is None)


def _place(place: Fact, show: Show) -> Block | None:
    return block("Place", f"{capital(show.sentence(place))}.")


def _how_sure(loop: LoopSize, show: Show) -> Iterator[Block | None]:
    verdict, best = loop.verdict, loop.chosen
    if verdict is None or best is None:
        return
    sure = verdict.how_sure
    if sure.kind in SURE:
        sure = fact(SURE[sure.kind], **dict(sure.values))
    found = loop.certainty
    if found is not None and found.typical:
        rest = None if found.find_out else show.sentence(typical_told(found))
        yield block("How sure", show.sentence(sure), rest, apart=True)
        yield to_find_out(found.find_out, show)
    else:
        measure = None if verdict.measure is None else show.sentence(verdict.measure)
        yield block("How sure", show.sentence(sure), measure, kept=1, apart=True)
    remarks = (*best.judgement.remarks, *loop.remarks)
    yield block("Watch", *sentences(remarks, show), kept=0)


def _buy(asks: ToBuy) -> Iterator[Fact]:
    most = days = NOTHING
    if asks.most is not None:
        most = fact("size.card_buy_most", most=amount("flow", asks.most))
    if asks.days is not None:
        days = fact("size.card_buy_days", days=asks.days)
    flow, head = amount("flow", asks.flow), amount("head", asks.head)
    who = _who(asks.n_pumps, "size.card_buy_one", "size.card_buy_each")
    yield fact("size.card_buy", who=who, flow=flow, head=head, most=most, days=days)
    kind = {"supply": asks.supply, "prime": fact(PRIME[asks.must_prime])}
    kind |= {"protection": fact(PROTECTION[asks.ignition_protected])}
    if asks.port is None:
        yield fact("size.card_buy_dull", **kind)
    else:
        yield fact("size.card_buy_kind", port=amount("bore", asks.port), **kind)


def _no_pump_alone(asks: ToBuy) -> Iterator[Fact]:
    """Yield that the loop asks for more than any pump of the table gives, and what to do first."""
    told: dict[str, Fact | Amount] = {
        "flow": amount("flow", asks.flow),
        "head": amount("head", asks.head),
        "none": _who(asks.n_pumps, "size.card_none_alone", "size.card_none_of_several"),
        "it": _who(asks.n_pumps, "size.card_it", "size.card_each"),
    }
    if asks.days is None:
        yield fact("size.card_no_pump_alone", **told)
    else:
        yield fact("size.card_no_pump_on_most_days", **told, days=asks.days)


def _sheets(loop: LoopSize) -> Iterator[Fact]:
    """Yield how well each pump of a person's own does, but for the one chosen."""
    for item in loop.pumps[1:]:
        if not item.part.invented:
            yield fact(
                "size.card_sheet",
                pump=item.part.name,
                grade=item.judgement.grade,
                flow=amount("flow", item.design.flow),
                head=amount("head", item.design.head),
            )
