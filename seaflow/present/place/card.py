"""The card of `place`: where the pump goes, how deep, how loud, and how that was chosen."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.present.card import (
    GRADE,
    Block,
    Card,
    at_rest,
    block,
    card,
    careful,
    cures,
    gives,
    pump_told,
    sentences,
    to_find_out,
    with_cautions,
)
from seaflow.present.quantities import Show
from seaflow.studies.design.kinds import told_first
from seaflow.studies.place.advice import heard_there
from seaflow.studies.place.study import PlacingAnswer, PumpPlacing, Together

NEXT = "seaflow place BOAT --full   seaflow place BOAT -o place.svg"
OVER = "place.above_guideline"


def place_card(answer: PlacingAnswer, show: Show) -> Card:
    """Return the card of a placing."""
    n_pumps = len(answer.pumps)
    kind = "place.card_title" if n_pumps == 1 else "place.card_title_of_several"
    title = fact(kind, boat=answer.boat, pumps=n_pumps)
    named = [(item.pump, _blocks(item, show)) for item in answer.pumps]
    blocks = [*with_cautions(named, careful(answer.cautions))]
    if answer.together:
        blocks.append(block("All on", show.sentence(_together(answer.together)), apart=True))
    blocks.append(at_rest(answer, show))
    blocks.append(block("More", NEXT, apart=True))
    return card(show.sentence(title), blocks, n_pumps)


def _blocks(item: PumpPlacing, show: Show) -> Iterator[Block | None]:
    yield block(GRADE[item.grade], *_decision(item, show))
    yield from _more(item, show)


def _decision(item: PumpPlacing, show: Show) -> list[str]:
    if not item.is_met:
        return sentences((item.advice.place, item.advice.next_best), show)
    first = item.places[0]
    said = [
        fact(
            "place.card_here",
            place=first.name,
            depth=amount("height", first.standing.depth),
            least=amount("height", first.standing.depth_at_heel),
            when=first.standing.when,
        )
    ]
    heard = heard_there(first)
    over = next((one for one in item.advice.loudness if one.kind == OVER and one["sure"]), None)
    if over is not None:
        told = dict(heard.values) | {"by": over["by"], "guideline": over["guideline"]}
        heard = fact("place.card_heard_over", **told)
    said.append(heard)
    doubt = told_first(first.doubts)
    said += [] if doubt is None else [fact("place.card_tight", reason=doubt)]
    return sentences(said, show)


def _more(item: PumpPlacing, show: Show) -> Iterator[Block | None]:
    first, advice = item.places[0], item.advice
    water = first.water
    cure = cures(water.rulings if water is not None else (), show)
    yield cure
    if item.is_met and water is not None:
        yield block("Run", *sentences(_run(item), show), apart=cure is None)
        why = [advice.next_best, *_quietest(advice.quietest)]
        price = [] if advice.price is None else [advice.price]
        yield block("Chosen", *sentences([*why, *price], show), kept=len(why))
    if item.chosen is not None:
        part = item.part
        pump = [pump_told(part.title, part.name, part.invented, item.chosen)]
        pump += [] if item.rather is None else [item.rather]
        yield block("Pump", *sentences(pump, show), kept=1)
    sure = sentences(advice.how_sure, show)
    yield block("How sure", *sure, kept=1, apart=True)
    yield to_find_out(first.find_out, show)
    yield block("Watch", *sentences(first.remarks if item.is_met else (), show), kept=1)


def _quietest(said: Fact | None) -> Iterator[Fact]:
    """Yield in short why the quietest place of all is not taken, if it is another."""
    if said is not None:
        reason = said["fault"] or said["reason"]
        yield fact("place.card_quietest", place=said["place"], level=said["level"], reason=reason)


def _run(item: PumpPlacing) -> Iterator[Fact]:
    water = item.places[0].water
    if water is None:
        return
    told: dict[str, Fact | Amount] = {"gives": gives(water.n_pumps)}
    told |= {"hose": amount("length", water.hose), "flow": amount("flow", water.flow)}
    if water.cable is None:
        yield fact("place.card_run_hose", **told)
    else:
        yield fact("place.card_run", **told, cable=amount("length", water.cable))


def _together(found: tuple[Together, ...]) -> Fact:
    """Return what the loudest berth hears with all pumps running."""
    loudest = max(found, key=lambda item: (item.level, item.berth))
    return fact(
        "place.card_together",
        berth=loudest.berth,
        level=amount("sound_level", loudest.level),
        half_width=amount("decibels", round(loudest.half_width)),
    )
