"""What the card of `improve` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from string import ascii_uppercase

from seaflow.base.facts import amount, fact
from seaflow.present.layout import Heading, Line, bullet, labelled, table
from seaflow.present.notes import caution_lines, each_loop
from seaflow.present.quantities import Show, percent
from seaflow.present.size.materials import materials_text
from seaflow.studies.improve.answer import Choice, Improvement, LoopImprovement
from seaflow.studies.improve.winner import WORTH


def improve_lines(answer: Improvement, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    for loop, title in each_loop(answer.loops):
        yield Heading(f"The choice{title}")
        yield from _answer(loop, show)
        yield from _to_buy(loop, title, show)
        yield from _details(loop, title, show)
    yield Heading("How it is calculated")
    error = 0.5 / answer.n_samples**0.5
    yield bullet(show.sentence(fact("improve.drawn", days=answer.n_samples, seed=answer.seed)))
    yield bullet(show.sentence(fact("improve.enough", enough=answer.enough, error=error)))
    yield bullet(show.sentence(fact("improve.energy")))
    yield bullet(show.sentence(fact("improve.beats", worth=WORTH)))
    yield from caution_lines(answer.cautions)


def _answer(loop: LoopImprovement, show: Show) -> Iterator[Line]:
    now = fact(
        "improve.now",
        pump=loop.now.pump,
        chosen=loop.pump_why,
        unit=loop.now.worst,
        flow=amount("flow", loop.now.flow),
        margin=loop.now.margin,
        share=loop.now.keeps_rise,
        running=loop.now.keeps_running,
        energy=amount("energy", loop.now.energy_per_day),
    )
    yield labelled("Now", show.sentence(now))
    for caution in loop.winner.cautions:
        yield labelled("Caution", show.sentence(caution))
    yield labelled("Change", show.sentences(loop.what))
    yield labelled("Why", show.sentences(loop.why))
    for reason in loop.winner.reasons or loop.winner.doubts:
        yield labelled("But", f"{show.sentence(reason)}.")
    if loop.winner.cure is not None:
        yield labelled("Cure", f"{show.sentence(loop.winner.cure)}.")


def _to_buy(loop: LoopImprovement, title: str, show: Show) -> Iterator[Line]:
    """Yield what is bought for the choice taken, as `size` lists it."""
    if loop.winner.parts and loop.helps:
        yield Heading(f"What to buy{title}")
        yield from materials_text(show, loop.winner.parts)


def _details(loop: LoopImprovement, title: str, show: Show) -> Iterator[Line]:
    yield Heading(f"One thing at a time{title}")
    yield _single_table(loop, show)
    for left in loop.left_out:
        yield bullet(show.sentence(left))
    yield Heading(f"Best trade-offs{title}")
    yield _front_table(loop.front, show)
    for letter, choice in zip(ascii_uppercase, loop.front, strict=False):
        mark = "  <- taken" if choice == loop.winner and loop.helps else ""
        yield bullet(f"{_changes(choice, show)}{mark}", f"{letter}:")
        if choice.held is not None:
            yield bullet(f"but {show.sentence(choice.held)}", " ", 4)
    tried = fact("improve.tried", tried=loop.n_tried, sampled=loop.n_sampled)
    yield bullet(show.sentence(tried))


def _changes(choice: Choice, show: Show) -> str:
    return show.sentences(choice.changes, "; ") or "as it is"


def _single_table(loop: LoopImprovement, show: Show) -> str:
    rows = []
    for choice in (loop.now, *loop.singles):
        rows.append(
            (
                _changes(choice, show),
                str(choice.n_changes),
                show.number("flow", choice.flow),
                f"{choice.margin:+z.1%}",
                percent(choice.keeps_rise),
                percent(choice.keeps_running),
                show.number("energy", choice.energy_per_day),
                "" if choice.remark is None else show.sentence(choice.remark),
            )
        )
    unit = show.unit("flow")
    head = ("change", "things", f"worst {unit}", "over need", "enough", "all run", "kWh/day", "")
    return table(head, rows, right=(1, 2, 3, 4, 5, 6))


def _front_table(front: Sequence[Choice], show: Show) -> str:
    priced = any(choice.price is not None for choice in front)
    rows = []
    for letter, choice in zip(ascii_uppercase, front, strict=False):
        row = [
            letter,
            str(choice.n_changes),
            percent(choice.keeps_rise),
            percent(choice.keeps_running),
            f"{choice.margin:+z.1%}",
            show.number("energy", choice.energy_per_day),
            choice.grade,
        ]
        if priced:
            row.append(_price(choice))
        rows.append(row)
    head = ["", "changes", "enough", "all run", "worst over need", "kWh/day", "size says"]
    return table([*head, "price"] if priced else head, rows, right=(1, 2, 3, 4, 5))


def _price(choice: Choice) -> str:
    if not choice.n_changes and choice.price is None:
        return "-"
    if choice.price is None:
        return "not given"
    more = " and more" if choice.unpriced else ""
    return f"{choice.price:.0f} {choice.currency}{more}"
