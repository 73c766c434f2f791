"""The card of `diagnose`: the verdict, where to look, when to stop, and what to read next."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.card import Block, Card, block, capital, card, careful
from seaflow.present.quantities import Show
from seaflow.studies.diagnose.answer import DOUBTS, FALLS_SHORT, Diagnosis
from seaflow.studies.diagnose.faults import NOTHING
from seaflow.studies.diagnose.look import LEAST, Look, may_be_misread, told_places
from seaflow.studies.diagnose.next_reading import NONE_HELPS, NextReading
from seaflow.studies.diagnose.readings import signs
from seaflow.studies.diagnose.trend import Trend
from seaflow.studies.diagnose.usual import LOW_VOLTS
from seaflow.studies.diagnose.verdict import (
    AT_PART_LOAD,
    NEAR,
    NORMAL,
    SEA_UNREAD,
    STOP,
    UNREAD,
    WATCH,
    Verdict,
)

LABELS = {NORMAL: "Normal", WATCH: "Watch", UNREAD: "Not read"}
LOOK = ("Look here", "Then here")  # of the places that are told with what to do there
MOST_CHOICES = 4  # words of a question that stand behind its option
NO_PLACE = fact("diagnose.card_no_place")
LEAST_TOLD = 0.01  # of odds that a place is told with
PLACE, QUICK_PLACE = "diagnose.card_place", "diagnose.card_place_quick"
AT_MOST = {
    "diagnose.card_room": "diagnose.card_room_at_most",
    "diagnose.card_room_to_ice": "diagnose.card_room_to_ice_at_most",
}
COMMANDS = "seaflow diagnose BOAT --full   seaflow diagnose BOAT --ask"


def diagnose_card(answer: Diagnosis, show: Show) -> Card:
    """Return the card of a diagnosis."""
    title = fact("diagnose.card_title", boat=answer.boat, loop=answer.loop)
    also = (
        fact("diagnose.card_loops", loops=answer.other_loops, one=answer.other_loops[0])
        if answer.other_loops
        else None
    )
    blocks: list[Block | None] = [
        _verdict(answer.verdict, show),
        _careful(answer),
        *(_look_here(answer, show) if not answer.read_first else _read_first(answer, show)),
        block("Stop if", _said(answer.stop_if, show)),
        None if answer.read_first else _odds(answer, show),
        block("But", _said(_trips_unseen(answer), show)),
        block("Trend", *told_trends(answer.trends, show), kept=1),
        *_next(answer, show),
        block("Note", *(show.sentence(note) for note in _notes(answer)), kept=1, listed=True),
        block("Also", _said(also, show)),
        _sure(answer, show),
        *_undescribed(answer, show),
        block("More", COMMANDS, apart=True),
    ]
    return card(show.sentence(title), blocks)


def told_trends(found: tuple[Trend, ...], show: Show) -> Iterator[str]:
    """Yield the trends that can be told; where none can, that of the first reading."""
    told = [one for one in found if one.is_told]
    for one in told or found[:1]:
        yield capital(show.sentences(one.says))


def _undescribed(answer: Diagnosis, show: Show) -> Iterator[Block | None]:
    """Yield how much wider the answer is than with a description, and what would narrow it most."""
    if answer.undescribed is not None:
        yield block("Wider", show.sentence(answer.undescribed.says))
        found = answer.undescribed.find_out
        yield block("Find out", _said(None if found is None else found.says, show))


def _said(said: Fact | None, show: Show) -> str | None:
    return None if said is None else show.sentence(said)


def _verdict(verdict: Verdict, show: Show) -> Block | None:
    word = show.sentence(verdict.word)
    label, _, rest = word.partition(", ")
    label = LABELS.get(verdict.word, label)
    says = [f"{capital(rest)}."] if rest else []
    return block(label, *says, show.sentence(verdict.reasons[0]), *_room(verdict, show))


def _room(verdict: Verdict, show: Show) -> Iterator[str]:
    """Yield how far the cut-out, or ice, is away, where readings tell and anything is to run.

    A compressor on low volts stops however far it is, so beside those nothing is said of it; and
    where too little is left the reason says how much.
    """
    if verdict.reasons[0].kind in (*LOW_VOLTS, *NEAR):
        return
    cooling = ("diagnose.card_room", verdict.to_cut_out_low, verdict.to_cut_out)
    heating = ("diagnose.card_room_to_ice", verdict.to_ice_low, verdict.to_ice)
    ends = ((cooling, verdict.to_cut_out_high), (heating, verdict.to_ice_high))
    for (kind, low, middle), high in ends:
        if verdict.tells_nothing or middle is None or low is None or high is None:
            continue
        if low == middle == high == 0.0:
            yield show.sentence(fact("diagnose.card_no_room"))
        if verdict.word == STOP or low == high == 0.0:
            continue
        if low <= 0.0:
            yield show.sentence(fact(AT_MOST[kind], high=amount("rise", high)))
            continue
        band = (amount("rise", low), amount("rise", high))
        yield show.sentence(fact(kind, band=band))


def _look_here(answer: Diagnosis, show: Show) -> Iterator[Block | None]:
    """Yield where to look first and then; of a boat that reads as healthy, what it may hide."""
    if answer.verdict.word == NORMAL:
        easy = answer.verdict.why == AT_PART_LOAD
        do = fact("diagnose.card_full_load" if easy else "diagnose.card_nothing_to_do")
        yield block("Do", show.sentence(do), apart=True)
        yield block("But", _said(answer.verdict.unseen, show))
        return
    first = may_be_misread(answer.verdict, _nothing(answer), answer.looks)
    if first:
        yield block("First", show.sentence(fact("diagnose.card_read_again")), apart=True)
    for label, one in zip(LOOK, _named(answer), strict=False):
        said = capital(show.sentence(_look(one)))
        yield block(label, said, apart=label == LOOK[0] and not first)


def _named(answer: Diagnosis) -> tuple[Look, ...]:
    """Return the places that are told with what to do there."""
    if answer.read_first:
        return ()
    return told_places(answer.verdict, _nothing(answer), answer.looks)


def _trips_unseen(answer: Diagnosis) -> Fact | None:
    """Return what could tell why a unit trips whose water looks well."""
    return answer.verdict.unseen if answer.verdict.word == STOP else None


def _nothing(answer: Diagnosis) -> float:
    """Return how likely nothing is wrong."""
    return max((one.chance for one in answer.causes if one.name == NOTHING), default=0.0)


def _odds(answer: Diagnosis, show: Show) -> Block | None:
    """Return how likely something is wrong at each place, and that nothing is.

    The likeliest stands first, but for a place that is looked at before it.
    """
    stops = answer.verdict.word == STOP  # and nobody is told then that nothing may be wrong
    nothing = (one for one in answer.causes if one.name == NOTHING and one.chance >= LEAST)
    found = [(False, one.chance, one.title, one.odds) for one in nothing if not stops]
    found += [(one.quick, one.chance, one.place, one.odds) for one in answer.looks]
    said = [
        capital(
            show.sentence(
                fact(QUICK_PLACE if quick else PLACE, place=place, odds=odds, chance=chance)
            )
        )
        for quick, chance, place, odds in sorted(found, key=lambda one: (not one[0], -one[1]))
    ]
    any_quick = any(one.quick for one in answer.looks)
    return block("Odds", *said, kept=2 if any_quick else 1, apart=True)


def _look(one: Look) -> Fact:
    said = {"where": one.place, "unit": one.unit, "act": one.act}
    if not one.cautions:
        return fact("diagnose.card_look", **said)
    return fact("diagnose.card_look_careful", caution=one.cautions[0].brief, **said)


def _read_first(answer: Diagnosis, show: Show) -> Iterator[Block | None]:
    says = [show.sentence(_first(one)) for one in answer.read_first]
    yield block("Read", *says, listed=True, apart=True)
    if answer.verdict.why == SEA_UNREAD:
        return
    places = tuple(
        fact("diagnose.card_often", place=one.place, chance=one.chance)
        for one in sorted(answer.looks, key=lambda one: -one.chance)
        if one.chance >= LEAST_TOLD
    )
    general = fact("diagnose.card_general", places=places) if places else NO_PLACE
    yield block("Odds", show.sentence(general))


def _next(answer: Diagnosis, show: Show) -> Iterator[Block | None]:
    if answer.read_first:
        return
    wanted = answer.next_reading
    if wanted is None and answer.verdict.word == STOP:
        return
    yield block("Next", show.sentence(NONE_HELPS if wanted is None else _reading(wanted)))


def _first(wanted: NextReading) -> Fact:
    """Return what is read before all else; `how` up to what only some boats need."""
    how = f"{wanted.how.partition(';')[0].rstrip('.')}."
    return fact("diagnose.card_first", title=wanted.title, option=_option(wanted), how=how)


def _option(wanted: NextReading) -> str:
    return "bucket" if wanted.kind == "flow" else wanted.kind.replace("_", "-")


def _reading(wanted: NextReading) -> Fact:
    told = {
        "title": wanted.title,
        "minutes": wanted.effort,
        "option": _option(wanted),
        "caution": f"{wanted.cautions[0].brief} " if wanted.cautions else "",
    }
    if not wanted.how:
        healthy = signs()[wanted.kind].healthy
        words = f" {'/'.join(healthy)}" if len(healthy) <= MOST_CHOICES else ""
        return fact("diagnose.card_question", words=words, **told)
    return fact("diagnose.card_reading", place=wanted.place, how=wanted.how, **told)


def _notes(answer: Diagnosis) -> Iterator[Fact]:
    """Yield which readings to take again, what else is odd, and what else there is to say."""
    if answer.heat is not None and not answer.heat.agrees:
        yield answer.heat.says
    yield from (one for one in answer.verdict.reasons[1:] if one.kind != "diagnose.odd_heat")
    # that healthy is not enough comes before what may be left out
    yield from sorted(answer.notes, key=lambda one: one.kind not in FALLS_SHORT.values())


def _careful(answer: Diagnosis) -> Block | None:
    """Return the hazards of what is named, and where codes and licensed people decide."""
    wanted = None if answer.read_first else answer.next_reading
    named = (*_named(answer), *((wanted,) if wanted else ()))
    also = [item for one in named for item in one.cautions[1:]]
    also += [item for item in answer.cautions if item.brief]
    return careful({item.title: item for item in also}.values())


def _sure(answer: Diagnosis, show: Show) -> Block | None:
    """Return what the odds rest on, and first what makes them rough or wider."""
    told = {"count": answer.n_draws, "pump": answer.pump, "why": answer.why_pump}
    kind = "diagnose.card_sure" if answer.pump_told else "diagnose.card_sure_any_pump"
    doubts = [one for one in answer.basis if one.kind in DOUBTS]
    rest = [one for one in answer.basis if one.kind not in (*DOUBTS, "diagnose.simulated")]
    said = [show.sentence(one) for one in (*doubts, fact(kind, **told), *rest)]
    return block("How sure", *said, kept=len(doubts) + 1, apart=True)
