"""The card of `baseline`: what this boat should read today, and how she is filled and started."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.baseline_text import in_band
from seaflow.present.card import Block, Card, block, capital, card, careful, to_find_out
from seaflow.present.diagnose_card import told_trends
from seaflow.present.quantities import Show
from seaflow.studies.baseline.sheet import BaselineSheet, Expected

# Lines of the sheet on the card: the label of each kind, and the kinds told beside it.
LABELS = {
    "baseline.discharge": "Discharge",
    "baseline.flow": "Flow",
    "baseline.suction": "Gauges",
    "baseline.delivery": "Gauges",
    "baseline.amps": "Amps",
    "baseline.amps_of_one": "Amps",
    "baseline.amps_together": "Amps",
    "baseline.amps_together_at": "Amps",
    "baseline.to_cut_out": "Cut-out",
    "baseline.to_ice": "Ice",
}
SAYS = {  # what is told with the line beside it
    "baseline.rise": "baseline.card_rise",
    "baseline.fall": "baseline.card_fall",
    "baseline.bucket": "baseline.card_bucket",
    "baseline.suction": "baseline.card_named",
    "baseline.delivery": "baseline.card_named",
    "baseline.amps": "baseline.card_alone",
    "baseline.amps_of_one": "baseline.card_of_pump",
    "baseline.amps_together": "baseline.card_named",
    "baseline.amps_together_at": "baseline.card_named",
    "baseline.to_cut_out": "baseline.card_room",
    "baseline.to_ice": "baseline.card_room",
}
SPARED = "Gauges"  # where the card is short of lines: few boats have them
BLEED = "baseline.bleed"
COILS = ("design.coil_takes_more", "design.coil_takes_less")
COMMANDS = "seaflow baseline BOAT --full   seaflow diagnose BOAT"


def baseline_card(answer: BaselineSheet, show: Show) -> Card:
    """Return the card of a commissioning sheet."""
    title = fact(
        "baseline.card_title",
        boat=answer.boat,
        loop=answer.loop,
        mode=answer.mode,
        load=answer.load,
        sea=amount("temperature", answer.sea_temperature),
        volts=amount("voltage", answer.volts),
    )
    blocks: list[Block | None] = [
        _will_not_do(answer, show),
        *_readings(answer, show),
        block("Trend", *told_trends(answer.trends, show), apart=True),
        careful(answer.cautions),
        block("Start", *(show.sentence(one) for one in _start(answer)), kept=3, apart=True),
        block("How sure", *(show.sentence(one) for one in _sure(answer)), apart=True),
        to_find_out(answer.find_out, show),
        block("More", COMMANDS, apart=True),
    ]
    return card(show.sentence(title), blocks)


def _will_not_do(answer: BaselineSheet, show: Show) -> Block | None:
    """Return that `size` calls the pump a no, so that no sheet reads as if it were sound."""
    if answer.judgement.recommended:
        return None
    reason = answer.judgement.reasons[0]
    said = fact("baseline.card_will_not_do", reason=reason)
    if reason.kind.startswith("start."):
        said = fact("baseline.card_will_not_start")
    return block("No", show.sentence(said), apart=True)


def _readings(answer: BaselineSheet, show: Show) -> Iterator[Block | None]:
    """Yield what it should read, a block for each kind of reading."""
    for label in dict.fromkeys(LABELS.values()):
        items = [one for one in answer.expected if LABELS.get(one.what.kind) == label]
        says = [_told(item, answer, show) for item in items]
        apart = label == "Discharge"
        yield block(label, *says, kept=0 if label == SPARED else -1, listed=True, apart=apart)


def _told(item: Expected, answer: BaselineSheet, show: Show) -> str:
    """Return what is read at one place, with the line of the sheet that belongs beside it."""
    here = (one for one in answer.expected if item.place and one.place == item.place)
    other = next((one for one in here if one.what.kind in SAYS), item)
    values = {"reading": _short(item, show), "beside": _short(other, show)}
    what = capital(show.sentence(item.what))
    said = {"what": what, "place": item.place, **dict(other.what.values), **values}
    return show.sentence(fact(SAYS[other.what.kind], **said))


def _short(item: Expected, show: Show) -> str:
    """Return what it should be with its band, the unit once."""
    middle, band = in_band(item, show)
    return f"{middle} ({band.removesuffix(middle[middle.index(' ') :])})"


def _start(answer: BaselineSheet) -> Iterator[Fact]:
    """Yield how the first start goes, and in which order."""
    bleeds = tuple(one["thing"] for one in answer.first_fill if one.kind == BLEED)
    outcome, *others = (one for one in answer.first_fill if one.kind != BLEED)
    yield outcome
    if bleeds:
        yield fact("baseline.card_bleed", things=bleeds)
    yield fact("baseline.card_order")
    yield from others


def _sure(answer: BaselineSheet) -> Iterator[Fact]:
    yield fact("baseline.card_sure", pump=answer.pump, why=answer.why_pump)
    if answer.n_stored:
        yield fact("baseline.card_stored", count=answer.n_stored)
        yield from (one for one in answer.basis if one.kind in COILS)
    else:
        yield fact("baseline.card_none_stored")
