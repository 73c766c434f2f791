"""What the card of `diagnose` rests on, as text: causes, cautions, and only then what to do."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact
from seaflow.present.layout import Heading, Line, bullet, labelled, page, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.cautions import Caution
from seaflow.studies.diagnose.answer import Cause, Diagnosis
from seaflow.studies.diagnose.faults import NOTHING, nothing
from seaflow.studies.diagnose.next_reading import NONE_HELPS, NextReading
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.verdict import NORMAL

WELCOME = (
    "One question at a time, the most telling first. Enter passes one over; stop ends it and shows "
    "the answer so far."
)
DONE = 2  # causes for which it is said what to do
LEAST_REPLY = 0.05


def diagnose_lines(answer: Diagnosis, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    yield Heading("Causes")
    yield from _causes(answer, show)
    yield cautions_text(answer.cautions)
    if answer.heat is not None or answer.notes:
        yield Heading("Readings together")
        yield from _together(answer, show)
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


def cautions_text(found: tuple[Caution, ...]) -> str:
    """Return the cautions under their heading."""
    lines = [labelled(item.title, item.text, 26) for item in found]
    return page([Heading("Cautions, before anything is touched"), *lines])


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


def asked_text(wanted: NextReading, usual: float | None, system: str) -> str:
    """Return one question of the interview; `usual` is what this boat should read, if known."""
    if wanted.kind in signs():
        choices = ", ".join(signs()[wanted.kind].healthy)
        return f"\n{wanted.title}\n  One of: {choices}."
    if usual is None:
        example = instruments()[wanted.kind].such[system == "us"]
    else:
        example = f"{float(f'{usual:.2g}'):g} {instruments()[wanted.kind].unit}"
    return f"\n{_title(wanted)}, with its unit (such as {example})\n  {wanted.how}"


def so_far_text(first: Cause | None, system: str) -> str:
    """Return the likeliest cause so far on one line; nothing before the first reading."""
    if first is None:
        return ""
    odds = Show(system).sentence(first.odds)
    return f"  So far: {first.title}, {odds} ({percent(first.chance)})."
