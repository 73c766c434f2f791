"""The answer of `improve` as text: what to change and why, then each change alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from string import ascii_uppercase

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.notes import INVENTED
from seaflow.present.quantities import Show, percent
from seaflow.studies.improve.answer import Choice, Improvement, LoopImprovement


def improve_text(answer: Improvement, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Improvement, show: Show) -> Iterator[str]:
    yield f"{answer.boat}: {answer.hull}, {answer.n_samples} sampled boats, seed {answer.seed}"
    if answer.invented_parts:
        yield INVENTED
    for loop in answer.loops:
        yield heading(f"Loop of {loop.name}")
        yield from _answer(loop, show)
    for loop in answer.loops:
        title = f", {loop.name}" if len(answer.loops) > 1 else ""
        yield from _details(loop, title, show)
    yield heading("How it is reckoned")
    yield from _basis(answer)
    yield heading("Cautions")
    for item in answer.cautions:
        yield bullet(f"{item.title}: {item.text}")


def _answer(loop: LoopImprovement, show: Show) -> Iterator[str]:
    now = loop.now
    energy = show("energy", now.energy_per_day)
    yield labelled(
        "Now",
        f"{now.pump}, {show.sentence(loop.pump_why)}: {now.worst} gets {show('flow', now.flow)} "
        f"({now.margin:+.1%}); enough water in {percent(now.keeps_rise)} of the boats sampled, all "
        f"units run in {percent(now.keeps_running)}; the pump takes {energy} a day",
    )
    yield labelled("Change", show.sentence(loop.why[0]))
    yield labelled("Why", show.sentence(loop.why[1]))
    for caution in loop.winner.cautions:
        yield labelled("Caution", show.sentence(caution))
    for reason in loop.winner.reasons:
        yield labelled("But", show.sentence(reason))


def _details(loop: LoopImprovement, title: str, show: Show) -> Iterator[str]:
    yield heading(f"One thing at a time{title}")
    yield _single_table(loop, show)
    for text in loop.left_out:
        yield bullet(show.sentence(text))
    yield heading(f"Together: choices that none of the others beats{title}")
    yield _front_table(loop.front, show)
    for letter, choice in zip(ascii_uppercase, loop.front, strict=False):
        mark = "  <- taken" if choice == loop.winner else ""
        yield bullet(f"{show.sentence(_changes(choice))}{mark}", f"{letter}:")
        if choice.reasons:
            yield bullet(f"but {show.sentence(choice.reasons[0])}", " ", 4)
    yield bullet(
        f"{loop.n_tried} boats were looked at in brief and {loop.n_sampled} of them sampled."
    )


def _changes(choice: Choice) -> str:
    return "; ".join(choice.changes) or "as it is"


def _single_table(loop: LoopImprovement, show: Show) -> str:
    rows = []
    for choice in (loop.now, *loop.singles):
        rows.append(
            (
                show.sentence(_changes(choice)),
                str(choice.n_changes),
                show.number("flow", choice.flow),
                f"{choice.margin:+.1%}",
                percent(choice.keeps_rise),
                percent(choice.keeps_running),
                show.number("energy", choice.energy_per_day),
                _remark(choice, loop.now),
            )
        )
    unit = show.unit("flow")
    head = ("change", "things", f"worst {unit}", "over need", "enough", "all run", "kWh/day", "")
    return table(head, rows, right=(1, 2, 3, 4, 5, 6))


def _remark(choice: Choice, now: Choice) -> str:
    if choice.too_much:
        return "too much for a coil"
    if now.runs_full and not choice.runs_full:
        return "a leg no longer runs full"
    if choice.pump == now.pump and choice.worst != now.worst and choice.margin < now.margin:
        return f"takes water from {choice.worst}"
    return ""


def _front_table(front: Sequence[Choice], show: Show) -> str:
    priced = any(choice.price is not None for choice in front)
    rows = []
    for letter, choice in zip(ascii_uppercase, front, strict=False):
        row = [
            letter,
            str(choice.n_changes),
            percent(choice.keeps_rise),
            percent(choice.keeps_running),
            f"{choice.margin:+.1%}",
            show.number("energy", choice.energy_per_day),
            "reasons against it" if choice.reasons else "holds at all corners",
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


def _basis(answer: Improvement) -> Iterator[str]:
    yield bullet(
        "Enough: the share of boats sampled over the season in which every unit runs and keeps its "
        f"permitted rise; {percent(answer.enough)} are asked. Every choice meets the same boats. "
        f"The error of a likelihood is at most {0.5 / answer.n_samples**0.5:.1%}."
    )
    yield bullet(
        "Energy: the pump running day and night, its speed set as low as will do where it can be "
        "set. Changes: every pump, strainer, hose, seacock or through-hull put in new counts one, "
        "and so does each balancing valve to be set. A wider hose can give less: where the leg "
        "after the highest point no longer runs full, its height is lost."
    )
    yield bullet(
        "One choice beats another if it is nowhere worse and somewhere better: likelihoods in "
        "whole per cent, energy in steps of 50 Wh a day, number of changes, and price where parts "
        "have one. Of those likely enough, with at most one change more than the fewest, the one "
        "that takes least energy is taken."
    )
