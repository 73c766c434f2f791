"""What the card of `diagnose` rests on, as text: causes, cautions, and only then what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Fact
from seaflow.present.card import capital
from seaflow.present.layout import Heading, Line, bullet, labelled, page, table
from seaflow.present.quantities import Show, percent
from seaflow.present.sentences import listed
from seaflow.studies.design.cautions import Caution
from seaflow.studies.diagnose.answer import DONE, Cause, Diagnosis
from seaflow.studies.diagnose.faults import NOTHING, nothing
from seaflow.studies.diagnose.next_reading import NONE_HELPS, NextReading
from seaflow.studies.diagnose.readings import Places, instruments, signs
from seaflow.studies.diagnose.verdict import NORMAL, STOP

WELCOME = (
    "One question at a time, the most telling first. Enter passes one over, back returns to the "
    "one before, and stop ends it and shows the answer so far."
)
WHICH_LOOP = "Which loop is it? Its number, or its name."
NOTHING_BEFORE = "This is the first question: nothing was answered before it."
LEAST_REPLY = 0.05


def diagnose_lines(answer: Diagnosis, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    yield Heading("Causes")
    yield from _causes(answer, show)
    yield cautions_text(answer.cautions)
    if answer.heat is not None or answer.notes:
        yield Heading("Readings together")
        yield from _together(answer, show)
    if answer.trends:
        yield Heading("Over the stored days")
        yield from (bullet(capital(show.sentences(one.says))) for one in answer.trends)
    yield Heading("Next test: what tells most for its effort")
    if answer.next_reading is not None:
        yield from _next(answer.next_reading, show)
    else:
        yield bullet(show.sentence(NONE_HELPS))
    yield Heading("What to do")
    first = answer.causes[:DONE]
    for cause in first:
        if cause.name != NOTHING or answer.verdict.word == NORMAL or len(first) == 1:
            yield bullet(f"{cause.title}: {cause.do}")
    yield Heading("What this rests on")
    for fact in answer.basis:
        yield bullet(show.sentence(fact))


def cautions_text(found: tuple[Caution, ...], headed: bool = True) -> str:
    """Return cautions, under their heading or as more of them."""
    lines: list[Line] = [labelled(item.title, item.text, 26) for item in found]
    heading = [Heading("Cautions, before anything is touched")] if headed else [""]
    return page([*heading, *lines])


def stop_text(stop: tuple[Fact, Fact] | None, system: str) -> str:
    """Return the verdict that is told at once in the interview, or nothing."""
    if stop is None:
        return ""
    word, why = (Show(system).sentence(one) for one in stop)
    return "\n" + labelled("Verdict", f"{word}. {why}")


def _together(answer: Diagnosis, show: Show) -> Iterator[Line]:
    if answer.heat is not None:
        yield labelled("Heat", show.sentence(answer.heat.says))
    for note in answer.notes:
        yield labelled("Note", show.sentence(note))


def _causes(answer: Diagnosis, show: Show) -> Iterator[Line]:
    rows = [
        (cause.title, show.sentence(cause.odds), percent(cause.chance), percent(cause.before))
        for cause in answer.causes
        if cause.name != NOTHING or answer.verdict.word != STOP
    ]
    yield table(("cause", "odds", "now", "before"), rows, right=(2, 3))
    for pair in answer.pairs:
        yield bullet(
            f"Both at once, {pair.titles[0]} and {pair.titles[1]}: {percent(pair.chance)}.",
            indent=4,
        )
    if answer.alike:
        faults = [titles for titles in answer.alike if titles != (nothing().title,)]
        order = "; ".join(", with ".join(titles) for titles in faults)
        well = "equally well" if len(faults) == len(answer.alike) else "as well as nothing wrong"
        yield bullet(f"These fit the readings {well}; look in this order: {order}.", indent=4)


def _next(wanted: NextReading, show: Show) -> Iterator[Line]:
    yield labelled("Test", f"{_title(wanted)} (about {wanted.effort:.0f} min)")
    if wanted.how:
        yield labelled("How", wanted.how)
    for label, usual in (("If", True), ("Rarely", False)):
        for reply in wanted.replies:
            if (reply.chance >= LEAST_REPLY) == usual:
                yield labelled(
                    label,
                    f"{show.sentence(reply.says)} ({percent(reply.chance)}): then "
                    f"{reply.leads} leads with {percent(reply.then)}",
                )


def _title(wanted: NextReading) -> str:
    return f'{wanted.title} at "{wanted.place}"' if wanted.place else wanted.title


def which_loop_text(found: Sequence[tuple[str, Sequence[str]]]) -> str:
    """Return the question which loop is meant: each by its name and its units."""
    rows = [f"{number}  {name}: {listed(units)}" for number, (name, units) in enumerate(found, 1)]
    return page(["", WHICH_LOOP, *(bullet(row, mark="", indent=1) for row in rows)])


def asked_text(
    wanted: NextReading, usual: float | None, places: Places, system: str, before: str = ""
) -> str:
    """Return one question of the interview; `usual` is what this boat should read, if known.

    `before` is what was answered to it before somebody went back.
    """
    if wanted.kind in signs():
        sign, asked = signs()[wanted.kind], wanted.title
        several = places.at(sign.where) if sign.where else ()
        more = [f"One of: {', '.join(sign.healthy)}."]
        if len(several) > 1:
            first, *_, last = list(sign.healthy)[len(sign.healthy) > 2 :]
            more.append(f"Where they differ: {several[0]}={first}, {several[1]}={last}.")
    else:
        instrument, title = instruments()[wanted.kind], _title(wanted)
        example = instrument.such[system == "us"]
        if usual is not None:
            example = f"{float(f'{usual:.2g}'):g} {instrument.unit}"
        asked = f"{title[:1].upper()}{title[1:]}, with its unit (such as {example})"
        more = [wanted.how]
    if before:
        more.append(f'You answered "{before}". Enter keeps that; skip passes it over.')
    return page(["", asked, *(bullet(line, mark="", indent=1) for line in more)])


def so_far_text(first: Cause, system: str) -> str:
    """Return the likeliest cause so far on one line."""
    odds = Show(system).sentence(first.odds)
    return f"  So far: {first.title}, {odds} ({percent(first.chance)})."
